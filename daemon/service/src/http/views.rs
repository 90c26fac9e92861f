//! What the wire of the HTTP interface looks like.
//!
//! These types are the contract with every client: domain types are turned
//! into them in `present`, never serialised themselves. Angles are in degrees
//! here and only here; times are microseconds of the daemon's own clock.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

pub use super::about_views::{AboutView, TimeBy};
use super::calibration_views::CalibrationView;
pub use super::carried_views::{AxleName, CarriedPlace, CarriedView};
pub use super::check_views::*;
pub use super::curve_views::*;
pub use super::level_views::*;
pub use super::publish_views::{BrokerState, PublishingView};
pub use super::setup_views::{SetupView, SitsView};
pub use super::visit_views::AtHandView;
use crate::axis::AxisName;
use crate::text::Text;

/// Everything a page needs to draw itself once.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct StateView {
    /// Version of the daemon.
    pub version: String,
    /// Which run of the daemon this is; another one after every start.
    pub run: String,
    /// Rises with every change. A stream tells everything that changed since
    /// its last message, so a jump there is no loss: only changes told together.
    pub serial: u64,
    /// Daemon clock when this was made, µs.
    pub now_us: i64,
    /// Every board the configuration names or the daemon found.
    pub boards: Vec<BoardView>,
    /// Live angles of every wheel that has a board.
    pub wheels: Vec<WheelView>,
    /// The steering swing, running or not.
    pub swing: SwingView,
    /// Findings of this run of the daemon, newest last.
    pub findings: Vec<FindingView>,
    /// Left less right of the runs that found both wheels, newest last.
    pub differences: Vec<DifferenceView>,
    /// Camber over steer of the runs that went through, newest last.
    pub curves: Vec<SwingCurveView>,
    /// What the car stands on and how its boards sit.
    pub levelling: LevellingView,
    /// The visit at hand, into which finished procedures go.
    pub visit: AtHandView,
    /// The guided check that runs, or ran last.
    pub check: CheckView,
    /// What the checks of this run of the daemon found, newest last.
    pub checked: Vec<CheckResultView>,
    /// Finding boards and saying where they are.
    pub setup: SetupView,
    /// The broker to which findings and live angles go.
    pub publishing: PublishingView,
    /// The simulated car's true angles, in demonstration mode only.
    pub scenario: Option<ScenarioView>,
}

/// What changed since the last message; a section that is absent has not changed.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct ChangeView {
    /// See [`StateView::serial`].
    pub serial: u64,
    /// Daemon clock when this was made, µs.
    pub now_us: i64,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All boards, when one of them changed.
    pub boards: Option<Vec<BoardView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All wheels, when one of them changed.
    pub wheels: Option<Vec<WheelView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// The swing, when it changed.
    pub swing: Option<SwingView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All findings, when one was added.
    pub findings: Option<Vec<FindingView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All differences, when one was added.
    pub differences: Option<Vec<DifferenceView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All curves, when one was added.
    pub curves: Option<Vec<SwingCurveView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// Floor, toe and run-outs, when one of them changed.
    pub levelling: Option<LevellingView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// The visit at hand, when another is or an entry was added.
    pub visit: Option<AtHandView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// The guided check, when it changed.
    pub check: Option<CheckView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// All results of checks, when one was added.
    pub checked: Option<Vec<CheckResultView>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// Finding boards and saying where they are, when that changed.
    pub setup: Option<SetupView>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    /// The broker to which findings and live angles go, when that changed.
    pub publishing: Option<PublishingView>,
}

/// Where a board is strapped.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
#[serde(rename_all = "snake_case")]
pub enum MountView {
    /// Front left hub.
    FrontLeft,
    /// Front right hub.
    FrontRight,
    /// Rear left hub.
    RearLeft,
    /// Rear right hub.
    RearRight,
    /// On the body.
    Body,
}

