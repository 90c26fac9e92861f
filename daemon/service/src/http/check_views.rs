//! What the wire says of the guided checks.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::views::{AxleName, CarriedView, MountView, TroubleView};
use crate::axis::AxisName;
use crate::text::Text;

/// Which check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CheckKindView {
    /// Camber by the board on a hub.
    CamberOnHub,
    /// Camber by a board on a bar across the rim, turned end for end.
    CamberOnBar,
    /// How far a wheel rocks when it is shaken by hand.
    Play,
    /// The steering from lock to lock.
    Centring,
    /// Toe-out on turns.
    ToeOutOnTurns,
    /// Camber and toe against ride height.
    HeightSweep,
    /// Toe by a board in a block that is carried from rim to rim.
    CarriedToe,
}

/// Step of a check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CheckPhaseView {
    /// None was started.
    #[default]
    Idle,
    /// Waiting for rest.
    AwaitStill,
    /// Resting; keep still until `hold_needed_s` is full.
    Hold,
    /// The stop is taken: see `say` for what is next.
    Taken,
    /// It moves.
    Moving,
    /// The wheel is to be rocked until `hold_needed_s` is full.
    Rock,
    /// A figure is to be typed, see `wants`.
    AwaitFigure,
    /// There is a result, the last of `checked`.
    Done,
    /// There is none, see `trouble`.
    Refused,
}

/// A side of the car.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SideView {
    /// Left.
    Left,
    /// Right.
    Right,
}

/// How bar and board are turned between two takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum BarTurnName {
    /// About the length of the bar: the other face to the rim, the same end up.
    #[default]
    OtherFace,
    /// The other end up, the same face to the rim.
    OtherEnd,
    /// Both.
    Both,
    /// Any of them: the turn is found out.
    Any,
}

/// Where the hands are when a wheel is rocked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum GripName {
    /// At the top and the bottom: 12 and 6 o'clock.
    TopBottom,
    /// In front and behind: 3 and 9 o'clock.
    FrontRear,
}

/// Where steer angles of a check come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SteerByName {
    /// The boards' gyros.
    #[default]
    Gyro,
    /// Turn plates, typed.
    Plates,
    /// Degrees of the steering wheel, typed; for the locks only.
    SteeringWheel,
}

/// Body of a request that starts a check. What is left out has a usual value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum CheckStart {
    /// Camber by the board on a hub.
    CamberOnHub {
        /// Which wheel.
        mount: MountView,
        /// Length of a stop, s; 4.
        #[serde(default)]
        hold_s: Option<f64>,
        /// Stops, with the car bounced between them; 1.
        #[serde(default)]
        stops: Option<usize>,
    },
    /// Camber by a board on a bar across the rim.
    CamberOnBar {
        /// Which wheel.
        mount: MountView,
        /// Identity of the board on the bar; the one that belongs on that wheel.
        #[serde(default)]
        board: Option<String>,
        /// Its axis that faces away from the car in the first take; as it is mounted.
        #[serde(default)]
        outboard: Option<AxisName>,
        /// Length of a take, s; 4.
        #[serde(default)]
        hold_s: Option<f64>,
        /// Pairs of takes; 1.
        #[serde(default)]
        pairs: Option<usize>,
        /// How it is turned between takes.
        #[serde(default)]
        turn: BarTurnName,
        /// One sigma of board on bar and of the bar's feet, degrees.
        #[serde(default)]
        seat_standard_deg: Option<f64>,
        /// One sigma of the wedge between the bar's faces, degrees.
        #[serde(default)]
        faces_standard_deg: Option<f64>,
        /// One sigma of each new seat at the rim, degrees.
        #[serde(default)]
        reseat_standard_deg: Option<f64>,
        /// One sigma of the rim against the spindle, degrees.
        #[serde(default)]
        rim_standard_deg: Option<f64>,
    },
    /// How far a wheel rocks.
    Play {
        /// Which wheel.
        mount: MountView,
        /// Where the hands are.
        grip: GripName,
        /// How long it is rocked, s; 10.
        #[serde(default)]
        rock_s: Option<f64>,
    },
    /// The steering from lock to lock.
    Centring {
        /// Where angles come from.
        #[serde(default)]
        by: SteerByName,
        /// Length of a rest, s; 2.
        #[serde(default)]
        hold_s: Option<f64>,
        /// How often each lock is gone to; 1.
        #[serde(default)]
        rounds: Option<usize>,
        /// One sigma of a typed figure, degrees; 0.25 for plates, 2 for the steering wheel.
        #[serde(default)]
        typed_standard_deg: Option<f64>,
    },
    /// Toe-out on turns.
    ToeOutOnTurns {
        /// Where angles come from: `gyro` or `plates`.
        #[serde(default)]
        by: SteerByName,
        /// Length of a rest, s; 2.
        #[serde(default)]
        hold_s: Option<f64>,
        /// One sigma of a typed figure, degrees; 0.25.
        #[serde(default)]
        typed_standard_deg: Option<f64>,
    },
    /// Camber and toe against ride height.
    HeightSweep {
        /// Which wheel.
        mount: MountView,
        /// Length of a stop, s; 4.
        #[serde(default)]
        hold_s: Option<f64>,
        /// Where slopes are asked, mm; at the first height.
        #[serde(default)]
        ride_height_mm: Option<f64>,
        /// Step where no height is typed, mm.
        #[serde(default)]
        step_mm: Option<f64>,
        /// One sigma of a height, mm; 1.
        #[serde(default)]
        height_standard_mm: Option<f64>,
    },
    /// Toe by a board in a block that is carried from rim to rim.
    CarriedToe {
        /// At whose left rim it begins.
        #[serde(default)]
        axle: AxleName,
        /// Identity of the board in the block; the one on the body.
        #[serde(default)]
        board: Option<String>,
        /// Its axis that points to the car's left while the block is not turned.
        to_left: AxisName,
        /// Half width of the 95 % interval that is asked for, degrees; 0.05.
        #[serde(default)]
        wanted_deg: Option<f64>,
        /// Is it carried to a straight edge as well, that stands for straight ahead?
        #[serde(default)]
        with_edge: bool,
        /// Length of a rest, s; 2.
        #[serde(default)]
        hold_s: Option<f64>,
        /// One sigma of how alike the block lies each time, degrees; 0.01.
        #[serde(default)]
        seat_standard_deg: Option<f64>,
        /// One sigma of how far its faces are from parallel, degrees; 0.05.
        #[serde(default)]
        faces_standard_deg: Option<f64>,
    },
}

