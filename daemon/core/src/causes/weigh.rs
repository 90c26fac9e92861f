//! How well a cause explains the deviations.
//!
//! A fault's size is normal about zero, its scale any of [`FAULTS_DEG`]; what a
//! cause makes of the deviations is then normal too, and its likelihood is a number,
//! not a threshold: more freedom costs by itself (the marginal likelihood of
//! Bayesian texts).

use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use statrs::distribution::{ContinuousCDF, Normal};

use super::clue::{CausesError, Clue, Kind, Seen};
use super::signature::{Mode, Signature};
use crate::angle::Angle;
use crate::side::Side;

/// Scales of faults, one sigma, degrees: octaves from what is hardly worth looking
/// for to a wheel that anybody sees leaning; each as likely. Common practice, no source.
const FAULTS_DEG: [f64; 4] = [0.5, 1.0, 2.0, 4.0];

/// Two faults at once are taken as this much less likely than one: one looks for one
/// first. Common practice, no source.
const SECOND_FAULT: f64 = 0.1;

/// The deviations that count, with their covariance.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Deviations {
    pub(super) seen: Vec<Seen>,
    values: DVector<f64>,
    noise: DMatrix<f64>,
}

/// How well one cause explains them.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Weight {
    pub(super) log_likelihood: f64,
    /// The part of each deviation that the cause takes on itself, rad.
    pub(super) explained: Vec<f64>,
}

impl Deviations {
    /// From figures and the correlations of their errors, by their places in `seen`.
    /// A figure that follows from others given is left out: it says nothing new.
    pub(super) fn new(
        seen: &[Seen],
        correlation: impl Fn(usize, usize) -> f64,
    ) -> Result<Self, CausesError> {
        for (index, s) in seen.iter().enumerate() {
            let (value_rad, standard_rad) = (s.deviation.value.rad(), s.deviation.standard.rad());
            if !(value_rad.is_finite() && standard_rad.is_finite() && standard_rad > 0.0) {
                return Err(CausesError::NoUncertainty {
                    clue: s.clue,
                    value_rad,
                    standard_rad,
                });
            }
            if seen[..index].iter().any(|other| other.clue == s.clue) {
                return Err(CausesError::Twice { clue: s.clue });
            }
        }
        let clues: Vec<Clue> = seen.iter().map(|s| s.clue).collect();
        let kept: Vec<usize> = (0..seen.len())
            .filter(|index| !follows(clues[*index], &clues))
            .collect();
        if kept.is_empty() {
            return Err(CausesError::NoFigure);
        }
        let standard = |index: usize| seen[index].deviation.standard.rad();
        let noise = DMatrix::from_fn(kept.len(), kept.len(), |row, column| {
            let (a, b) = (kept[row.min(column)], kept[row.max(column)]);
            let shared = if a == b { 1.0 } else { correlation(a, b) };
            shared * standard(a) * standard(b)
        });
        let values = kept.iter().map(|index| seen[*index].deviation.value.rad());
        let found = Self {
            values: DVector::from_iterator(kept.len(), values),
            seen: kept.iter().map(|index| seen[*index]).collect(),
            noise,
        };
        cholesky(&found.noise)?;
        Ok(found)
    }

    /// The likelihood of there being nothing but errors of measurement.
    pub(super) fn of_nothing(&self) -> Result<f64, CausesError> {
        self.log_normal(&cholesky(&self.noise)?)
    }

    /// Whether all of a cause would show in some of the figures.
    pub(super) fn shows(&self, signature: Signature) -> bool {
        signature.modes().all(|mode| {
            let mut factors = self.seen.iter().map(|s| mode.on(s.clue).factor);
            factors.any(|factor| factor != 0.0)
        })
    }

