//! Angles that know their unit.

use std::f64::consts::{PI, TAU};
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// A plane angle. Radians inside; degrees only where people are.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Angle(f64);

impl Angle {
    /// No angle at all.
    pub const ZERO: Self = Self(0.0);

    /// An angle given in radians.
    pub const fn from_rad(rad: f64) -> Self {
        Self(rad)
    }

    /// An angle given in degrees.
    pub const fn from_deg(deg: f64) -> Self {
        Self(deg * (PI / 180.0))
    }

    /// Radians.
    pub const fn rad(self) -> f64 {
        self.0
    }

    /// Degrees.
    pub const fn deg(self) -> f64 {
        self.0 * (180.0 / PI)
    }

    /// The same direction in (−180°, 180°].
    #[must_use]
    pub fn wrapped(self) -> Self {
        let turned = (self.0 + PI).rem_euclid(TAU) - PI;
        // rem_euclid sends +180° to −180°; the interval is open there.
        Self(if turned <= -PI { PI } else { turned })
    }

    /// Magnitude.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// Sine.
    pub fn sin(self) -> f64 {
        self.0.sin()
    }

    /// Cosine.
    pub fn cos(self) -> f64 {
        self.0.cos()
    }

    /// Tangent.
    pub fn tan(self) -> f64 {
        self.0.tan()
    }
}

impl Add for Angle {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Angle {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Angle {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Angle {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<f64> for Angle {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }
}

impl Div<f64> for Angle {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self(self.0 / divisor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wraps_into_one_turn() {
        for (given, expected) in [
            (0.0, 0.0),
            (180.0, 180.0),
            (-180.0, 180.0),
            (181.0, -179.0),
            (-181.0, 179.0),
            (540.0, 180.0),
            (-720.5, -0.5),
        ] {
            let wrapped = Angle::from_deg(given).wrapped().deg();
            assert!(
                (wrapped - expected).abs() < 1e-9,
                "{given}° wrapped to {wrapped}°, not {expected}°"
            );
        }
    }
}
