//! Readings of any rate onto cells of one length.
//!
//! The filter's gains are worked out for one interval. A board sends 30 or
//! 1000 readings a second, and none evenly. Between two readings the signal is
//! taken for a straight line; each cell gets its mean, so that no turn is lost
//! or counted twice.

use crate::frames::{Board, Vec3};
use crate::reading::Sample;
use crate::time::HostTime;

/// Length of a cell, µs.
pub(super) const CELL_US: i64 = 10_000;

/// The same in seconds.
pub(super) const CELL_S: f64 = CELL_US as f64 * 1e-6;

/// Sums over a stretch of time.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    /// Its length, µs.
    pub(super) length_us: i64,
    /// Specific force summed over time, g·s.
    pub(super) force_gs: Vec3<Board>,
    /// Rate summed over time, rad.
    pub(super) turned_rad: Vec3<Board>,
}

impl Stretch {
    const EMPTY: Self = Self {
        length_us: 0,
        force_gs: Vec3::zero(),
        turned_rad: Vec3::zero(),
    };
}

/// One reading, whole.
type Point = (HostTime, Vec3<Board>, Vec3<Board>);

/// Fills cells from readings.
#[derive(Debug, Clone)]
pub(super) struct Cells {
    last: Option<Point>,
    open: Stretch,
}

impl Cells {
    pub(super) const fn new() -> Self {
        Self {
            last: None,
            open: Stretch::EMPTY,
        }
    }

    /// The cell that is not full yet.
    pub(super) const fn open(&self) -> &Stretch {
        &self.open
    }

    /// Time of the newest reading.
    pub(super) fn newest(&self) -> Option<HostTime> {
        self.last.map(|(at, ..)| at)
    }

    /// Takes a reading of a board with gyro and hands each cell that it fills to `full`.
    pub(super) fn take(
        &mut self,
        sample: &Sample,
        rate: Vec3<Board>,
        mut full: impl FnMut(&Stretch),
    ) {
        let next = (sample.at, sample.accel_g, rate);
        let Some((then, force_then, rate_then)) = self.last.replace(next) else {
            return;
        };
        let whole_us = next.0.since_us(then);
        let mut done_us = 0;
        while done_us < whole_us {
            let step_us = (CELL_US - self.open.length_us).min(whole_us - done_us);
            // The mean of a straight line is its value in the middle.
            let share = (done_us as f64 + 0.5 * step_us as f64) / whole_us as f64;
            let seconds = step_us as f64 * 1e-6;
            let between = |a: Vec3<Board>, b: Vec3<Board>| (a + (b - a) * share) * seconds;
            self.open.length_us += step_us;
            self.open.force_gs = self.open.force_gs + between(force_then, next.1);
            self.open.turned_rad = self.open.turned_rad + between(rate_then, next.2);
            done_us += step_us;
            if self.open.length_us == CELL_US {
                full(&self.open);
                self.open = Stretch::EMPTY;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn nothing_is_lost_or_counted_twice(
            steps in proptest::collection::vec((1_000i64..33_000, -2.0..2.0f64), 2..60),
        ) {
            let mut cells = Cells::new();
            let (mut turned, mut length_us, mut at) = (0.0, 0, 0);
            let (mut should, mut before) = (0.0, None);
            for (step, rate) in &steps {
                at += step;
                let sample = Sample {
                    at: HostTime::from_us(at),
                    accel_g: Vec3::new(0.0, 0.0, 1.0),
                    rate_radps: None,
                    temperature_c: None,
                };
                cells.take(&sample, Vec3::new(*rate, 0.0, 0.0), |cell| {
                    turned += cell.turned_rad.x();
                    length_us += cell.length_us;
                    assert!((cell.force_gs.z() - CELL_S).abs() < 1e-12);
                });
                if let Some(rate_before) = before {
                    should += 0.5 * (rate_before + rate) * *step as f64 * 1e-6;
                }
                before = Some(*rate);
            }
            let open = cells.open();
            prop_assert!((turned + open.turned_rad.x() - should).abs() < 1e-9);
            prop_assert_eq!(length_us + open.length_us, at - steps[0].0);
            prop_assert!(open.length_us < CELL_US);
        }
    }
}
