//! A quantity together with its first two time derivatives.
//!
//! Every motion of the simulated car is built from these, so that rates and
//! accelerations are exact and never come from differences of positions.

use std::ops::{Add, Mul, Neg, Sub};

/// Value, first and second time derivative of one quantity.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Jet {
    /// The quantity itself, in its own unit (rad, m, or none).
    pub value: f64,
    /// First derivative, unit per second.
    pub rate: f64,
    /// Second derivative, unit per second squared.
    pub accel: f64,
}

impl Jet {
    /// A quantity that does not change.
    pub const fn constant(value: f64) -> Self {
        Self {
            value,
            rate: 0.0,
            accel: 0.0,
        }
    }

    /// The quantity `y(x)` of this one, given `y`, `dy/dx` and `d²y/dx²` there (chain rule).
    #[must_use]
    pub fn through(self, y: f64, dy: f64, ddy: f64) -> Self {
        Self {
            value: y,
            rate: dy * self.rate,
            accel: ddy * self.rate * self.rate + dy * self.accel,
        }
    }

    /// Sine of the quantity, which is an angle in rad.
    #[must_use]
    pub fn sin(self) -> Self {
        let (s, c) = self.value.sin_cos();
        self.through(s, c, -s)
    }

    /// Cosine of the quantity, which is an angle in rad.
    #[must_use]
    pub fn cos(self) -> Self {
        let (s, c) = self.value.sin_cos();
        self.through(c, -s, -c)
    }

    /// A move from `from` to `to` within `0..over_s`, at rest before and after.
    ///
    /// Minimum-jerk profile `10x³ − 15x⁴ + 6x⁵` (Flash and Hogan, J. Neuroscience 5, 1985, from
    /// memory): velocity and acceleration start and end at zero, as a hand on a steering wheel does.
    pub fn minimum_jerk(from: f64, to: f64, t_s: f64, over_s: f64) -> Self {
        let x = t_s / over_s;
        if x <= 0.0 {
            return Self::constant(from);
        }
        if x >= 1.0 {
            return Self::constant(to);
        }
        let span = to - from;
        let position = x * x * x * (10.0 + x * (6.0 * x - 15.0));
        let velocity = 30.0 * x * x * (1.0 - x) * (1.0 - x);
        let acceleration = 60.0 * x * (1.0 - x) * (1.0 - 2.0 * x);
        Self {
            value: from + span * position,
            rate: span * velocity / over_s,
            accel: span * acceleration / (over_s * over_s),
        }
    }
}

impl Add for Jet {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            value: self.value + other.value,
            rate: self.rate + other.rate,
            accel: self.accel + other.accel,
        }
    }
}

impl Sub for Jet {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Jet {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

impl Add<f64> for Jet {
    type Output = Self;
    fn add(self, constant: f64) -> Self {
        Self {
            value: self.value + constant,
            ..self
        }
    }
}

impl Mul<f64> for Jet {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self {
            value: self.value * factor,
            rate: self.rate * factor,
            accel: self.accel * factor,
        }
    }
}

/// Product of two quantities.
impl Mul for Jet {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            value: self.value * other.value,
            rate: self.rate * other.value + self.value * other.rate,
            accel: self.accel * other.value
                + 2.0 * self.rate * other.rate
                + self.value * other.accel,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Compares a jet's derivatives with central differences of its own value.
    fn check_derivatives(name: &str, at: impl Fn(f64) -> Jet) {
        let h = 1e-4;
        for step in 1..10 {
            let t = f64::from(step) * 0.1;
            let (before, now, after) = (at(t - h), at(t), at(t + h));
            let rate = (after.value - before.value) / (2.0 * h);
            let accel = (after.value - 2.0 * now.value + before.value) / (h * h);
            assert!((rate - now.rate).abs() < 1e-6, "{name} rate at {t}");
            assert!((accel - now.accel).abs() < 1e-5, "{name} accel at {t}");
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let ramp = |t| Jet::minimum_jerk(-0.3, 0.5, t, 1.0);
        check_derivatives("minimum jerk", ramp);
        check_derivatives("sine", |t| ramp(t).sin());
        check_derivatives("cosine", |t| ramp(t).cos());
        check_derivatives("product", |t| ramp(t) * (ramp(t).sin() + 0.4));
        check_derivatives("sum", |t| (ramp(t) * 3.0 - ramp(t).sin()) + 2.0);
    }

    #[test]
    fn a_move_starts_and_ends_at_rest_and_peaks_in_the_middle() {
        assert_eq!(Jet::minimum_jerk(1.0, 2.0, -1.0, 2.0), Jet::constant(1.0));
        assert_eq!(Jet::minimum_jerk(1.0, 2.0, 2.0, 2.0), Jet::constant(2.0));
        let middle = Jet::minimum_jerk(1.0, 2.0, 1.0, 2.0);
        assert!((middle.value - 1.5).abs() < 1e-15);
        // 15/8 of the mean speed, which follows from the polynomial.
        assert!((middle.rate - 1.875 / 2.0).abs() < 1e-15);
        assert_eq!(middle.accel, 0.0);
    }
}
