//! The task that has a connection to the broker, or calls until it has.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use tokio::time::{Instant, timeout};
use tokio_util::sync::CancellationToken;

use super::Link;
use super::dial::Dial;
use super::document::LiveReading;
use super::lost::Lost;
use super::outbox::Outbox;
use super::session::{Job, Live, Told, hold};
use crate::link::Backoff;

/// Wait before the second call, doubled with each until [`LONGEST_WAIT`]: a broker that starts
/// anew is back in a second or two, and one that is off for the night is called a few hundred times.
const FIRST_WAIT: Duration = Duration::from_secs(1);
const LONGEST_WAIT: Duration = Duration::from_secs(60);

/// A connection that held for so long was a good one: the next wait is short again. One that is
/// taken and thrown out at once, by another client of the same name, is not called every second.
const STEADY: Duration = Duration::from_secs(30);

/// How long getting through may take: TCP and TLS together.
const CALL: Duration = Duration::from_secs(10);

/// Reads the live angles as they are now.
pub(crate) type ReadLive = Box<dyn Fn() -> Vec<LiveReading> + Send + Sync>;

/// See the module.
pub(crate) struct Keeper<D> {
    pub(crate) dial: D,
    pub(crate) outbox: Arc<Outbox>,
    /// None: live angles are not published.
    pub(crate) live: Option<(ReadLive, Duration)>,
    pub(crate) deadband_deg: f64,
    pub(crate) link: watch::Sender<Link>,
}

impl<D: Dial> Keeper<D> {
    /// Runs until `stop`, and takes leave of the broker then.
    pub(crate) async fn run(self, stop: CancellationToken) {
        let mut waits = Backoff::new(FIRST_WAIT, LONGEST_WAIT);
        loop {
            let began = Instant::now();
            let Some(lost) = self.once(&stop).await else {
                return;
            };
            if self.link.borrow().is_up() && began.elapsed() >= STEADY {
                waits.reset();
            }
            self.tell_lost(lost);
            let waited = stop
                .run_until_cancelled(tokio::time::sleep(waits.wait()))
                .await;
            if waited.is_none() {
                return;
            }
        }
    }

    /// One call and what comes of it; none when the daemon stops.
    async fn once(&self, stop: &CancellationToken) -> Option<Lost> {
        let called = timeout(CALL, async {
            // First what is at hand: a missing password needs no call.
            let hello = self.dial.hello().await?;
            Ok((self.dial.dial().await?, hello))
        });
        let called = stop.run_until_cancelled(called).await?;
        let (stream, hello) = match called.unwrap_or(Err(Lost::NoAnswer)) {
            Ok(called) => called,
            Err(lost) => return Some(lost),
        };
        let job = Job {
            outbox: &self.outbox,
            live: self.live.as_ref().map(|(read, every)| Live {
                read: &**read,
                every: *every,
                deadband_deg: self.deadband_deg,
            }),
            stop,
        };
        let mut tell = |told| self.tell(told);
        hold(stream, &hello, &job, &mut tell).await
    }

    fn tell(&self, told: Told) {
        match told {
            Told::Taken => {
                tracing::info!("the broker is there; it is published");
                self.link.send_replace(Link::Up { untaken: None });
            }
            Told::Refused { topic, code } => {
                self.untaken(topic, Some(code));
            }
            Told::TooLarge { topic } => self.untaken(topic, None),
        }
    }

    fn untaken(&self, topic: String, code: Option<u8>) {
        tracing::warn!(topic, code, "the broker does not take a finding");
        self.link.send_replace(Link::Up {
            untaken: Some((topic, code)),
        });
    }

    fn tell_lost(&self, lost: Lost) {
        self.link.send_if_modified(|link| {
            let same = matches!(link, Link::Down(before) if *before == lost);
            if same {
                tracing::debug!(?lost, "still no broker");
            } else {
                tracing::warn!(?lost, "nothing is published; it is tried again");
                *link = Link::Down(lost);
            }
            !same
        });
    }
}
