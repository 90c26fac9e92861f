//! What an adjuster really does, learnt from its moves.
//!
//! The effects per unit are a vector with a covariance: at first what geometry
//! says, with a stated doubt. A move tells changes of angles; the update is the
//! linear least squares of both (Bayes with normal errors), in which an error of
//! the amount counts with the effect as its sensitivity (JCGM 100:2008, 5.1.2).

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use super::change::{Effect, PerUnit, WheelAngle};
use super::refusal::AdjustError;
use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::gum::{GumError, difference};

/// A change off by more standard uncertainties than this contradicts: 3 in 1000 by chance.
const CONTRADICTS_SIGMAS: f64 = 3.0;
/// An effect must be this many standard uncertainties to be told from none.
const TOLD_SIGMAS: f64 = 2.0;
/// The sensitivity to the amount is the learnt effect itself; it settles in a few rounds.
const ROUNDS: usize = 30;

/// What is known of an adjuster's effects.
#[derive(Debug, Clone, PartialEq)]
pub struct Learner {
    angles: Vec<WheelAngle>,
    knobs: usize,
    /// Rad per unit, angle by angle, knob by knob.
    mean: DVector<f64>,
    covariance: DMatrix<f64>,
}

/// One move of an adjuster, and the angles before and after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Move {
    /// Units moved at each knob, signed.
    pub amounts: Vec<f64>,
    /// Standard uncertainty of each amount.
    pub amounts_standard: Vec<f64>,
    /// The angles before, in the learner's order.
    pub before: Vec<Estimate>,
    /// The angles after.
    pub after: Vec<Estimate>,
    /// Correlation of the errors before and after: near 1 for one board left strapped on.
    pub correlation: f64,
}

/// How a move contradicts what was known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ContradictionKind {
    /// It went the other way.
    WrongWay,
    /// Nothing moved.
    NothingMoved,
    /// It moved less than it should.
    TooLittle,
    /// It moved more than it should.
    TooMuch,
    /// An angle moved that should have stayed.
    ShouldHaveStayed,
}

impl ContradictionKind {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::WrongWay,
        Self::NothingMoved,
        Self::TooLittle,
        Self::TooMuch,
        Self::ShouldHaveStayed,
    ];
}

/// A move against what was known, with the evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contradiction {
    /// How.
    pub kind: ContradictionKind,
    /// Which angle.
    pub angle: WheelAngle,
    /// The change expected, its uncertainty of the effect and the amount.
    pub expected: Estimate,
    /// The change seen, its uncertainty of the readings.
    pub seen: Estimate,
    /// How far apart, in standard uncertainties of the difference.
    pub sigmas: f64,
}

/// Why a move taught nothing.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum LearnError {
    /// It contradicts what was known; that stays as it was.
    #[error("the move contradicts what was known of {:?}", .0.angle)]
    Contradiction(Contradiction),
    /// Not as many figures as the learner has.
    #[error("{found} figures where there are {needed}")]
    Shape {
        /// Figures given.
        found: usize,
        /// Figures needed.
        needed: usize,
    },
    /// Readings that cannot be.
    #[error("readings that cannot be: {0}")]
    Readings(#[from] GumError),
}

/// What a next move will do to one angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prediction {
    /// Which angle.
    pub angle: WheelAngle,
    /// Its true change: uncertain by the effect and the amount.
    pub change: Estimate,
    /// The change that will be read: uncertain by the readings too.
    pub read: Estimate,
}

impl Learner {
    /// From geometry: `relative` is its standard uncertainty, of the largest known
    /// effect of each knob. An effect that is not known is anywhere within `broad`
    /// per unit (one sigma).
    pub fn from_geometry(
        angles: &[WheelAngle],
        knobs: &[PerUnit],
        relative: f64,
        broad: Angle,
    ) -> Self {
        let known = |knob: &PerUnit, angle| match knob.of(angle) {
            Effect::Known(per_unit) => Some(per_unit.rad()),
            Effect::MeasureAgain => None,
        };
        let largest = |knob: &PerUnit| {
            let sizes = angles.iter().filter_map(|angle| known(knob, *angle));
            sizes.fold(0.0_f64, |most, size| most.max(size.abs()))
        };
        let entries = angles
            .iter()
            .flat_map(|angle| knobs.iter().map(move |knob| (*angle, knob)));
        let (mut mean, mut variances) = (Vec::new(), Vec::new());
        for (angle, knob) in entries {
            let effect = known(knob, angle);
            mean.push(effect.unwrap_or(0.0));
            let standard = effect.map_or(broad.rad(), |_| relative * largest(knob));
            variances.push(standard * standard);
        }
        Self {
            angles: angles.to_vec(),
            knobs: knobs.len(),
            mean: DVector::from_vec(mean),
            covariance: DMatrix::from_diagonal(&DVector::from_vec(variances)),
        }
    }

