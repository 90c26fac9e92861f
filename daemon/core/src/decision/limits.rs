//! The interval that a figure shall lie in.

use thiserror::Error;

use crate::entered::Quantity;

/// One end of a tolerance interval.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The lower.
    Lower,
    /// The upper.
    Upper,
}

/// Why limits are none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum LimitsError {
    /// The lower limit is above the upper one.
    #[error("the lower limit is above the upper one")]
    Crossed,
    /// The target is outside the limits.
    #[error("the target is outside the limits")]
    TargetOutside,
    /// A tolerance below zero.
    #[error("a tolerance below zero")]
    NegativeTolerance,
    /// A limit or target is not finite.
    #[error("a limit or target is not a number")]
    NotFinite,
}

/// A tolerance interval (JCGM 106:2012, 3.3.5): limits belong to it. Either may
/// be missing; a target is what to aim at when adjusting.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits<Q> {
    lower: Option<Q>,
    upper: Option<Q>,
    target: Option<Q>,
}

impl<Q: Quantity> Limits<Q> {
    /// From limits and target as far as there are any.
    pub fn new(lower: Option<Q>, upper: Option<Q>, target: Option<Q>) -> Result<Self, LimitsError> {
        let si = |q: Option<Q>, missing: f64| q.map_or(missing, Q::si);
        if [lower, upper, target]
            .iter()
            .any(|q| !si(*q, 0.0).is_finite())
        {
            return Err(LimitsError::NotFinite);
        }
        let (low, high) = (si(lower, f64::NEG_INFINITY), si(upper, f64::INFINITY));
        if low > high {
            return Err(LimitsError::Crossed);
        }
        let within = |q: Q| (low..=high).contains(&q.si());
        if !target.is_none_or(within) {
            return Err(LimitsError::TargetOutside);
        }
        Ok(Self {
            lower,
            upper,
            target,
        })
    }

    /// A target and a tolerance to either side.
    pub fn around(target: Q, tolerance: Q) -> Result<Self, LimitsError> {
        let (middle, half) = (target.si(), tolerance.si());
        if half < 0.0 {
            return Err(LimitsError::NegativeTolerance);
        }
        Self::new(
            Some(Q::from_si(middle - half)),
            Some(Q::from_si(middle + half)),
            Some(target),
        )
    }

    /// As far to either side of nothing, for a difference between left and right.
    pub fn at_most(largest: Q) -> Result<Self, LimitsError> {
        Self::around(Q::from_si(0.0), largest)
    }

    /// The lower limit.
    pub const fn lower(&self) -> Option<Q> {
        self.lower
    }

    /// The upper limit.
    pub const fn upper(&self) -> Option<Q> {
        self.upper
    }

    /// The target.
    pub const fn target(&self) -> Option<Q> {
        self.target
    }

    /// Upper less lower limit, coherent unit.
    pub(super) fn width(&self) -> Option<f64> {
        Some(self.upper?.si() - self.lower?.si())
    }

    /// How far inside each limit a value lies, coherent unit; negative outside.
    pub(super) fn margins(&self, value: f64) -> Vec<(Limit, f64)> {
        let lower = self.lower.map(|limit| (Limit::Lower, value - limit.si()));
        let upper = self.upper.map(|limit| (Limit::Upper, limit.si() - value));
        lower.into_iter().chain(upper).collect()
    }
}
