//! Total toe by one board that is carried from wheel to wheel.
//!
//! A board in a block with two parallel faces is held against the rim of one
//! wheel, carried to the other without turning it much, held there, and carried
//! back, several times. On the left wheel its right face touches, on the right
//! wheel its left one: the heading it has turned by in between is total toe,
//! whose accuracy is that of a gyro over some seconds.
//!
//! [`rest`] is what it showed against a wheel, [`path`] the integration over one
//! carry with everything that a chip's errors can do to it, [`carry`] judges a
//! carry, [`bias`] foretells the gyro's offset on the way from the rests around
//! it, [`lean`] tells how the board sits in the block, [`solve`] lays the headings of the wheels through all carries at once,
//! [`procedure`] does it reading by reading, [`outlook`] says beforehand how far
//! a board can get, [`agreement`] compares with toe found otherwise.
//! docs/CARRIED.md tells the model and what it measured.

pub mod agreement;
mod arrival;
pub mod bias;
pub mod carry;
pub mod lean;
pub mod outlook;
pub mod path;
pub mod procedure;
pub mod refusal;
pub mod rest;
pub mod solve;
#[cfg(test)]
pub(crate) mod staged;

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir};
use crate::side::Side;

pub use procedure::{CarriedToe, Phase, Progress};
pub use refusal::{LeftOut, Refusal};
pub use solve::{CarriedAngle, CarriedCause, Solved, solve};

/// Where the block can rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// Outside the left front rim.
    FrontLeft,
    /// Outside the right front rim.
    FrontRight,
    /// Outside the left rear rim.
    RearLeft,
    /// Outside the right rear rim.
    RearRight,
    /// Against the left of a straight edge that stands for straight ahead.
    Edge,
}

impl Place {
    /// The side of the thing that the block lies on.
    pub const fn side(self) -> Side {
        match self {
            Self::FrontLeft | Self::RearLeft | Self::Edge => Side::Left,
            Self::FrontRight | Self::RearRight => Side::Right,
        }
    }

    /// The same axle's other wheel; the edge has none.
    #[must_use]
    pub const fn across(self) -> Option<Self> {
        match self {
            Self::FrontLeft => Some(Self::FrontRight),
            Self::FrontRight => Some(Self::FrontLeft),
            Self::RearLeft => Some(Self::RearRight),
            Self::RearRight => Some(Self::RearLeft),
            Self::Edge => None,
        }
    }

    /// The same side's other wheel; the edge has none.
    #[must_use]
    pub const fn along(self) -> Option<Self> {
        match self {
            Self::FrontLeft => Some(Self::RearLeft),
            Self::FrontRight => Some(Self::RearRight),
            Self::RearLeft => Some(Self::FrontLeft),
            Self::RearRight => Some(Self::FrontRight),
            Self::Edge => None,
        }
    }

    /// Whether it is a wheel of the front axle.
    pub const fn is_front(self) -> bool {
        matches!(self, Self::FrontLeft | Self::FrontRight)
    }
}

/// A face of the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// The one that touches left wheels while the block is not turned.
    First,
    /// The other.
    Second,
}

impl Face {
    /// The face that touches at a place.
    pub fn at(place: Place, turned: bool) -> Self {
        if (place.side() == Side::Left) == turned {
            Self::Second
        } else {
            Self::First
        }
    }
}

/// All that carrying needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarriedSetup {
    /// What the chip can be trusted for.
    pub chip: ChipFigures,
    /// What of the board points to the car's left while the block is not turned.
    pub to_left: Dir<Board>,
    /// Where the block rests first.
    pub start: Place,
    /// Half width of the 95 % interval that is asked for.
    pub wanted: Angle,
    /// How alike the block lies each time it is put on, one sigma about the vertical.
    pub seat: Angle,
    /// How far the faces are from parallel: the heading of the second one, as it
    /// touches, less that of the first.
    pub faces: Estimate,
    /// How alike it leans against the wheel each time it is put on, one sigma.
    pub seat_lean: Angle,
    /// How square the board sits to the block, one sigma of its lean.
    pub lean: Angle,
    /// How far the faces are from parallel from top to bottom, one sigma.
    pub faces_lean: Angle,
    /// What one g does to the gyro, one sigma per entry of the matrix, rad/s per g.
    pub gyro_per_g_radps: f64,
    /// Slope of the floor.
    pub floor: FloorSlope,
    /// How wrong the time of a reading may be against its neighbours, one sigma, s.
    pub stamp_s: f64,
    /// How long each rest must last, µs.
    pub hold_us: i64,
}

impl CarriedSetup {
    /// Usual figures, for a board whose `to_left` points left.
    ///
    /// A seat of 0.01° is 0.07 mm over a bar of 400 mm (judgement); faces parallel
    /// to 0.05° are 0.1 mm over 100 mm (a calliper), and to 0.2° from top to bottom 0.17 mm over
    /// a height of 50 mm; pressed against a rim over that height it leans alike to 0.05°
    /// (judgement); one g does 0.1 °/s to a
    /// consumer gyro (MPU-6050 data sheet, typical, from memory), and half of that to
    /// one that drifts no more than the class `good` (judgement).
    pub fn usual(chip: ChipFigures, to_left: Dir<Board>, floor: FloorSlope) -> Self {
        let is_quiet = chip.gyro_drift_radps <= ChipFigures::GOOD.gyro_drift_radps;
        let per_g_dps: f64 = if is_quiet { 0.05 } else { 0.1 };
        Self {
            chip,
            to_left,
            start: Place::FrontLeft,
            wanted: Angle::from_deg(0.05),
            seat: Angle::from_deg(0.01),
            faces: Estimate::from_deg(0.0, 0.05),
            seat_lean: Angle::from_deg(0.05),
            lean: Angle::from_deg(1.0),
            faces_lean: Angle::from_deg(0.2),
            gyro_per_g_radps: per_g_dps.to_radians(),
            floor,
            stamp_s: 1e-4,
            hold_us: 2_000_000,
        }
    }
}
