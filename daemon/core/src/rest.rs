//! What a hub showed while it rested.
//!
//! The mean of the specific force over a rest is the direction of gravity with
//! the noise of the mean, taken from batch means so that a vibration that is
//! not white is not counted as white, and never smaller than the chip's noise
//! density allows: density / √(2 T).

use std::collections::VecDeque;

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Vec3};
use crate::reading::Sample;
use crate::time::HostTime;

/// Readings this young are not counted yet: the stillness window notices the
/// start of a motion that late.
pub const HOLD_BACK_US: i64 = 600_000;
/// Length of a batch.
const BATCH_US: i64 = 250_000;
/// Bound on held-back readings, for boards of up to 4 kHz.
const HELD_BACK_LEN: usize = 2_500;

/// The mean over a rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestMeasure {
    /// First reading counted.
    pub from: HostTime,
    /// Last reading counted.
    pub to: HostTime,
    /// Readings counted.
    pub count: usize,
    /// Mean specific force, g.
    pub accel_g: Vec3<Board>,
    /// Standard uncertainty of the direction of that mean by noise, about each square axis.
    pub direction_noise: Angle,
    /// Degrees of freedom of that uncertainty: infinite where the chip's noise
    /// density gives it, few where the scatter of the rest itself does.
    pub degrees_of_freedom: f64,
    /// Mean rate, rad/s: the gyro's rest offset.
    pub rate_radps: Option<Vec3<Board>>,
}

impl RestMeasure {
    /// Seconds counted.
    pub fn seconds(&self) -> f64 {
        self.to.since_s(self.from)
    }
}

/// Collects the readings of one rest.
#[derive(Debug, Clone)]
pub struct RestTally {
    held_back: VecDeque<Sample>,
    from: Option<HostTime>,
    to: HostTime,
    count: usize,
    accel_sum: Vec3<Board>,
    rate_sum: Option<Vec3<Board>>,
    batch_start: HostTime,
    batch_sum: Vec3<Board>,
    batch_count: usize,
    batches: usize,
    batch_mean_sum: Vec3<Board>,
    batch_square_sum: f64,
}

impl RestTally {
    /// An empty tally.
    pub fn new() -> Self {
        Self {
            held_back: VecDeque::new(),
            from: None,
            to: HostTime::default(),
            count: 0,
            accel_sum: Vec3::zero(),
            rate_sum: Some(Vec3::zero()),
            batch_start: HostTime::default(),
            batch_sum: Vec3::zero(),
            batch_count: 0,
            batches: 0,
            batch_mean_sum: Vec3::zero(),
            batch_square_sum: 0.0,
        }
    }

    /// Adds a reading of the rest.
    pub fn add(&mut self, sample: &Sample) {
        self.held_back.push_back(*sample);
        while self.held_back.len() > HELD_BACK_LEN
            || self
                .held_back
                .front()
                .is_some_and(|s| sample.at.since_us(s.at) > HOLD_BACK_US)
        {
            let Some(ripe) = self.held_back.pop_front() else {
                break;
            };
            self.count_in(&ripe);
        }
    }

    /// Counts what is held back too: somebody else knows that the rest lasted
    /// to its last reading.
    pub fn count_all(&mut self) {
        while let Some(ripe) = self.held_back.pop_front() {
            self.count_in(&ripe);
        }
    }

    /// Length of what is counted so far, µs.
    pub fn held_us(&self) -> i64 {
        self.from.map_or(0, |from| self.to.since_us(from))
    }

    /// The mean so far; what is still held back is left out.
    pub fn measure(&self, chip: &ChipFigures) -> Option<RestMeasure> {
        let from = self.from?;
        let seconds = self.to.since_s(from);
        if self.count < 2 || seconds <= 0.0 {
            return None;
        }
        let n = self.count as f64;
        let by_density = chip.accel_noise_g_rthz / (2.0 * seconds).sqrt();
        // A mean over dithered steps is finer than a step, but not without end.
        let by_step = chip.accel_step_g / (12.0 * n).sqrt();
        let by_batches = self.batch_uncertainty_g().unwrap_or(0.0);
        let by_chip = by_density.hypot(by_step);
        let degrees_of_freedom = if by_batches > by_chip {
            // Three axes, each less its mean.
            3.0 * (self.batches as f64 - 1.0)
        } else {
            f64::INFINITY
        };
        Some(RestMeasure {
            from,
            to: self.to,
            count: self.count,
            accel_g: self.accel_sum * (1.0 / n),
            direction_noise: Angle::from_rad(by_batches.max(by_chip)),
            degrees_of_freedom,
            rate_radps: self.rate_sum.map(|sum| sum * (1.0 / n)),
        })
    }

