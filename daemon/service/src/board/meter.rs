//! Readings per second over the last seconds.

use std::collections::VecDeque;

use hubplumb_core::time::HostTime;

/// Length of a bucket, µs.
const BUCKET_US: i64 = 500_000;
/// Buckets that are looked back over: three seconds.
const BUCKETS: usize = 6;

/// Counts readings in half-second buckets.
#[derive(Debug, Clone, Default)]
pub struct RateMeter {
    /// Number of the bucket and readings in it, oldest first.
    buckets: VecDeque<(i64, u32)>,
}

impl RateMeter {
    /// Counts `count` readings that arrived at `now`.
    pub fn count(&mut self, now: HostTime, count: usize) {
        let bucket = now.us() / BUCKET_US;
        let count = u32::try_from(count).unwrap_or(u32::MAX);
        match self.buckets.back_mut() {
            Some((newest, sum)) if *newest == bucket => *sum = sum.saturating_add(count),
            _ => self.buckets.push_back((bucket, count)),
        }
        while self.buckets.len() > BUCKETS + 1 {
            self.buckets.pop_front();
        }
    }

    /// Readings per second over the full buckets before `now`; none when there
    /// were none, or there is no full bucket yet.
    pub fn rate_hz(&self, now: HostTime) -> Option<f64> {
        let current = now.us() / BUCKET_US;
        let oldest = self.buckets.front()?.0;
        // The first bucket of all is full only by chance: it is left out unless it is old.
        let span = (current - oldest).min(i64::try_from(BUCKETS).ok()?);
        let counted: u32 = self
            .buckets
            .iter()
            .filter(|(bucket, _)| (current - span..current).contains(bucket))
            .map(|(_, sum)| sum)
            .sum();
        (span > 0 && counted > 0).then(|| f64::from(counted) * 1e6 / (span * BUCKET_US) as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_what_arrived_in_the_last_seconds() {
        let at = |ms: i64| HostTime::from_us(ms * 1000);
        let mut meter = RateMeter::default();
        assert_eq!(meter.rate_hz(at(0)), None);
        for tenth in 0..50 {
            meter.count(at(tenth * 100), 10);
        }
        assert_eq!(meter.rate_hz(at(5000)), Some(100.0));
        // Two seconds of silence are part of the mean, six are not a rate.
        assert_eq!(meter.rate_hz(at(7000)).map(f64::round), Some(33.0));
        assert_eq!(meter.rate_hz(at(11_000)), None);
    }
}
