//! What can be adjusted on a car.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::Corner;

/// One kind of adjuster, at the corners that have it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AdjusterRecord {
    /// What its owner calls it.
    pub name: String,
    /// Corners that have one.
    pub at: Vec<Corner>,
    /// What it is.
    pub way: AdjusterWay,
}

/// What an adjuster is, with the lengths by which its effect is foretold. What is
/// missing is learned from the first move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum AdjusterWay {
    /// A tie rod: toe.
    TieRod {
        /// Way of the thread in one turn, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pitch_mm: Option<f64>,
        /// Length of the steering arm, axis to joint, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        arm_mm: Option<f64>,
        /// One thread, or a sleeve with a left and a right one.
        #[serde(default)]
        thread: Thread,
        /// Where the rod lies.
        #[serde(default)]
        rod: RodSide,
    },
    /// Shims behind the upper arm's two pivots: camber and caster.
    ArmShims {
        /// Height from lower to upper ball joint, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        joint_height_mm: Option<f64>,
        /// Distance of the two bolts, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        bolt_spacing_mm: Option<f64>,
        /// Length of the arm, pivot line to ball joint, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        arm_mm: Option<f64>,
        /// Which way a shim moves the arm.
        #[serde(default)]
        bracket: Bracket,
        /// Measured effect instead of lengths: degrees per mm, rows camber and caster, columns front and rear bolt.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        effect_deg_per_mm: Option<[[f64; 2]; 2]>,
        /// Thicknesses of shims at hand, mm.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        stock_mm: Vec<f64>,
    },
    /// An eccentric bolt.
    Eccentric {
        /// Which angle it moves.
        moves: EccentricMoves,
        /// How far its centre lies off the bolt's, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        throw_mm: Option<f64>,
        /// Lever from the eccentric to the joint that it turns about, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lever_mm: Option<f64>,
        /// Degrees of bolt between two marks.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        mark_deg: Option<f64>,
    },
    /// A wedged full-contact shim behind a rear hub or stub axle: camber and toe.
    ContactShim {
        /// Diameter of the face it lies on, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        plate_mm: Option<f64>,
    },
    /// A bolt or slot between knuckle and strut: camber, and with it the included angle.
    StrutBolt {
        /// Distance of the two bolts, mm.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        lever_mm: Option<f64>,
    },
    /// Anything else.
    Other {
        /// What its owner counts in, e.g. `turn` or `notch`.
        unit: String,
        /// Which angle it moves.
        moves: EccentricMoves,
        /// Degrees per unit, if known.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        deg_per_unit: Option<f64>,
    },
}

/// Which angle an adjuster moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EccentricMoves {
    /// Camber.
    Camber,
    /// Caster.
    Caster,
    /// Toe.
    Toe,
}

/// A tie rod's threads.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Thread {
    /// One thread: a turn moves by the pitch.
    #[default]
    Single,
    /// A sleeve with a left and a right thread: a turn moves by twice the pitch.
    Sleeve,
}

/// Where a tie rod lies.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum RodSide {
    /// Behind the axle: longer is toe-in.
    #[default]
    Behind,
    /// Ahead of the axle: longer is toe-out.
    Ahead,
}

/// Which way a shim moves an upper arm.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema, JsonSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum Bracket {
    /// A shim moves the arm inward.
    #[default]
    Inward,
    /// A shim moves the arm outward.
    Outward,
}