    fn count_in(&mut self, sample: &Sample) {
        if self.from.is_none() {
            self.from = Some(sample.at);
            self.batch_start = sample.at;
        }
        self.to = sample.at;
        self.count += 1;
        self.accel_sum = self.accel_sum + sample.accel_g;
        self.rate_sum = self
            .rate_sum
            .zip(sample.rate_radps)
            .map(|(sum, rate)| sum + rate);
        self.batch_sum = self.batch_sum + sample.accel_g;
        self.batch_count += 1;
        if sample.at.since_us(self.batch_start) >= BATCH_US {
            let mean = self.batch_sum * (1.0 / self.batch_count as f64);
            self.batches += 1;
            self.batch_mean_sum = self.batch_mean_sum + mean;
            self.batch_square_sum += mean.dot(&mean);
            self.batch_start = sample.at;
            self.batch_sum = Vec3::zero();
            self.batch_count = 0;
        }
    }

    /// Standard uncertainty of the mean from the scatter of the batch means,
    /// per axis; none below four batches.
    fn batch_uncertainty_g(&self) -> Option<f64> {
        if self.batches < 4 {
            return None;
        }
        let n = self.batches as f64;
        let mean = self.batch_mean_sum * (1.0 / n);
        let square = (self.batch_square_sum - n * mean.dot(&mean)).max(0.0);
        Some((square / (3.0 * (n - 1.0) * n)).sqrt())
    }
}

impl Default for RestTally {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(samples: impl Iterator<Item = (i64, f64)>) -> RestTally {
        let mut tally = RestTally::new();
        for (us, x) in samples {
            tally.add(&Sample {
                at: HostTime::from_us(us),
                accel_g: Vec3::new(x, 0.0, 1.0),
                rate_radps: None,
                temperature_c: None,
            });
        }
        tally
    }

    #[test]
    fn the_last_readings_before_a_motion_are_not_counted() {
        // 2 s of rest, then 0.5 s in which the motion was not noticed yet.
        let rest = tally((0..250).map(|i| (i * 10_000, if i < 200 { 0.0 } else { 0.5 })));
        let measure = rest.measure(&ChipFigures::IDEAL).unwrap();
        assert_eq!(measure.accel_g, Vec3::new(0.0, 0.0, 1.0));
        assert!(measure.to <= HostTime::from_us(1_990_000), "{measure:?}");
        assert!(
            (rest.held_us() - 1_890_000).abs() <= 10_000,
            "{}",
            rest.held_us()
        );
    }

    #[test]
    fn uncertainty_is_the_noise_density_at_least() {
        let quiet = tally((0..1000).map(|i| (i * 10_000, 0.0)))
            .measure(&ChipFigures::CHEAP)
            .unwrap();
        let expected = 400e-6 / (2.0 * quiet.seconds()).sqrt();
        assert!(
            (quiet.direction_noise.rad() - expected).abs() < 0.05 * expected,
            "{quiet:?}"
        );
    }

    #[test]
    fn slow_wander_is_not_averaged_away_as_if_it_were_white() {
        // A 0.5 Hz wander of 1 mg: white-noise thinking would divide by √1000.
        let wander = |i: i64| 1e-3 * (i as f64 * 0.01 * std::f64::consts::PI).sin();
        let slow = tally((0..1000).map(|i| (i * 10_000, wander(i))))
            .measure(&ChipFigures::IDEAL)
            .unwrap();
        let as_if_white = 1e-3 / 2f64.sqrt() / 1000f64.sqrt() / 3f64.sqrt();
        assert!(slow.direction_noise.rad() > 3.0 * as_if_white, "{slow:?}");
    }
}
