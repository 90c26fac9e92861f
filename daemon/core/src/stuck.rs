//! Does an axis of a chip hang?
//!
//! A chip that works shows noise: at rest the digits of an axis change from reading to reading. An
//! axis that was seen to do so and then says the very same number again and again does not measure
//! any more, or the whole chip hangs and its board repeats what it heard last. Such a number may be
//! right, and nothing says so.
//!
//! Nothing is asked of axes whose digits are too coarse for their noise, or that a board holds at
//! nought while it rests: they never were seen to change. Of those [`crate::live`] judges by what the
//! other half of the chip says.

use crate::reading::RawSample;
use crate::time::HostTime;

/// Readings at rest over which changes are counted.
const OF: f64 = 100.0;
/// Readings at rest before an axis can be called lively.
const LEAST_SEEN: u32 = 150;
/// Share of readings at rest that differ from the one before, from which on an axis is lively. Noise
/// that does so has a standard deviation of 0.9 digits at least; one digit then holds no more than
/// four readings of ten, and a run of [`RUN`] comes by chance once in 10¹⁰ readings.
const LIVELY: f64 = 0.7;
/// The very same number so often in a row, and for so long, is no noise.
const RUN: u32 = 25;
const RUN_US: i64 = 200_000;

/// Watches the six axes of one board.
#[derive(Debug, Clone, Default)]
pub struct StuckWatch {
    axes: [Axis; 6],
}

#[derive(Debug, Clone, Copy, Default)]
struct Axis {
    last: Option<(f64, HostTime)>,
    run: u32,
    changing: f64,
    seen: u32,
}

impl StuckWatch {
    /// Takes a reading as it was sent; tells the axis that hangs, 0 to 2 of the accelerometer and 3
    /// to 5 of the gyro, if one does.
    pub fn observe(&mut self, raw: &RawSample, rests: bool) -> Option<usize> {
        let (force, turn) = self.axes.split_at_mut(3);
        let mut stuck = None;
        for (number, (axis, value)) in force.iter_mut().zip(raw.accel_g.to_array()).enumerate() {
            if axis.hangs(value, raw.at, rests) {
                stuck = stuck.or(Some(number));
            }
        }
        let Some(rate) = raw.rate_radps else {
            turn.fill(Axis::default());
            return stuck;
        };
        for (number, (axis, value)) in (3..).zip(turn.iter_mut().zip(rate.to_array())) {
            if axis.hangs(value, raw.at, rests) {
                stuck = stuck.or(Some(number));
            }
        }
        stuck
    }

    /// An axis of the accelerometer that says the very same again and again, lively or not. A coarse one
    /// that is sound may do so: by itself it tells nothing.
    pub fn repeats(&self, now: HostTime) -> Option<usize> {
        self.axes[..3].iter().position(|axis| {
            let since = axis.last.map(|(_, since)| now.since_us(since));
            axis.run >= RUN && since >= Some(RUN_US)
        })
    }

    /// The board began anew: it may be set otherwise.
    pub fn forget(&mut self) {
        *self = Self::default();
    }
}

impl Axis {
    fn hangs(&mut self, value: f64, at: HostTime, rests: bool) -> bool {
        let Some((last, since)) = self.last else {
            self.last = Some((value, at));
            return false;
        };
        // Bit for bit: nearly the same is noise.
        if value.to_bits() != last.to_bits() {
            self.last = Some((value, at));
            self.run = 0;
            if rests {
                self.count(1.0);
            }
            return false;
        }
        self.run = self.run.saturating_add(1);
        let lively = self.seen >= LEAST_SEEN && self.changing >= LIVELY;
        // Boards that subtract the offset of a resting gyro say exactly nought.
        if lively && self.run >= RUN && at.since_us(since) >= RUN_US && value != 0.0 {
            return true;
        }
        if rests && self.run < RUN {
            self.count(0.0);
        }
        false
    }

    /// Takes a reading at rest into the share of those that changed.
    fn count(&mut self, changed: f64) {
        self.seen = self.seen.saturating_add(1);
        self.changing += (changed - self.changing) / OF.min(f64::from(self.seen));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Vec3;

    /// White noise of a standard deviation of about one, the same every time.
    fn noise(n: i64) -> f64 {
        let mixed = |bits: i64| {
            bits.wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407)
        };
        let mut bits = mixed(mixed(n));
        let sum: i64 = (0..12)
            .map(|_| {
                bits = mixed(bits);
                (bits >> 40) & 0xFFFF
            })
            .sum();
        // Twelve even draws less their mean have a variance of one.
        sum as f64 / 65_536.0 - 6.0
    }

    const LSB: f64 = 1e-4;

    /// What is told of readings at 100 Hz, whose noise is so many digits about `level` digits;
    /// `held` says which readings hang on an axis.
    fn told(
        sigma: f64,
        level: f64,
        readings: i64,
        held: impl Fn(usize, i64) -> bool,
    ) -> Vec<Option<usize>> {
        let mut watch = StuckWatch::default();
        let mut said = [0.0; 6];
        (0..readings)
            .map(|n| {
                for (axis, value) in said.iter_mut().enumerate() {
                    if n == 0 || !held(axis, n) {
                        let draw = noise(n * 6 + i64::try_from(axis).unwrap());
                        *value = (level + sigma * draw).round() * LSB;
                    }
                }
                let raw = RawSample {
                    at: HostTime::from_us(n * 10_000),
                    accel_g: Vec3::from_array([said[0], said[1], said[2]]),
                    rate_radps: Some(Vec3::from_array([said[3], said[4], said[5]])),
                    temperature_c: None,
                };
                watch.observe(&raw, true)
            })
            .collect()
    }

    #[test]
    fn an_axis_that_hangs_is_told_within_a_third_of_a_second_and_only_while_it_does() {
        for axis in 0..6 {
            let told = told(5.0, 300.4, 1000, |of, n| {
                of == axis && (500..700).contains(&n)
            });
            assert!(told[..520].iter().all(Option::is_none), "axis {axis}");
            let during = &told[530..700];
            assert!(
                during.iter().all(|stuck| *stuck == Some(axis)),
                "axis {axis}"
            );
            assert!(told[705..].iter().all(Option::is_none), "axis {axis}");
        }
    }

    #[test]
    fn nothing_is_told_of_sound_axes_however_coarse_their_digits() {
        for sigma in [0.0, 0.05, 0.1, 0.2, 0.3, 0.5, 0.8, 0.9, 1.0, 2.0, 10.0] {
            for level in [300.0, 300.25, 300.5] {
                let told = told(sigma, level, 100_000, |_, _| false);
                assert!(told.iter().all(Option::is_none), "{sigma} digits of noise");
            }
        }
    }

    #[test]
    fn what_lies_still_from_the_first_reading_on_is_not_told() {
        let told = told(5.0, 300.4, 1000, |axis, _| axis == 2);
        assert!(told.iter().all(Option::is_none));
    }
}
