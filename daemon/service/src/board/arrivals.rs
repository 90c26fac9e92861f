//! When the reads came that no snapshot has shown yet.

use tokio::time::Instant;

/// Reads that are remembered between two looks. A snapshot is made every 50 ms, and a system hands over
/// a busy serial line some hundred times a second.
const MOST: usize = 32;

/// Moments of the reads since the last look. Of more than fit, the latest are not remembered:
/// they would be the ones that wait least. Noting one allocates nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Arrivals {
    at: [Option<Instant>; MOST],
    count: usize,
}

impl Default for Arrivals {
    fn default() -> Self {
        Self {
            at: [None; MOST],
            count: 0,
        }
    }
}

impl Arrivals {
    /// A read with readings in it came at this moment.
    pub fn note(&mut self, at: Instant) {
        if let Some(place) = self.at.get_mut(self.count) {
            *place = Some(at);
            self.count += 1;
        }
    }

    /// The moments, oldest first.
    pub fn moments(&self) -> impl Iterator<Item = Instant> {
        self.at.iter().flatten().copied()
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn the_oldest_are_kept() {
        let begun = Instant::now();
        let mut arrivals = Arrivals::default();
        assert_eq!(arrivals.moments().count(), 0);
        let moment = |nth| begun + Duration::from_millis(nth);
        for nth in 0..40 {
            arrivals.note(moment(nth));
        }
        let kept: Vec<Instant> = arrivals.moments().collect();
        assert_eq!(kept, (0..32).map(moment).collect::<Vec<_>>());
    }
}
