//! Uncertainty as JCGM 100:2008 (the GUM) combines it.
//!
//! [`Uncertainty`] is for independent contributions that know how well they are
//! known themselves; [`Correlated`] carries several quantities with their
//! covariance through a function; [`difference`] takes two angles apart that
//! share a cause, such as left and right over one floor.

mod correlated;

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
use thiserror::Error;

use crate::angle::Angle;
use crate::estimate::Estimate;

pub use correlated::Correlated;

/// Why there is no uncertainty.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum GumError {
    /// Too few degrees of freedom for an interval.
    #[error("{degrees_of_freedom} degrees of freedom, at least 1 is needed")]
    NoFreedom {
        /// Degrees of freedom found.
        degrees_of_freedom: f64,
    },
    /// A probability outside (0, 1).
    #[error("a level of confidence of {probability} is not between 0 and 1")]
    Level {
        /// The probability asked for.
        probability: f64,
    },
    /// A correlation outside −1…1.
    #[error("a correlation of {found} between inputs {first} and {second}")]
    Correlation {
        /// The correlation.
        found: f64,
        /// First input, from 0.
        first: usize,
        /// Second input, from 0.
        second: usize,
    },
    /// A variance below zero.
    #[error("quantity {index} has a variance of {found}")]
    Variance {
        /// The variance.
        found: f64,
        /// Which quantity, from 0.
        index: usize,
    },
    /// Too few observations for a scatter.
    #[error("{found} observations, at least 2 are needed")]
    TooFewObservations {
        /// Observations found.
        found: usize,
    },
    /// A number is not finite.
    #[error("a number is not finite")]
    NotFinite,
}

/// A standard uncertainty and how well it is known itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertainty {
    /// One sigma, never negative, in the unit of the quantity.
    pub standard: f64,
    /// Degrees of freedom; infinite when the uncertainty is known for certain.
    pub degrees_of_freedom: f64,
}

impl Uncertainty {
    /// Known for certain.
    pub const fn certain(standard: f64) -> Self {
        Self::with_freedom(standard, f64::INFINITY)
    }

    /// With its degrees of freedom.
    pub const fn with_freedom(standard: f64, degrees_of_freedom: f64) -> Self {
        Self {
            standard: standard.abs(),
            degrees_of_freedom,
        }
    }

    /// Anywhere within ± `half_width`, all places alike: a/√3 (4.3.7).
    pub fn rectangular(half_width: f64) -> Self {
        Self::certain(half_width / 3f64.sqrt())
    }

    /// Swinging between ± `half_width` as a sine does: a/√2.
    pub fn arcsine(half_width: f64) -> Self {
        Self::certain(half_width / 2f64.sqrt())
    }

    /// The mean of observations and its uncertainty, by their scatter (4.2).
    pub fn of_mean(observations: &[f64]) -> Result<(f64, Self), GumError> {
        if observations.len() < 2 {
            return Err(GumError::TooFewObservations {
                found: observations.len(),
            });
        }
        let n = observations.len() as f64;
        let mean = observations.iter().sum::<f64>() / n;
        let squares: f64 = observations.iter().map(|o| (o - mean).powi(2)).sum();
        if !squares.is_finite() {
            return Err(GumError::NotFinite);
        }
        let standard = (squares / (n * (n - 1.0))).sqrt();
        Ok((mean, Self::with_freedom(standard, n - 1.0)))
    }

    /// The same uncertainty, itself doubted by `relative` of it: ν = ½ relative⁻² (G.4.2).
    #[must_use]
    pub fn doubted(self, relative: f64) -> Self {
        Self::with_freedom(self.standard, 0.5 / (relative * relative))
    }

    /// Its share in a result that moves by `sensitivity` times the input.
    #[must_use]
    pub fn times(self, sensitivity: f64) -> Self {
        Self::with_freedom(self.standard * sensitivity, self.degrees_of_freedom)
    }

    /// Independent contributions together, with the effective degrees of
    /// freedom of Welch and Satterthwaite (G.4.1).
    pub fn combined(contributions: &[Self]) -> Self {
        let variance: f64 = contributions.iter().map(|c| c.standard.powi(2)).sum();
        let doubt: f64 = contributions
            .iter()
            .filter(|c| c.standard > 0.0)
            .map(|c| c.standard.powi(4) / c.degrees_of_freedom)
            .sum();
        let degrees_of_freedom = if doubt > 0.0 {
            variance * variance / doubt
        } else {
            f64::INFINITY
        };
        Self::with_freedom(variance.sqrt(), degrees_of_freedom)
    }

    /// Half width of the interval that holds the value with `probability`.
    pub fn expanded(&self, probability: f64) -> Result<f64, GumError> {
        Ok(self.standard * coverage_factor(self.degrees_of_freedom, probability)?)
    }
}

/// How many standard uncertainties hold the value with `probability`: Student's
/// t on both sides, the normal distribution for infinite degrees of freedom.
/// Broken degrees of freedom count as the next whole number below (G.4.1).
pub fn coverage_factor(degrees_of_freedom: f64, probability: f64) -> Result<f64, GumError> {
    if !(probability > 0.0 && probability < 1.0) {
        return Err(GumError::Level { probability });
    }
    let upper = 0.5 + 0.5 * probability;
    let whole = degrees_of_freedom.floor();
    let no_freedom = GumError::NoFreedom { degrees_of_freedom };
    if degrees_of_freedom.is_nan() || whole < 1.0 {
        return Err(no_freedom);
    }
    // Beyond this the first term of the expansion in 1/ν (Abramowitz and Stegun
    // 26.7.5) is exact to five digits, and the exact way takes very long.
    if whole > 1e3 {
        let z = Normal::standard().inverse_cdf(upper);
        return Ok(z + z * (z * z + 1.0) / (4.0 * whole));
    }
    let student = StudentsT::new(0.0, 1.0, whole).map_err(|_| no_freedom)?;
    Ok(student.inverse_cdf(upper))
}

