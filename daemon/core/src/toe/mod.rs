//! Toe: four ways to find it, and what follows for the car.
//!
//! Toe is the angle of a wheel plane about the vertical, + toe-in on both sides
//! (ISO 8855:2011, 7.1.6); total toe is the sum over an axle (7.1.7). Thrust and
//! whatever is told against it is + to the right. Nothing here takes an angle
//! for its sine.

mod car;
mod rim;
mod slip_plate;
mod spot;
mod string_box;
mod strings;
mod trammel;

use crate::angle::Angle;
use crate::entered::{EnteredError, Figure, Figures};
use crate::length::Length;
use crate::side::Side;

pub use car::{CarToe, ToeFigure, dog_track_offset, setback, setback_length};
pub use rim::{RimReading, WheelAtString, run_out};
pub use slip_plate::{Indication, SlipPlate, from_side_slip, to_side_slip};
pub use spot::{Reflection, Spot};
pub use string_box::AxleAtStrings;
pub use strings::{Across, GaugedStrings, HubDistances, Strings};
pub use trammel::{Marks, Trammel};

/// Toe of both wheels of an axle, with what their errors share.
#[derive(Debug, Clone, PartialEq)]
pub struct AxleToe(Figures<2>);

impl AxleToe {
    /// Of two wheels measured each by itself.
    pub fn of_wheels(left: &WheelToe, right: &WheelToe) -> Self {
        Self(left.0.beside(&right.0))
    }

    /// Toe of one wheel, + toe-in.
    pub fn wheel(&self, side: Side) -> Figure<Angle> {
        self.0.figure(match side {
            Side::Left => 0,
            Side::Right => 1,
        })
    }

    /// Sum of both (ISO 8855:2011, 7.1.7), + toe-in.
    pub fn total(&self) -> Result<Figure<Angle>, EnteredError> {
        Ok(self.0.law(|[left, right]| [left + right])?.figure(0))
    }
}

/// Toe of one wheel that shares no error with any other.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelToe(Figures<1>);

impl WheelToe {
    /// The figure, + toe-in.
    pub fn figure(&self) -> Figure<Angle> {
        self.0.figure(0)
    }
}

/// Toe of one wheel told as a length: `D · sin τ`, front nearer than rear +.
pub fn as_length(toe: Angle, diameter: Length) -> Length {
    diameter * toe.sin()
}

/// Toe of one wheel from its front and rear difference at a diameter; none where
/// the difference is more than the diameter.
pub fn from_length(difference: Length, diameter: Length) -> Option<Angle> {
    let toe = (difference / diameter).asin();
    toe.is_finite().then(|| Angle::from_rad(toe))
}

/// Total toe told as a length: `2 D · sin(T/2)`, both wheels standing alike.
pub fn total_as_length(total: Angle, diameter: Length) -> Length {
    diameter * (2.0 * (total * 0.5).sin())
}

/// Total toe from the difference of the gaps behind and in front at a diameter,
/// both wheels standing alike; none where it is more than two diameters.
pub fn total_from_length(difference: Length, diameter: Length) -> Option<Angle> {
    let half = (difference / (diameter * 2.0)).asin();
    half.is_finite().then(|| Angle::from_rad(2.0 * half))
}
