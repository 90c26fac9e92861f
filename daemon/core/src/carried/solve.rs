//! The headings of all places through all carries at once.
//!
//! Generalised least squares: what a carry shows is the heading of the place
//! after less that of the place before, and its errors are correlated with those
//! of all the others. The gyro's matrix, what one g does to it, the lean of the
//! faces and the floor are one and the same throughout; the offset is foretold
//! from the same rests; and a rest belongs to the carry that ends there and to
//! the one that begins. That is why there and back is worth more than there and
//! there again: a drifting offset drops out of it.

use nalgebra::{DMatrix, DVector, Vector2, Vector3};
use statrs::distribution::{ChiSquared, ContinuousCDF};

use super::bias::{BiasModel, Foretold, Span, foretell};
use super::carry::{Carry, matrix_sigmas};
use super::lean::FaceLeans;
use super::refusal::Refusal;
use super::rest::RestSeen;
use super::{CarriedSetup, Face, Place};
use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::side::Side;
use crate::time::HostTime;

/// Ω of the Earth, rad/s.
const EARTH_RADPS: f64 = 7.292_115e-5;
/// Passes that disagree more than chance does once in so many are not believed.
const DISAGREE: f64 = 1e-3;
/// Less than once in twenty: the interval is widened by what they show.
const WIDEN: f64 = 0.05;
/// Fewest passes.
const LEAST: usize = 2;

/// What an uncertainty of carried toe comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CarriedCause {
    /// White noise of the gyro on the way (angle random walk).
    GyroNoise,
    /// What the offset did on the way that the rests do not tell: flicker, walk, warming.
    GyroDrift,
    /// Scale and axes of the gyro, by what the way did not undo.
    ScaleAndAxes,
    /// What leaning does to the offset.
    ForceOnGyro,
    /// The Earth's rotation, as far as leaning shows another part of it.
    EarthRotation,
    /// How alike the block lies each time.
    Seat,
    /// Faces that are not parallel.
    Faces,
    /// Faces that lean against the board, with a block that is not held level.
    FaceLean,
    /// The floor's slope, with the cambers.
    Floor,
    /// The accelerometer's offset, which tips the board's own level, with the cambers.
    AccelOffset,
    /// When the readings were taken.
    Timing,
}

impl CarriedCause {
    /// All of them.
    pub const ALL: [Self; 11] = [
        Self::GyroNoise,
        Self::GyroDrift,
        Self::ScaleAndAxes,
        Self::ForceOnGyro,
        Self::EarthRotation,
        Self::Seat,
        Self::Faces,
        Self::FaceLean,
        Self::Floor,
        Self::AccelOffset,
        Self::Timing,
    ];
}

/// One angle from the headings.
#[derive(Debug, Clone, PartialEq)]
pub struct CarriedAngle {
    /// Value and standard uncertainty.
    pub estimate: Estimate,
    /// Standard uncertainty by cause, the largest first; what has no effect is left out.
    pub budget: Vec<(CarriedCause, Angle)>,
}

/// The solution.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    places: Vec<Place>,
    headings: DVector<f64>,
    parts: Vec<(CarriedCause, DMatrix<f64>)>,
    /// Passes that count.
    pub passes: usize,
    /// Weighted sum of squares of what the passes leave.
    pub chi_square: f64,
    /// Its degrees of freedom.
    pub freedom: usize,
    /// By how much the intervals are widened, because the passes scatter more than foretold; else 1.
    pub widened: f64,
}

/// The covariance of all carries by cause, and the headings with the offset set right.
struct Stack {
    observed: DVector<f64>,
    parts: Vec<(CarriedCause, DMatrix<f64>)>,
}

