//! The probability that a true value lies within its limits.

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::entered::{Figure, Quantity};

use super::Limits;

/// Beyond this Student's distribution is the normal one to better than 3e-4 of
/// probability (Abramowitz and Stegun 26.7.5).
const AS_GOOD_AS_NORMAL: f64 = 1e3;

/// Probability that the true value lies within the limits, given the figure alone
/// (JCGM 106:2012, 7.2): by the normal distribution, or by Student's for finite
/// degrees of freedom, of which the whole number below is used.
pub fn conformance_probability<Q: Quantity>(figure: &Figure<Q>, limits: &Limits<Q>) -> f64 {
    let (value, standard) = (figure.value.si(), figure.standard.si());
    let below = |limit: f64| {
        if standard > 0.0 {
            cumulative((limit - value) / standard, figure.degrees_of_freedom)
        } else if value <= limit {
            1.0
        } else {
            0.0
        }
    };
    let upper = limits.upper().map_or(1.0, |limit| below(limit.si()));
    let lower = limits.lower().map_or(0.0, |limit| {
        if standard > 0.0 {
            below(limit.si())
        } else if value < limit.si() {
            1.0
        } else {
            0.0
        }
    });
    (upper - lower).clamp(0.0, 1.0)
}

/// Probability below `t` standard uncertainties.
fn cumulative(t: f64, degrees_of_freedom: f64) -> f64 {
    let whole = degrees_of_freedom.floor().max(1.0);
    let student = (whole <= AS_GOOD_AS_NORMAL)
        .then(|| StudentsT::new(0.0, 1.0, whole))
        .and_then(Result::ok);
    match student {
        Some(student) => student.cdf(t),
        None => Normal::standard().cdf(t),
    }
}
