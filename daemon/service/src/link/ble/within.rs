//! Time limits of what is asked of the radio.

use std::future::Future;
use std::time::Duration;

use tokio::time::timeout;

use super::radio::RadioTrouble;

/// Limit of a call that takes no radio time.
pub(super) const CALL: Duration = Duration::from_secs(5);

/// Gives a call up after a time: over a bus that went away it would hang for ever.
pub(super) async fn within<T>(
    what: &'static str,
    limit: Duration,
    call: impl Future<Output = Result<T, RadioTrouble>>,
) -> Result<T, RadioTrouble> {
    match timeout(limit, call).await {
        Ok(done) => done,
        Err(_elapsed) => Err(RadioTrouble::TooLong {
            what,
            seconds: limit.as_secs(),
        }),
    }
}
