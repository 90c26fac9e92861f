//! Several quantities with their covariance.

use nalgebra::{SMatrix, SVector};

use super::GumError;

/// Rounded inputs may put a correlation this far beyond one.
const ROUNDING: f64 = 1e-9;
/// A variance below this share of what its inputs could make of it is rounding.
const CANCELLED: f64 = 1e-14;

/// `N` quantities and the covariance of their errors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correlated<const N: usize> {
    values: SVector<f64, N>,
    covariance: SMatrix<f64, N, N>,
}

impl<const N: usize> Correlated<N> {
    /// From values and their covariance, of which the upper triangle is used.
    ///
    /// Each correlation is checked by itself; three that cannot be together are
    /// found only when a result gets a variance below zero.
    pub fn from_covariance(
        values: [f64; N],
        covariance: &SMatrix<f64, N, N>,
    ) -> Result<Self, GumError> {
        if values.iter().chain(covariance).any(|v| !v.is_finite()) {
            return Err(GumError::NotFinite);
        }
        for index in 0..N {
            let found = covariance[(index, index)];
            if found < 0.0 {
                return Err(GumError::Variance { found, index });
            }
        }
        for second in 0..N {
            for first in 0..second {
                let product = covariance[(first, first)] * covariance[(second, second)];
                let shared = covariance[(first, second)];
                if shared.abs() > product.sqrt() * (1.0 + ROUNDING) {
                    let found = shared / product.sqrt();
                    return Err(GumError::Correlation {
                        found,
                        first,
                        second,
                    });
                }
            }
        }
        Ok(Self {
            values: values.into(),
            covariance: SMatrix::from_fn(|r, c| covariance[(r.min(c), r.max(c))]),
        })
    }

    /// From values, standard uncertainties and correlations; `correlations`
    /// gives that of a first and a later quantity.
    pub fn from_correlations(
        values: [f64; N],
        standards: [f64; N],
        correlations: impl Fn(usize, usize) -> f64,
    ) -> Result<Self, GumError> {
        let covariance = SMatrix::from_fn(|r, c| {
            let correlation = if r == c {
                1.0
            } else {
                correlations(r.min(c), r.max(c))
            };
            standards[r] * standards[c] * correlation
        });
        Self::from_covariance(values, &covariance)
    }

    /// From values and standard uncertainties that have nothing to do with each other.
    pub fn independent(values: [f64; N], standards: [f64; N]) -> Result<Self, GumError> {
        Self::from_correlations(values, standards, |_, _| 0.0)
    }

    /// The means of quantities observed together, row by row (5.2.3).
    pub fn of_means(observations: &[[f64; N]]) -> Result<Self, GumError> {
        if observations.len() < 2 {
            return Err(GumError::TooFewObservations {
                found: observations.len(),
            });
        }
        let n = observations.len() as f64;
        let rows = || observations.iter().map(|row| SVector::from(*row));
        let mean: SVector<f64, N> = rows().sum::<SVector<f64, N>>() / n;
        let squares: SMatrix<f64, N, N> = rows()
            .map(|row| (row - mean) * (row - mean).transpose())
            .sum();
        Self::from_covariance(mean.into(), &(squares / (n * (n - 1.0))))
    }

    /// The values.
    pub fn values(&self) -> [f64; N] {
        self.values.into()
    }

    /// The covariance of their errors.
    pub fn covariance(&self) -> &SMatrix<f64, N, N> {
        &self.covariance
    }

    /// Standard uncertainty of a quantity.
    pub fn standard(&self, index: usize) -> f64 {
        self.covariance[(index, index)].sqrt()
    }

    /// Correlation of two quantities; none when one of them is certain.
    pub fn correlation(&self, first: usize, second: usize) -> Option<f64> {
        let product = self.standard(first) * self.standard(second);
        (product > 0.0).then(|| self.covariance[(first, second)] / product)
    }

