//! What the wire says of floor, toe and run-outs.

use crate::axis::AxisName;
use crate::text::Text;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::views::{AngleView, MountView, TroubleView};

/// What the car stands on and how its boards sit.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct LevellingView {
    /// The floor under the four wheels.
    pub floor: FloorView,
    /// Toe of the steered wheels at straight ahead.
    pub toes: Vec<ToeView>,
    /// How it is known which way the board on the body points.
    pub body: BodyHeadingView,
    /// Every wheel that has a board: how it sits, and the run-out.
    pub run_outs: Vec<RunOutView>,
    /// What was found before the daemon was started, until `/levelling/go-on` or `/levelling/leave` says
    /// whether it still holds. It is not in force before.
    pub earlier: Option<EarlierView>,
}

/// What an earlier life of the daemon found.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct EarlierView {
    /// When it was last added to, RFC 3339.
    pub at: String,
    /// What it is, in words.
    pub what: Vec<Text>,
}

/// Where the floor's slope comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum FloorByView {
    /// From the configuration, or presumed level.
    #[default]
    Configuration,
    /// From heights of the four pads.
    Heights,
    /// From a board on a straight-edge.
    Lines,
}

/// The floor under the four wheels.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct FloorView {
    /// Slope across, degrees, + left side higher.
    pub roll_deg: f64,
    /// Half width of its 95 % interval, degrees.
    pub roll_expanded_deg: f64,
    /// The sign in words.
    pub roll_sense: Text,
    /// Slope along, degrees, + front lower.
    pub pitch_deg: f64,
    /// Half width of its 95 % interval, degrees.
    pub pitch_expanded_deg: f64,
    /// The sign in words.
    pub pitch_sense: Text,
    /// Where that comes from.
    pub by: FloorByView,
    /// How far a pad lies off the plane of the four, mm; + front left and rear right high.
    pub twist_mm: Option<f64>,
    /// Lines between pads surveyed with a straight-edge.
    pub lines: Vec<LineView>,
    /// A line whose first rest is taken: turn the edge end for end.
    pub half: Option<LineName>,
}

/// A line between two pads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum LineName {
    /// Between the front pads.
    Front,
    /// Between the rear pads.
    Rear,
    /// Between the left pads.
    Left,
    /// Between the right pads.
    Right,
}

/// A surveyed line.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct LineView {
    /// Which.
    pub line: LineName,
    /// Its slope, degrees, + left or front end higher.
    pub slope_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
}

/// Toe of a steered wheel.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ToeView {
    /// Which wheel.
    pub mount: MountView,
    /// Toe, degrees, + toe-in.
    pub toe_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// Was it entered since the daemon started? Otherwise it is configured or presumed.
    pub entered: bool,
}

/// How it is known which way the board on the body points.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct BodyHeadingView {
    /// Was it watching while the left front corner was jacked?
    pub jacked_left: bool,
    /// And while the right one was?
    pub jacked_right: bool,
    /// Is its heading known from the two jackings?
    pub by_jackings: bool,
    /// The axis that was declared to point forward.
    pub forward: Option<AxisName>,
    /// One sigma of that heading, degrees.
    pub forward_standard_deg: Option<f64>,
}

/// Step of a run-out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum RunOutPhase {
    /// None was started.
    Idle,
    /// Waiting for the wheel to rest.
    AwaitStill,
    /// Resting; keep still until `held_s` is full.
    Hold,
    /// The stop is taken: turn on.
    Taken,
    /// The wheel turns.
    Turning,
    /// There is a result.
    Done,
    /// Given up, see `trouble`.
    Refused,
}

/// What says how a board sits on its wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SitsBy {
    /// Nothing: there is no camber before the wheel was turned.
    Unknown,
    /// A declared face, with the uncertainty stated for it.
    Declared,
    /// Turns of the wheel on its bearing.
    RunOut,
}

/// A wheel with a board, and its run-out.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RunOutView {
    /// Which wheel.
    pub mount: MountView,
    /// What is in force for how its board sits.
    pub sits_by: SitsBy,
    /// Rises with every start.
    pub run: u64,
    /// The step at hand.
    pub phase: RunOutPhase,
    /// One sentence: what to do now.
    pub say: Text,
    /// Is the corner jacked? Otherwise the wheel rolls on the floor.
    pub jacked: bool,
    /// Seconds held so far.
    pub held_s: f64,
    /// Seconds to hold.
    pub hold_needed_s: f64,
    /// Stops taken.
    pub stops: usize,
    /// How far round they reach, degrees.
    pub arc_deg: f64,
    /// Would it do to finish now?
    pub would_do: bool,
    /// Present when refused: reason and remedy.
    pub trouble: Option<TroubleView>,
    /// The result in force.
    pub result: Option<RunOutResultView>,
}

