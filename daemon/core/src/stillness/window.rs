//! The readings that are judged, with sums along them.
//!
//! Each reading is kept with the sums of all up to it, so that mean and scatter of any stretch of the
//! window are the difference of two sums: what a judgement costs does not grow with the rate of the
//! board. The sums are of differences from a reading of the window itself, and are made anew every
//! few windows; what rounding leaves in a scatter is a hundred thousandth of any chip's noise then.

use std::collections::VecDeque;

use crate::frames::{Board, Vec3};
use crate::reading::Sample;
use crate::time::HostTime;

/// Sums are made anew after so many windows.
const ANEW_AFTER_WINDOWS: usize = 4;
/// And not more often than after so many readings.
const ANEW_AFTER_AT_LEAST: usize = 256;

/// Mean and scatter of a stretch of readings.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stretch {
    pub(super) accel_g: Vec3<Board>,
    /// Standard deviation per axis, g.
    pub(super) accel_scatter_g: f64,
    /// The same of the rate, rad/s; none where a reading has none.
    pub(super) rate_radps: Option<(Vec3<Board>, f64)>,
    pub(super) count: usize,
}

/// Sums over readings, of their differences from the origin.
#[derive(Debug, Clone, Copy)]
struct Sums {
    accel: Vec3<Board>,
    accel_square: f64,
    rate: Vec3<Board>,
    rate_square: f64,
    with_rate: usize,
}

impl Default for Sums {
    fn default() -> Self {
        Self {
            accel: Vec3::zero(),
            accel_square: 0.0,
            rate: Vec3::zero(),
            rate_square: 0.0,
            with_rate: 0,
        }
    }
}

/// Where sums are taken from.
#[derive(Debug, Clone, Copy)]
struct Origin {
    accel_g: Vec3<Board>,
    rate_radps: Vec3<Board>,
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    sample: Sample,
    /// Of all readings up to this one.
    sums: Sums,
}

/// Readings, oldest first.
#[derive(Debug, Clone)]
pub(super) struct Window {
    entries: VecDeque<Entry>,
    /// Sums of the readings that went.
    gone: Sums,
    origin: Origin,
    since_anew: usize,
}

impl Default for Window {
    fn default() -> Self {
        Self {
            entries: VecDeque::new(),
            gone: Sums::default(),
            origin: Origin {
                accel_g: Vec3::zero(),
                rate_radps: Vec3::zero(),
            },
            since_anew: 0,
        }
    }
}

impl Window {
    pub(super) fn len(&self) -> usize {
        self.entries.len()
    }

    pub(super) fn first_at(&self) -> Option<HostTime> {
        self.entries.front().map(|entry| entry.sample.at)
    }