/// Body of a request that types a figure.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "what", rename_all = "snake_case", deny_unknown_fields)]
pub enum CheckFigure {
    /// A turn-plate reading.
    Plate {
        /// Which wheel.
        mount: MountView,
        /// Reading, degrees, + left, zero at straight ahead.
        plate_deg: f64,
    },
    /// The steering wheel.
    SteeringWheel {
        /// Its angle, degrees, + left, zero at straight ahead.
        steering_wheel_deg: f64,
    },
    /// A ride height that is set now.
    Height {
        /// The height, mm; left out: one step on from the last.
        #[serde(default)]
        height_mm: Option<f64>,
        /// Toe of the wheel at that height, degrees, + in.
        #[serde(default)]
        toe_deg: Option<f64>,
        /// One sigma of that toe, degrees; 0.05.
        #[serde(default)]
        toe_standard_deg: Option<f64>,
    },
    /// The carried block goes to the straight edge next, or from it back.
    EdgeNext,
}

/// What kind of figure is waited for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CheckWantsWhat {
    /// Turn-plate readings of both front wheels: `plate`.
    Plates,
    /// Degrees of the steering wheel: `steering_wheel`.
    SteeringWheel,
    /// The ride height: `height`.
    Height,
}

/// Where the steering is to stand for a figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum SteeringPosition {
    /// Straight ahead.
    Straight,
    /// Turned to the left.
    Left,
    /// Turned to the right.
    Right,
}

/// A figure that is waited for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct CheckWants {
    /// What kind.
    pub what: CheckWantsWhat,
    /// Where the steering is to stand.
    pub position: Option<SteeringPosition>,
    /// May it be left out, to go one step on?
    pub may_step: bool,
}

/// A stop that was taken.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckStopView {
    /// Camber there, degrees, + top out.
    pub camber_deg: Option<f64>,
    /// Steer of the left wheel, degrees, + left.
    pub steer_left_deg: Option<f64>,
    /// Steer of the right wheel, degrees, + left.
    pub steer_right_deg: Option<f64>,
    /// Steering wheel, degrees, + left.
    pub steering_wheel_deg: Option<f64>,
    /// Ride height, mm.
    pub height_mm: Option<f64>,
    /// Toe typed, degrees, + in.
    pub toe_deg: Option<f64>,
}

/// The check that runs, or ran last.
#[derive(Debug, Clone, PartialEq, Default, Serialize, ToSchema)]
pub struct CheckView {
    /// Rises with every start.
    pub run: u64,
    /// Which check; none before the first.
    pub kind: Option<CheckKindView>,
    /// Of which wheel; none for the steering.
    pub mount: Option<MountView>,
    /// The step at hand.
    pub phase: CheckPhaseView,
    /// One sentence: what to do now.
    pub say: Text,
    /// What can hurt somebody at this step, and how to see to it. To be shown where it stands.
    pub cautions: Vec<Text>,
    /// Seconds held, or rocked, so far.
    pub held_s: f64,
    /// Seconds to hold or rock.
    pub hold_needed_s: f64,
    /// Stops, takes or positions taken.
    pub taken: usize,
    /// How many end it by themselves; none: until it is finished.
    pub wanted: Option<usize>,
    /// Live steer angle, mean of the wheels, degrees, + left.
    pub steer_deg: Option<f64>,
    /// Would `finish` give a result?
    pub can_finish: bool,
    /// What is to be typed now.
    pub wants: Option<CheckWants>,
    /// More of a board that is carried.
    pub carried: Option<CarriedView>,
    /// The stops, in order.
    pub stops: Vec<CheckStopView>,
    /// Present when refused: reason and remedy.
    pub trouble: Option<TroubleView>,
}