/// How the outboard end of a spin axis was told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum OutboardByView {
    /// By the declared face.
    DeclaredFace,
    /// By the axis declared to point away from the car.
    AwayFromCar,
    /// By turning the wheel the way it rolls forward.
    ForwardRolling,
}

/// The spin axis of a wheel in its board's axes.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RunOutResultView {
    /// Outboard, in the board's axes.
    pub outboard: [f64; 3],
    /// Half width of the 95 % interval about the forward direction, degrees: goes into camber.
    pub lean_expanded_deg: f64,
    /// Half width of the 95 % interval about the vertical, degrees: acts like a wrong toe.
    pub heading_expanded_deg: f64,
    /// How outboard was told.
    pub outboard_by: OutboardByView,
    /// How far gravity went round, degrees.
    pub arc_deg: f64,
    /// Stops used.
    pub stops: usize,
    /// Whole turns used.
    pub spins: usize,
    /// Largest distance of a stop from the cone, degrees; none where three stops left nothing to see it by.
    pub off_cone_deg: Option<f64>,
    /// Lean of the spindle while the wheel was turned, degrees, + top out. Not the camber to report.
    pub lean_there_deg: f64,
    /// How far the axis is from what was declared, degrees.
    pub off_declared_deg: Option<f64>,
    /// Was a board on the body still while the wheel rested on the jack?
    pub body_seen: bool,
    /// When, µs.
    pub at_us: i64,
}

/// What a board on the body does for a swing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BodyWatchState {
    /// There is none.
    None,
    /// It watches, or watched to the end.
    Watching,
    /// There was one, and the swing goes on without.
    GivenUp,
}

/// A board on the body in a swing.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct BodyWatchView {
    /// What it does.
    pub state: BodyWatchState,
    /// The same in words, with what to do where it was given up.
    pub text: Text,
}

/// Left less right of an angle, with what both share taken into account.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct DifferenceView {
    /// Which run of the swing it came from.
    pub run: u64,
    /// Which angle.
    pub angle: AngleView,
    /// Left less right, degrees.
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// Correlation of left and right that is in it, −1 to 1.
    pub correlation: f64,
}

/// Body of a request that starts a run-out.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunOutStart {
    /// Which wheel.
    pub mount: MountView,
    /// Is the corner jacked? Otherwise the car is rolled forward by parts of a turn.
    pub jacked: bool,
}

/// Body of a request about the run-out of a wheel.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunOutOf {
    /// Which wheel.
    pub mount: MountView,
}

/// What a water level's readings are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum HeightReads {
    /// Height of the pad: a higher pad reads more.
    #[default]
    PadHeight,
    /// Height of the water above the pad: a higher pad reads less.
    WaterAbovePad,
}

/// Body of a request with the heights of the four pads.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FloorHeights {
    /// What is read.
    #[serde(default)]
    pub reads: HeightReads,
    /// Front left, mm.
    pub front_left_mm: f64,
    /// Front right, mm.
    pub front_right_mm: f64,
    /// Rear left, mm.
    pub rear_left_mm: f64,
    /// Rear right, mm.
    pub rear_right_mm: f64,
    /// One sigma of a reading, mm.
    pub standard_mm: f64,
    /// Distance of the front pads' middles, mm.
    pub track_front_mm: f64,
    /// Distance of the rear pads' middles, mm.
    pub track_rear_mm: f64,
    /// Distance of the axles, mm.
    pub wheelbase_mm: f64,
}

/// Body of a request that takes one rest of a board on a straight-edge.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct FloorLineRest {
    /// Along which line the edge lies.
    pub line: LineName,
    /// Identity of the board, see [`super::views::BoardView::id`].
    pub board: String,
    /// Its axis that pointed to the left or the front in the first rest.
    pub along: AxisName,
    /// Is this the rest after edge and board were turned end for end?
    pub turned: bool,
}

/// Body of a request that enters measured toe.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ToeEntry {
    /// Which steered wheel.
    pub mount: MountView,
    /// Toe, degrees, + toe-in.
    pub toe_deg: f64,
    /// One sigma of it, degrees.
    pub standard_deg: f64,
}

/// Body of a request that declares which axis of the body board points forward.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct BodyHeading {
    /// The axis; none: its heading is found from the jackings alone.
    pub forward: Option<AxisName>,
    /// One sigma of the heading, degrees.
    pub standard_deg: Option<f64>,
}
