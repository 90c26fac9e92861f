//! Names of the places a board can be.

use std::fmt;

use serde::{Deserialize, Serialize};

/// Side of the car, seen by its driver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Left.
    Left,
    /// Right.
    Right,
}

impl Side {
    /// +1 on the left, −1 on the right: the sign of y there.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }
}

/// One wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Wheel {
    /// Front left.
    FrontLeft,
    /// Front right.
    FrontRight,
    /// Rear left.
    RearLeft,
    /// Rear right.
    RearRight,
}

impl Wheel {
    /// All four, in the order of [`Wheel::index`].
    pub const ALL: [Self; 4] = [
        Self::FrontLeft,
        Self::FrontRight,
        Self::RearLeft,
        Self::RearRight,
    ];

    /// Position in arrays of four.
    pub const fn index(self) -> usize {
        match self {
            Self::FrontLeft => 0,
            Self::FrontRight => 1,
            Self::RearLeft => 2,
            Self::RearRight => 3,
        }
    }

    /// Which side it is on.
    pub const fn side(self) -> Side {
        match self {
            Self::FrontLeft | Self::RearLeft => Side::Left,
            Self::FrontRight | Self::RearRight => Side::Right,
        }
    }

    /// Is it on the steered axle?
    pub const fn is_front(self) -> bool {
        matches!(self, Self::FrontLeft | Self::FrontRight)
    }

    /// The name used in files, e.g. `front_left`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::FrontLeft => "front_left",
            Self::FrontRight => "front_right",
            Self::RearLeft => "rear_left",
            Self::RearRight => "rear_right",
        }
    }
}

impl fmt::Display for Wheel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// Where a board is strapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mount {
    /// On the front left hub.
    FrontLeft,
    /// On the front right hub.
    FrontRight,
    /// On the rear left hub.
    RearLeft,
    /// On the rear right hub.
    RearRight,
    /// On the body.
    Body,
}

impl Mount {
    /// The wheel it is on; none for the body.
    pub const fn wheel(self) -> Option<Wheel> {
        match self {
            Self::FrontLeft => Some(Wheel::FrontLeft),
            Self::FrontRight => Some(Wheel::FrontRight),
            Self::RearLeft => Some(Wheel::RearLeft),
            Self::RearRight => Some(Wheel::RearRight),
            Self::Body => None,
        }
    }

    /// The name used in files and for the port, e.g. `front_left`.
    pub const fn name(self) -> &'static str {
        match self.wheel() {
            Some(wheel) => wheel.name(),
            None => "body",
        }
    }
}

impl From<Wheel> for Mount {
    fn from(wheel: Wheel) -> Self {
        match wheel {
            Wheel::FrontLeft => Self::FrontLeft,
            Wheel::FrontRight => Self::FrontRight,
            Wheel::RearLeft => Self::RearLeft,
            Wheel::RearRight => Self::RearRight,
        }
    }
}

impl fmt::Display for Mount {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}
