//! Allan deviation: how a sensor's noise behaves over how long one averages.
//!
//! The record is a *phase*: the running integral of what the sensor reads (the
//! angle of a gyro, the speed of an accelerometer). Over stretches of τ = m·τ₀
//!
//! ```text
//! σ²(τ) = ⟨ (x[i+2m] − 2 x[i+m] + x[i])² ⟩ / (2 τ²)
//! ```
//!
//! taken over every i ([`Phase::overlapping`]) or over every m-th i only
//! ([`Phase::plain`]). The formulas are those of NIST SP 1065, whose printed
//! examples are the checks; the degrees of freedom are its approximations for
//! white, flicker and random-walk frequency noise (from memory).
//!
//! [`NoiseTerms::read`] reads a curve as IEEE 952 does (from memory): noise
//! density on the slope −½ at τ = 1 s, bias instability from the lowest point,
//! rate random walk on the slope +½ at τ = 3 s.

mod terms;

use thiserror::Error;

pub use terms::{NoiseTerm, NoiseTerms, Unseen};

/// Why a record has no Allan deviation.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum AllanError {
    /// Too few values.
    #[error("{found} values of phase, at least 3 are needed")]
    TooShort {
        /// Values of phase.
        found: usize,
    },
    /// A value is not finite.
    #[error("value {index} is not finite")]
    NotFinite {
        /// Which, from 0.
        index: usize,
    },
    /// The interval cannot be.
    #[error("readings {interval_s} s apart")]
    Interval {
        /// Interval asked for, s.
        interval_s: f64,
    },
}

/// How the stretches of a curve follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grid {
    /// 1, 2, 4, 8 … readings.
    Octave,
    /// 1, 10, 100 … readings.
    Decade,
}

/// Allan deviation over one length of stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AllanPoint {
    /// Length of the stretch, s.
    pub tau_s: f64,
    /// Deviation, in the unit of the readings.
    pub deviation: f64,
    /// Second differences in the mean.
    pub terms: usize,
    /// Values of phase the deviation rests on.
    pub phases: usize,
    /// Values of phase per stretch.
    pub per_stretch: usize,
}

impl AllanPoint {
    /// Equivalent degrees of freedom of the deviation's square, for a kind of noise.
    pub fn freedom(&self, noise: NoiseKind) -> f64 {
        noise.freedom(self.phases as f64, self.per_stretch as f64)
    }

    /// Standard uncertainty of the deviation relative to it, for a kind of noise.
    pub fn relative_standard(&self, noise: NoiseKind) -> f64 {
        (2.0 * self.freedom(noise)).sqrt().recip()
    }
}

/// The kinds of noise that a curve is read for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoiseKind {
    /// White readings: slope −½.
    White,
    /// Readings that flicker (1/f): slope 0.
    Flicker,
    /// Readings that walk at random: slope +½.
    RandomWalk,
}

impl NoiseKind {
    /// Degrees of freedom for `n` values of phase, `m` per stretch.
    fn freedom(self, n: f64, m: f64) -> f64 {
        let freedom = match self {
            Self::White => {
                (3.0 * (n - 1.0) / (2.0 * m) - 2.0 * (n - 2.0) / n) * 4.0 * m * m
                    / (4.0 * m * m + 5.0)
            }
            Self::Flicker if m < 2.0 => 2.0 * (n - 2.0).powi(2) / (2.3 * n - 4.9),
            Self::Flicker => 5.0 * n * n / (4.0 * m * (n + 3.0 * m)),
            Self::RandomWalk => {
                (n - 2.0) / m * ((n - 1.0).powi(2) - 3.0 * m * (n - 1.0) + 4.0 * m * m)
                    / (n - 3.0).powi(2)
            }
        };
        // The approximations leave their ground where one difference is all there is.
        if freedom.is_finite() {
            freedom.max(1.0)
        } else {
            1.0
        }
    }
}

/// The running integral of evenly spaced readings.
#[derive(Debug, Clone, PartialEq)]
pub struct Phase {
    values: Vec<f64>,
    interval_s: f64,
}

impl Phase {
    /// From the phase itself, in the unit of the readings times seconds.
    pub fn from_values(values: Vec<f64>, interval_s: f64) -> Result<Self, AllanError> {
        if !(interval_s.is_finite() && interval_s > 0.0) {
            return Err(AllanError::Interval { interval_s });
        }
        if let Some(index) = values.iter().position(|value| !value.is_finite()) {
            return Err(AllanError::NotFinite { index });
        }
        if values.len() < 3 {
            return Err(AllanError::TooShort {
                found: values.len(),
            });
        }
        Ok(Self { values, interval_s })
    }

