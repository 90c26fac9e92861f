//! Telling a service manager how the daemon is (`sd_notify(3)`).
//!
//! A manager that set a watchdog starts the daemon anew when it hears nothing. It is told that the
//! daemon is alive only after two proofs: everything was looked at since it was last told, and the
//! page's own address answered a question. A timer that runs on beside a daemon that hangs proves neither.

use std::net::SocketAddr;
use std::time::Duration;

use sd_notify::NotifyState;
use tokio::time::{Instant, MissedTickBehavior, interval_at};
use tokio_util::sync::CancellationToken;

use crate::http::{from_here, knock};
use crate::pulse::Pulse;

/// Signs of life within the time the manager waits: one that fails by chance does not end the daemon.
const SIGNS: u32 = 3;

/// Address of the daemon as it reaches itself.
pub fn reachable(listens_at: SocketAddr) -> SocketAddr {
    from_here(listens_at)
}

/// Says that the daemon is there, gives signs of life where they are wanted, and says that it ends.
/// Without a manager it does nothing.
pub async fn supervise(pulse: Pulse, address: SocketAddr, stop: CancellationToken) {
    let status = format!("the page is at port {}", address.port());
    tell(&[NotifyState::Ready, NotifyState::Status(&status)]);
    if let Some(limit) = sd_notify::watchdog_enabled() {
        let every = limit / SIGNS;
        let answers = move || async move {
            match knock(address, "/api/v1/health", every / 2).await {
                Ok(_) => true,
                Err(error) => {
                    tracing::error!(%address, %error, "the page's own address does not answer");
                    false
                }
            }
        };
        let alive = || tell(&[NotifyState::Watchdog]);
        stop.run_until_cancelled(watch(every, &pulse, answers, alive))
            .await;
    }
    stop.cancelled().await;
    tell(&[NotifyState::Stopping]);
}

/// Gives a sign of life whenever both proofs are there.
async fn watch<Answers>(
    every: Duration,
    pulse: &Pulse,
    answers: impl Fn() -> Answers,
    alive: impl Fn(),
) where
    Answers: Future<Output = bool>,
{
    let mut ticks = interval_at(Instant::now() + every, every);
    ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
    let mut seen = pulse.last().count;
    loop {
        ticks.tick().await;
        let beats = pulse.last().count;
        if seen == beats {
            tracing::error!(
                age_s = pulse.age().as_secs_f64(),
                "nothing is looked at any more"
            );
            continue;
        }
        seen = beats;
        if answers().await {
            alive();
        }
    }
}

fn tell(states: &[NotifyState<'_>]) {
    if let Err(error) = sd_notify::notify(states) {
        tracing::warn!(%error, "the service manager cannot be told how the daemon is");
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;

    const EVERY: Duration = Duration::from_secs(10);

    /// Signs of life in a minute of a daemon whose pulse and page are like that.
    async fn signs(beats: bool, answers: bool) -> u32 {
        let pulse = Pulse::default();
        let given = Cell::new(0);
        let beating = async {
            loop {
                tokio::time::sleep(Duration::from_secs(1)).await;
                if beats {
                    pulse.beat();
                }
            }
        };
        let watching = watch(
            EVERY,
            &pulse,
            || async { answers },
            || given.set(given.get() + 1),
        );
        tokio::select! {
            () = watching => {}
            () = beating => {}
            () = tokio::time::sleep(Duration::from_secs(59)) => {}
        }
        given.get()
    }

    #[tokio::test(start_paused = true)]
    async fn both_proofs_are_needed() {
        assert_eq!(signs(true, true).await, 5);
        assert_eq!(signs(false, true).await, 0);
        assert_eq!(signs(true, false).await, 0);
        assert_eq!(signs(false, false).await, 0);
    }
}
