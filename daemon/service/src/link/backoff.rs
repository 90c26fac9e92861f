//! How long to wait before a port is tried again.

use std::time::Duration;

/// Waiting times that double from a first one up to a bound.
///
/// The bound is what a person notices: after a cable is put back the board is
/// to be seen again within about two seconds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Backoff {
    first: Duration,
    cap: Duration,
    next: Duration,
}

impl Backoff {
    /// Starts at `first` and never waits longer than `cap`.
    pub fn new(first: Duration, cap: Duration) -> Self {
        let first = first.min(cap);
        Self {
            first,
            cap,
            next: first,
        }
    }

    /// The wait that is due now; the one after it is twice as long, up to the bound.
    pub fn wait(&mut self) -> Duration {
        let due = self.next;
        self.next = due.saturating_mul(2).min(self.cap);
        due
    }

    /// Starts anew, because the port gave readings.
    pub fn reset(&mut self) {
        self.next = self.first;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubles_to_the_bound_and_starts_anew() {
        let ms = Duration::from_millis;
        let mut backoff = Backoff::new(ms(200), ms(2000));
        let waits: Vec<_> = (0..6).map(|_| backoff.wait()).collect();
        assert_eq!(
            waits,
            [ms(200), ms(400), ms(800), ms(1600), ms(2000), ms(2000)]
        );
        backoff.reset();
        assert_eq!(backoff.wait(), ms(200));
    }

    #[test]
    fn a_first_wait_above_the_bound_is_cut() {
        assert_eq!(
            Backoff::new(Duration::from_secs(9), Duration::from_secs(2)).wait(),
            Duration::from_secs(2)
        );
    }
}
