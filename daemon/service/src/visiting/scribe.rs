//! What writes finished procedures into the visit at hand.

use tokio_util::sync::CancellationToken;

use super::VisitDesk;

/// The task that writes.
#[derive(Debug)]
pub struct Scribe {
    desk: VisitDesk,
}

impl Scribe {
    /// A scribe for a desk.
    pub const fn new(desk: VisitDesk) -> Self {
        Self { desk }
    }

    /// Runs until `stop`.
    pub async fn run(self, stop: CancellationToken) {
        stop.cancelled().await;
        drop(self.desk);
    }
}
