//! One way a board lay still, and what the poses say besides gravity.

use crate::frames::{Board, Dir, Vec3};
use crate::rest::RestMeasure;

/// What a board read while it lay still in one position. [`super::fit_poses`] takes
/// readings as they come, [`super::Reversal`] those that the calibration in force left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Mean specific force, g.
    pub accel_g: Vec3<Board>,
    /// Standard uncertainty of that mean by noise, g, per axis.
    pub noise_g: f64,
    /// Mean rate, rad/s; none on a board without gyro.
    pub rate_radps: Option<Vec3<Board>>,
    /// How long the mean is, s.
    pub seconds: f64,
    /// Mean chip temperature, °C.
    pub temperature_c: Option<f64>,
}

impl Pose {
    /// The pose of a rest.
    pub fn from_rest(rest: &RestMeasure, temperature_c: Option<f64>) -> Self {
        Self {
            accel_g: rest.accel_g,
            // The turn of a vector of one gravity, in rad, is its change across in g.
            noise_g: rest.direction_noise.rad(),
            rate_radps: rest.rate_radps,
            seconds: rest.seconds(),
            temperature_c,
        }
    }

    /// Where up was; none for a reading of no force at all.
    pub fn up(&self) -> Option<Dir<Board>> {
        Dir::along(self.accel_g)
    }

    pub(super) fn is_finite(&self) -> bool {
        self.accel_g.is_finite()
            && self.noise_g.is_finite()
            && self.noise_g >= 0.0
            && self.seconds.is_finite()
            && self.seconds >= 0.0
            && self.rate_radps.is_none_or(|rate| rate.is_finite())
            && self.temperature_c.is_none_or(f64::is_finite)
    }
}

/// The gyro's rest offset over the poses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GyroRest {
    /// Mean over the poses, each weighted by its length, rad/s.
    pub offset_radps: Vec3<Board>,
    /// Standard uncertainty of the mean per axis, rad/s, by the scatter.
    pub standard_radps: Vec3<Board>,
    /// How far single poses scatter about the mean, per axis, rad/s: warming,
    /// drift, and the rate that gravity itself makes the gyro read.
    pub scatter_radps: Vec3<Board>,
}

impl GyroRest {
    /// Over the poses; none unless two of them have a rate and a length.
    pub fn over(poses: &[Pose]) -> Option<Self> {
        let rates = || {
            poses
                .iter()
                .filter(|pose| pose.seconds > 0.0)
                .filter_map(|pose| Some((pose.seconds, pose.rate_radps?)))
        };
        if rates().count() < 2 {
            return None;
        }
        let weights: f64 = rates().map(|(weight, _)| weight).sum();
        let squared: f64 = rates().map(|(weight, _)| weight * weight).sum();
        let axis = |component: fn(&Vec3<Board>) -> f64| {
            let mean = rates().map(|(w, rate)| w * component(&rate)).sum::<f64>() / weights;
            let square: f64 = rates()
                .map(|(w, rate)| w * (component(&rate) - mean).powi(2))
                .sum();
            let variance = square / (weights - squared / weights);
            [mean, (variance * squared).sqrt() / weights, variance.sqrt()]
        };
        let [x, y, z] = [axis(Vec3::x), axis(Vec3::y), axis(Vec3::z)];
        let of = |which: usize| Vec3::new(x[which], y[which], z[which]);
        Some(Self {
            offset_radps: of(0),
            standard_radps: of(1),
            scatter_radps: of(2),
        })
    }
}

/// Temperature over the poses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Warmth {
    /// Mean, °C: the temperature the calibration holds at.
    pub mean_c: f64,
    /// Warmest pose less coldest, °C.
    pub span_c: f64,
}

impl Warmth {
    /// Over the poses; none unless all of them have a temperature.
    pub fn over(poses: &[Pose]) -> Option<Self> {
        let all: Option<Vec<f64>> = poses.iter().map(|pose| pose.temperature_c).collect();
        let all = all.filter(|all| !all.is_empty())?;
        let coldest = all.iter().copied().fold(f64::INFINITY, f64::min);
        let warmest = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        Some(Self {
            mean_c: all.iter().sum::<f64>() / all.len() as f64,
            span_c: warmest - coldest,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pose(seconds: f64, rate_z_radps: Option<f64>, temperature_c: Option<f64>) -> Pose {
        Pose {
            accel_g: Vec3::new(0.0, 0.0, 1.0),
            noise_g: 1e-4,
            rate_radps: rate_z_radps.map(|z| Vec3::new(0.01, 0.0, z)),
            seconds,
            temperature_c,
        }
    }

    #[test]
    fn rates_are_weighted_by_length() {
        let poses = [
            pose(5.0, Some(0.02), None),
            pose(5.0, Some(0.04), None),
            pose(10.0, Some(0.04), None),
        ];
        let rest = GyroRest::over(&poses).unwrap();
        assert!((rest.offset_radps - Vec3::new(0.01, 0.0, 0.035)).norm() < 1e-15);
        // Σw(x−m)² = 5·2.25e-4 + 15·0.25e-4 = 1.5e-3; Σw − Σw²/Σw = 20 − 7.5; Σw²/(Σw)² = 0.375.
        let variance: f64 = 1.5e-3 / 12.5;
        assert!((rest.scatter_radps.z() - variance.sqrt()).abs() < 1e-15);
        assert!((rest.standard_radps.z() - (variance * 0.375).sqrt()).abs() < 1e-15);
        assert_eq!(rest.scatter_radps.x(), 0.0);
    }

    #[test]
    fn one_pose_has_no_scatter_and_no_gyro_has_no_rest() {
        let one = [pose(5.0, Some(0.02), None), pose(5.0, None, None)];
        assert_eq!(GyroRest::over(&one), None);
        assert_eq!(GyroRest::over(&[]), None);
    }

    #[test]
    fn warmth_needs_every_temperature() {
        let warm = [20.0, 26.0, 23.0].map(|c| pose(5.0, None, Some(c)));
        assert_eq!(
            Warmth::over(&warm),
            Some(Warmth {
                mean_c: 23.0,
                span_c: 6.0
            })
        );
        assert_eq!(Warmth::over(&[warm[0], pose(5.0, None, None)]), None);
        assert_eq!(Warmth::over(&[]), None);
    }
}
