//! Judges an open line by what arrives on it, and when.

use tokio::time::Instant;

use super::timing::Timing;

/// What an open line does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineState {
    /// Open, and too early to say.
    Opening,
    /// Good frames arrive.
    Live,
    /// Nothing arrives.
    Silent,
    /// Bytes arrive and none of them makes a good frame.
    Unreadable,
}

/// Watches one open line. Holds no clock: every time is given to it.
#[derive(Debug, Clone)]
pub struct LineWatch {
    timing: Timing,
    opened: Instant,
    last_byte: Option<Instant>,
    last_good: Option<Instant>,
    /// First byte since the last good frame.
    doubtful_since: Option<Instant>,
}

impl LineWatch {
    /// A line that was opened at `now`.
    pub fn opened(now: Instant, timing: Timing) -> Self {
        Self {
            timing,
            opened: now,
            last_byte: None,
            last_good: None,
            doubtful_since: None,
        }
    }

    /// Bytes arrived, among them `good` whole good frames.
    pub fn arrived(&mut self, now: Instant, good: usize) {
        self.last_byte = Some(now);
        if good > 0 {
            self.last_good = Some(now);
            self.doubtful_since = None;
        } else {
            self.doubtful_since.get_or_insert(now);
        }
    }

    /// What the line does, as seen at `now`.
    pub fn state(&self, now: Instant) -> LineState {
        if now >= self.last_byte.unwrap_or(self.opened) + self.timing.silence {
            return LineState::Silent;
        }
        if self
            .doubtful_since
            .is_some_and(|since| now >= since + self.timing.unreadable)
        {
            return LineState::Unreadable;
        }
        if self.last_good.is_some() {
            LineState::Live
        } else {
            LineState::Opening
        }
    }

    /// When the state may change though nothing arrives; `None` when it cannot.
    pub fn deadline(&self, now: Instant) -> Option<Instant> {
        let silent_at = self.last_byte.unwrap_or(self.opened) + self.timing.silence;
        let unreadable_at = self
            .doubtful_since
            .map(|since| since + self.timing.unreadable);
        [Some(silent_at), unreadable_at]
            .into_iter()
            .flatten()
            .filter(|at| *at > now)
            .min()
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    /// Plays `(at_ms, good frames)` arrivals and looks at the line at `look_ms`.
    fn check(arrivals: &[(u64, usize)], look_ms: u64, expected: LineState) {
        let start = Instant::now();
        let at = |ms| start + Duration::from_millis(ms);
        let mut watch = LineWatch::opened(start, Timing::default());
        for &(ms, good) in arrivals {
            watch.arrived(at(ms), good);
        }
        assert_eq!(
            watch.state(at(look_ms)),
            expected,
            "{arrivals:?} seen at {look_ms} ms"
        );
    }

    #[test]
    fn judges_by_what_arrived_and_when() {
        check(&[], 100, LineState::Opening);
        check(&[], 2999, LineState::Opening);
        check(&[], 3000, LineState::Silent);
        check(&[(10, 1)], 20, LineState::Live);
        check(&[(10, 1)], 3009, LineState::Live);
        check(&[(10, 1)], 3010, LineState::Silent);
        check(&[(10, 0)], 20, LineState::Opening);
        check(&[(10, 0), (2000, 0)], 3009, LineState::Opening);
        check(&[(10, 0), (2000, 0)], 3010, LineState::Unreadable);
        // A burst of noise on a good line is not yet a wrong speed.
        check(&[(10, 1), (1000, 0), (2000, 0)], 2100, LineState::Live);
        check(
            &[(10, 1), (1000, 0), (3900, 0)],
            4000,
            LineState::Unreadable,
        );
        check(
            &[(10, 1), (1000, 0), (3900, 0), (4100, 1)],
            4200,
            LineState::Live,
        );
        // A partial frame at the end of each read is not doubt.
        check(
            &[(0, 2), (100, 0), (200, 1), (3300, 1)],
            3350,
            LineState::Live,
        );
        // Noise that stops is silence.
        check(&[(10, 0), (100, 0)], 3100, LineState::Silent);
    }

    #[test]
    fn the_deadline_is_the_next_moment_the_state_can_change() {
        let start = Instant::now();
        let at = |ms| start + Duration::from_millis(ms);
        let mut watch = LineWatch::opened(start, Timing::default());
        assert_eq!(watch.deadline(start), Some(at(3000)));
        watch.arrived(at(500), 0);
        watch.arrived(at(700), 0);
        assert_eq!(watch.deadline(at(700)), Some(at(3500)));
        assert_eq!(watch.deadline(at(3500)), Some(at(3700)));
        assert_eq!(watch.deadline(at(3700)), None);
    }
}
