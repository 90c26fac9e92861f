//! What the turns of a wheel told.

use crate::angle::Angle;
use crate::frames::{Board, Dir};
use crate::joint::evidence::RunOutEvidence;
use crate::levelling::cone::SpinAxis;
use crate::mounting::{Mounting, MountingTrust};
use crate::side::Side;
use crate::time::HostTime;

/// How the outboard end of the axis was told from the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutboardBy {
    /// By the declared face.
    DeclaredFace,
    /// By the axis declared to point away from the car.
    AwayFromCar,
    /// By the wheel having been turned the way it rolls forward.
    ForwardRolling,
}

/// A spin axis and what it rests on.
#[derive(Debug, Clone, PartialEq)]
pub struct RunOutResult {
    /// Which side of the car.
    pub side: Side,
    /// The axis, with its uncertainty.
    pub axis: SpinAxis,
    /// How outboard was told.
    pub outboard_by: OutboardBy,
    /// How far gravity went round the axis.
    pub arc: Angle,
    /// Stops used.
    pub stops: usize,
    /// Whole turns used, read while the wheel spun.
    pub spins: usize,
    /// Was there a stop more than a cone needs? Without one a wobble is not seen.
    pub wobble_watched: bool,
    /// Largest distance of a stop from the cone.
    pub off_cone: Angle,
    /// Lean of the spindle while the wheel was turned, + top out, against
    /// gravity. On a jacked corner this is not the camber to report: the wheel
    /// hangs, and the body leans.
    pub lean_there: Angle,
    /// Was the corner jacked? Otherwise the wheel rolled on the floor.
    pub jacked: bool,
    /// Direction of the axis from the declared face, where one was declared.
    pub off_declared: Option<Angle>,
    /// The tips of gravity, for the joint solver.
    pub evidence: Vec<Vec<RunOutEvidence>>,
    /// The body board's mean at the stops of a jacked corner, if one was there and still.
    pub body: Option<RunOutEvidence>,
    /// Time of the last reading used.
    pub at: HostTime,
}

/// The hub's pitch is nobody's knowledge after a run-out: the wheel comes to
/// rest anywhere on its bearing.
const PITCH_UNKNOWN: Angle = Angle::from_deg(5.0);

impl RunOutResult {
    /// The mounting that follows, for a wheel that rests with the vertical
    /// along `up`; none when that is the axis.
    pub fn mounting(&self, up: Dir<Board>) -> Option<Mounting> {
        let spread = self.axis.about(up)?;
        let trust = MountingTrust {
            camber: spread.lean,
            pitch: PITCH_UNKNOWN,
            heading: spread.heading,
        };
        Mounting::from_axes(self.side, self.axis.outboard, up, trust).ok()
    }

    /// The vertical at the last stop, in the board's axes.
    pub fn last_up(&self) -> Option<Dir<Board>> {
        Dir::along(self.evidence.first()?.last()?.accel_g)
    }
}
