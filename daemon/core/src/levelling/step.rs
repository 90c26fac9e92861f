//! What a run-out shows of itself while it runs.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::levelling::Outboard;
use crate::side::Side;

/// What a run-out needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOutSetup {
    /// Which side of the car.
    pub side: Side,
    /// The chip's figures after its calibration.
    pub chip: ChipFigures,
    /// What is known of outboard.
    pub outboard: Outboard,
    /// Is the corner jacked? Otherwise the wheel rolls on the floor.
    pub jacked: bool,
    /// Figures of the body board, if there is one to listen to.
    pub body: Option<ChipFigures>,
}

/// The step at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// Waiting for the wheel to rest.
    AwaitStill,
    /// Resting.
    Hold,
    /// The stop is taken.
    Taken,
    /// The wheel turns.
    Turning,
    /// There is a result.
    Done,
    /// There is none, see [`super::RunOutProcedure::refusal`].
    Refused,
}

/// What the operator should do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// Let the wheel rest.
    LetRest,
    /// Keep still.
    HoldStill,
    /// Turn the wheel on by about a quarter.
    TurnOn,
    /// Turn on, then let go.
    KeepTurning,
    /// What is there would do; another stop is welcome.
    TurnOnOrFinish,
    /// Nothing more.
    Finished,
}

/// How far the run-out is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Length of the present rest, µs.
    pub held_us: i64,
    /// Length that is asked, µs.
    pub hold_needed_us: i64,
    /// Stops taken.
    pub stops: usize,
    /// How far gravity went round so far.
    pub arc: Angle,
    /// What to do now.
    pub hint: Hint,
}
