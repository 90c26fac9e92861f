//! One result with its budget.

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::finding::{Finding, coverage_95};
use crate::gum::{GumError, Uncertainty};

use super::{Quantity, Source};

/// One source's part of an uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share<Q> {
    /// The source.
    pub source: Source,
    /// Its standard uncertainty in the figure.
    pub standard: Q,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A figure, how far to trust it and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure<Q> {
    /// Best value.
    pub value: Q,
    /// Standard uncertainty (one sigma), never negative.
    pub standard: Q,
    /// Effective degrees of freedom of the standard uncertainty (JCGM 100:2008, G.4.1).
    pub degrees_of_freedom: f64,
    /// Where the uncertainty comes from, largest share first; what has no effect is left out.
    pub budget: Vec<Share<Q>>,
}

impl<Q: Quantity> Figure<Q> {
    /// From the variances (coherent unit squared) by source; a source may come more than once.
    pub(crate) fn from_variances(
        value: f64,
        degrees_of_freedom: f64,
        variances: impl IntoIterator<Item = (Source, f64)>,
    ) -> Self {
        let mut by_source: Vec<(Source, f64)> = Vec::new();
        for (source, variance) in variances.into_iter().filter(|(_, v)| *v > 0.0) {
            match by_source.iter_mut().find(|(known, _)| *known == source) {
                Some((_, sum)) => *sum += variance,
                None => by_source.push((source, variance)),
            }
        }
        let total: f64 = by_source.iter().map(|(_, v)| v).sum();
        by_source.sort_by(|a, b| b.1.total_cmp(&a.1));
        Self {
            value: Q::from_si(value),
            standard: Q::from_si(total.sqrt()),
            degrees_of_freedom,
            budget: by_source
                .into_iter()
                .map(|(source, variance)| Share {
                    source,
                    standard: Q::from_si(variance.sqrt()),
                    share: variance / total,
                })
                .collect(),
        }
    }

    /// The source with the largest share; none when nothing is uncertain.
    pub fn largest(&self) -> Option<Share<Q>> {
        self.budget.first().copied()
    }

    /// How many standard uncertainties hold the figure 95 times in 100.
    pub fn coverage_factor(&self) -> f64 {
        coverage_95(self.degrees_of_freedom)
    }

    /// Half width of the 95 % interval.
    pub fn expanded(&self) -> Q {
        Q::from_si(self.standard.si() * self.coverage_factor())
    }

    /// `self − other` where the errors of both are correlated (JCGM 100:2008, 5.2.2).
    ///
    /// The correlation says how much cancels, not where: in the budget it is
    /// taken from what both sides have in common by its nature, such as the
    /// floor, and only without such a source from all alike.
    pub fn less(&self, other: &Self, correlation: f64) -> Result<Self, GumError> {
        if !(-1.0..=1.0).contains(&correlation) {
            return Err(GumError::Correlation {
                found: correlation,
                first: 0,
                second: 1,
            });
        }
        let (u, v) = (self.standard.si(), other.standard.si());
        let variance = (u * u + v * v - 2.0 * correlation * u * v).max(0.0);
        let freedom = Uncertainty::combined(&[
            Uncertainty::with_freedom(u, self.degrees_of_freedom),
            Uncertainty::with_freedom(v, other.degrees_of_freedom),
        ])
        .degrees_of_freedom;
        let remaining = self.remaining(other, correlation * u * v);
        let unscaled: f64 = remaining.iter().map(|(_, v)| v).sum();
        let scale = if unscaled > 0.0 {
            variance / unscaled
        } else {
            0.0
        };
        Ok(Self::from_variances(
            self.value.si() - other.value.si(),
            freedom,
            remaining.into_iter().map(|(s, v)| (s, v * scale)),
        ))
    }

    /// Variances by source of a difference, less their part of the covariance.
    fn remaining(&self, other: &Self, covariance: f64) -> Vec<(Source, f64)> {
        let of = |figure: &Self, source: Source| {
            let share = figure.budget.iter().find(|s| s.source == source);
            share.map_or(0.0, |s| s.standard.si())
        };
        let mut sources: Vec<Source> = Vec::new();
        for share in self.budget.iter().chain(&other.budget) {
            if !sources.contains(&share.source) {
                sources.push(share.source);
            }
        }
        let overlap = |source: Source| of(self, source) * of(other, source);
        let common: f64 = sources
            .iter()
            .filter(|s| s.both_sides_alike())
            .map(|s| overlap(*s))
            .sum();
        let everything: f64 = sources.iter().map(|s| overlap(*s)).sum();
        sources
            .iter()
            .map(|source| {
                let part = if common > 0.0 {
                    if source.both_sides_alike() {
                        overlap(*source) / common
                    } else {
                        0.0
                    }
                } else if everything > 0.0 {
                    overlap(*source) / everything
                } else {
                    0.0
                };
                let own = of(self, *source).powi(2) + of(other, *source).powi(2);
                (*source, (own - 2.0 * covariance * part).max(0.0))
            })
            .collect()
    }
}

impl Figure<Angle> {
    /// Value and standard uncertainty alone.
    pub const fn estimate(&self) -> Estimate {
        Estimate::new(self.value, self.standard)
    }
}

/// What the boards found, with the causes of its uncertainty.
impl From<&Finding> for Figure<Angle> {
    fn from(finding: &Finding) -> Self {
        let contributions = finding.budget.contributions();
        let mut figure = Self::from_variances(
            finding.estimate.value.rad(),
            finding.degrees_of_freedom,
            contributions
                .iter()
                .map(|c| (Source::Sensed(c.cause), c.standard.rad().powi(2))),
        );
        // The finding's own figure counts where rounding or correlations set the sum apart.
        figure.standard = finding.estimate.standard;
        figure
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::{AngleKind, Budget, Cause};

    #[test]
    fn a_finding_keeps_its_figure_and_its_causes() {
        let variance = |deg: f64| deg.to_radians().powi(2);
        let finding = Finding {
            angle: AngleKind::Caster,
            estimate: Estimate::from_deg(4.0, 0.05),
            degrees_of_freedom: 12.0,
            budget: Budget::from_variances(|cause| match cause {
                Cause::Floor => variance(0.04),
                Cause::TiltNoise => variance(0.03),
                _ => 0.0,
            }),
            two_reading: None,
        };
        let figure = Figure::from(&finding);
        assert_eq!(figure.estimate(), finding.estimate);
        assert_eq!(figure.degrees_of_freedom, 12.0);
        assert!((figure.expanded().rad() - finding.expanded().rad()).abs() < 1e-15);
        let found: Vec<(Source, f64)> = figure
            .budget
            .iter()
            .map(|share| (share.source, (share.share * 100.0).round()))
            .collect();
        let expected = [(Cause::Floor, 64.0), (Cause::TiltNoise, 36.0)];
        assert_eq!(
            found,
            expected.map(|(cause, share)| (Source::Sensed(cause), share))
        );
    }
}
