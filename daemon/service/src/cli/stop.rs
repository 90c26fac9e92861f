//! The end, asked for from outside.

use tokio::signal::unix::{SignalKind, signal};
use tokio_util::sync::CancellationToken;

use super::CliError;

/// Where Linux tells what signals of this process are ignored.
const STATUS: &str = "/proc/self/status";

/// Cancels `stop` on Ctrl-C, on SIGTERM and when the terminal is closed. A second one ends the program at once.
pub(super) fn on_signals(stop: &CancellationToken) -> Result<(), CliError> {
    let mut interrupt = signal(SignalKind::interrupt()).map_err(CliError::Signal)?;
    let mut terminate = signal(SignalKind::terminate()).map_err(CliError::Signal)?;
    // Whoever starts it by `nohup` wants it to outlive the terminal.
    let status = std::fs::read_to_string(STATUS).unwrap_or_default();
    let mut hangup = (!ignores_hangup(&status))
        .then(|| signal(SignalKind::hangup()))
        .transpose()
        .map_err(CliError::Signal)?;
    let stop = stop.clone();
    tokio::spawn(async move {
        loop {
            tokio::select! {
                _ = interrupt.recv() => {}
                _ = terminate.recv() => {}
                Some(()) = async { hangup.as_mut()?.recv().await } => {}
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

/// Does a process of this `/proc/PID/status` ignore SIGHUP? Its signals are a hexadecimal mask, bit 0 for
/// signal 1 (proc(5)).
fn ignores_hangup(status: &str) -> bool {
    status
        .lines()
        .find_map(|line| line.strip_prefix("SigIgn:"))
        .and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok())
        .is_some_and(|mask| mask & 1 != 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mask_tells_whether_the_end_of_a_terminal_is_ignored() {
        for (status, ignored) in [
            (
                "Name:\thubplumb\nSigBlk:\t0000000000000001\nSigIgn:\t0000000000001001\n",
                true,
            ),
            (
                "SigIgn:\t0000000000001000\nSigCgt:\t0000000000000001\n",
                false,
            ),
            ("SigIgn:\tnone\n", false),
            ("", false),
        ] {
            assert_eq!(ignores_hangup(status), ignored, "{status}");
        }
    }
}
