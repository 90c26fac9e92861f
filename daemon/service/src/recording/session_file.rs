//! The session file: what a recording needs to be solved besides its readings.
//!
//! These types are the format. `docs/session.schema.json` is generated from
//! them, and docs/SOLVE.md shows an example. Angles are in degrees; signs are
//! those of the page.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::before::BeforeEntry;
use super::chip_name::ChipName;
use super::solution::{DifferenceSolution, Told, WheelSolution};
use crate::axis::AxisName;
use crate::figures::Figures;

/// A recorded session of one or both steered wheels.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(title = "hubplumb session")]
pub struct SessionFile {
    /// Who wrote the file, for people.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub written_by: Option<String>,
    /// Day of the session, `2026-05-30`, or its time, `2026-05-30T14:03:22Z`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub recorded_at: Option<String>,
    /// One board on at least one hub; at most one on each hub and one on the body.
    #[schemars(length(min = 1, max = 3))]
    pub boards: Vec<BoardEntry>,
    /// Slope of the floor; presumed level within 0.1° without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub floor: Option<FloorEntry>,
    /// Toe of each wheel at straight ahead; presumed none within 0.25° without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub toe: Option<ToeEntry>,
    /// Where steer angles come from.
    #[serde(default)]
    pub steer: SteerEntry,
    /// Standard uncertainty of a turn-plate reading, degrees; 0.15 without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10.0))]
    pub plate_standard_deg: Option<f64>,
    /// How much the body may move while the wheels are steered, where no board on it watches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unwatched_body: Option<BodyEntry>,
    /// One sigma of the difference of the body's pitch between the two
    /// jackings, degrees, on which the body board's heading rests; 0.08 without it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = 0.0, max = 10.0))]
    pub jacking_pitch_standard_deg: Option<f64>,
    /// What happened when, in order. Without any, the program finds it out from the movements.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub windows: Vec<WindowEntry>,
    /// What the swing found when it was recorded. `solve` does not look at it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub found: Option<FoundEntry>,
    /// Readings that were lost while they were recorded.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub lost_readings: u64,
}

#[expect(
    clippy::trivially_copy_pass_by_ref,
    reason = "serde hands a reference over"
)]
const fn is_zero(count: &u64) -> bool {
    *count == 0
}

/// One recorded board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoardEntry {
    /// Where it sat.
    pub role: RoleEntry,
    /// Its recording, beside the session file. Not needed where the command line names it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Which clock its times are of.
    #[serde(default)]
    pub clock: ClockEntry,
    /// What its chip can be trusted for: the name of a class, or figures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub chip: Option<ChipEntry>,
    /// Its calibration; without one readings are taken as they are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub calibration: Option<CalibrationEntry>,
    /// How it sat.
    #[serde(default)]
    pub mount: MountEntry,
    /// What was measured before the recording began.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<BeforeEntry>,
}

/// Where a board sat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum RoleEntry {
    /// On the left front hub.
    Left,
    /// On the right front hub.
    Right,
    /// On the body.
    Body,
}

/// Which clock a board's times are of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ClockEntry {
    /// The clock of the windows.
    #[default]
    Shared,
    /// A clock of its own, within four seconds of the windows': found from the movements.
    Unknown,
}

/// Where steer angles come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum SteerEntry {
    /// Whatever there is: gyros, and the plate readings of the windows.
    #[default]
    All,
    /// Gyros alone.
    Gyro,
    /// Plate readings alone.
    Plates,
}

/// A chip: its name or that of a class, or figures in place of those.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum ChipEntry {
    /// Its name.
    Named(ChipName),
    /// Figures.
    Figures(Box<ChipFiguresEntry>),
}

/// Figures of a chip.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ChipFiguresEntry {
    /// Class or chip whose figures hold where none is written.
    #[serde(default)]
    pub class: ChipName,
    /// The figures.
    #[serde(default)]
    pub figures: Figures,
}

/// A calibration, `true = matrix · (read − offset)`: numbers, or a file that holds them.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct CalibrationEntry {
    /// A calibration file in TOML, beside the session file, with the keys that follow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub file: Option<String>,
    /// Accelerometer offset, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_offset_g: Option<[f64; 3]>,
    /// Accelerometer matrix, row by row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_matrix: Option<[[f64; 3]; 3]>,
    /// Gyro offset, °/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_offset_dps: Option<[f64; 3]>,
    /// Gyro matrix, row by row.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_matrix: Option<[[f64; 3]; 3]>,
    /// Day of the calibration, `2026-05-30`: with `recorded_at`, what ageing adds to the chip's figures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Chip temperature at the calibration, °C: what heat adds to the chip's figures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_c: Option<f64>,
}

