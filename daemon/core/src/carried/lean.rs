//! How the board sits in the block, by what gravity shows at the rests.
//!
//! Against a wheel that leans by `w` (its normal's rise to the car's left) a board
//! whose face leans by `λ` against it shows a rise of its left axis of
//!
//! ```text
//! m = ± w − λ + o
//! ```
//!
//! minus where the block is turned end for end; `o` is the offset of the
//! accelerometer. The wheels do not move when the block is turned, so the rests
//! before and after show `λ₁ + λ₂ − 2 o`: how the board leans in the block.
//! What the two faces are from parallel, `λ₁ − λ₂`, looks as the wheels' lean does
//! and is known from making the block only.
//!
//! It matters because a lean `λ` turns the heading by `λ` times what the block was
//! held off level along the wheel: a board that sits askew by a degree in a block
//! that is held level to half a degree would be the largest error of all.

use nalgebra::{DMatrix, DVector, Matrix2, Vector2};

use super::rest::RestSeen;
use super::{CarriedSetup, Face, Place};

/// No wheel leans by more; one sigma, rad.
const WHEEL_RAD: f64 = 0.1;

/// How the faces lean against the board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceLeans {
    /// Lean of the first and the second face, rad.
    pub value_rad: Vector2<f64>,
    /// Its covariance, rad².
    pub covariance: Matrix2<f64>,
}

impl FaceLeans {
    /// Before anything was seen.
    fn prior(setup: &CarriedSetup) -> Self {
        let (both, apart) = (setup.lean.rad(), setup.faces_lean.rad());
        // λ = mean ± half of the difference.
        let (same, other) = (
            both * both + 0.25 * apart * apart,
            both * both - 0.25 * apart * apart,
        );
        Self {
            value_rad: Vector2::zeros(),
            covariance: Matrix2::new(same, other, other, same),
        }
    }