    /// From the readings: a rate or an acceleration, `interval_s` apart.
    pub fn from_readings(readings: &[f64], interval_s: f64) -> Result<Self, AllanError> {
        // Second differences do not see the mean, but the sum would lose digits to it.
        let mean = readings.iter().sum::<f64>() / readings.len().max(1) as f64;
        let mut sum = 0.0;
        let values = std::iter::once(0.0)
            .chain(readings.iter().map(|reading| {
                sum += (reading - mean) * interval_s;
                sum
            }))
            .collect();
        Self::from_values(values, interval_s)
    }

    /// Deviation over stretches of `per_stretch` readings that overlap: the best
    /// estimate a record can give. None when fewer than two stretches fit.
    pub fn overlapping(&self, per_stretch: usize) -> Option<AllanPoint> {
        self.point(per_stretch, 1, self.values.len(), per_stretch)
    }

    /// Deviation over stretches side by side, as first defined.
    pub fn plain(&self, per_stretch: usize) -> Option<AllanPoint> {
        let stretches = (self.values.len() - 1).checked_div(per_stretch)?;
        self.point(per_stretch, per_stretch, stretches + 1, 1)
    }

    /// Readings per stretch on a grid, as long as two stretches fit.
    pub fn grid(&self, grid: Grid) -> impl Iterator<Item = usize> {
        let factor = match grid {
            Grid::Octave => 2,
            Grid::Decade => 10,
        };
        let longest = (self.values.len() - 1) / 2;
        std::iter::successors(Some(1_usize), move |m| m.checked_mul(factor))
            .take_while(move |&m| m <= longest)
    }

    /// The overlapping deviation over a grid.
    pub fn curve(&self, grid: Grid) -> Vec<AllanPoint> {
        self.grid(grid)
            .filter_map(|m| self.overlapping(m))
            .collect()
    }

    fn point(
        &self,
        m: usize,
        step: usize,
        phases: usize,
        per_stretch: usize,
    ) -> Option<AllanPoint> {
        let x = &self.values;
        if m == 0 || m > (x.len() - 1) / 2 {
            return None;
        }
        let tau_s = m as f64 * self.interval_s;
        let (mut sum, mut terms) = (0.0, 0_usize);
        for i in (0..x.len() - 2 * m).step_by(step) {
            let second = x[i + 2 * m] - 2.0 * x[i + m] + x[i];
            sum += second * second;
            terms += 1;
        }
        Some(AllanPoint {
            tau_s,
            deviation: (sum / (2.0 * terms as f64)).sqrt() / tau_s,
            terms,
            phases,
            per_stretch,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_that_cannot_be_is_refused() {
        let check = |values: &[f64], interval_s: f64, expected: AllanError| {
            assert_eq!(
                Phase::from_values(values.to_vec(), interval_s),
                Err(expected)
            );
        };
        check(&[0.0, 1.0], 1.0, AllanError::TooShort { found: 2 });
        check(
            &[0.0, f64::NAN, 1.0],
            1.0,
            AllanError::NotFinite { index: 1 },
        );
        check(&[0.0; 5], 0.0, AllanError::Interval { interval_s: 0.0 });
        assert_eq!(
            Phase::from_readings(&[], 1.0),
            Err(AllanError::TooShort { found: 1 })
        );
    }

    #[test]
    fn grids_end_where_two_stretches_no_longer_fit() {
        let phase = Phase::from_readings(&[0.0; 200], 0.01).unwrap();
        assert_eq!(
            phase.grid(Grid::Octave).collect::<Vec<_>>(),
            [1, 2, 4, 8, 16, 32, 64]
        );
        assert_eq!(phase.grid(Grid::Decade).collect::<Vec<_>>(), [1, 10, 100]);
        assert!(phase.overlapping(100).is_some() && phase.plain(100).is_some());
        assert_eq!(phase.overlapping(101), None);
        assert_eq!(phase.plain(101), None);
        assert_eq!(phase.plain(0), None);
    }

    #[test]
    fn a_steady_drift_shows_as_the_root_of_half_its_rise() {
        // Readings that rise by r per second: σ(τ) = r τ / √2, and an offset does not show.
        let readings: Vec<f64> = (0..100).map(|i| 1e6 + 0.3 * f64::from(i) * 0.1).collect();
        let phase = Phase::from_readings(&readings, 0.1).unwrap();
        for m in [1, 5, 40] {
            let point = phase.overlapping(m).unwrap();
            let expected = 0.3 * point.tau_s / 2f64.sqrt();
            assert!(
                (point.deviation - expected).abs() < 1e-6 * expected,
                "{point:?}"
            );
        }
    }
}