/// One board: where it is, what it says, and if it says nothing, why.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a fact of the wire by itself"
)]
pub struct BoardView {
    /// Stable identity: USB serial number or path, else port name.
    pub id: String,
    /// Name given in the configuration, else the identity.
    pub name: String,
    /// Where it is strapped, if that is known.
    pub mount: Option<MountView>,
    /// Does the configuration name it? Then where it is is changed there and not here.
    pub configured: bool,
    /// How it was said to sit on its hub, if that was said.
    pub sits: Option<SitsView>,
    /// The printed arrow that points up now, while the board rests.
    pub up_now: Option<AxisName>,
    /// Was it taken in by hand? Then it can be let go.
    pub taken_in: bool,
    /// State of the link.
    pub state: BoardState,
    /// Present whenever `state` is not `live`: what happened and what to do.
    pub trouble: Option<TroubleView>,
    /// Port it is (or was last) reached by.
    pub port: String,
    /// Speed of the line, if known.
    pub baud: Option<u32>,
    /// True when the speed was found by listening, not configured.
    pub baud_is_guess: bool,
    /// Wire format, if known: `csv`, `labelled`, `json-lines`, `ahrs55`.
    pub format: Option<String>,
    /// True when the format was found by listening, not configured.
    pub format_is_guess: bool,
    /// Readings per second over the last seconds.
    pub rate_hz: Option<f64>,
    /// Good frames since start.
    pub good_frames: u64,
    /// Bad frames since start, by reason.
    pub bad_frames: Vec<BadFramesView>,
    /// Readings dropped because the daemon was late.
    pub dropped: u64,
    /// Chip temperature, °C.
    pub temperature_c: Option<f64>,
    /// Does the daemon hold a calibration of this board?
    pub calibrated: bool,
    /// That calibration, and the procedure that is making one.
    pub calibration: CalibrationView,
    /// Fitted rate of the board's clock against ours, parts per million; none where the board sends no time.
    pub clock_ppm: Option<f64>,
    /// What the times of its readings go by; none before the first reading.
    pub time_by: Option<TimeBy>,
    /// What it says of itself beside its readings.
    pub about: AboutView,
}

/// How many frames were bad for one reason.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct BadFramesView {
    /// Stable code of the reason, e.g. `checksum`.
    pub reason: String,
    /// How many.
    pub count: u64,
}

/// State of a board's link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BoardState {
    /// Readings arrive.
    Live,
    /// The port is not there (cable out, board off).
    Absent,
    /// The port is there but may not be opened.
    Refused,
    /// The port is open and nothing arrives.
    Silent,
    /// Bytes arrive that no format explains.
    Unreadable,
    /// Listening to find out format and speed.
    Listening,
}

/// Something is wrong: what happened, what it means, what to do.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct TroubleView {
    /// Stable code, e.g. `port_absent`.
    pub code: String,
    /// What happened.
    pub what: Text,
    /// What it means for the measurement.
    pub meaning: Text,
    /// What to do about it.
    pub remedy: Text,
}

/// A value with its uncertainty and time, or the reason why there is none.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
#[serde(tag = "status", rename_all = "snake_case")]
pub enum QuantityView {
    /// There is a value.
    Known {
        /// The angle, degrees.
        value_deg: f64,
        /// Half width of the 95 % interval, degrees.
        expanded_deg: f64,
        /// The sign in words, e.g. `top out`.
        sense: Text,
        /// When it was measured, µs.
        at_us: i64,
    },
    /// There is none, and this is why.
    Missing {
        /// Stable code: `absent`, `stale`, `saturated`, `stuck`, `torn`, `garbled`, `at_odds`, `unmounted`, `moving`, `settling`.
        reason: String,
        /// The same in words.
        text: Text,
    },
}

/// Live angles of one wheel.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct WheelView {
    /// Which wheel.
    pub mount: MountView,
    /// Camber against the floor.
    pub camber: QuantityView,
    /// Pitch of the hub, front up positive.
    pub hub_pitch: QuantityView,
    /// Is the hub still?
    pub motion: MotionView,
}

/// Is the hub still?
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum MotionView {
    /// Still long enough to measure.
    Still,
    /// Moving.
    Moving,
    /// Not enough readings yet to say.
    Unknown,
}

/// Step of the steering swing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SwingPhase {
    /// Not running.
    Idle,
    /// Waiting for the wheels to rest straight ahead.
    AwaitStraight,
    /// Resting straight ahead; keep still until `hold` is full.
    HoldStraight,
    /// Straight ahead is taken: steer to the next stop.
    AwaitTurn,
    /// The wheels turn.
    Turning,
    /// Resting at a stop; keep still until `hold` is full.
    HoldStop,
    /// The stop is taken: steer on, to the other side, or back to straight ahead.
    StopTaken,
    /// Back at straight ahead; keep still until `hold` is full.
    HoldReturn,
    /// All rests are taken, turn-plate readings are still to be entered.
    AwaitPlates,
    /// Findings are there.
    Done,
    /// Given up, see `trouble`.
    Refused,
}

/// Where steer angles come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SteerSource {
    /// From the boards' gyros.
    #[default]
    Gyro,
    /// From turn-plate readings that the operator enters.
    Plates,
}