    /// Nothing known but that no effect is much larger than `broad` per unit.
    pub fn broad(angles: &[WheelAngle], knobs: usize, broad: Angle) -> Self {
        Self::from_geometry(angles, &vec![PerUnit::UNKNOWN; knobs], 1.0, broad)
    }

    /// The effect of a unit of `knob` on the learner's `angle`, both from 0.
    pub fn effect(&self, angle: usize, knob: usize) -> Estimate {
        let index = angle * self.knobs + knob;
        Estimate::new(
            Angle::from_rad(self.mean[index]),
            Angle::from_rad(self.covariance[(index, index)].max(0.0).sqrt()),
        )
    }

    /// The effects as a matrix: angles in the rows, knobs in the columns, rad per unit.
    pub fn matrix(&self) -> DMatrix<f64> {
        effects(&self.mean, self.angles.len(), self.knobs)
    }

    /// Takes a move in, or says how it contradicts; then nothing is changed.
    ///
    /// # Errors
    /// A [`Contradiction`] where an angle is more than 3 standard uncertainties off.
    pub fn learn(&mut self, moved: &Move) -> Result<(), LearnError> {
        let seen = self.seen(moved)?;
        let slopes = self.slopes(&moved.amounts);
        let expected = &slopes * &self.mean;
        let of_effect = &slopes * &self.covariance * slopes.transpose();
        let of_amount = amount_noise(&self.matrix(), &moved.amounts_standard);
        for (row, angle) in self.angles.iter().enumerate() {
            let known = of_effect[(row, row)] + of_amount[(row, row)];
            let expected = estimate(expected[row], known);
            let sigmas = (seen[row].value - expected.value).rad()
                / (known + seen[row].standard.rad().powi(2)).sqrt();
            if sigmas.abs() > CONTRADICTS_SIGMAS {
                return Err(LearnError::Contradiction(Contradiction {
                    kind: kind(&expected, &seen[row]),
                    angle: *angle,
                    expected,
                    seen: seen[row],
                    sigmas,
                }));
            }
        }
        self.update(moved, &seen, &slopes);
        Ok(())
    }

    fn update(&mut self, moved: &Move, seen: &[Estimate], slopes: &DMatrix<f64>) {
        let values = DVector::from_iterator(seen.len(), seen.iter().map(|s| s.value.rad()));
        let variances = seen.iter().map(|s| s.standard.rad().powi(2));
        let of_reading = DMatrix::from_diagonal(&DVector::from_iterator(seen.len(), variances));
        let innovation = values - slopes * &self.mean;
        let mut mean = self.mean.clone();
        for _ in 0..ROUNDS {
            let matrix = effects(&mean, self.angles.len(), self.knobs);
            let noise = &of_reading + amount_noise(&matrix, &moved.amounts_standard);
            let spread = slopes * &self.covariance * slopes.transpose() + noise;
            // Exact readings of what is known exactly leave nothing to learn.
            let Some(inverse) = spread.clone().try_inverse() else {
                return;
            };
            let gain = &self.covariance * slopes.transpose() * inverse;
            let settled = &self.mean + &gain * &innovation;
            let step = (&settled - &mean).norm();
            mean = settled;
            if step <= 1e-12 * mean.norm() {
                let left = &self.covariance - &gain * spread * gain.transpose();
                self.covariance = (&left + left.transpose()) / 2.0;
                self.mean = mean;
                return;
            }
        }
    }

    /// Units to move at each knob for wanted changes, in the learner's order.
    ///
    /// # Errors
    /// [`AdjustError::EffectUnknown`] where the effects are not told from none:
    /// make a small move first and measure.
    pub fn next(&self, wanted: &[Angle]) -> Result<Vec<f64>, AdjustError> {
        if wanted.iter().any(|w| !w.rad().is_finite()) {
            return Err(AdjustError::NotFinite);
        }
        let unknown = |found_rad, standard_rad| AdjustError::EffectUnknown {
            found_rad,
            standard_rad,
        };
        let wanted = DVector::from_iterator(wanted.len(), wanted.iter().map(|w| w.rad()));
        let solved = self.matrix().svd(true, true).solve(&wanted, 1e-12);
        let amounts: Vec<f64> = match solved {
            Ok(amounts) if wanted.len() == self.angles.len() => amounts.iter().copied().collect(),
            _ => return Err(unknown(0.0, f64::INFINITY)),
        };
        let slopes = self.slopes(&amounts);
        let made = &slopes * &self.mean;
        let doubt = (&slopes * &self.covariance * slopes.transpose())
            .trace()
            .sqrt();
        if wanted.norm() > 0.0 && made.norm() < TOLD_SIGMAS * doubt.max(f64::MIN_POSITIVE) {
            let units = DVector::from_vec(amounts).norm().max(f64::MIN_POSITIVE);
            return Err(unknown(made.norm() / units, doubt / units));
        }
        Ok(amounts)
    }

