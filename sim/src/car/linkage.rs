//! How the steering linkage shares a steer angle between the two front wheels.

use super::names::Side;
use crate::jet::Jet;

/// Law by which the inner wheel of a turn is steered further than the outer one.
///
/// Both laws keep the mean of the two plan-view angles equal to the demanded angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Linkage {
    /// Both wheels turn alike.
    Parallel,
    /// A share of the difference that would make both wheels roll about one point.
    ///
    /// At the demanded mean angle d the ideal angles are `cot δ = cot d ∓ t/(2 l)` (inner, outer),
    /// t being the distance of the steering axes on the ground and l the wheelbase; the wheels
    /// take `fraction` of the difference between them. 1 is full Ackermann, 0 is parallel.
    Ackermann {
        /// Share of the ideal difference.
        fraction: f64,
        /// t / (2 l).
        half_ratio: f64,
    },
    /// The difference grows with the square of the angle: `d (1 ± e/2 · |d|/20°)`, + for the inner wheel.
    Progressive {
        /// e: difference over mean angle at 20°.
        spread_at_20: f64,
    },
}

const TWENTY_DEG_RAD: f64 = 20.0 * std::f64::consts::PI / 180.0;

impl Linkage {
    /// Plan-view steer angle of one wheel (rad, + left) for the mean angle of the axle.
    pub fn wheel_angle(self, side: Side, mean: Jet) -> Jet {
        let s = side.sign();
        match self {
            Self::Parallel => mean,
            Self::Ackermann {
                fraction,
                half_ratio,
            } => {
                let spread = rolling_angle(mean, half_ratio) - rolling_angle(mean, -half_ratio);
                mean + spread * (0.5 * s * fraction)
            }
            Self::Progressive { spread_at_20 } => {
                let d = mean.value;
                let k = 0.5 * s * spread_at_20 / TWENTY_DEG_RAD;
                mean.through(d + k * d * d, 1.0 + 2.0 * k * d, 2.0 * k)
            }
        }
    }
}

/// Steer angle δ with `cot δ = cot d − k`, d being the angle at mid-axle.
fn rolling_angle(d: Jet, k: f64) -> Jet {
    let (s, c) = d.value.sin_cos();
    let x = c - k * s;
    let square = x * x + s * s;
    let square_rate = 2.0 * (x * (-s - k * c) + s * c);
    d.through(s.atan2(x), 1.0 / square, -square_rate / (square * square))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wheel_deg(linkage: Linkage, side: Side, mean_deg: f64) -> f64 {
        linkage
            .wheel_angle(side, Jet::constant(mean_deg.to_radians()))
            .value
            .to_degrees()
    }

    #[test]
    fn full_ackermann_meets_the_turn_centre_equation() {
        // l 2.6 m, t 1.5 m: inner 28° goes with outer 22.141°. Source: theory-of-machines exercise
        // quoted as check value 19 in the geometry reference beside the checkout.
        let linkage = Linkage::Ackermann {
            fraction: 1.0,
            half_ratio: 1.5 / (2.0 * 2.6),
        };
        let cot_mean = 1.0 / 28.0_f64.to_radians().tan() + 1.5 / (2.0 * 2.6);
        let d_deg = (1.0 / cot_mean).atan().to_degrees();
        let inner = wheel_deg(linkage, Side::Left, d_deg);
        let outer = wheel_deg(linkage, Side::Right, d_deg);
        // The mean is kept at d, so both sit a hair beside the pure pair; their difference is exact.
        assert!(
            (inner - outer - (28.0 - 22.141)).abs() < 5e-4,
            "{inner} {outer}"
        );
        let middle = f64::midpoint(28.0, 22.141);
        assert!((inner + outer - 2.0 * d_deg).abs() < 1e-12);
        assert!((d_deg - middle).abs() < 0.35, "{d_deg}");
    }

    #[test]
    fn every_law_keeps_the_mean_and_turns_the_inner_wheel_further() {
        let laws = [
            Linkage::Ackermann {
                fraction: 0.6,
                half_ratio: 0.28,
            },
            Linkage::Progressive { spread_at_20: 0.07 },
        ];
        for law in laws {
            for mean_deg in [-31.0, -20.0, -3.0, 3.0, 20.0, 31.0] {
                let left = wheel_deg(law, Side::Left, mean_deg);
                let right = wheel_deg(law, Side::Right, mean_deg);
                assert!((left + right - 2.0 * mean_deg).abs() < 1e-12);
                let inner_is_left = mean_deg > 0.0;
                assert_eq!(
                    left.abs() > right.abs(),
                    inner_is_left,
                    "{law:?} {mean_deg}"
                );
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let laws = [
            Linkage::Parallel,
            Linkage::Ackermann {
                fraction: 0.8,
                half_ratio: 0.3,
            },
            Linkage::Progressive { spread_at_20: 0.07 },
        ];
        let h = 1e-5;
        for law in laws {
            let at = |t: f64| law.wheel_angle(Side::Left, Jet::minimum_jerk(-0.1, 0.5, t, 1.0));
            for step in 1..10 {
                let t = f64::from(step) * 0.1 + 0.003;
                let rate = (at(t + h).value - at(t - h).value) / (2.0 * h);
                let accel = (at(t + h).rate - at(t - h).rate) / (2.0 * h);
                assert!((rate - at(t).rate).abs() < 1e-8, "{law:?} rate at {t}");
                assert!((accel - at(t).accel).abs() < 1e-7, "{law:?} accel at {t}");
            }
        }
    }
}
