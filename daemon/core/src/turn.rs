//! The rotation of a board between two rests, from its gyro.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Rot, Vec3};
use crate::rest::RestMeasure;
use crate::time::HostTime;

/// Board axes at the last rate → board axes at the first one, by the trapezoid
/// between rates (rad/s) less the offset.
pub(crate) fn integrate(
    rates: impl Iterator<Item = (HostTime, Vec3<Board>)>,
    offset: Vec3<Board>,
) -> Rot<Board, Board> {
    let mut turn = Rot::identity();
    let mut before: Option<(HostTime, Vec3<Board>)> = None;
    for (at, rate) in rates {
        if let Some((then, rate_then)) = before {
            let mean = (rate_then + rate) * 0.5 - offset;
            let step: Rot<Board, Board> = Rot::by_vector(&(mean * at.since_s(then)));
            // Board now → board before, then on to the first.
            turn = step.then(&turn);
        }
        before = Some((at, rate));
    }
    turn
}

/// Noise per axis of the rotation between two rests: what the gyro's noise
/// walks over that time, and what the offset taken at both is uncertain by.
pub(crate) fn noise(before: &RestMeasure, after: &RestMeasure, chip: &ChipFigures) -> Angle {
    let offset = |rest: &RestMeasure| offset_noise_radps(rest.seconds(), chip);
    let offset = 0.5 * offset(before).hypot(offset(after));
    noise_over(after.from.since_s(before.to).max(0.0), offset, chip)
}

/// The same for a time and an offset of known uncertainty.
pub(crate) fn noise_over(seconds: f64, offset_radps: f64, chip: &ChipFigures) -> Angle {
    let walk = chip.gyro_noise_radps_rthz * (seconds / 2.0).sqrt();
    Angle::from_rad(walk.hypot(seconds * offset_radps.hypot(chip.gyro_drift_radps)))
}

/// Uncertainty of the rest offset taken over so many seconds, by noise, rad/s.
pub(crate) fn offset_noise_radps(seconds: f64, chip: &ChipFigures) -> f64 {
    chip.gyro_noise_radps_rthz / (2.0 * seconds.max(0.1)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_at_a_changing_rate_is_its_integral() {
        // 40° about a slanted axis in 2 s, minimum jerk, with an offset on top.
        let axis = Vec3::new(0.6, 0.0, 0.8);
        let offset = Vec3::new(0.02, -0.1, 0.3);
        let total = 40f64.to_radians();
        let rate = |t: f64| {
            let u = t / 2.0;
            total * 30.0 * u * u * (1.0 - u) * (1.0 - u) / 2.0
        };
        let rates = (0..=200).map(|i| {
            let t = f64::from(i) * 0.01;
            (
                HostTime::from_us(i64::from(i) * 10_000),
                axis * rate(t) + offset,
            )
        });
        let found = integrate(rates, offset).to_vector();
        assert!((found - axis * total).norm() < 1e-6, "{found:?}");
    }
}
