//! Left and right, and the workshop's mirror between them.

use crate::frames::{Dir, Floor, Vec3};

/// Side of the car a wheel is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// The left wheel, seen from the driver's seat.
    Left,
    /// The right wheel.
    Right,
}

impl Side {
    /// Both sides, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];

    /// +1 left, −1 right: the Y component of "outboard" in ISO 8855.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }

    /// Outboard component of a vector.
    pub fn outboard(self, v: &Vec3<Floor>) -> f64 {
        self.sign() * v.y()
    }

    /// A direction given forward, outboard, up.
    pub fn direction(self, forward: f64, outboard: f64, up: f64) -> Option<Dir<Floor>> {
        Dir::along(Vec3::new(forward, self.sign() * outboard, up))
    }
}
