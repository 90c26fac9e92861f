//! What a swing shows of itself while it runs.

use thiserror::Error;

use crate::angle::Angle;
use crate::side::Side;

/// The step at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Waiting for the wheels to rest straight ahead.
    AwaitStraight,
    /// Resting straight ahead for the first time.
    HoldStraight,
    /// Straight ahead is taken.
    AwaitTurn,
    /// The wheels turn, or rest where no stop can be.
    Turning,
    /// Resting at a stop.
    HoldStop,
    /// The stop is taken.
    StopTaken,
    /// Resting straight ahead again.
    HoldReturn,
    /// Plate readings are missing.
    AwaitPlates,
    /// There is an outcome.
    Done,
    /// There is none, see [`super::SwingProcedure::refusal`].
    Refused,
}

/// What the operator should do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// Point the wheels straight ahead and let go.
    RestStraight,
    /// Keep still.
    HoldStill,
    /// Steer to a first stop, either side.
    SteerAside,
    /// Steer on to a stop and let go.
    KeepSteering,
    /// The wheels rest too near straight ahead for a stop.
    SteerFarther,
    /// Now to a stop on this side.
    SteerTo(Side),
    /// Further stops, or back to straight ahead.
    SteerOnOrBack,
    /// Enter the plate readings.
    EnterPlates,
    /// Nothing more.
    Finished,
}

/// How far the present step is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Length of the present rest, µs.
    pub held_us: i64,
    /// Length that is asked, µs.
    pub hold_needed_us: i64,
    /// Mean steer angle of the wheels now, + left.
    pub steer: Option<Angle>,
    /// Where each wheel stands now, by its gyro from the rest before; in the order they
    /// were given.
    pub wheels: [Option<Whereabouts>; 2],
    /// What to do now.
    pub hint: Hint,
}

/// Where a wheel stands while it turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Whereabouts {
    /// Which side.
    pub side: Side,
    /// Steer angle, + left.
    pub steer: Angle,
    /// Camber there.
    pub camber: Angle,
}

/// One wheel at one rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestWheel {
    /// Which side.
    pub side: Side,
    /// Steer angle by gyro, + left.
    pub steer: Option<Angle>,
    /// Plate reading entered, + left.
    pub plate: Option<Angle>,
    /// Camber there.
    pub camber: Angle,
    /// Its standard uncertainty, by what is known before the swing is solved.
    pub camber_standard: Angle,
}

/// One rest of the wheels.
#[derive(Debug, Clone, PartialEq)]
pub struct Rest {
    /// Straight ahead, or a stop.
    pub straight: bool,
    /// What the wheels showed.
    pub wheels: Vec<RestWheel>,
}

/// Why a swing cannot start.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum StartError {
    /// No wheel, or one side twice.
    #[error("a swing needs one or two wheels of different sides, {found} given")]
    Wheels {
        /// How many were given.
        found: usize,
    },
    /// The hold time is no time.
    #[error("rests of {hold_us} µs are too short, {least_us} µs is the least")]
    Hold {
        /// What was given.
        hold_us: i64,
        /// The least.
        least_us: i64,
    },
}

/// Why a plate reading is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum PlateError {
    /// Steer angles come from the gyros.
    #[error("steer angles come from the gyros in this swing")]
    NotAsked,
    /// No such rest.
    #[error("there is no rest {rest}, {taken} are taken")]
    NoSuchRest {
        /// What was given.
        rest: usize,
        /// How many there are.
        taken: usize,
    },
    /// That wheel takes no part.
    #[error("the {side:?} wheel takes no part")]
    NoSuchWheel {
        /// Which.
        side: Side,
    },
    /// No wheel steers so far.
    #[error("{given_deg}° is more than a wheel steers")]
    TooFar {
        /// What was given.
        given_deg: f64,
    },
    /// The swing is over.
    #[error("the swing is over")]
    Over,
}
