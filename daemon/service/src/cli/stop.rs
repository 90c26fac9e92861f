//! The end, asked for from outside.

use tokio::signal::unix::{SignalKind, signal};
use tokio_util::sync::CancellationToken;

use super::CliError;

/// Cancels `stop` on Ctrl-C or SIGTERM. A second one ends the program at once.
pub(super) fn on_signals(stop: &CancellationToken) -> Result<(), CliError> {
    let mut interrupt = signal(SignalKind::interrupt()).map_err(CliError::Signal)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(CliError::Signal)?;
    let stop = stop.clone();
    tokio::spawn(async move {
        loop {
            tokio::select! {
                _ = interrupt.recv() => {}
                _ = terminate.recv() => {}
            }
            if stop.is_cancelled() {
                std::process::exit(i32::from(super::EXIT_FAILED));
            }
            tracing::info!("stopping");
            stop.cancel();
        }
    });
    Ok(())
}
