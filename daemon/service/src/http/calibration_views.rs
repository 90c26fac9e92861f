//! What the wire looks like where calibrations are told of or asked for.
//!
//! Offsets are in thousandths of standard gravity (mg): 1 mg along the spindle is
//! 0.06° of camber.

use crate::axis::AxisName;
use crate::text::Text;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::views::TroubleView;

/// The calibration of a board.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CalibrationView {
    /// How it stands.
    pub state: CalibrationState,
    /// Where it comes from; none where there is none.
    pub source: Option<CalibrationSource>,
    /// The same in one sentence.
    pub say: Text,
    /// Present when it is not `valid`: what happened, what it means, what to do.
    pub trouble: Option<TroubleView>,
    /// When it was done, RFC 3339, UTC; none for one from the configuration.
    pub date: Option<String>,
    /// Whole days ago.
    pub age_days: Option<i64>,
    /// Chip temperature it was done at, °C.
    pub temperature_c: Option<f64>,
    /// Poses it rests on.
    pub poses: Option<usize>,
    /// Root mean square of what is left of the poses' lengths, mg.
    pub residual_mg: Option<f64>,
    /// Standard uncertainty of the offset as it counts now, mg per axis: grown with
    /// age and with the temperature.
    pub offset_standard_mg: f64,
    /// The axis that was settled by turning the board end for end.
    pub settled: Option<SettledView>,
    /// The calibration under way on this board, until its result is kept or discarded.
    pub procedure: Option<CalibrationProcedureView>,
}

/// How a calibration stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationState {
    /// In force and fresh.
    Valid,
    /// In force, with wider figures: too long ago, or too much warmer or colder since.
    Old,
    /// There is none.
    Absent,
    /// There is a file, and it cannot be used.
    Unreadable,
}

/// Where a calibration comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationSource {
    /// From the configuration.
    Configured,
    /// From the store.
    Stored,
}

/// An axis of the board whose offset is known better than the others'.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SettledView {
    /// The printed axis, e.g. `+z`.
    pub axis: AxisName,
    /// Standard uncertainty of the offset along it now, mg.
    pub offset_standard_mg: f64,
    /// When, RFC 3339, UTC.
    pub date: Option<String>,
}

/// Two axes whose angle shows when the board lies on an edge between them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum EdgeView {
    /// X and Y.
    Xy,
    /// X and Z.
    Xz,
    /// Y and Z.
    Yz,
}

/// What kind of calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationKind {
    /// By six or more poses: everything.
    #[default]
    Poses,
    /// End for end: the offset along one axis.
    Reversal,
}

/// Step of a calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CalibrationPhase {
    /// The board is to be laid as `say` tells.
    Lay,
    /// It lies so: hands off until `hold` is full.
    Hold,
    /// This rest is taken: lay it the next way.
    Taken,
    /// There is a result: keep or discard it.
    Solved,
    /// It ended without one, see `trouble`.
    Ended,
}

/// A calibration under way.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CalibrationProcedureView {
    /// Rises with every start on this board.
    pub run: u64,
    /// Which kind.
    pub kind: CalibrationKind,
    /// The step at hand.
    pub phase: CalibrationPhase,
    /// One or two sentences: what to do now.
    pub say: Text,
    /// Seconds held so far.
    pub held_s: f64,
    /// Seconds to hold.
    pub hold_needed_s: f64,
    /// Poses (or rests, of two) taken.
    pub taken: usize,
    /// How many more there are to be, at least, until it solves by itself.
    pub to_go: usize,
    /// Axes that have not pointed up, the one to lay next first.
    pub missing_faces: Vec<AxisName>,
    /// Pairs of axes that no pose on an edge has shown.
    pub missing_edges: Vec<EdgeView>,
    /// Are the poses enough to solve now?
    pub can_solve: bool,
    /// The axis whose offset a reversal is to find.
    pub sensing: Option<AxisName>,
    /// The axis a reversal turns the board about.
    pub about: Option<AxisName>,
    /// The number, from 0, of a pose that does not fit and should be done again.
    pub worst_pose: Option<usize>,
    /// Why there is no result (yet): what happened, what it means, what to do.
    pub trouble: Option<TroubleView>,
    /// The result, waiting to be kept or discarded.
    pub result: Option<CalibrationResultView>,
}

/// A result.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CalibrationResultView {
    /// What it means, in a sentence or two.
    pub say: Text,
    /// Offset found, mg: of all axes, or along the sensing axis alone.
    pub offset_mg: Vec<f64>,
    /// Its standard uncertainty, mg.
    pub offset_standard_mg: f64,
    /// What that is in camber, degrees, at 95 %.
    pub camber_expanded_deg: f64,
    /// Root mean square of what is left of the poses' lengths, mg.
    pub residual_mg: Option<f64>,
    /// The pose that fits worst, from 0.
    pub worst_pose: Option<usize>,
    /// How far it is from what the others foretell, mg.
    pub worst_mg: Option<f64>,
    /// Chip temperature, °C.
    pub temperature_c: Option<f64>,
    /// Warmest less coldest, °C.
    pub temperature_span_c: Option<f64>,
    /// Is it better than what was known before?
    pub is_gain: bool,
    /// What should be known before it is kept.
    pub notes: Vec<Text>,
}

/// Body of a request that starts a calibration.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CalibrationStart {
    /// Identity of the board, see [`super::views::BoardView::id`].
    pub board: String,
    /// Which kind.
    #[serde(default)]
    pub kind: CalibrationKind,
    /// Reversal: the axis whose offset is wanted; the outboard one without it.
    pub sensing: Option<AxisName>,
    /// Reversal: the axis the board is turned about; the upward one without it.
    pub about: Option<AxisName>,
}

/// Body of a request about the calibration of a board.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CalibrationOf {
    /// Identity of the board.
    pub board: String,
}

/// Body of a request that takes a pose back.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PoseBack {
    /// Identity of the board.
    pub board: String,
    /// Number of the pose, from 0; the last one without it.
    pub pose: Option<usize>,
}
