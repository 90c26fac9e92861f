//! What can be found out about a car, and where.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::car::Corner;

/// What a finding is of.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    ToSchema,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Camber of a wheel, degrees, + top out.
    Camber,
    /// Caster of a wheel, degrees, + top rearward.
    Caster,
    /// Steering axis inclination of a wheel, degrees, + top inboard.
    Sai,
    /// SAI plus camber, degrees.
    IncludedAngle,
    /// Toe of a wheel against the car's centreline, degrees, + in.
    Toe,
    /// Toe of both wheels of an axle, degrees, + in.
    TotalToe,
    /// Thrust angle of the rear axle, degrees, + to the right.
    Thrust,
    /// Where the front wheels point against the thrust line, degrees, + to the right.
    SteerAhead,
    /// Angle of the steering wheel when the car goes straight, degrees, + to the right.
    SteeringWheel,
    /// Setback of an axle as a length, mm, + when the left wheel is ahead.
    Setback,
    /// How far the rear runs beside the front, mm, + when the thrust goes to the right.
    DogTrack,
    /// What the outer wheel stands at in a turn when the inner one stands at the stated angle, degrees.
    TurnOuter,
    /// Share of the ideal difference of the wheels in a turn, percent.
    Ackermann,
    /// Angle of a wheel at full lock, degrees.
    LockAngle,
    /// How far the middle between the locks is from straight ahead, degrees at the road wheels, + to the left.
    LockMiddle,
    /// Peak-to-peak tilt of a wheel that is rocked by hand at its top and bottom, degrees.
    Play,
    /// Peak-to-peak turn of a wheel that is rocked by hand in front and behind, degrees.
    PlayFrontRear,
    /// Scrub radius as the workshop counts it, mm, + when the axis meets the ground inboard of the tyre's middle.
    ScrubRadius,
    /// Caster trail at the ground, mm, + when the axis meets the ground ahead of the wheel centre.
    CasterTrail,
    /// Change of camber per millimetre of ride height at ride height, degrees per mm, + when it rises with the body.
    CamberPerMm,
    /// Change of toe per millimetre of ride height at ride height, degrees per mm.
    ToePerMm,
}

/// What a quantity is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Unit {
    /// Degrees.
    Deg,
    /// Millimetres.
    Mm,
    /// Percent.
    Percent,
    /// Degrees per millimetre.
    DegPerMm,
}

impl Unit {
    /// As it is written behind a figure.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Deg => "°",
            Self::Mm => " mm",
            Self::Percent => " %",
            Self::DegPerMm => "°/mm",
        }
    }
}

impl Quantity {
    /// All of them, in the order of a sheet.
    pub const ALL: [Self; 21] = [
        Self::Camber,
        Self::Caster,
        Self::Sai,
        Self::IncludedAngle,
        Self::Toe,
        Self::TotalToe,
        Self::Thrust,
        Self::SteerAhead,
        Self::SteeringWheel,
        Self::Setback,
        Self::DogTrack,
        Self::TurnOuter,
        Self::Ackermann,
        Self::LockAngle,
        Self::LockMiddle,
        Self::Play,
        Self::PlayFrontRear,
        Self::ScrubRadius,
        Self::CasterTrail,
        Self::CamberPerMm,
        Self::ToePerMm,
    ];

    /// What it is counted in.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Setback | Self::DogTrack | Self::ScrubRadius | Self::CasterTrail => Unit::Mm,
            Self::Ackermann => Unit::Percent,
            Self::CamberPerMm | Self::ToePerMm => Unit::DegPerMm,
            _ => Unit::Deg,
        }
    }

    /// Name for a person.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Camber => "Camber",
            Self::Caster => "Caster",
            Self::Sai => "Steering axis inclination",
            Self::IncludedAngle => "Included angle",
            Self::Toe => "Toe",
            Self::TotalToe => "Total toe",
            Self::Thrust => "Thrust angle",
            Self::SteerAhead => "Steer ahead",
            Self::SteeringWheel => "Steering wheel off straight",
            Self::Setback => "Setback",
            Self::DogTrack => "Dog-track offset",
            Self::TurnOuter => "Toe-out on turns, outer wheel",
            Self::Ackermann => "Ackermann share",
            Self::LockAngle => "Lock angle",
            Self::LockMiddle => "Middle between the locks",
            Self::Play => "Play, top and bottom",
            Self::PlayFrontRear => "Play, front and rear",
            Self::ScrubRadius => "Scrub radius",
            Self::CasterTrail => "Caster trail",
            Self::CamberPerMm => "Camber per mm of ride height",
            Self::ToePerMm => "Toe per mm of ride height",
        }
    }

    /// What its sign means for this value; nothing where a sign says nothing.
    pub const fn sense(self, value: f64) -> &'static str {
        let (plus, minus) = match self {
            Self::Camber => ("top out", "top in"),
            Self::Caster => ("lean back", "lean forward"),
            Self::Sai => ("lean in", "lean out"),
            Self::Toe | Self::TotalToe => ("toe in", "toe out"),
            Self::Thrust | Self::SteerAhead | Self::SteeringWheel | Self::DogTrack => {
                ("to the right", "to the left")
            }
            Self::Setback => ("left ahead", "right ahead"),
            Self::LockMiddle => ("to the left", "to the right"),
            Self::ScrubRadius => ("axis inboard", "axis outboard"),
            Self::CasterTrail => ("axis ahead", "axis behind"),
            _ => ("", ""),
        };
        if value > 0.0 {
            plus
        } else if value < 0.0 {
            minus
        } else {
            ""
        }
    }
}

/// Where on the car a finding holds.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    ToSchema,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Place {
    /// Front left wheel.
    FrontLeft,
    /// Front right wheel.
    FrontRight,
    /// Rear left wheel.
    RearLeft,
    /// Rear right wheel.
    RearRight,
    /// Front axle.
    Front,
    /// Rear axle.
    Rear,
    /// The whole car.
    Car,
    /// A turn to the left.
    LeftTurn,
    /// A turn to the right.
    RightTurn,
}

impl Place {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::FrontLeft,
        Self::FrontRight,
        Self::RearLeft,
        Self::RearRight,
        Self::Front,
        Self::Rear,
        Self::Car,
        Self::LeftTurn,
        Self::RightTurn,
    ];

    /// The place of a wheel.
    pub const fn wheel(corner: Corner) -> Self {
        match corner {
            Corner::FrontLeft => Self::FrontLeft,
            Corner::FrontRight => Self::FrontRight,
            Corner::RearLeft => Self::RearLeft,
            Corner::RearRight => Self::RearRight,
        }
    }

    /// The wheel, where it is one.
    pub const fn corner(self) -> Option<Corner> {
        match self {
            Self::FrontLeft => Some(Corner::FrontLeft),
            Self::FrontRight => Some(Corner::FrontRight),
            Self::RearLeft => Some(Corner::RearLeft),
            Self::RearRight => Some(Corner::RearRight),
            _ => None,
        }
    }

    /// Name in a sentence.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FrontLeft => "front left",
            Self::FrontRight => "front right",
            Self::RearLeft => "rear left",
            Self::RearRight => "rear right",
            Self::Front => "front axle",
            Self::Rear => "rear axle",
            Self::Car => "whole car",
            Self::LeftTurn => "turning left",
            Self::RightTurn => "turning right",
        }
    }
}
