//! The steering swing: caster, SAI, included angle and camber of the steered
//! wheels from rests straight ahead and at stops to both sides.
//!
//! [`procedure`] recognises the rests, [`watch`] keeps what each wheel showed,
//! [`outcome`] checks and solves it (by [`crate::joint`]).

mod body;
pub mod curve;
pub mod exact;
mod gather;
pub mod outcome;
pub mod procedure;
pub mod refusal;
pub mod step;
pub(crate) mod watch;

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::joint::evidence::RunOutEvidence;
use crate::live::WheelSetup;

pub use crate::finding::{AngleKind, Budget, Cause, Contribution, Finding};
pub use body::{BodyGivenUp, BodyUse, SwingBody};
pub use curve::SwingCurve;
pub use gather::SENSE_ONLY;
pub use outcome::{AxisFindings, Difference, WheelOutcome};
pub use procedure::SwingProcedure;
pub use refusal::Refusal;
pub use step::{Hint, Phase, PlateError, Progress, Rest, RestWheel, StartError, Whereabouts};

/// Where the steer angles come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SteerSource {
    /// The boards' gyros.
    #[default]
    Gyro,
    /// Turn-plate readings that somebody enters.
    Plates,
}

/// How much the body may move while the wheels are steered, when no board on
/// the body watches it: one sigma at 20° of steer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyMotion {
    /// Roll, opposite to the two sides.
    pub roll: Angle,
    /// Pitch, alike to both sides.
    pub pitch: Angle,
}

/// One wheel that takes part.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingWheel {
    /// Its board.
    pub wheel: WheelSetup,
    /// Turns of the wheel on its bearing: each group shares one lean of the
    /// spindle. With them the mounting's spindle is a first guess only.
    pub run_out: Vec<Vec<RunOutEvidence>>,
    /// Toe at straight-ahead, + toe-in.
    pub toe: Estimate,
}

/// All that a swing needs to know beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingSetup {
    /// One or two wheels, of different sides.
    pub wheels: Vec<SwingWheel>,
    /// Where steer angles come from.
    pub steer_source: SteerSource,
    /// Body motion where no board watches it.
    pub body: BodyMotion,
    /// The body board, if there is one.
    pub body_board: Option<SwingBody>,
    /// How long each rest must last, µs.
    pub hold_us: i64,
    /// Standard uncertainty of a turn-plate reading.
    pub plate_standard: Angle,
}