/// The steering swing as it stands.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct SwingView {
    /// Rises with every start.
    pub run: u64,
    /// The step at hand.
    pub phase: SwingPhase,
    /// One sentence: what to do now.
    pub say: Text,
    /// Where steer angles come from.
    pub steer_source: SteerSource,
    /// Seconds held so far in a hold step.
    pub held_s: f64,
    /// Seconds to hold in a hold step.
    pub hold_needed_s: f64,
    /// Live steer angle, mean of the wheels, + left; none where the boards have no gyro.
    pub steer_deg: Option<f64>,
    /// Where each wheel stands now, by its gyro; none before the first rest.
    pub wheels: Vec<WhereaboutsView>,
    /// Rests taken so far, in order; the first is straight ahead.
    pub rests: Vec<RestView>,
    /// What a board on the body does for it.
    pub body: BodyWatchView,
    /// Present when refused: reason and remedy.
    pub trouble: Option<TroubleView>,
    /// Present when one wheel was refused though the other has findings.
    pub notes: Vec<Text>,
}

/// One rest of the wheels during a swing.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RestView {
    /// Number, from 0.
    pub index: usize,
    /// True for the rests at straight ahead.
    pub straight: bool,
    /// What each wheel showed.
    pub wheels: Vec<RestWheelView>,
}

/// One wheel at one rest.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct RestWheelView {
    /// Which wheel.
    pub mount: MountView,
    /// Steer angle by gyro, + left.
    pub steer_deg: Option<f64>,
    /// Turn-plate reading entered, + left.
    pub plate_deg: Option<f64>,
    /// Camber there.
    pub camber_deg: f64,
    /// Half width of its 95 % interval, by what is known before the swing is solved.
    pub camber_expanded_deg: f64,
}

/// Which angle a finding is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum AngleView {
    /// Camber at straight ahead.
    Camber,
    /// Caster.
    Caster,
    /// Steering axis inclination.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
}

/// An angle with its uncertainty and time.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct FindingView {
    /// Which run of the swing it came from.
    pub run: u64,
    /// Which wheel.
    pub mount: MountView,
    /// Which angle.
    pub angle: AngleView,
    /// The angle, degrees.
    pub value_deg: f64,
    /// Standard uncertainty, degrees.
    pub standard_deg: f64,
    /// Half width of the 95 % interval, degrees.
    pub expanded_deg: f64,
    /// The sign in words.
    pub sense: Text,
    /// What contributes most to the uncertainty, in words.
    pub largest_contributor: Text,
    /// Its share of the variance, 0 to 1.
    pub largest_share: f64,
    /// What would make the uncertainty smaller.
    pub advice: Text,
    /// The classic two-reading figure for the same angle, where there is one.
    pub two_reading_deg: Option<f64>,
    /// Rests that were left out because they did not fit the others, from 0.
    pub left_out: Vec<usize>,
    /// Did a board on the body watch it roll and pitch?
    pub body_watched: bool,
    /// When, µs.
    pub at_us: i64,
}

/// The simulated car's true angles.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct ScenarioView {
    /// Name of the scenario.
    pub name: String,
    /// What it is about.
    pub about: String,
    /// Seed of its randomness.
    pub seed: u64,
    /// Truth per wheel.
    pub wheels: Vec<TruthView>,
}

/// True angles of one simulated wheel, against the floor.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TruthView {
    /// Which wheel.
    pub mount: MountView,
    /// Camber, degrees.
    pub camber_deg: f64,
    /// Caster, degrees.
    pub caster_deg: f64,
    /// Steering axis inclination, degrees.
    pub sai_deg: f64,
    /// SAI plus camber, degrees.
    pub included_deg: f64,
}

/// Body of a request that starts a swing.
#[derive(Debug, Clone, PartialEq, Default, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SwingStart {
    /// Where steer angles come from.
    #[serde(default)]
    pub steer_source: SteerSource,
}

/// Body of a request that enters a turn-plate reading.
#[derive(Debug, Clone, PartialEq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PlateReading {
    /// Number of the rest, see [`RestView::index`].
    pub rest: usize,
    /// Which wheel.
    pub mount: MountView,
    /// Reading, degrees, + left, zero at straight ahead.
    pub plate_deg: f64,
}

/// A refused request (RFC 9457, `application/problem+json`).
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct ProblemView {
    /// A URI reference naming the kind of problem: `/problems/<code>`.
    #[serde(rename = "type")]
    pub kind: String,
    /// Short summary of the kind.
    pub title: Text,
    /// HTTP status.
    pub status: u16,
    /// What happened this time.
    pub detail: Text,
    /// What to do about it.
    pub remedy: Text,
    /// Stable code.
    pub code: String,
}
