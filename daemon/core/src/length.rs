//! Lengths that know their unit.

use std::ops::{Add, Div, Mul, Neg, Sub};

/// Metres in an inch, by definition (international yard, 1959).
const INCH_M: f64 = 0.0254;

/// A length. Metres inside; millimetres and inches where people are.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Length(f64);

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0.0);

    /// A length given in metres.
    pub const fn from_m(m: f64) -> Self {
        Self(m)
    }

    /// A length given in millimetres.
    pub const fn from_mm(mm: f64) -> Self {
        Self(mm * 1e-3)
    }

    /// A length given in inches of 25.4 mm.
    pub const fn from_inch(inch: f64) -> Self {
        Self(inch * INCH_M)
    }

    /// Metres.
    pub const fn m(self) -> f64 {
        self.0
    }

    /// Millimetres.
    pub const fn mm(self) -> f64 {
        self.0 * 1e3
    }

    /// Inches of 25.4 mm.
    pub const fn inch(self) -> f64 {
        self.0 / INCH_M
    }

    /// Magnitude.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Length {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

/// The ratio of two lengths.
impl Div for Length {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_those_of_the_definitions() {
        let check = |length: Length, m: f64, mm: f64, inch: f64| {
            for (found, expected) in [(length.m(), m), (length.mm(), mm), (length.inch(), inch)] {
                assert!((found - expected).abs() < 1e-9, "{length:?}: {expected}");
            }
        };
        check(Length::from_inch(1.0), 0.0254, 25.4, 1.0);
        check(Length::from_mm(406.4), 0.4064, 406.4, 16.0);
        check(Length::from_m(-0.5), -0.5, -500.0, -500.0 / 25.4);
    }
}