    /// How well a cause explains the deviations, all scales of faults together.
    pub(super) fn weigh(&self, signature: Signature) -> Result<Weight, CausesError> {
        let scales = FAULTS_DEG
            .iter()
            .map(|deg| self.at_scale(signature, Angle::from_deg(*deg).rad()))
            .collect::<Result<Vec<Weight>, _>>()?;
        let best = scales
            .iter()
            .fold(f64::NEG_INFINITY, |most, s| most.max(s.log_likelihood));
        if best == f64::NEG_INFINITY {
            // The figures speak for the other way with certainty.
            return Ok(Weight {
                log_likelihood: best,
                explained: vec![0.0; self.seen.len()],
            });
        }
        let shares: Vec<f64> = scales
            .iter()
            .map(|s| (s.log_likelihood - best).exp())
            .collect();
        let total: f64 = shares.iter().sum();
        let explained = (0..self.seen.len()).map(|row| {
            let parts = scales.iter().zip(&shares);
            parts
                .map(|(s, share)| s.explained[row] * share)
                .sum::<f64>()
                / total
        });
        let more_faults = if signature.faults() > 1 {
            SECOND_FAULT.ln()
        } else {
            0.0
        };
        Ok(Weight {
            log_likelihood: best + (total / FAULTS_DEG.len() as f64).ln() + more_faults,
            explained: explained.collect(),
        })
    }

    fn at_scale(&self, signature: Signature, scale_rad: f64) -> Result<Weight, CausesError> {
        let size = scale_rad * scale_rad;
        let mut covariance = self.noise.clone();
        for mode in signature.modes() {
            for (row, seen) in self.seen.iter().enumerate() {
                covariance[(row, row)] += size * mode.on(seen.clue).spread.powi(2);
            }
        }
        for mode in signature.either_way.into_iter().flatten() {
            let factors = self.factors(mode);
            covariance += size * &factors * factors.transpose();
        }
        let mut one_way = 0.0;
        if let Some(mode) = signature.one_way {
            // Half of the sizes only: twice the density, cut off at zero.
            let factors = self.factors(mode);
            let solved = cholesky(&covariance)?.solve(&factors);
            let variance = 1.0 / (1.0 / size + factors.dot(&solved));
            let middle = variance * solved.dot(&self.values);
            one_way = (2.0 * Normal::standard().cdf(middle / variance.sqrt())).ln();
            covariance += size * &factors * factors.transpose();
        }
        let whole = cholesky(&covariance)?;
        let explained = (&covariance - &self.noise) * whole.solve(&self.values);
        Ok(Weight {
            log_likelihood: self.log_normal(&whole)? + one_way,
            explained: explained.iter().copied().collect(),
        })
    }

    fn factors(&self, mode: Mode) -> DVector<f64> {
        let factors = self.seen.iter().map(|s| mode.on(s.clue).factor);
        DVector::from_iterator(self.seen.len(), factors)
    }

    /// Without the factor (2π)^(−n/2), which all causes share.
    fn log_normal(&self, covariance: &Cholesky<f64, Dyn>) -> Result<f64, CausesError> {
        let distance = self.values.dot(&covariance.solve(&self.values));
        let found = -0.5 * distance - covariance.l().diagonal().map(f64::ln).sum();
        if found.is_finite() {
            Ok(found)
        } else {
            Err(CausesError::Correlations)
        }
    }
}

fn cholesky(covariance: &DMatrix<f64>) -> Result<Cholesky<f64, Dyn>, CausesError> {
    Cholesky::new(covariance.clone()).ok_or(CausesError::Correlations)
}

/// Included angle is SAI plus camber, and left less right follows from both sides.
fn follows(clue: Clue, given: &[Clue]) -> bool {
    let has = |clue| given.contains(&clue);
    match clue {
        Clue::Wheel(Kind::IncludedAngle, side) => {
            has(Clue::Wheel(Kind::Camber, side)) && has(Clue::Wheel(Kind::Sai, side))
        }
        Clue::Across(kind) => {
            Side::BOTH.iter().all(|side| has(Clue::Wheel(kind, *side)))
                || (kind == Kind::IncludedAngle
                    && has(Clue::Across(Kind::Camber))
                    && has(Clue::Across(Kind::Sai)))
        }
        _ => false,
    }
}
