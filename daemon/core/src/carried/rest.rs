//! What the block showed while it was held against a wheel.
//!
//! A hand that presses trembles. The mean of the rate over a window is the angle
//! at its end less that at its begin, over its length, so a tremble of 0.01°
//! would be 0.005 °/s of offset over two seconds: as much as a poor gyro's
//! drift. So the readings at both ends of the window count less (raised cosine
//! over [`FLANK_S`]); three periods of a 10 Hz tremble fall into a flank and
//! leave hardly anything of it.

use nalgebra::Vector3;

use super::refusal::LeftOut;
use super::{CarriedSetup, Place};
use crate::reading::Sample;
use crate::time::HostTime;

/// Over this time the weight of the readings rises and falls, s.
const FLANK_S: f64 = 0.3;
/// Half windows whose mean rates differ by more than this and what noise explains: it crept.
const CREEP_RADPS: f64 = 0.05 * std::f64::consts::PI / 180.0;
const SIGMAS: f64 = 5.0;
/// Fewest readings.
const LEAST: usize = 16;

/// One rest.
#[derive(Debug, Clone, PartialEq)]
pub struct RestSeen {
    /// Begin of the window.
    pub from: HostTime,
    /// Its end.
    pub to: HostTime,
    /// Where.
    pub place: Place,
    /// Whether the block is turned end for end.
    pub turned: bool,
    /// Mean force, g.
    pub force_g: Vector3<f64>,
    /// Mean rate, rad/s: the offset, with the Earth's rotation in it.
    pub rate_radps: Vector3<f64>,
    /// Variance of that mean by the gyro's noise, per axis, (rad/s)².
    pub rate_variance: f64,
    /// Standard uncertainty of the force by noise, per axis, g.
    pub force_standard_g: f64,
}

impl RestSeen {
    /// Of the readings within a window; none if there are too few or none with a rate.
    pub fn of(
        samples: &[Sample],
        (from, to): (HostTime, HostTime),
        (place, turned): (Place, bool),
        setup: &CarriedSetup,
    ) -> Option<Result<Self, LeftOut>> {
        let within = |s: &&Sample| s.at >= from && s.at <= to;
        let (mut weights, mut squares, mut count) = (0.0, 0.0, 0.0);
        let (mut force, mut rate) = (Vector3::zeros(), Vector3::zeros());
        let mut halves = [(0.0, Vector3::zeros()); 2];
        let seconds = to.since_s(from);
        for sample in samples.iter().filter(within) {
            let read = Vector3::from(sample.rate_radps?.to_array());
            let at_s = sample.at.since_s(from);
            let weight = flank(at_s) * flank(seconds - at_s);
            weights += weight;
            squares += weight * weight;
            count += 1.0;
            force += Vector3::from(sample.accel_g.to_array());
            rate += read * weight;
            // Each half has flanks of its own.
            let half = usize::from(at_s > 0.5 * seconds);
            let middle = flank((at_s - 0.5 * seconds).abs());
            halves[half].0 += weight * middle;
            halves[half].1 += read * (weight * middle);
        }
        if count < LEAST as f64 || weights <= 0.0 || halves.iter().any(|(w, _)| *w <= 0.0) {
            return None;
        }
        let chip = &setup.chip;
        // White noise of one-sided density n: a mean over T scatters by n/√(2T).
        let effective_s = seconds * weights * weights / (squares * count);
        let rate_variance = chip.gyro_noise_radps_rthz.powi(2) / (2.0 * effective_s);
        let creep = (halves[1].1 / halves[1].0 - halves[0].1 / halves[0].0).norm();
        let limit = CREEP_RADPS + SIGMAS * (2.0 * rate_variance).sqrt() * 3f64.sqrt();
        if creep > limit {
            return Some(Err(LeftOut::RestNotStill {
                found_dps: creep.to_degrees(),
                limit_dps: limit.to_degrees(),
            }));
        }
        Some(Ok(Self {
            from,
            to,
            place,
            turned,
            force_g: force / count,
            rate_radps: rate / weights,
            rate_variance,
            force_standard_g: (chip.accel_noise_g_rthz / (2.0 * seconds).sqrt())
                .hypot(chip.accel_step_g / (12.0 * count).sqrt()),
        }))
    }