/// Lays the headings through the carries.
pub fn solve(
    rests: &[RestSeen],
    carries: &[Carry],
    setup: &CarriedSetup,
) -> Result<Solved, Refusal> {
    let too_few = Refusal::TooFewPasses {
        counted: carries.len(),
        needed: LEAST,
        left_out: 0,
    };
    if carries.len() < LEAST {
        return Err(too_few);
    }
    let to_side = |side: Side| {
        carries
            .iter()
            .filter(|c| rests[c.after].place.side() == side && rests[c.before].place.side() != side)
            .count()
    };
    let (there, back) = (to_side(Side::Right), to_side(Side::Left));
    if there == 0 || back == 0 {
        return Err(Refusal::OneWay { there, back });
    }
    let stack = stack(rests, carries, setup).ok_or(too_few)?;
    let mut places: Vec<Place> = carries
        .iter()
        .flat_map(|c| [rests[c.before].place, rests[c.after].place])
        .collect();
    places.sort_unstable();
    places.dedup();
    let unknowns = places.len() - 1;
    if carries.len() <= unknowns {
        return Err(too_few);
    }
    let design = DMatrix::from_fn(carries.len(), unknowns, |row, column| {
        let place = places[column + 1];
        let is = |rest: usize| f64::from(u8::from(rests[rest].place == place));
        is(carries[row].after) - is(carries[row].before)
    });
    let covariance = stack
        .parts
        .iter()
        .fold(DMatrix::zeros(carries.len(), carries.len()), |sum, part| {
            sum + &part.1
        });
    let whitening = covariance.cholesky().ok_or(too_few)?;
    let weighed = whitening.solve(&design);
    let normal = (design.transpose() * &weighed).cholesky().ok_or(too_few)?;
    let gain = normal.solve(&weighed.transpose());
    let headings = &gain * &stack.observed;
    let left = &stack.observed - &design * &headings;
    let chi_square = left.dot(&whitening.solve(&left));
    let freedom = carries.len() - unknowns;
    let chance = ChiSquared::new(freedom as f64).map_or(1.0, |law| law.sf(chi_square));
    if chance < DISAGREE {
        return Err(Refusal::PassesDisagree {
            chi_square,
            freedom,
        });
    }
    let widened = if chance < WIDEN {
        (chi_square / freedom as f64).sqrt().max(1.0)
    } else {
        1.0
    };
    let parts = stack
        .parts
        .into_iter()
        .map(|(cause, part)| (cause, &gain * part * gain.transpose() * widened.powi(2)))
        .collect();
    Ok(Solved {
        places,
        headings,
        parts,
        passes: carries.len(),
        chi_square,
        freedom,
        widened,
    })
}

fn stack(rests: &[RestSeen], carries: &[Carry], setup: &CarriedSetup) -> Option<Stack> {
    let chip = &setup.chip;
    let origin = rests.first()?.from;
    let foretold = foretell(
        &BiasModel::of_gyro(chip),
        &rests
            .iter()
            .map(|r| (span(r.from, r.to, origin), r.rate_variance))
            .collect::<Vec<_>>(),
        &carries
            .iter()
            .map(|c| on_the_way(&rests[c.before], &rests[c.after], origin))
            .collect::<Vec<_>>(),
    )?;
    let leans = FaceLeans::by_rests(rests, setup);
    let observed = DVector::from_fn(carries.len(), |i, _| {
        let carry = &carries[i];
        let bias = rests
            .iter()
            .zip(foretold.weights.column(i).iter())
            .fold(Vector3::zeros(), |sum, (rest, weight)| {
                sum + rest.rate_radps * *weight
            });
        let set_right = carry.swept.by_bias.dot(&(bias - carry.bias_radps));
        carry.heading_rad - set_right - face(rests, carry) * setup.faces.value.rad()
            + Vector2::from(carry.by_lean).dot(&leans.value_rad)
    });
    Some(Stack {
        observed,
        parts: parts(rests, carries, setup, &foretold, &leans),
    })
}

fn span(from: HostTime, to: HostTime, origin: HostTime) -> Span {
    Span {
        from_s: from.since_s(origin),
        to_s: to.since_s(origin),
    }
}

/// From the middle of the end of one rest to the middle of the begin of the next.
fn on_the_way(before: &RestSeen, after: &RestSeen, origin: HostTime) -> Span {
    let whole = span(before.to, after.from, origin);
    Span {
        from_s: whole.from_s - 0.5 * super::path::END_S,
        to_s: whole.to_s + 0.5 * super::path::END_S,
    }
}

/// How often the second face comes in.
fn face(rests: &[RestSeen], carry: &Carry) -> f64 {
    let second = |rest: &RestSeen| {
        let face = Face::at(rest.place, rest.turned);
        f64::from(u8::from(face == Face::Second))
    };
    second(&rests[carry.after]) - second(&rests[carry.before])
}

