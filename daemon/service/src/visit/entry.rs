//! What a visit consists of: entries that are added and never changed.
//!
//! Everything a person confirmed and everything a procedure found is one entry.
//! A mistake is taken back by another entry. So a visit is its own history, and
//! what was stored once is never written again.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::prepare::Point;
use super::{Place, Quantity};
use crate::car::{CarRecord, Corner, Corners};
use crate::text;
use crate::text::Text;

/// A part of a visit.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Default,
    Serialize,
    Deserialize,
    ToSchema,
    JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Car and floor are made ready.
    #[default]
    Preparing,
    /// The car as it came.
    Before,
    /// Being adjusted.
    Adjusting,
    /// The car as it leaves.
    After,
    /// Over.
    Closed,
}

impl Stage {
    /// All of them, in order.
    pub const ALL: [Self; 5] = [
        Self::Preparing,
        Self::Before,
        Self::Adjusting,
        Self::After,
        Self::Closed,
    ];

    /// The part that a run made now belongs to: while the car is still being made ready,
    /// it is how the car came.
    #[must_use]
    pub const fn measured_in(self) -> Self {
        match self {
            Self::Preparing => Self::Before,
            other => other,
        }
    }

    /// Name for a person.
    pub const fn words(self) -> Text {
        match self {
            Self::Preparing => text!(in "stage"; "preparing"),
            Self::Before => text!(in "stage"; "before"),
            Self::Adjusting => text!(in "stage"; "adjusting"),
            Self::After => text!(in "stage"; "after"),
            Self::Closed => text!(in "stage"; "closed"),
        }
    }
}

/// One entry.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(tag = "entry", rename_all = "snake_case", deny_unknown_fields)]
pub enum Entry {
    /// The visit begins, with the car as it was known then.
    Opened {
        /// The car's record.
        car: Box<CarRecord>,
        /// The daemon's version.
        software: String,
    },
    /// A point of the preparation was seen to, or is open again.
    Prepared {
        /// Which one.
        point: Point,
        /// Was it seen to?
        done: bool,
        /// What was noticed.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: String,
    },
    /// The state of the car.
    Conditions(Conditions),
    /// Another part of the visit begins.
    Stage {
        /// Which one.
        stage: Stage,
    },
    /// A procedure came to its findings.
    Run(Box<Run>),
    /// An adjuster was moved.
    Moved(Move),
    /// An earlier entry does not hold.
    TakenBack {
        /// Number of that entry.
        number: u32,
        /// Why.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        why: String,
    },
    /// Anything worth remembering.
    Note {
        /// The text.
        text: String,
    },
}

/// The state of the car during a visit.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Conditions {
    /// Tyre pressures, kPa.
    #[serde(default)]
    pub tyre_kpa: Corners<f64>,
    /// Depth of tread, mm.
    #[serde(default)]
    pub tread_mm: Corners<f64>,
    /// Ride heights, mm, measured as the car's record says.
    #[serde(default)]
    pub ride_height_mm: Corners<f64>,
    /// Who and what is in the car.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub load: String,
    /// Temperature of the place, °C.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place_c: Option<f64>,
}

/// A finished procedure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Run {
    /// Which procedure.
    pub procedure: Procedure,
    /// Part of the visit it belongs to.
    pub stage: Stage,
    /// How it was done, in one sentence.
    pub method: String,
    /// What went in: figures that were entered, or what the procedure took. It is
    /// enough to compute the findings again, with the recordings of the same entry.
    pub evidence: serde_json::Value,
    /// What came out.
    pub findings: Vec<FindingRecord>,
    /// Covariance of the findings, in the order above, each in its own unit; empty where they are independent.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub covariance: Vec<Vec<f64>>,
    /// Boards that took part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub boards: Vec<BoardUsed>,
    /// The daemon's version.
    pub software: String,
}

/// Which procedure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Procedure {
    /// Steering swing.
    Swing,
    /// Camber of one wheel by a board on its hub.
    CamberOnHub,
    /// Camber of one wheel by a board on a straight bar across the rim.
    CamberOnBar,
    /// Play of one wheel.
    Play,
    /// Steering lock to lock.
    Locks,
    /// Toe-out on turns.
    Turns,
    /// Camber and toe against ride height.
    Heights,
    /// Toe by strings.
    ToeStrings,
    /// Total toe by the gaps ahead of and behind the axle.
    ToeGap,
    /// Toe by a reflected spot of light.
    ToeSpot,
    /// Total toe by a slip plate.
    ToeSlip,
    /// Toe by a board that is carried from rim to rim.
    ToeCarried,
    /// Setback by tape.
    Setback,
    /// Scrub radius and trail from angles and lengths.
    Offsets,
}

impl Procedure {
    /// Name for a person.
    pub const fn words(self) -> Text {
        match self {
            Self::Swing => text!("steering swing"),
            Self::CamberOnHub => text!("camber, board on the hub"),
            Self::CamberOnBar => text!("camber, board on a straight bar"),
            Self::Play => text!("play check"),
            Self::Locks => text!("steering lock to lock"),
            Self::Turns => text!("toe-out on turns"),
            Self::Heights => text!("angles against ride height"),
            Self::ToeStrings => text!("toe by strings"),
            Self::ToeGap => text!("toe by front and rear gap"),
            Self::ToeSpot => text!("toe by a spot of light"),
            Self::ToeSlip => text!("toe by a slip plate"),
            Self::ToeCarried => text!("toe by a carried board"),
            Self::Setback => text!("setback by tape"),
            Self::Offsets => text!("scrub radius and trail"),
        }
    }
}

/// An angle or a length with how far to trust it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingRecord {
    /// Of what.
    pub quantity: Quantity,
    /// Where.
    pub place: Place,
    /// The value, in the quantity's unit.
    pub value: f64,
    /// Standard uncertainty, same unit.
    pub standard: f64,
    /// Its effective degrees of freedom; none where they are beyond count.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub degrees_of_freedom: Option<f64>,
    /// Shares of the variance by cause, largest first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub budget: Vec<ShareRecord>,
    /// What would make it better.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub advice: String,
    /// What has to be known beside the figure, e.g. that it is indicative only.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub caveat: String,
}

/// One cause's share.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ShareRecord {
    /// The cause, in words.
    pub cause: String,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// A board that took part, with its calibration.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardUsed {
    /// Identity.
    pub id: String,
    /// Name.
    pub name: String,
    /// Where it was strapped.
    pub mount: String,
    /// What is known of its calibration, in one sentence.
    pub calibration: String,
}

/// An adjuster that was moved.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Move {
    /// Its name in the car's record.
    pub adjuster: String,
    /// At which corner.
    pub corner: Corner,
    /// How far, in the adjuster's own units; two figures (front and rear bolt) for shims.
    pub amount: Vec<f64>,
    /// Uncertainty of that, standard, same unit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub amount_standard: Option<f64>,
    /// What was seen to after it, e.g. locked, bounced.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub seen_to: Vec<AfterMove>,
}

/// What has to be seen to after an adjuster was moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum AfterMove {
    /// The lock is tight.
    Locked,
    /// Tightened to the maker's value.
    Torqued,
    /// The car was bounced or rolled.
    Settled,
}