    /// By the rests. Where no wheel was touched both ways round, hardly more than what was
    /// known beforehand.
    pub fn by_rests(rests: &[RestSeen], setup: &CarriedSetup) -> Self {
        let prior = Self::prior(setup);
        let mut places: Vec<Place> = rests.iter().map(|rest| rest.place).collect();
        places.sort_unstable();
        places.dedup();
        // Unknown: both faces, the accelerometer's offset, each wheel.
        let unknowns = 3 + places.len();
        let left = setup.to_left;
        let mut known = DMatrix::zeros(unknowns, unknowns);
        known.view_mut((0, 0), (2, 2)).copy_from(&prior.covariance);
        known[(2, 2)] = setup.chip.accel_offset_along_g(&left).powi(2);
        for place in 0..places.len() {
            known[(3 + place, 3 + place)] = WHEEL_RAD.powi(2);
        }
        let design = DMatrix::from_fn(rests.len(), unknowns, |row, column| {
            let rest = &rests[row];
            let face = usize::from(Face::at(rest.place, rest.turned) == Face::Second);
            match column {
                0 | 1 if column == face => -1.0,
                0 | 1 => 0.0,
                2 => 1.0,
                _ if places[column - 3] != rest.place => 0.0,
                _ if rest.turned => -1.0,
                _ => 1.0,
            }
        });
        let seen = DVector::from_fn(rests.len(), |row, _| rests[row].lean_rad(setup));
        let scatter = DVector::from_fn(rests.len(), |row, _| {
            setup
                .seat_lean
                .rad()
                .hypot(rests[row].force_standard_g)
                .powi(2)
        });
        // As an update of what was known, which needs no inverse of what may be exactly known.
        let across = &known * design.transpose();
        let spread = &design * &across + DMatrix::from_diagonal(&scatter);
        let Some(spread) = spread.cholesky() else {
            return prior;
        };
        let value = &across * spread.solve(&seen);
        let covariance = &known - &across * spread.solve(&across.transpose());
        Self {
            value_rad: Vector2::new(value[0], value[1]),
            covariance: covariance.fixed_view::<2, 2>(0, 0).into_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use nalgebra::Vector3;

    use super::*;
    use crate::angle::Angle;
    use crate::chip::ChipFigures;
    use crate::floor::FloorSlope;
    use crate::frames::Dir;
    use crate::time::HostTime;

    fn setup() -> CarriedSetup {
        CarriedSetup::usual(
            ChipFigures::GOOD,
            Dir::y_axis(),
            FloorSlope::presumed_level(Angle::ZERO),
        )
    }

    /// A rest that shows a rise of the board's left axis of so many degrees.
    fn rest(place: Place, turned: bool, rise_deg: f64) -> RestSeen {
        let rise = rise_deg.to_radians();
        RestSeen {
            from: HostTime::from_us(0),
            to: HostTime::from_us(3_000_000),
            place,
            turned,
            force_g: Vector3::new(0.0, rise.sin(), rise.cos()),
            rate_radps: Vector3::zeros(),
            rate_variance: 1e-12,
            force_standard_g: 1e-5,
        }
    }

    /// Rests of a board whose faces lean so, on wheels that lean so, degrees.
    fn rests(leans: [f64; 2], wheels: [f64; 2], turns: &[bool]) -> Vec<RestSeen> {
        let places = [Place::FrontLeft, Place::FrontRight];
        turns
            .iter()
            .flat_map(|turned| {
                places.into_iter().zip(wheels).map(move |(place, wheel)| {
                    let face = usize::from(Face::at(place, *turned) == Face::Second);
                    let sign = if *turned { -1.0 } else { 1.0 };
                    rest(place, *turned, sign * wheel - leans[face])
                })
            })
            .collect()
    }

    #[test]
    fn turned_end_for_end_the_board_shows_how_it_leans() {
        let check = |leans: [f64; 2], wheels: [f64; 2]| {
            let found = FaceLeans::by_rests(&rests(leans, wheels, &[false, true]), &setup());
            let mean = 0.5 * found.value_rad.sum().to_degrees();
            assert!(
                (mean - 0.5 * (leans[0] + leans[1])).abs() < 0.01,
                "{mean} {leans:?}"
            );
            // Only what the faces are from parallel stays as it was.
            let apart = Vector2::new(1.0, -1.0);
            let left = apart.dot(&(found.covariance * apart)).sqrt().to_degrees();
            assert!((left - setup().faces_lean.deg()).abs() < 0.01, "{left}");
            let mean = Vector2::new(0.5, 0.5);
            let left = mean.dot(&(found.covariance * mean)).sqrt().to_degrees();
            assert!(left < 0.05, "{left}");
        };
        check([1.0, 1.0], [0.0, 0.0]);
        check([-1.3, -1.3], [-2.5, 2.0]);
        check([0.8, 1.0], [-0.5, 1.5]);
        check([0.0, 0.0], [3.0, -3.0]);
    }

    #[test]
    fn one_way_round_tells_nothing() {
        for turned in [false, true] {
            let found = FaceLeans::by_rests(&rests([1.0; 2], [-1.0, 1.0], &[turned]), &setup());
            let sigma = found.covariance.diagonal().map(f64::sqrt);
            let known = setup().lean.rad();
            assert!(sigma.min() > 0.9 * known, "{sigma} {known}");
        }
    }

    #[test]
    fn an_offset_of_the_accelerometer_is_no_lean() {
        // Of an offset that is not known, the lean is not known better.
        let poor = CarriedSetup {
            chip: ChipFigures {
                accel_offset_g: 10e-3,
                ..ChipFigures::GOOD
            },
            ..setup()
        };
        let found = FaceLeans::by_rests(&rests([0.0; 2], [-1.0, 1.0], &[false, true]), &poor);
        let sigma = Angle::from_rad(found.covariance[(0, 0)].sqrt());
        assert!(sigma.deg() > 0.45 && sigma.deg() < 0.6, "{sigma:?}");
    }

    #[test]
    fn what_is_known_exactly_stays() {
        let exact = CarriedSetup {
            lean: Angle::ZERO,
            faces_lean: Angle::ZERO,
            ..setup()
        };
        let found = FaceLeans::by_rests(&rests([0.5; 2], [0.0; 2], &[false, true]), &exact);
        assert_eq!(found.value_rad, Vector2::zeros());
        assert_eq!(found.covariance, Matrix2::zeros());
    }
}
