//! The daemon's time, as the core sees it: a number that somebody hands in.

/// Microseconds since an epoch that the caller chose and never changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct HostTime(i64);

impl HostTime {
    /// A time from microseconds.
    pub const fn from_us(us: i64) -> Self {
        Self(us)
    }

    /// Microseconds since the epoch.
    pub const fn us(self) -> i64 {
        self.0
    }

    /// Microseconds from `earlier` to here; negative when it is later.
    pub const fn since_us(self, earlier: Self) -> i64 {
        self.0 - earlier.0
    }

    /// Seconds from `earlier` to here.
    pub fn since_s(self, earlier: Self) -> f64 {
        self.since_us(earlier) as f64 * 1e-6
    }
}
