//! What is known of a car.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{AdjusterRecord, CarTargets};
use crate::text;
use crate::text::Text;

/// A car. Everything but its name may be missing.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CarRecord {
    /// What its owner calls it.
    pub name: String,
    /// Anything worth remembering.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub notes: String,
    /// Where the figures come from, e.g. the title and page of the maker's manual.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub source: String,
    /// Distance of the axles, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wheelbase_mm: Option<f64>,
    /// Front axle.
    #[serde(default, skip_serializing_if = "AxleRecord::is_empty")]
    pub front: AxleRecord,
    /// Rear axle.
    #[serde(default, skip_serializing_if = "AxleRecord::is_empty")]
    pub rear: AxleRecord,
    /// Steering.
    #[serde(default, skip_serializing_if = "SteeringRecord::is_empty")]
    pub steering: SteeringRecord,
    /// What can be adjusted, and where.
    #[serde(default, rename = "adjuster", skip_serializing_if = "Vec::is_empty")]
    pub adjusters: Vec<AdjusterRecord>,
    /// Target figures.
    #[serde(default, skip_serializing_if = "CarTargets::is_empty")]
    pub targets: CarTargets,
    /// The state in which the targets hold.
    #[serde(default, skip_serializing_if = "LoadRecord::is_empty")]
    pub holds: LoadRecord,
}

/// One axle.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxleRecord {
    /// Distance of the wheels' centre planes on the ground, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub track_mm: Option<f64>,
    /// Diameter over the rim's flange, where a tape is held for toe, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rim_flange_mm: Option<f64>,
    /// Outer diameter of the tyre, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tyre_mm: Option<f64>,
    /// Height of the wheel centres over the floor, the car loaded, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub loaded_radius_mm: Option<f64>,
    /// How its wheels are hung.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub suspension: Option<SuspensionWay>,
}

/// How the wheels of an axle are hung.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SuspensionWay {
    /// An upper and a lower arm.
    Wishbones,
    /// A lower arm and a strut.
    Strut,
    /// One rigid axle or a beam.
    RigidAxle,
    /// Some other way.
    Other,
}

/// Steering.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SteeringRecord {
    /// Degrees of the steering wheel to one of a road wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ratio: Option<f64>,
    /// Distance of the two steering axes on the ground, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis_spacing_mm: Option<f64>,
    /// How far inboard of the wheel's centre plane the axis passes at hub height, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis_inboard_mm: Option<f64>,
    /// How far behind the wheel centre the axis passes at hub height, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub axis_behind_mm: Option<f64>,
}

/// The state of the car in which its target figures hold.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LoadRecord {
    /// Ride height at each corner, mm, measured as `ride_height_from` says.
    #[serde(default, skip_serializing_if = "Corners::is_empty")]
    pub ride_height_mm: Corners<f64>,
    /// From where to where ride height is measured.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub ride_height_from: String,
    /// How much a ride height may be off, mm.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ride_height_within_mm: Option<f64>,
    /// Who and what is in the car.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub load: String,
    /// Tyre pressure, cold, kPa.
    #[serde(default, skip_serializing_if = "Corners::is_empty")]
    pub tyre_kpa: Corners<f64>,
}

/// A corner of the car.
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
pub enum Corner {
    /// Front left.
    FrontLeft,
    /// Front right.
    FrontRight,
    /// Rear left.
    RearLeft,
    /// Rear right.
    RearRight,
}

impl Corner {
    /// All of them, front to rear, left before right.
    pub const ALL: [Self; 4] = [
        Self::FrontLeft,
        Self::FrontRight,
        Self::RearLeft,
        Self::RearRight,
    ];

    /// Name in a sentence.
    pub const fn words(self) -> Text {
        match self {
            Self::FrontLeft => text!("front left"),
            Self::FrontRight => text!("front right"),
            Self::RearLeft => text!("rear left"),
            Self::RearRight => text!("rear right"),
        }
    }

    /// Is it on the front axle?
    pub const fn is_front(self) -> bool {
        matches!(self, Self::FrontLeft | Self::FrontRight)
    }

    /// Is it on the left?
    pub const fn is_left(self) -> bool {
        matches!(self, Self::FrontLeft | Self::RearLeft)
    }

    /// The other wheel of its axle.
    #[must_use]
    pub const fn across(self) -> Self {
        match self {
            Self::FrontLeft => Self::FrontRight,
            Self::FrontRight => Self::FrontLeft,
            Self::RearLeft => Self::RearRight,
            Self::RearRight => Self::RearLeft,
        }
    }
}

/// One figure for each corner; any may be missing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Corners<T> {
    /// Front left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub front_left: Option<T>,
    /// Front right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub front_right: Option<T>,
    /// Rear left.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rear_left: Option<T>,
    /// Rear right.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rear_right: Option<T>,
}

impl<T> Default for Corners<T> {
    fn default() -> Self {
        Self {
            front_left: None,
            front_right: None,
            rear_left: None,
            rear_right: None,
        }
    }
}

impl<T: Copy> Corners<T> {
    /// The figure of a corner.
    pub const fn get(&self, corner: Corner) -> Option<T> {
        match corner {
            Corner::FrontLeft => self.front_left,
            Corner::FrontRight => self.front_right,
            Corner::RearLeft => self.rear_left,
            Corner::RearRight => self.rear_right,
        }
    }

    /// Sets the figure of a corner.
    pub const fn set(&mut self, corner: Corner, value: T) {
        let place = match corner {
            Corner::FrontLeft => &mut self.front_left,
            Corner::FrontRight => &mut self.front_right,
            Corner::RearLeft => &mut self.rear_left,
            Corner::RearRight => &mut self.rear_right,
        };
        *place = Some(value);
    }

    /// Is no figure there?
    pub fn is_empty(&self) -> bool {
        Corner::ALL.iter().all(|corner| self.get(*corner).is_none())
    }
}

impl AxleRecord {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl SteeringRecord {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl LoadRecord {
    fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

impl CarRecord {
    /// The axle of a corner.
    pub const fn axle(&self, corner: Corner) -> &AxleRecord {
        if corner.is_front() {
            &self.front
        } else {
            &self.rear
        }
    }
}
