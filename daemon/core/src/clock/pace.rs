//! Whether readings still come at the rate that was learned.
//!
//! What was learned while a line paused or gave up its backlog is wrong by parts of ten, and a board may be
//! told to measure at another rate. A line through numbers and arrivals of some seconds tells the rate
//! again. One such line is tilted by one pause; two that follow each other and agree are not.

use crate::time::HostTime;

/// How two windows that follow each other tell of another rate.
#[derive(Debug, Clone, Copy)]
struct Rule {
    length_us: i64,
    /// Both are off the rate in force by more than this share,
    off: f64,
    /// and agree to within this one.
    agree: f64,
}

/// A rate that is far off is noticed soon; one that is a little off by more readings, as bursts of a
/// quarter of a second tilt a window of two seconds by a twentieth.
const RULES: [Rule; 2] = [
    Rule {
        length_us: 2_000_000,
        off: 0.08,
        agree: 0.04,
    },
    Rule {
        length_us: 6_000_000,
        off: 0.025,
        agree: 0.02,
    },
];
/// Readings below which a window tells nothing.
const READINGS: f64 = 10.0;

/// Sums of a straight line through (count, arrival).
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    xy: f64,
}

impl Sums {
    pub(super) fn add(&mut self, x: f64, y: f64) {
        self.n += 1.0;
        self.x += x;
        self.y += y;
        self.xx += x * x;
        self.xy += x * y;
    }

    /// Time from one to the next, in units of the arrivals.
    pub(super) fn slope(&self) -> Option<f64> {
        let spread = self.n * self.xx - self.x * self.x;
        let slope = (self.n * self.xy - self.x * self.y) / spread;
        (spread > 0.0 && slope > 0.0).then_some(slope)
    }
}

/// Watches the rate of one board.
#[derive(Debug, Clone, Default)]
pub(super) struct Paces([Window; RULES.len()]);

#[derive(Debug, Clone, Copy, Default)]
struct Window {
    began: Option<(u64, HostTime)>,
    sums: Sums,
    /// Period by the window before, µs.
    before_us: Option<f64>,
}

impl Paces {
    /// Takes the number of a reading and its arrival; gives the period at which they come if that is
    /// not the one in force, µs.
    pub(super) fn take(&mut self, count: u64, arrival: HostTime, period_us: f64) -> Option<f64> {
        let windows = self.0.iter_mut().zip(RULES);
        windows.fold(None, |found, (window, rule)| {
            window.take(count, arrival, period_us, rule).or(found)
        })
    }
}

impl Window {
    fn take(&mut self, count: u64, arrival: HostTime, period_us: f64, rule: Rule) -> Option<f64> {
        let (first, from) = *self.began.get_or_insert((count, arrival));
        let since_us = arrival.since_us(from);
        self.sums.add((count - first) as f64, since_us as f64);
        if since_us < rule.length_us {
            return None;
        }
        let enough = self.sums.n >= READINGS;
        let now_us = self.sums.slope().filter(|_| enough);
        let before_us = std::mem::replace(&mut self.before_us, now_us);
        self.began = Some((count, arrival));
        self.sums = Sums::default();
        let (now_us, before_us) = now_us.zip(before_us)?;
        let off = |window_us: f64| window_us / period_us - 1.0;
        let (now, before) = (off(now_us), off(before_us));
        let both = now.abs() > rule.off && before.abs() > rule.off && now * before > 0.0;
        (both && (now - before).abs() < rule.agree).then_some(now_us.midpoint(before_us))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Periods found anew while readings come every `period_us` after the delays given, for a minute.
    fn found(period_us: f64, in_force_us: f64, delay_us: impl Fn(u64) -> f64) -> Vec<f64> {
        let mut paces = Paces::default();
        let mut in_force_us = in_force_us;
        let readings = 0_u64..60_000_000 / 10_000;
        let mut all = Vec::new();
        for n in readings {
            #[expect(clippy::cast_possible_truncation, reason = "a minute of microseconds")]
            let arrival = HostTime::from_us((n as f64 * period_us + delay_us(n)) as i64);
            if let Some(found_us) = paces.take(n, arrival, in_force_us) {
                in_force_us = found_us;
                all.push(found_us);
            }
        }
        all
    }

    #[test]
    fn another_rate_is_found_and_the_same_is_not() {
        for (period_us, in_force_us) in [
            (10_000.0, 8_590.0),
            (10_000.0, 10_400.0),
            (20_000.0, 10_000.0),
        ] {
            let found = found(period_us, in_force_us, |n| (n % 7) as f64 * 500.0);
            let last_us = *found.last().unwrap();
            assert!(
                (last_us / period_us - 1.0).abs() < 0.02,
                "{in_force_us}: {found:?}"
            );
            assert!(found.len() <= 2, "{in_force_us}: {found:?}");
        }
        assert_eq!(
            found(10_000.0, 10_050.0, |n| (n % 7) as f64 * 500.0),
            Vec::<f64>::new()
        );
    }

    #[test]
    fn pauses_backlogs_and_bursts_are_no_other_rate() {
        // Nothing for a second, then what was kept back at once; late by half a second from then on.
        let pause = |n: u64| {
            if (1000..1100).contains(&n) {
                (1100 - n) as f64 * 10_000.0
            } else {
                0.0
            }
        };
        assert_eq!(found(10_000.0, 10_000.0, pause), Vec::<f64>::new());
        let late = |n: u64| if n < 2000 { 0.0 } else { 500_000.0 };
        assert_eq!(found(10_000.0, 10_000.0, late), Vec::<f64>::new());
        // Given up four times a second.
        let bursts = |n: u64| (25 - n % 25) as f64 * 10_000.0;
        assert_eq!(found(10_000.0, 10_000.0, bursts), Vec::<f64>::new());
    }
}
