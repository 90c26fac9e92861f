//! Several figures whose errors are kept apart.

use nalgebra::{DMatrix, SMatrix};

use crate::gum::{Correlated, GumError, Uncertainty};

use super::{Entered, Figure, Quantity, Source};

/// An eigenvalue below this share of the largest is rounding.
const ROUNDING: f64 = 1e-12;

/// One error, independent of all others, and what one standard uncertainty of
/// it does to every figure.
#[derive(Debug, Clone, PartialEq)]
struct OneError<const N: usize> {
    source: Source,
    effects: [f64; N],
    degrees_of_freedom: f64,
}

/// `N` figures in coherent units (rad, m, 1) with all errors that are in them.
///
/// An error that is in several figures is held once, so whatever is worked out
/// of them keeps the correlation.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures<const N: usize> {
    values: [f64; N],
    errors: Vec<OneError<N>>,
}

impl<const N: usize> Figures<N> {
    /// Readings that have nothing to do with each other.
    pub fn entered<Q: Quantity>(readings: [Entered<Q>; N]) -> Result<Self, GumError> {
        let mut errors = Vec::new();
        for (index, reading) in readings.iter().enumerate() {
            let uncertainty = reading.finite()?.uncertainty;
            if uncertainty.standard > 0.0 {
                let mut effects = [0.0; N];
                effects[index] = uncertainty.standard;
                errors.push(OneError {
                    source: reading.source,
                    effects,
                    degrees_of_freedom: uncertainty.degrees_of_freedom,
                });
            }
        }
        let values = readings.map(|reading| reading.value.si());
        Ok(Self { values, errors })
    }

    /// Quantities with a covariance, whose errors all go by one name.
    pub fn correlated(quantities: &Correlated<N>, source: Source, degrees_of_freedom: f64) -> Self {
        let covariance = quantities.covariance();
        let eigen = DMatrix::from_fn(N, N, |r, c| covariance[(r, c)]).symmetric_eigen();
        let largest = eigen.eigenvalues.max();
        let errors = (0..N)
            .filter(|index| eigen.eigenvalues[*index] > ROUNDING * largest)
            .map(|index| {
                let length = eigen.eigenvalues[index].sqrt();
                OneError {
                    source,
                    effects: std::array::from_fn(|i| eigen.eigenvectors[(i, index)] * length),
                    degrees_of_freedom,
                }
            })
            .collect();
        Self {
            values: quantities.values(),
            errors,
        }
    }

    /// These and others that share no error with them.
    #[must_use]
    pub fn beside<const M: usize, const K: usize>(&self, others: &Figures<M>) -> Figures<K> {
        const { assert!(K == N + M, "as many as both have") };
        let joined = |first: &[f64], offset: usize| {
            let mut all = [0.0; K];
            all[offset..offset + first.len()].copy_from_slice(first);
            all
        };
        let mut values = joined(&self.values, 0);
        values[N..].copy_from_slice(&others.values);
        let ours = self.errors.iter().map(|error| OneError {
            source: error.source,
            effects: joined(&error.effects, 0),
            degrees_of_freedom: error.degrees_of_freedom,
        });
        let theirs = others.errors.iter().map(|error| OneError {
            source: error.source,
            effects: joined(&error.effects, N),
            degrees_of_freedom: error.degrees_of_freedom,
        });
        Figures {
            values,
            errors: ours.chain(theirs).collect(),
        }
    }

    /// One more error in the figures, independent of those before.
    #[must_use]
    pub fn also(mut self, source: Source, effects: [f64; N]) -> Self {
        self.errors.push(OneError {
            source,
            effects,
            degrees_of_freedom: f64::INFINITY,
        });
        self
    }

    /// What follows from the figures by `law`.
    ///
    /// Each error is followed through the law by itself, one standard
    /// uncertainty either way (JCGM 100:2008, 5.1.3 note 2).
    pub fn law<const M: usize>(
        &self,
        law: impl Fn(&[f64; N]) -> [f64; M],
    ) -> Result<Figures<M>, GumError> {
        let values = law(&self.values);
        let moved = |error: &OneError<N>, by: f64| {
            law(&std::array::from_fn(|i| {
                self.values[i] + by * error.effects[i]
            }))
        };
        let errors: Vec<OneError<M>> = self
            .errors
            .iter()
            .map(|error| {
                let (up, down) = (moved(error, 1.0), moved(error, -1.0));
                OneError {
                    source: error.source,
                    effects: std::array::from_fn(|i| (up[i] - down[i]) / 2.0),
                    degrees_of_freedom: error.degrees_of_freedom,
                }
            })
            .collect();
        let effects = errors.iter().flat_map(|error| error.effects);
        if values
            .iter()
            .copied()
            .chain(effects)
            .any(|v| !v.is_finite())
        {
            return Err(GumError::NotFinite);
        }
        Ok(Figures { values, errors })
    }

    /// The values in coherent units.
    pub const fn values(&self) -> &[f64; N] {
        &self.values
    }

    /// The covariance of the errors, coherent units.
    pub fn covariance(&self) -> SMatrix<f64, N, N> {
        SMatrix::from_fn(|r, c| {
            let products = self.errors.iter().map(|e| e.effects[r] * e.effects[c]);
            products.sum()
        })
    }

    /// Values and covariance alone.
    pub fn to_correlated(&self) -> Result<Correlated<N>, GumError> {
        Correlated::from_covariance(self.values, &self.covariance())
    }

    /// One of the figures with its budget.
    pub fn figure<Q: Quantity>(&self, index: usize) -> Figure<Q> {
        let parts: Vec<Uncertainty> = self
            .errors
            .iter()
            .map(|e| Uncertainty::with_freedom(e.effects[index], e.degrees_of_freedom))
            .collect();
        Figure::from_variances(
            self.values[index],
            Uncertainty::combined(&parts).degrees_of_freedom,
            self.errors
                .iter()
                .map(|e| (e.source, e.effects[index].powi(2))),
        )
    }
}