    pub(super) fn last_at(&self) -> Option<HostTime> {
        self.entries.back().map(|entry| entry.sample.at)
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = &Sample> {
        self.entries.iter().map(|entry| &entry.sample)
    }

    pub(super) fn clear(&mut self) {
        self.entries.clear();
    }

    pub(super) fn push(&mut self, sample: &Sample) {
        let often = (ANEW_AFTER_WINDOWS * self.entries.len()).max(ANEW_AFTER_AT_LEAST);
        if self.entries.is_empty() || self.since_anew >= often {
            self.begin_at(sample);
        }
        self.since_anew += 1;
        let before = self.entries.back().map_or(self.gone, |entry| entry.sums);
        self.entries.push_back(Entry {
            sample: *sample,
            sums: before.with(sample, &self.origin),
        });
    }

    pub(super) fn drop_first(&mut self) {
        if let Some(gone) = self.entries.pop_front() {
            self.gone = gone.sums;
        }
    }

    /// Takes all sums anew from the window's own newest reading.
    fn begin_at(&mut self, newest: &Sample) {
        self.origin = Origin {
            accel_g: newest.accel_g,
            rate_radps: newest.rate_radps.unwrap_or(Vec3::zero()),
        };
        self.gone = Sums::default();
        self.since_anew = 0;
        let mut sums = self.gone;
        for entry in &mut self.entries {
            sums = sums.with(&entry.sample, &self.origin);
            entry.sums = sums;
        }
    }

    /// Readings `from..to`.
    pub(super) fn stretch(&self, from: usize, to: usize) -> Stretch {
        let until = |place: usize| {
            let last = place.checked_sub(1).and_then(|last| self.entries.get(last));
            last.map_or(self.gone, |entry| entry.sums)
        };
        let (before, after) = (until(from), until(to));
        let count = to.saturating_sub(from);
        let with_rate = after.with_rate - before.with_rate;
        let (accel, accel_scatter_g) = mean_and_scatter(
            after.accel - before.accel,
            after.accel_square - before.accel_square,
            count,
        );
        Stretch {
            accel_g: self.origin.accel_g + accel,
            accel_scatter_g,
            // A board whose gyro drops out within the window is judged without it.
            rate_radps: (with_rate == count && count > 0).then(|| {
                let (rate, scatter) = mean_and_scatter(
                    after.rate - before.rate,
                    after.rate_square - before.rate_square,
                    with_rate,
                );
                (self.origin.rate_radps + rate, scatter)
            }),
            count,
        }
    }

    pub(super) fn all(&self) -> Stretch {
        self.stretch(0, self.len())
    }
}

impl Sums {
    fn with(mut self, sample: &Sample, origin: &Origin) -> Self {
        let accel = sample.accel_g - origin.accel_g;
        self.accel = self.accel + accel;
        self.accel_square += accel.dot(&accel);
        if let Some(rate) = sample.rate_radps {
            let rate = rate - origin.rate_radps;
            self.rate = self.rate + rate;
            self.rate_square += rate.dot(&rate);
            self.with_rate += 1;
        }
        self
    }
}

/// Mean, and standard deviation per axis: the squares hold three axes.
fn mean_and_scatter(sum: Vec3<Board>, square: f64, count: usize) -> (Vec3<Board>, f64) {
    let share = 1.0 / count.max(1) as f64;
    let about_mean = square - sum.dot(&sum) * share;
    let freedom = (3 * count.saturating_sub(1).max(1)) as f64;
    // Rounding may leave a little less than nothing of readings that are all the same.
    (sum * share, (about_mean.max(0.0) / freedom).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sample(number: usize, accel: [f64; 3], rate: Option<[f64; 3]>) -> Sample {
        Sample {
            at: HostTime::from_us(i64::try_from(number).unwrap() * 1000),
            accel_g: Vec3::from_array(accel),
            rate_radps: rate.map(Vec3::from_array),
            temperature_c: None,
        }
    }

    /// Mean and scatter worked out in two passes, as handbooks do.
    fn in_two_passes(values: &[Vec3<Board>]) -> (Vec3<Board>, f64) {
        let n = values.len() as f64;
        let sum = values.iter().fold(Vec3::zero(), |sum, value| sum + *value);
        let mean = sum * (1.0 / n);
        let square: f64 = values.iter().map(|v| (*v - mean).dot(&(*v - mean))).sum();
        (mean, (square / (3.0 * (n - 1.0).max(1.0))).sqrt())
    }

    proptest! {
        /// Also long after the board was thrown about, and after any number of readings.
        #[test]
        fn sums_say_what_two_passes_say(
            length in 8usize..300,
            many in 8usize..2500,
            noise in 1e-6..1e-2f64,
            thrown in 0.0..16.0f64,
            percents in (0usize..100, 0usize..100),
        ) {
            let mut window = Window::default();
            let mut kept: Vec<Sample> = Vec::new();
            for n in 0..many {
                let mixed = ((n * 7919) % 1000) as f64 / 500.0 - 1.0;
                let far = if n < many / 2 { thrown * (n as f64).sin() } else { 0.0 };
                let taken = sample(
                    n,
                    [noise * mixed + far, 0.3 - noise * mixed, 0.9],
                    Some([0.3 + noise * mixed + far, far, noise * mixed]),
                );
                window.push(&taken);
                kept.push(taken);
                if window.len() > length {
                    window.drop_first();
                    kept.remove(0);
                }
            }
            let place = |percent: usize| percent * window.len() / 100;
            let (from, to) = (place(percents.0.min(percents.1)), place(percents.0.max(percents.1)) + 1);
            let to = to.min(window.len());
            let stretch = window.stretch(from, to);
            let accel: Vec<_> = kept[from..to].iter().map(|s| s.accel_g).collect();
            let rate: Vec<_> = kept[from..to].iter().map(|s| s.rate_radps.unwrap()).collect();
            let (mean, scatter) = in_two_passes(&accel);
            prop_assert_eq!(stretch.count, accel.len());
            prop_assert!((stretch.accel_g - mean).norm() < 1e-12);
            prop_assert!((stretch.accel_scatter_g - scatter).abs() < 1e-6);
            let (mean, scatter) = in_two_passes(&rate);
            let (found, found_scatter) = stretch.rate_radps.unwrap();
            prop_assert!((found - mean).norm() < 1e-12);
            prop_assert!((found_scatter - scatter).abs() < 1e-6);
        }
    }

    #[test]
    fn readings_that_are_all_the_same_scatter_by_nothing() {
        let mut window = Window::default();
        for n in 0..1000 {
            window.push(&sample(n, [0.1, -0.2, 0.97], None));
            if n > 50 {
                window.drop_first();
            }
        }
        let all = window.all();
        assert_eq!(all.accel_scatter_g, 0.0);
        assert_eq!(all.accel_g.to_array(), [0.1, -0.2, 0.97]);
        assert!(all.rate_radps.is_none());
    }
}
