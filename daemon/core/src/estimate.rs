//! A value and how far to trust it.

use crate::angle::Angle;

/// Coverage factor of the stated 95 % intervals: the normal distribution's
/// (JCGM 100:2008, table G.1).
pub const COVERAGE_95: f64 = 1.96;

/// An angle with its standard uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: Angle,
    /// Standard uncertainty (one sigma), never negative.
    pub standard: Angle,
}

impl Estimate {
    /// A value with its standard uncertainty.
    pub const fn new(value: Angle, standard: Angle) -> Self {
        Self {
            value,
            standard: standard.abs(),
        }
    }

    /// A value in degrees with its standard uncertainty in degrees.
    pub const fn from_deg(value_deg: f64, standard_deg: f64) -> Self {
        Self::new(Angle::from_deg(value_deg), Angle::from_deg(standard_deg))
    }

    /// Half width of the 95 % interval.
    pub fn expanded(&self) -> Angle {
        self.standard * COVERAGE_95
    }
}
