//! Inside, outside or undecided: what a figure with uncertainty says about its
//! limits (JCGM 106:2012).

mod conformance;
mod limits;
mod remedy;

use crate::entered::{Figure, Quantity};
use crate::finding::coverage_95;

pub use conformance::conformance_probability;
pub use limits::{Limit, Limits, LimitsError};
pub use remedy::Remedy;

/// What is kept clear of a limit on both sides of it (JCGM 106:2012, clause 8).
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Guard {
    /// Nothing: the better side of the limit decides (shared risk, 8.2).
    None,
    /// The 95 % uncertainty U of the figure, by its own degrees of freedom, for one
    /// limit and for two alike. The risk of a wrong inside or outside at a
    /// single limit is then 2.5 % at most.
    Expanded,
    /// So many standard uncertainties.
    Standards(f64),
}

impl Guard {
    /// How many standard uncertainties are kept clear.
    fn factor(self, degrees_of_freedom: f64) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Expanded => coverage_95(degrees_of_freedom),
            Self::Standards(factor) => factor.abs(),
        }
    }
}

/// What a figure is called against its limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Clear of every limit, on the good side.
    Inside,
    /// Clear of a limit, on the bad side.
    Outside,
    /// Too near to a limit to tell.
    Undecided,
}

/// What would decide an undecided figure.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed<Q> {
    /// Standard uncertainty at which this very value would be decided; none when it
    /// lies on the limit itself, where no measuring decides.
    pub standard: Option<Q>,
    /// What to better, the most worth first: as many as it takes.
    pub remedies: Vec<Remedy>,
    /// Whether the budget reaches the standard needed with all of them gone.
    pub enough: bool,
    /// Whether the limits are closer together than the bands kept clear of them, so
    /// that no value at all could be found inside by such a measurement.
    pub limits_too_close: bool,
}

/// A verdict and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision<Q> {
    /// The verdict.
    pub verdict: Verdict,
    /// Probability that the true value conforms (JCGM 106:2012, clause 7).
    pub conformance: f64,
    /// The limit that is nearest to the value; none when there are no limits.
    pub nearest: Option<Limit>,
    /// From that limit to the value, + on the good side.
    pub margin: Option<Q>,
    /// Less target, where there is one.
    pub off_target: Option<Q>,
    /// Width kept clear of a limit.
    pub guard_width: Q,
    /// What would decide, when undecided.
    pub needed: Option<Needed<Q>>,
}

/// Judges a figure by its limits.
pub fn decide<Q: Quantity>(figure: &Figure<Q>, limits: &Limits<Q>, guard: Guard) -> Decision<Q> {
    let (value, standard) = (figure.value.si(), figure.standard.si());
    let factor = guard.factor(figure.degrees_of_freedom);
    let width = factor * standard;
    let margins = limits.margins(value);
    let nearest = margins
        .iter()
        .copied()
        .min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
    let verdict = if margins.iter().any(|(_, margin)| *margin < -width) {
        Verdict::Outside
    } else if margins.iter().all(|(_, margin)| *margin >= width) {
        Verdict::Inside
    } else {
        Verdict::Undecided
    };
    let needed = nearest
        .filter(|_| verdict == Verdict::Undecided)
        .map(|(_, margin)| needed(figure, margin.abs() / factor, limits, width));
    Decision {
        verdict,
        conformance: conformance_probability(figure, limits),
        nearest: nearest.map(|(limit, _)| limit),
        margin: nearest.map(|(_, margin)| Q::from_si(margin)),
        off_target: limits.target().map(|t| Q::from_si(value - t.si())),
        guard_width: Q::from_si(width),
        needed,
    }
}

fn needed<Q: Quantity>(
    figure: &Figure<Q>,
    standard: f64,
    limits: &Limits<Q>,
    width: f64,
) -> Needed<Q> {
    let mut left = figure.standard.si().powi(2);
    let mut remedies = Vec::new();
    for share in &figure.budget {
        if left <= standard * standard {
            break;
        }
        // Counted from the shares, which add up to one whatever rounding did.
        left -= share.share * figure.standard.si().powi(2);
        let remedy = Remedy::of(share.source);
        if !remedies.contains(&remedy) {
            remedies.push(remedy);
        }
    }
    Needed {
        standard: (standard > 0.0).then(|| Q::from_si(standard)),
        remedies,
        enough: standard > 0.0 && left <= standard * standard,
        limits_too_close: limits.width().is_some_and(|between| between < 2.0 * width),
    }
}

/// The remedy for the largest share of an uncertainty; none when nothing is uncertain.
pub fn first_remedy<Q: Quantity>(figure: &Figure<Q>) -> Option<Remedy> {
    figure.largest().map(|share| Remedy::of(share.source))
}
