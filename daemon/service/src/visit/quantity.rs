//! What can be found out about a car, and where.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::car::Corner;
use crate::text;
use crate::text::Text;

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
    /// Toe of a wheel by a carried board, beside toe found otherwise, degrees, + in.
    ToeCarried,
    /// Total toe of an axle by a carried board, beside toe found otherwise, degrees, + in.
    TotalToeCarried,
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
    pub const ALL: [Self; 23] = [
        Self::Camber,
        Self::Caster,
        Self::Sai,
        Self::IncludedAngle,
        Self::Toe,
        Self::TotalToe,
        Self::ToeCarried,
        Self::TotalToeCarried,
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
    pub const fn words(self) -> Text {
        match self {
            Self::Camber => text!("Camber"),
            Self::Caster => text!("Caster"),
            Self::Sai => text!("Steering axis inclination"),
            Self::IncludedAngle => text!("Included angle"),
            Self::Toe => text!("Toe"),
            Self::TotalToe => text!("Total toe"),
            Self::ToeCarried => text!("Toe by a carried board"),
            Self::TotalToeCarried => text!("Total toe by a carried board"),
            Self::Thrust => text!("Thrust angle"),
            Self::SteerAhead => text!("Steer ahead"),
            Self::SteeringWheel => text!("Steering wheel off straight"),
            Self::Setback => text!("Setback"),
            Self::DogTrack => text!("Dog-track offset"),
            Self::TurnOuter => text!("Toe-out on turns, outer wheel"),
            Self::Ackermann => text!("Ackermann share"),
            Self::LockAngle => text!("Lock angle"),
            Self::LockMiddle => text!("Middle between the locks"),
            Self::Play => text!("Play, top and bottom"),
            Self::PlayFrontRear => text!("Play, front and rear"),
            Self::ScrubRadius => text!("Scrub radius"),
            Self::CasterTrail => text!("Caster trail"),
            Self::CamberPerMm => text!("Camber per mm of ride height"),
            Self::ToePerMm => text!("Toe per mm of ride height"),
        }
    }

    /// What its sign means for this value; nothing where a sign says nothing.
    pub fn sense(self, value: f64) -> Text {
        let (plus, minus) = match self {
            Self::Camber => (text!("top out"), text!("top in")),
            Self::Caster => (text!("lean back"), text!("lean forward")),
            Self::Sai => (text!("lean in"), text!("lean out")),
            Self::Toe | Self::TotalToe | Self::ToeCarried | Self::TotalToeCarried => {
                (text!("toe in"), text!("toe out"))
            }
            Self::Thrust | Self::SteerAhead | Self::SteeringWheel | Self::DogTrack => {
                (text!("to the right"), text!("to the left"))
            }
            Self::Setback => (text!("left ahead"), text!("right ahead")),
            Self::LockMiddle => (text!("to the left"), text!("to the right")),
            Self::ScrubRadius => (text!("axis inboard"), text!("axis outboard")),
            Self::CasterTrail => (text!("axis ahead"), text!("axis behind")),
            _ => (Text::empty(), Text::empty()),
        };
        if value > 0.0 {
            plus
        } else if value < 0.0 {
            minus
        } else {
            Text::empty()
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
    pub const fn words(self) -> Text {
        match self {
            Self::FrontLeft => text!("front left"),
            Self::FrontRight => text!("front right"),
            Self::RearLeft => text!("rear left"),
            Self::RearRight => text!("rear right"),
            Self::Front => text!("front axle"),
            Self::Rear => text!("rear axle"),
            Self::Car => text!("whole car"),
            Self::LeftTurn => text!("turning left"),
            Self::RightTurn => text!("turning right"),
        }
    }
}
