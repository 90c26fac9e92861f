//! Figures that a person measured, on the wire.
//!
//! They are stored as they were typed, so that they can be worked out again.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::car::Corner;

/// Toe or setback as a person measured them; every figure as text with its unit, or
/// without (then mm): `2,5`, `2.5 mm`, `3/32 in`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(tag = "way", rename_all = "snake_case", deny_unknown_fields)]
pub enum EnteredFigures {
    /// Two strings along the car: distances to the rim ahead of and behind each hub, both
    /// wheels of an axle. With four wheels and their hubs' distances the strings need not be parallel.
    Strings {
        /// Diameter at which the distances at the front were taken; the record's rim flange where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        front_diameter: Option<String>,
        /// The same at the rear.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        rear_diameter: Option<String>,
        /// Distances at the wheels that were measured.
        wheels: Vec<StringDistances>,
        /// Standard uncertainty of one distance; 0.3 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading_standard: Option<String>,
        /// Standard uncertainty of the strings' direction where the hubs' distances are not all
        /// told, as an angle; 0.05° where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        direction_standard: Option<String>,
        /// Run-out at the side of the rim, least to most, for wheels that were not rolled half
        /// a turn; 1 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        run_out: Option<String>,
    },
    /// The gaps between the wheels of one axle ahead of and behind it, at one height.
    Gap {
        /// Is it the front axle?
        front: bool,
        /// Diameter at which the gaps were taken; the record's rim flange where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        diameter: Option<String>,
        /// How far below the hubs; nothing is hub height.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        below_hub: Option<String>,
        /// Pairs of gaps; several are averaged.
        pairs: Vec<GapPair>,
        /// Was each pair taken between the same two marks, the car rolled on half a turn
        /// in between? Run-out drops out then.
        #[serde(default)]
        carried_round: bool,
        /// Standard uncertainty of one gap; 0.3 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading_standard: Option<String>,
        /// Run-out at the side of the rim, least to most; 1 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        run_out: Option<String>,
    },
    /// A mirror on the wheel throws a level beam, square to the car, back to a screen.
    Spot {
        /// Which wheel.
        corner: Corner,
        /// Distance from mirror to screen.
        distance: String,
        /// Where the spot came back.
        spot: SpotPlace,
        /// The same after the wheel was rolled on half a turn: how the mirror sits drops out.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        half_turned: Option<SpotPlace>,
        /// Standard uncertainty of a spot's place; 1 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading_standard: Option<String>,
        /// How far the beam may be from square to the car, standard, as an angle; 0.1° where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        beam_standard: Option<String>,
    },
    /// A plate that slips sideways as one wheel drives over it.
    Slip {
        /// Which wheel.
        corner: Corner,
        /// Readings, + for toe-in: `-2,5`, `-2.5 m/km`, `13 ft/mile`; several are averaged.
        readings: Vec<String>,
    },
    /// How far the left wheel stands ahead of the right one.
    Setback {
        /// Is it the front axle?
        front: bool,
        /// From a common line across the car, behind the axle, to the left wheel centre.
        left: String,
        /// The same on the right.
        right: String,
        /// Standard uncertainty of one distance; 1 mm where nothing is said.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        reading_standard: Option<String>,
    },
}

/// Where a spot of light came back, from where the beam left the screen.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpotPlace {
    /// Towards the front of the car.
    pub forward: String,
    /// Up; nothing is 0.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up: Option<String>,
}

/// Distances from a string to one wheel's rim.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StringDistances {
    /// Which wheel.
    pub corner: Corner,
    /// Ahead of the hub.
    pub ahead: String,
    /// Behind the hub.
    pub behind: String,
    /// After rolling half a turn: ahead of the hub.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turned_ahead: Option<String>,
    /// After rolling half a turn: behind the hub.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turned_behind: Option<String>,
    /// From the string to the hub's middle, where it was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hub: Option<String>,
}

/// Gaps between two wheels.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GapPair {
    /// Ahead of the axle.
    pub ahead: String,
    /// Behind the axle.
    pub behind: String,
}

/// Body of a request that enters figures into a visit.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct EnteredWish {
    /// A name of the asker's own: asking again under it adds nothing.
    pub ask: String,
    /// The figures.
    pub figures: EnteredFigures,
}