    /// Lean of the board's left against the level, rad: the wheel's camber with the lean of the face.
    pub fn lean_rad(&self, setup: &CarriedSetup) -> f64 {
        let left = Vector3::from(setup.to_left.vec().to_array());
        (self.force_g.dot(&left) / self.force_g.norm())
            .clamp(-1.0, 1.0)
            .asin()
    }
}

/// Rises from 0 to 1 over [`FLANK_S`].
fn flank(since_s: f64) -> f64 {
    let x = (since_s / FLANK_S).clamp(0.0, 1.0);
    0.5 - 0.5 * (std::f64::consts::PI * x).cos()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::angle::Angle;
    use crate::chip::ChipFigures;
    use crate::floor::FloorSlope;
    use crate::frames::{Dir, Vec3};

    fn setup() -> CarriedSetup {
        let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
        CarriedSetup::usual(ChipFigures::GOOD, Dir::y_axis(), floor)
    }

    /// Two seconds at 200 Hz of a rate about the vertical, °/s by s.
    fn seen(rate_dps: impl Fn(f64) -> f64, count: usize) -> Option<Result<RestSeen, LeftOut>> {
        let samples: Vec<Sample> = (0..count)
            .map(|i| {
                let t = i as f64 / 200.0;
                let rate = [0.0, 0.0, rate_dps(t).to_radians()];
                Sample {
                    at: HostTime::from_us(5000 * i64::try_from(i).unwrap()),
                    accel_g: Vec3::from_array([0.0, 0.02, 1.0]),
                    rate_radps: Some(Vec3::from_array(rate)),
                    temperature_c: None,
                }
            })
            .collect();
        let window = (HostTime::from_us(0), HostTime::from_us(2_000_000));
        RestSeen::of(&samples, window, (Place::FrontLeft, false), &setup())
    }

    #[test]
    fn a_tremble_leaves_the_offset_as_it_is() {
        for hz in [8.0, 9.3, 10.7, 12.0] {
            // 0.3 °/s of tremble, as of a hand that presses.
            let tremble = |t: f64| 0.1 + 0.42 * (std::f64::consts::TAU * hz * t + 0.7).sin();
            let rest = seen(tremble, 401).unwrap().unwrap();
            let off_dps = rest.rate_radps.z.to_degrees() - 0.1;
            assert!(off_dps.abs() < 5e-4, "{hz} Hz: {off_dps}");
        }
    }

    #[test]
    fn what_creeps_is_no_rest_and_what_was_not_read_none_at_all() {
        let crept = seen(|t| if t < 1.0 { 0.0 } else { 0.2 }, 401).unwrap();
        assert!(
            matches!(crept, Err(LeftOut::RestNotStill { .. })),
            "{crept:?}"
        );
        assert!(seen(|_| 0.0, 401).unwrap().is_ok());
        assert!(seen(|_| 0.0, 10).is_none());
    }

    #[test]
    fn noise_of_a_longer_rest_counts_less_and_the_lean_is_told() {
        let rest = seen(|_| 0.0, 401).unwrap().unwrap();
        // A mean over T scatters by n/√(2T); the flanks leave four fifths of two seconds or so.
        let plain = setup().chip.gyro_noise_radps_rthz.powi(2) / 4.0;
        let ratio = rest.rate_variance / plain;
        assert!((1.0..1.4).contains(&ratio), "{ratio}");
        let lean = rest.lean_rad(&setup());
        assert!((lean - 0.02).abs() < 1e-5, "{lean}");
    }
}
