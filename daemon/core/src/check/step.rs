//! What a running check shows of itself, and what it asks for.

use crate::angle::Angle;
use crate::carried::Place;
use crate::check::bar::BarTurn;
use crate::check::carried::CarriedNow;
use crate::check::play::Grip;
use crate::estimate::Estimate;
use crate::side::Side;

/// Which check.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Camber by the board on a hub.
    CamberOnHub,
    /// Camber by a board on a bar across the rim, turned end for end.
    CamberOnBar,
    /// How far a wheel rocks when it is shaken by hand.
    Play,
    /// The steering from lock to lock.
    Centring,
    /// Toe-out on turns.
    TurnOut,
    /// Camber (and toe) against ride height.
    Heights,
    /// Toe by a board that is carried from rim to rim.
    CarriedToe,
}

/// The step at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Waiting for rest.
    AwaitStill,
    /// Resting.
    Hold,
    /// The stop is taken.
    Taken,
    /// It moves.
    Moving,
    /// The wheel is being rocked.
    Rock,
    /// A figure is to be typed.
    AwaitFigure,
    /// There is a result.
    Done,
    /// There is none.
    Refused,
}

/// Where the steering stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Position {
    /// Straight ahead.
    Straight,
    /// Turned to a side: to the lock, or to a stop on the way.
    Turned(Side),
}

/// A figure that is waited for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// Turn-plate readings of the wheels.
    Plates(Position),
    /// Degrees of the steering wheel.
    SteeringWheel(Position),
    /// The ride height.
    Height,
}

/// What the operator should do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// Let the wheel rest.
    LetRest,
    /// Keep still.
    HoldStill,
    /// Bounce the car, then let it rest for the next stop.
    BounceForNext,
    /// Hold the bar upright across the rim.
    HoldBar,
    /// The bar does not stand upright, or its board does not face the way it was said.
    SetBarUpright,
    /// Turn bar and board this way and hold them there again; none: any way.
    TurnBar(Option<BarTurn>),
    /// Rock the wheel.
    Rock(Grip),
    /// Point the wheels straight ahead and let go.
    PointStraight,
    /// Steer to the lock on this side and hold it.
    SteerToLock(Side),
    /// Steer to a stop on this side where the inner wheel stands at about 20°.
    SteerToStop(Side),
    /// Further stops on this side, or to the other side, or back.
    SteerOnOrBack,
    /// Steer back to straight ahead and let go.
    SteerBack,
    /// Steer on.
    KeepSteering,
    /// Type the figures.
    Type(Wanted),
    /// Set the next ride height, then type it.
    SetHeight,
    /// Hold the block against the outside of this rim, its board level.
    HoldBlock(Place),
    /// The rest is taken: carry the block on from here.
    CarryBlock(Place),
    /// Turn it end for end and hold it against the same rim again.
    TurnBlock,
    /// Set it against the other rim and hold it there.
    SetBlock,
    /// Nothing more.
    Finished,
}

/// How far the check is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Length of the present rest or rocking, µs.
    pub held_us: i64,
    /// Length that is asked, µs.
    pub hold_needed_us: i64,
    /// Stops, takes or positions taken.
    pub taken: usize,
    /// How many end the check by themselves; none: until somebody ends it.
    pub wanted: Option<usize>,
    /// Steer angle now, mean of the wheels, + left.
    pub steer: Option<Angle>,
    /// Would what is there do?
    pub can_finish: bool,
    /// What to do now.
    pub hint: Hint,
    /// More of a board that is carried.
    pub carried: Option<CarriedNow>,
}

/// A stop that was taken, for the page.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Stop {
    /// Camber there, + top out.
    pub camber: Option<Angle>,
    /// Steer of the left wheel, + left.
    pub steer_left: Option<Angle>,
    /// Steer of the right wheel, + left.
    pub steer_right: Option<Angle>,
    /// Steering wheel, + left.
    pub steering_wheel: Option<Angle>,
    /// Ride height, mm.
    pub height_mm: Option<f64>,
    /// Toe, + in: typed.
    pub toe: Option<Angle>,
}

/// What a person typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Figure {
    /// A turn-plate reading, + left.
    Plate {
        /// Which wheel.
        side: Side,
        /// The reading.
        plate: Angle,
    },
    /// The steering wheel's angle, + left.
    SteeringWheel(Angle),
    /// A ride height that is set now.
    Height {
        /// The height, mm; none: one step above the last.
        height_mm: Option<f64>,
        /// Toe of the wheel at that height, + in.
        toe: Option<Estimate>,
    },
    /// The block is carried to the straight edge next, or from it back.
    EdgeNext,
}