/// How a board sat.
#[derive(Debug, Clone, Copy, PartialEq, Default, JsonSchema)]
#[schemars(untagged)]
pub enum MountEntry {
    /// Nobody said: the turns of the wheel on its bearing tell, or the jackings.
    #[default]
    #[schemars(with = "UnknownMount")]
    Unknown,
    /// As declared.
    Face(FaceEntry),
}

/// The word for a mount that nobody declared.
#[derive(JsonSchema)]
#[schemars(rename_all = "snake_case")]
#[expect(
    dead_code,
    reason = "only its schema is wanted: the word stands for a unit variant"
)]
enum UnknownMount {
    /// Nobody said.
    Unknown,
}

/// A declared face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaceEntry {
    /// Hub boards: which way of the board points away from the car along the spindle.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outboard: Option<DirectionEntry>,
    /// Body boards: which way of the board points forward.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub forward: Option<DirectionEntry>,
    /// One sigma about the vertical, degrees.
    #[serde(default = "heading_by_eye")]
    #[schemars(range(min = 0.0, max = 30.0))]
    pub heading_standard_deg: f64,
    /// One sigma of the lean, degrees.
    #[serde(default = "lean_by_eye")]
    #[schemars(range(min = 0.0, max = 30.0))]
    pub lean_standard_deg: f64,
}

fn heading_by_eye() -> f64 {
    crate::config::HEADING_BY_EYE.deg()
}

fn lean_by_eye() -> f64 {
    crate::config::TILT_BY_EYE.deg()
}

/// A direction in the board's axes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum DirectionEntry {
    /// One of the printed axes.
    Axis(AxisName),
    /// Any direction; its length does not matter.
    Vector([f64; 3]),
}

/// Slope of the floor under the wheels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FloorEntry {
    /// + left side higher.
    #[serde(default)]
    #[schemars(range(min = -10.0, max = 10.0))]
    pub roll_deg: f64,
    /// + front lower.
    #[serde(default)]
    #[schemars(range(min = -10.0, max = 10.0))]
    pub pitch_deg: f64,
    /// Standard uncertainty of both.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub standard_deg: f64,
}

/// Toe at straight ahead.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ToeEntry {
    /// Of the left wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left: Option<AngleEntry>,
    /// Of the right wheel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub right: Option<AngleEntry>,
}

/// A measured angle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AngleEntry {
    /// Value, degrees; toe + toe-in.
    #[schemars(range(min = -10.0, max = 10.0))]
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub standard_deg: f64,
}

/// Body motion while steering, one sigma at 20° of steer.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BodyEntry {
    /// Roll, opposite to the two sides.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub roll_standard_deg: f64,
    /// Pitch, alike to both sides.
    #[schemars(range(min = 0.0, max = 10.0))]
    pub pitch_standard_deg: f64,
}

/// What happened in a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum KindEntry {
    /// Rest, wheels straight ahead, brake held.
    Straight,
    /// Rest at a stop, brake held.
    Stop,
    /// Rest with this corner jacked, the wheel turned on its bearing between such rests.
    RunOutStop,
    /// The jacked wheel spins steadily.
    Spin,
    /// The car rolls forward on its wheels.
    Roll,
    /// The wheels are steered to and fro without stopping.
    Sweep,
    /// Anything moves.
    Move,
    /// A corner is jacked, the wheel untouched.
    Jacked,
}

/// A side of the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum CornerEntry {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// A stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WindowEntry {
    /// Beginning, µs of the shared clock.
    pub from_us: i64,
    /// End, µs of the shared clock.
    pub to_us: i64,
    /// What happened in it.
    pub kind: KindEntry,
    /// Which corner was jacked; none for what concerns the whole car.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corner: Option<CornerEntry>,
    /// Turn-plate readings, + left, zero at the first straight-ahead rest.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub plate_deg: Option<PlateEntry>,
}

/// Turn-plate readings.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlateEntry {
    /// Under the left wheel, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -60.0, max = 60.0))]
    pub left: Option<f64>,
    /// Under the right wheel, degrees.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(range(min = -60.0, max = 60.0))]
    pub right: Option<f64>,
}

/// What a swing found when it was recorded.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FoundEntry {
    /// Why the whole swing was refused, if it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub refusal: Option<Told>,
    /// Findings of each wheel.
    #[serde(default)]
    pub wheels: Vec<WheelSolution>,
    /// Left less right.
    #[serde(default)]
    pub differences: Vec<DifferenceSolution>,
}