/// `a − b` for two angles whose errors are correlated (5.2.2): what both share drops out.
pub fn difference(a: &Estimate, b: &Estimate, correlation: f64) -> Result<Estimate, GumError> {
    if !(-1.0..=1.0).contains(&correlation) {
        return Err(GumError::Correlation {
            found: correlation,
            first: 0,
            second: 1,
        });
    }
    let (u, v) = (a.standard.rad(), b.standard.rad());
    let variance = u * u + v * v - 2.0 * correlation * u * v;
    Ok(Estimate::new(
        Angle::from_rad(a.value.rad() - b.value.rad()),
        Angle::from_rad(variance.max(0.0).sqrt()),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn coverage_factors_are_the_printed_ones() {
        // JCGM 100:2008, table G.2 (from memory), printed to two decimals.
        let check = |freedom: f64, probability: f64, printed: f64| {
            let found = coverage_factor(freedom, probability).unwrap();
            assert!(
                (found - printed).abs() <= 0.005 + 1e-9,
                "t({freedom}, {probability}) = {found}, printed {printed}"
            );
        };
        let rows = [
            (1.0, [1.84, 6.31, 12.71, 13.97, 63.66, 235.80]),
            (2.0, [1.32, 2.92, 4.30, 4.53, 9.92, 19.21]),
            (5.0, [1.11, 2.02, 2.57, 2.65, 4.03, 5.51]),
            (10.0, [1.05, 1.81, 2.23, 2.28, 3.17, 3.96]),
            (16.0, [1.03, 1.75, 2.12, 2.17, 2.92, 3.54]),
            (50.0, [1.01, 1.68, 2.01, 2.05, 2.68, 3.16]),
            (f64::INFINITY, [1.0, 1.645, 1.960, 2.0, 2.576, 3.0]),
        ];
        for (freedom, factors) in rows {
            for (probability, printed) in [0.6827, 0.90, 0.95, 0.9545, 0.99, 0.997_300_204]
                .into_iter()
                .zip(factors)
            {
                check(freedom, probability, printed);
            }
        }
        // scipy.stats.t.ppf(0.975, 2000), scipy 1.17.
        check(2000.0, 0.95, 1.961_151);
        // Broken degrees of freedom are cut, as in example H.1.
        assert_eq!(coverage_factor(16.75, 0.99), coverage_factor(16.0, 0.99));
    }

    #[test]
    fn student_agrees_with_closed_forms() {
        // ν = 1: t = tan(π p/2); ν = 2: t = p √(2/(1 − p²)).
        for p in [0.1, 0.5, 0.9, 0.99, 0.999] {
            let one = (std::f64::consts::FRAC_PI_2 * p).tan();
            let two = p * (2.0 / (1.0 - p * p)).sqrt();
            for (freedom, expected) in [(1.0, one), (2.0, two)] {
                let found = coverage_factor(freedom, p).unwrap();
                assert!(
                    (found / expected - 1.0).abs() < 1e-9,
                    "{freedom} {p} {found}"
                );
            }
        }
    }

    #[test]
    fn what_has_no_interval_is_refused() {
        let check = |freedom: f64, probability: f64, expected: GumError| {
            assert_eq!(coverage_factor(freedom, probability), Err(expected));
        };
        check(
            0.5,
            0.95,
            GumError::NoFreedom {
                degrees_of_freedom: 0.5,
            },
        );
        check(10.0, 1.0, GumError::Level { probability: 1.0 });
        check(10.0, 0.0, GumError::Level { probability: 0.0 });
        assert!(matches!(
            coverage_factor(f64::NAN, 0.95),
            Err(GumError::NoFreedom { .. })
        ));
        assert_eq!(
            Uncertainty::of_mean(&[1.0]),
            Err(GumError::TooFewObservations { found: 1 })
        );
        assert_eq!(
            Uncertainty::of_mean(&[1.0, f64::INFINITY]),
            Err(GumError::NotFinite)
        );
    }

    #[test]
    fn a_shared_cause_drops_out_of_a_difference() {
        let left = Estimate::from_deg(-0.5, 0.05);
        let right = Estimate::from_deg(-0.8, 0.04);
        let check = |correlation: f64, expected_deg: f64| {
            let found = difference(&left, &right, correlation).unwrap();
            assert!((found.value.deg() - 0.3).abs() < 1e-12, "{found:?}");
            assert!(
                (found.standard.deg() - expected_deg).abs() < 1e-12,
                "{found:?}"
            );
        };
        check(0.0, 0.05f64.hypot(0.04));
        check(1.0, 0.01);
        check(-1.0, 0.09);
        check(0.5, (0.0025 + 0.0016 - 0.002_f64).sqrt());
        assert!(difference(&left, &right, 1.1).is_err());
        assert!(difference(&left, &right, f64::NAN).is_err());
    }
}
