//! Does the daemon still look at everything?
//!
//! The task that makes the snapshot beats once after each look. A look takes the lock of every board and
//! needs the runtime's timer, so a beat says more than that the process is there.

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use tokio::time::Instant;

/// A pulse that is missing for this long is lost: forty looks.
pub const LOST: Duration = Duration::from_secs(2);

/// Counts looks, and knows when the last one was.
#[derive(Debug, Clone)]
pub struct Pulse {
    beats: Arc<watch::Sender<Beat>>,
}

/// The last beat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beat {
    /// How many there were.
    pub count: u64,
    /// When it was.
    pub at: Instant,
}

impl Default for Pulse {
    /// A pulse that begins now.
    fn default() -> Self {
        let beat = Beat {
            count: 0,
            at: Instant::now(),
        };
        Self {
            beats: Arc::new(watch::Sender::new(beat)),
        }
    }
}

impl Pulse {
    /// Everything was looked at.
    pub fn beat(&self) {
        self.beats.send_modify(|beat| {
            *beat = Beat {
                count: beat.count + 1,
                at: Instant::now(),
            };
        });
    }

    /// The last beat.
    pub fn last(&self) -> Beat {
        *self.beats.borrow()
    }

    /// How long ago the last beat was.
    pub fn age(&self) -> Duration {
        self.last().at.elapsed()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test(start_paused = true)]
    async fn it_ages_until_it_beats() {
        let pulse = Pulse::default();
        tokio::time::sleep(Duration::from_secs(3)).await;
        assert!(pulse.age() > LOST);
        pulse.clone().beat();
        assert_eq!((pulse.last().count, pulse.age()), (1, Duration::ZERO));
    }
}