    /// What a move will do. `reading` is the standard uncertainty of the difference
    /// of the readings before and after.
    ///
    /// # Errors
    /// [`LearnError::Shape`] for a wrong number of amounts.
    pub fn predict(
        &self,
        amounts: &[f64],
        amounts_standard: &[f64],
        reading: Angle,
    ) -> Result<Vec<Prediction>, LearnError> {
        for found in [amounts.len(), amounts_standard.len()] {
            shape(found, self.knobs)?;
        }
        let slopes = self.slopes(amounts);
        let change = &slopes * &self.mean;
        let spread = &slopes * &self.covariance * slopes.transpose()
            + amount_noise(&self.matrix(), amounts_standard);
        let rows = self.angles.iter().enumerate().map(|(row, angle)| {
            let variance = spread[(row, row)];
            Prediction {
                angle: *angle,
                change: estimate(change[row], variance),
                read: estimate(change[row], variance + reading.rad().powi(2)),
            }
        });
        Ok(rows.collect())
    }

    fn seen(&self, moved: &Move) -> Result<Vec<Estimate>, LearnError> {
        let (knobs, angles) = (self.knobs, self.angles.len());
        shape(moved.amounts.len(), knobs)?;
        shape(moved.amounts_standard.len(), knobs)?;
        shape(moved.before.len(), angles)?;
        shape(moved.after.len(), angles)?;
        let amounts = moved.amounts.iter().chain(&moved.amounts_standard);
        if amounts.into_iter().any(|a| !a.is_finite()) {
            return Err(GumError::NotFinite.into());
        }
        let pairs = moved.before.iter().zip(&moved.after);
        let seen = pairs
            .map(|(before, after)| difference(after, before, moved.correlation))
            .collect::<Result<Vec<_>, _>>()?;
        if seen
            .iter()
            .any(|s| !(s.value.rad().is_finite() && s.standard.rad().is_finite()))
        {
            return Err(GumError::NotFinite.into());
        }
        Ok(seen)
    }

    /// Changes of the angles per effect: the amounts, once in each angle's row.
    fn slopes(&self, amounts: &[f64]) -> DMatrix<f64> {
        DMatrix::from_fn(self.angles.len(), self.mean.len(), |row, column| {
            if column / self.knobs == row {
                amounts[column % self.knobs]
            } else {
                0.0
            }
        })
    }
}

fn shape(found: usize, needed: usize) -> Result<(), LearnError> {
    if found == needed {
        Ok(())
    } else {
        Err(LearnError::Shape { found, needed })
    }
}

fn effects(mean: &DVector<f64>, angles: usize, knobs: usize) -> DMatrix<f64> {
    DMatrix::from_fn(angles, knobs, |row, column| mean[row * knobs + column])
}

/// Covariance of the changes by the errors of the amounts.
fn amount_noise(matrix: &DMatrix<f64>, standards: &[f64]) -> DMatrix<f64> {
    let variances = DVector::from_iterator(standards.len(), standards.iter().map(|s| s * s));
    matrix * DMatrix::from_diagonal(&variances) * matrix.transpose()
}

fn estimate(value_rad: f64, variance: f64) -> Estimate {
    Estimate::new(
        Angle::from_rad(value_rad),
        Angle::from_rad(variance.max(0.0).sqrt()),
    )
}

fn kind(expected: &Estimate, seen: &Estimate) -> ContradictionKind {
    let told = |e: &Estimate| e.value.abs().rad() > TOLD_SIGMAS * e.standard.rad();
    if !told(expected) {
        ContradictionKind::ShouldHaveStayed
    } else if !told(seen) {
        ContradictionKind::NothingMoved
    } else if seen.value.rad() * expected.value.rad() < 0.0 {
        ContradictionKind::WrongWay
    } else if seen.value.abs() < expected.value.abs() {
        ContradictionKind::TooLittle
    } else {
        ContradictionKind::TooMuch
    }
}
