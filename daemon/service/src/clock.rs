//! The daemon's own time.

use hubplumb_core::time::HostTime;
use tokio::time::Instant;

/// Microseconds since the daemon began, from a clock that nobody sets.
#[derive(Debug, Clone, Copy)]
pub struct DaemonClock {
    origin: Instant,
    speed: f64,
}

impl DaemonClock {
    /// A clock that begins now.
    pub fn starting_now() -> Self {
        Self::at_speed(1.0)
    }

    /// A clock that begins now and runs so many times faster than life, for a
    /// simulated car that does.
    pub fn at_speed(speed: f64) -> Self {
        Self {
            origin: Instant::now(),
            speed,
        }
    }

    /// The time now.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "292 000 years of microseconds fit, and the cast saturates"
    )]
    pub fn now(&self) -> HostTime {
        HostTime::from_us((self.origin.elapsed().as_secs_f64() * self.speed * 1e6) as i64)
    }
}