fn parts(
    rests: &[RestSeen],
    carries: &[Carry],
    setup: &CarriedSetup,
    foretold: &Foretold,
    leans: &FaceLeans,
) -> Vec<(CarriedCause, DMatrix<f64>)> {
    let chip = &setup.chip;
    let n = carries.len();
    let each = |of: &dyn Fn(&Carry) -> f64| {
        DMatrix::from_diagonal(&DVector::from_fn(n, |i, _| of(&carries[i])))
    };
    // One and the same error of size one in all carries.
    let shared = |of: &dyn Fn(&Carry) -> f64| {
        let column = DVector::from_fn(n, |i, _| of(&carries[i]));
        &column * column.transpose()
    };
    let pairs = |of: &dyn Fn(&Carry, &Carry) -> f64| {
        DMatrix::from_fn(n, n, |i, j| of(&carries[i], &carries[j]))
    };
    let sigmas = matrix_sigmas(setup);
    let earth = EARTH_RADPS / 2f64.sqrt();
    // The offset goes with the board, so it changes sign with it.
    let tips = |carry: &Carry, way: usize| {
        let sign = if rests[carry.before].turned {
            -1.0
        } else {
            1.0
        };
        sign * carry.by_slope[way]
    };
    let touches = |carry: &Carry, rest: usize| {
        f64::from(u8::from(carry.after == rest)) - f64::from(u8::from(carry.before == rest))
    };
    CarriedCause::ALL
        .into_iter()
        .map(|cause| {
            let part = match cause {
                CarriedCause::GyroNoise => {
                    each(&|c| 0.5 * chip.gyro_noise_radps_rthz.powi(2) * c.swept.seconds)
                }
                CarriedCause::GyroDrift => DMatrix::from_fn(n, n, |i, j| {
                    let along = carries[i].swept.by_bias.dot(&carries[j].swept.by_bias);
                    along * foretold.covariance[(i, j)]
                }),
                CarriedCause::ScaleAndAxes => pairs(&|a, b| {
                    a.swept
                        .by_matrix
                        .component_mul(&sigmas)
                        .dot(&b.swept.by_matrix.component_mul(&sigmas))
                }),
                CarriedCause::ForceOnGyro => pairs(&|a, b| {
                    setup.gyro_per_g_radps.powi(2) * a.swept.by_force.dot(&b.swept.by_force)
                }),
                CarriedCause::EarthRotation => {
                    pairs(&|a, b| earth * earth * a.by_earth.dot(&b.by_earth))
                }
                CarriedCause::Seat => pairs(&|a, b| {
                    let common = (0..rests.len()).map(|r| touches(a, r) * touches(b, r));
                    setup.seat.rad().powi(2) * common.sum::<f64>()
                }),
                CarriedCause::Faces => {
                    shared(&|c| face(rests, c)) * setup.faces.standard.rad().powi(2)
                }
                CarriedCause::FaceLean => pairs(&|a, b| {
                    let (a, b) = (Vector2::from(a.by_lean), Vector2::from(b.by_lean));
                    a.dot(&(leans.covariance * b))
                }),
                CarriedCause::Floor => {
                    shared(&|c| c.by_slope[0]) * setup.floor.roll.standard.rad().powi(2)
                        + shared(&|c| c.by_slope[1]) * setup.floor.pitch.standard.rad().powi(2)
                }
                CarriedCause::AccelOffset => {
                    (shared(&|c| tips(c, 0)) + shared(&|c| tips(c, 1)))
                        * chip.accel_offset_g.powi(2)
                }
                CarriedCause::Timing => each(&|c| setup.stamp_s.powi(2) * c.swept.by_stamp),
            };
            (cause, part)
        })
        .collect()
}

impl Solved {
    /// The places that were visited.
    pub fn places(&self) -> &[Place] {
        &self.places
    }

    /// A sum of headings (+ to the left), each with its weight; the weights must add up to
    /// nought, for no heading is known by itself. None where a place was not visited.
    pub fn angle(&self, of: &[(Place, f64)]) -> Option<CarriedAngle> {
        let mut weights = DVector::zeros(self.headings.len());
        for (place, weight) in of {
            let index = self.places.iter().position(|p| p == place)?;
            if let Some(unknown) = index.checked_sub(1) {
                weights[unknown] += weight;
            }
        }
        let variance = |part: &DMatrix<f64>| weights.dot(&(part * &weights)).max(0.0);
        let mut budget: Vec<(CarriedCause, Angle)> = self
            .parts
            .iter()
            .map(|(cause, part)| (*cause, Angle::from_rad(variance(part).sqrt())))
            .filter(|(_, standard)| *standard > Angle::ZERO)
            .collect();
        budget.sort_by(|a, b| b.1.rad().total_cmp(&a.1.rad()));
        let standard = budget
            .iter()
            .fold(0.0, |sum, (_, part)| f64::hypot(sum, part.rad()));
        Some(CarriedAngle {
            estimate: Estimate::new(
                Angle::from_rad(weights.dot(&self.headings)),
                Angle::from_rad(standard),
            ),
            budget,
        })
    }

    /// Total toe of the front or the rear axle, + toe-in.
    pub fn total(&self, front: bool) -> Option<CarriedAngle> {
        let (left, right) = if front {
            (Place::FrontLeft, Place::FrontRight)
        } else {
            (Place::RearLeft, Place::RearRight)
        };
        self.angle(&[(right, 1.0), (left, -1.0)])
    }

    /// Toe of one wheel against the straight edge, + toe-in.
    pub fn to_edge(&self, wheel: Place) -> Option<CarriedAngle> {
        let sign = -wheel.side().sign();
        self.angle(&[(wheel, sign), (Place::Edge, -sign)])
    }

    /// Toe of one front wheel against the thrust line, which halves the rear wheels, + toe-in.
    pub fn to_thrust(&self, wheel: Place) -> Option<CarriedAngle> {
        let sign = -wheel.side().sign();
        self.angle(&[
            (wheel, sign),
            (Place::RearLeft, -0.5 * sign),
            (Place::RearRight, -0.5 * sign),
        ])
    }
}
