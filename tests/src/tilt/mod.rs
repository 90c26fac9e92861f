//! Tilt filters against truth: open recordings with an optical reference, and
//! the simulated car.
//!
//! Shared by the validation tests and by the command that writes
//! `docs/TILT.md`, so that the document shows what the tests check.

pub mod contenders;
pub mod cuts;
pub mod garage;
pub mod report;

/// A direction in a board's axes, length one.
pub type Up = [f64; 3];

/// Angle between two directions, degrees. For the direction against gravity in
/// the board's axes this is the inclination part of the orientation error as
/// the BROAD paper takes it from the error quaternion, 2 acos √(w² + z²).
pub fn angle_deg(a: Up, b: Up) -> f64 {
    let [x, y, z] = cross(a, b);
    let across = (x * x + y * y + z * z).sqrt();
    across.atan2(dot(a, b)).to_degrees()
}

/// Vector product.
pub fn cross(a: Up, b: Up) -> Up {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// Scalar product.
pub fn dot(a: Up, b: Up) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector made one long; zero stays zero.
pub fn unit(v: Up) -> Up {
    let length = dot(v, v).sqrt();
    if length > 0.0 {
        v.map(|c| c / length)
    } else {
        v
    }
}

/// Root mean square; none of nothing.
pub fn rms(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    let (mut count, mut sum) = (0_u32, 0.0);
    for value in values {
        count += 1;
        sum += value * value;
    }
    (count > 0).then(|| (sum / f64::from(count)).sqrt())
}

/// Errors along two axes square to each other against what was stated.
#[derive(Debug, Clone, Copy, Default)]
pub struct Coverage {
    within: u32,
    count: u32,
    error_square: f64,
    stated_square: f64,
}

impl Coverage {
    /// Counts one direction: `standard_rad` is the uncertainty stated per axis.
    pub fn take(&mut self, found: Up, truth: Up, standard_rad: f64) {
        // Two axes square to the true direction, fixed to the board as far as they can be.
        let helper = if truth[0].abs() < 0.7 {
            [1.0, 0.0, 0.0]
        } else {
            [0.0, 1.0, 0.0]
        };
        let first = unit(cross(helper, truth));
        for axis in [first, cross(truth, first)] {
            let error = dot(found, axis);
            self.count += 1;
            self.within += u32::from(error.abs() <= 2.0 * standard_rad);
            self.error_square += error * error;
            self.stated_square += standard_rad * standard_rad;
        }
    }

    /// Share within two standard uncertainties.
    pub fn share(&self) -> f64 {
        f64::from(self.within) / f64::from(self.count.max(1))
    }

    /// Root mean square error per axis, degrees.
    pub fn error_deg(&self) -> f64 {
        (self.error_square / f64::from(self.count.max(1)))
            .sqrt()
            .to_degrees()
    }

    /// Root mean square of the stated standard uncertainty, degrees.
    pub fn stated_deg(&self) -> f64 {
        (self.stated_square / f64::from(self.count.max(1)))
            .sqrt()
            .to_degrees()
    }
}