/// What a finding of a check is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CheckQuantity {
    /// Camber, + top out.
    Camber,
    /// Play with the hands at the top and the bottom, peak to peak.
    PlayTopBottom,
    /// Play with the hands in front and behind, peak to peak.
    PlayFrontRear,
    /// Left lock.
    LockLeft,
    /// Right lock.
    LockRight,
    /// Half of left lock less right lock, + more lock to the left.
    OffCentre,
    /// The inner wheels' locks: left wheel at left lock less right wheel at right lock.
    InnerLocksDiffer,
    /// The outer wheels' locks: right wheel at left lock less left wheel at right lock.
    OuterLocksDiffer,
    /// Steer of the outer wheel when the inner one stands at 20°.
    OuterAtInner20,
    /// Steer of the inner wheel when the outer one stands at 20°.
    InnerAtOuter20,
    /// Inner less outer when the inner wheel stands at 20°.
    ToeOutOnTurn,
    /// Camber at the ride height.
    CamberAtRideHeight,
    /// Change of camber with ride height.
    CamberSlope,
    /// How that slope changes: half the second derivative.
    CamberBend,
    /// Change of toe with ride height.
    ToeSlope,
    /// Half the second derivative of toe.
    ToeBend,
    /// Total toe of an axle by a carried board, + toe-in.
    CarriedTotalToe,
    /// Toe of a wheel by a carried board, against a straight edge or the thrust line, + toe-in.
    CarriedToe,
}

/// What a number counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CheckUnit {
    /// Degrees.
    Deg,
    /// Degrees per mm.
    DegPerMm,
    /// Degrees per mm².
    DegPerMm2,
}

/// A number with its uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckFindingView {
    /// Of what.
    pub quantity: CheckQuantity,
    /// The same in words.
    pub name: Text,
    /// Of which wheel; none: of the car, the axle or the steering wheel.
    pub mount: Option<MountView>,
    /// On a turn to which side.
    pub turn: Option<SideView>,
    /// The number.
    pub value: f64,
    /// What it counts.
    pub unit: CheckUnit,
    /// Standard uncertainty, in the same unit.
    pub standard: f64,
    /// Half width of the 95 % interval, in the same unit.
    pub expanded: f64,
    /// The sign in words.
    pub sense: Text,
    /// What contributes most to the uncertainty, in words.
    pub largest_contributor: Text,
    /// Its share of the variance, 0 to 1.
    pub largest_share: f64,
    /// What would make the uncertainty smaller.
    pub advice: Text,
}

/// Steer angles of inner and outer wheel at one stop of a turn.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckPairView {
    /// To which side the wheels were steered.
    pub turn: SideView,
    /// Inner wheel, degrees.
    pub inner_deg: f64,
    /// One sigma of it, degrees.
    pub inner_standard_deg: f64,
    /// Outer wheel, degrees.
    pub outer_deg: f64,
    /// One sigma of it, degrees.
    pub outer_standard_deg: f64,
}

/// A measured point of a curve.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckPointView {
    /// Ride height, mm.
    pub height_mm: f64,
    /// The angle, degrees.
    pub value_deg: f64,
    /// One sigma of it against the other points, degrees.
    pub standard_deg: f64,
    /// The point less the curve, degrees.
    pub residual_deg: f64,
}

/// An angle against ride height: c₀ + c₁ h + c₂ h², h in mm from the reference, degrees.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckCurveView {
    /// `camber_slope` for camber, `toe_slope` for toe.
    pub of: CheckQuantity,
    /// The reference height, mm.
    pub reference_mm: f64,
    /// The points.
    pub points: Vec<CheckPointView>,
    /// c₀ and c₁ of the straight line.
    pub line: [f64; 2],
    /// c₀, c₁ and c₂ of the quadratic; none with too few heights.
    pub quadratic: Option<[f64; 3]>,
}

/// What a check found.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct CheckResultView {
    /// Which run.
    pub run: u64,
    /// Which check.
    pub kind: CheckKindView,
    /// Of which wheel; none for the steering.
    pub mount: Option<MountView>,
    /// One sentence: what was found.
    pub say: Text,
    /// Findings, the main one first.
    pub findings: Vec<CheckFindingView>,
    /// What else is worth saying.
    pub notes: Vec<Text>,
    /// Pairs of steer angles, for toe-out on turns.
    pub pairs: Vec<CheckPairView>,
    /// Angles against ride height.
    pub curves: Vec<CheckCurveView>,
    /// When, µs.
    pub at_us: i64,
}