    /// Results that follow from the quantities by `law`, with the covariance
    /// that theirs leaves in them.
    ///
    /// The slopes are taken over one standard uncertainty either way, as 5.1.3
    /// (note 2) suggests: a law that bends within it is met in the mean.
    pub fn propagated<const M: usize>(
        &self,
        law: impl Fn(&[f64; N]) -> [f64; M],
    ) -> Result<Correlated<M>, GumError> {
        let values = law(&self.values.into());
        let mut jacobian = SMatrix::<f64, M, N>::zeros();
        for input in 0..N {
            let step = self.standard(input);
            if step > 0.0 {
                let moved = |by: f64| {
                    let mut inputs = self.values;
                    inputs[input] += by;
                    SVector::from(law(&inputs.into()))
                };
                jacobian.set_column(input, &((moved(step) - moved(-step)) / (2.0 * step)));
            }
        }
        let mut covariance = jacobian * self.covariance * jacobian.transpose();
        for result in 0..M {
            // What cancels altogether leaves rounding of either sign.
            let shares: f64 = (0..N)
                .map(|input| (jacobian[(result, input)] * self.standard(input)).abs())
                .sum();
            if covariance[(result, result)].abs() <= CANCELLED * shares * shares {
                covariance.row_mut(result).fill(0.0);
                covariance.column_mut(result).fill(0.0);
            }
        }
        Correlated::from_covariance(values, &covariance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_linear_law_is_exact() {
        let inputs = Correlated::from_correlations([1.0, -2.0], [0.3, 0.4], |_, _| 0.5).unwrap();
        let sums = inputs.propagated(|[a, b]| [a + b, a - b, 3.0 * a]).unwrap();
        assert_eq!(sums.values(), [-1.0, 3.0, 3.0]);
        let shared = 2.0 * 0.5 * 0.12;
        for (index, expected) in [(0, 0.25 + shared), (1, 0.25 - shared), (2, 0.81)] {
            let variance = sums.standard(index).powi(2);
            assert!((variance - expected).abs() < 1e-12, "{index}: {variance}");
        }
        // cov(a + b, a − b) = u²(a) − u²(b).
        assert!((sums.covariance()[(0, 1)] - (0.09 - 0.16)).abs() < 1e-12);
        assert_eq!(sums.covariance()[(1, 0)], sums.covariance()[(0, 1)]);
    }

    #[test]
    fn what_cancels_is_certain() {
        let inputs = Correlated::from_correlations([0.3, 0.1], [0.1, 0.1], |_, _| 1.0).unwrap();
        let result = inputs.propagated(|[a, b]| [a - b, *a]).unwrap();
        assert!(result.standard(0) < 1e-12, "{result:?}");
        assert!((result.standard(1) - 0.1).abs() < 1e-12, "{result:?}");
    }

    #[test]
    fn a_certain_input_has_no_share() {
        let inputs = Correlated::independent([2.0, 0.0], [0.1, 0.0]).unwrap();
        let result = inputs.propagated(|[a, b]| [a * a + b.abs()]).unwrap();
        assert!((result.standard(0) - 0.4).abs() < 1e-12, "{result:?}");
        assert_eq!(inputs.correlation(0, 1), None);
    }

    #[test]
    fn a_covariance_that_cannot_be_is_refused() {
        let check = |values: [f64; 2], rows: [[f64; 2]; 2], expected: GumError| {
            let covariance = SMatrix::from_fn(|r, c| rows[r][c]);
            assert_eq!(
                Correlated::from_covariance(values, &covariance),
                Err(expected)
            );
        };
        check(
            [0.0, f64::NAN],
            [[1.0, 0.0], [0.0, 1.0]],
            GumError::NotFinite,
        );
        check(
            [0.0; 2],
            [[1.0, 0.0], [0.0, -1.0]],
            GumError::Variance {
                found: -1.0,
                index: 1,
            },
        );
        check(
            [0.0; 2],
            [[1.0, 2.0], [2.0, 1.0]],
            GumError::Correlation {
                found: 2.0,
                first: 0,
                second: 1,
            },
        );
        assert_eq!(
            Correlated::of_means(&[[1.0, 2.0]]),
            Err(GumError::TooFewObservations { found: 1 })
        );
        let root = Correlated::independent([0.0], [1.0])
            .unwrap()
            .propagated(|[a]| [a.sqrt()]);
        assert_eq!(root, Err(GumError::NotFinite));
    }
}
