//! The task that owns what the car stands on and how its boards sit: run-outs
//! of the wheels, the floor's survey, toe and the body board's heading. Live camber and the
//! swing go by it at once; what was found is [kept](Standing) and offered after a new start.

mod earlier;
mod inlet;
mod seating;
mod settings;
mod standing;
mod task;

use std::collections::BTreeMap;
use std::sync::Arc;

use hubplumb_core::angle::Angle;
use hubplumb_core::calibrate::NotReversed;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Board, Dir};
use hubplumb_core::joint::evidence::Jackings;
use hubplumb_core::levelling::survey::{Line, PadHeights, SurveyError};
use hubplumb_core::levelling::{
    Outboard, Phase, Progress, RunOutRefusal, RunOutResult, forward_by, jackings,
};
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;
use thiserror::Error;
use tokio::sync::{mpsc, oneshot, watch};

use crate::board::Seat;
use crate::mount::Mount;

pub use earlier::Earlier;
pub use inlet::{LevelInlet, LevelInput};
pub use settings::{Known, ToeTold};
pub use standing::Standing;
pub use task::{LevelBoards, LevelTask};

/// Wishes that may wait: one person presses one button at a time.
const WISHES: usize = 16;

/// How far the body's pitch may differ between the two jackings, one sigma: two
/// jacks are pumped to the same height by eye (common practice, no source).
const JACKING_PITCH: Angle = Angle::from_deg(0.2);

/// Where the floor's slope comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FloorBy {
    /// From the configuration, or presumed level.
    Configuration,
    /// From heights of the four pads.
    Heights,
    /// From a board on a straight-edge.
    Lines,
}

/// The floor as far as it is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Floor {
    /// Its slope.
    pub slope: FloorSlope,
    /// Where that comes from.
    pub by: FloorBy,
    /// How far a pad lies off the plane of the four, mm.
    pub twist_mm: Option<f64>,
    /// Lines surveyed so far.
    pub lines: BTreeMap<Line, Estimate>,
    /// A line whose first rest is taken.
    pub half: Option<Line>,
}

/// A wheel's run-out as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct RunOut {
    /// Identity of the board.
    pub board: String,
    /// Rises with every start.
    pub run: u64,
    /// What is known of outboard without a turn.
    pub outboard: Outboard,
    /// Is there a face declared, with its own uncertainty?
    pub declared: bool,
    /// The one that runs, or ran last.
    pub current: Option<RunOutNow>,
    /// The result in force.
    pub result: Option<Arc<RunOutResult>>,
}

/// A run-out that runs, or ran last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOutNow {
    /// The step at hand.
    pub phase: Phase,
    /// How far it is.
    pub progress: Progress,
    /// Is the corner jacked? Otherwise the wheel rolls on the floor.
    pub jacked: bool,
    /// Why it was refused.
    pub refusal: Option<RunOutRefusal>,
}

impl RunOutNow {
    /// Does it run?
    pub const fn is_running(&self) -> bool {
        !matches!(self.phase, Phase::Done | Phase::Refused)
    }
}

/// Everything as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct LevelSnapshot {
    /// The floor.
    pub floor: Floor,
    /// Toe left and right, + toe-in.
    pub toe: [Known; 2],
    /// The body board's axis that was declared to point forward, and one sigma of its heading.
    pub forward: Option<(BoardAxis, Angle)>,
    /// The wheels that have a board.
    pub run_outs: BTreeMap<Mount, RunOut>,
    /// What was found before the daemon was started, until somebody says whether it holds.
    pub earlier: Option<Earlier>,
}

impl LevelSnapshot {
    /// Toe of a side.
    pub const fn toe_of(&self, side: Side) -> &Known {
        let [left, right] = &self.toe;
        match side {
            Side::Left => left,
            Side::Right => right,
        }
    }

    /// The result in force of a wheel.
    pub fn result(&self, mount: Mount) -> Option<&RunOutResult> {
        self.run_outs.get(&mount)?.result.as_deref()
    }

    /// Does a run-out run?
    pub fn is_running(&self) -> bool {
        self.run_outs
            .values()
            .any(|run_out| run_out.current.as_ref().is_some_and(RunOutNow::is_running))
    }

    /// The body board's jackings, once both front corners were jacked with it watching.
    pub fn jackings(&self) -> Option<Jackings> {
        let body = |mount| self.result(mount).and_then(|result| result.body);
        jackings(
            body(Mount::FrontLeft)?,
            body(Mount::FrontRight)?,
            JACKING_PITCH,
        )
    }

    /// Which direction of the body board points forward: declared, or by the jackings.
    pub fn body_forward(&self) -> Option<Dir<Board>> {
        match self.forward {
            Some((axis, _)) => Some(axis.dir()),
            None => forward_by(&self.jackings()?),
        }
    }
}

/// Why a wish is not granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LevelError {
    /// No board is on that wheel.
    #[error("no board is on the wheel `{}`", .0.name())]
    NoBoard(Mount),
    /// Its board gives no readings.
    #[error("the board on `{}` gives no readings", .0.name())]
    NotLive(Mount),
    /// The configuration says where that board is.
    #[error("the configuration says where the board `{0}` is")]
    Configured(String),
    /// Another board is there.
    #[error("the board \"{by}\" is on `{}` already", .mount.name())]
    Occupied {
        /// Where.
        mount: Mount,
        /// Name of the other board.
        by: String,
    },
    /// A procedure uses the board there.
    #[error("{by} uses the board on `{}`", .mount.name())]
    InUse {
        /// Where.
        mount: Mount,
        /// What uses it.
        by: Procedure,
    },
    /// A run-out of that wheel is running.
    #[error("a run-out of `{}` is running", .0.name())]
    Running(Mount),
    /// None is running.
    #[error("no run-out of `{}` is running", .0.name())]
    NotRunning(Mount),
    /// The survey gives no slope.
    #[error(transparent)]
    Survey(#[from] SurveyError),
    /// There is no board by that identity.
    #[error("there is no board `{0}`")]
    NoSuchBoard(String),
    /// The board does not lie still.
    #[error("the board `{0}` does not lie still")]
    NotStill(String),
    /// The first rest of a line has not been taken.
    #[error("the first rest of that line has not been taken")]
    NoFirstRest,
    /// The two rests are not a turn end for end.
    #[error(transparent)]
    NotReversed(#[from] NotReversed),
    /// Nothing is offered from before the start.
    #[error("nothing was found before the daemon was started, or it was answered already")]
    NothingEarlier,
    /// The task has ended.
    #[error("the daemon is stopping")]
    Stopping,
}

/// What may be using a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum Procedure {
    /// A wheel is being turned on its bearing.
    #[error("a run-out")]
    RunOut,
    /// The steering swing.
    #[error("the steering swing")]
    Swing,
    /// A guided check.
    #[error("a check")]
    Check,
    /// The board is being calibrated.
    #[error("a calibration")]
    Calibration,
}

type Answer = oneshot::Sender<Result<LevelSnapshot, LevelError>>;

/// What a client may wish for.
#[derive(Debug, Clone, PartialEq)]
pub enum LevelWish {
    /// Start a run-out.
    Start {
        /// Of which wheel.
        mount: Mount,
        /// With its corner jacked, or by rolling on the floor.
        jacked: bool,
    },
    /// Give a run-out up.
    Cancel(Mount),
    /// End a run-out with the stops that are there.
    Finish(Mount),
    /// Forget a result: the declared face is in force again.
    Forget(Mount),
    /// The floor by heights of the pads.
    Heights(PadHeights),
    /// One rest of a board on a straight-edge.
    LineRest {
        /// Along which line.
        line: Line,
        /// Identity of the board.
        board: String,
        /// Its axis that points along the line, to the left or the front, in the first rest.
        along: BoardAxis,
        /// Is this the rest after the turn?
        turned: bool,
    },
    /// The floor as it was configured.
    ForgetFloor,
    /// Toe as it was measured, or is no longer.
    Toe {
        /// Of which steered wheel.
        side: Side,
        /// What is told, + toe-in.
        told: ToeTold,
    },
    /// The body board's axis that points forward, with one sigma of its heading; none: found from the jackings.
    Forward(Option<(BoardAxis, Angle)>),
    /// This was found before the daemon was started.
    Earlier(Earlier),
    /// Nothing was moved since: it holds.
    GoOn,
    /// Something was moved: it does not.
    LeaveEarlier,
    /// A board was strapped elsewhere, or is said to sit otherwise.
    Seat {
        /// Identity of the board.
        board: String,
        /// Where it is now.
        seat: Seat,
    },
}

/// A way to the task.
#[derive(Debug, Clone)]
pub struct LevelHandle {
    wishes: mpsc::Sender<(LevelWish, Answer)>,
    snapshot: watch::Receiver<LevelSnapshot>,
}

impl LevelHandle {
    /// Asks for something.
    pub async fn wish(&self, wish: LevelWish) -> Result<LevelSnapshot, LevelError> {
        let (answer, answered) = oneshot::channel();
        self.wishes
            .send((wish, answer))
            .await
            .map_err(|_| LevelError::Stopping)?;
        answered.await.map_err(|_| LevelError::Stopping)?
    }

    /// Everything as it stands, and every change of it.
    pub fn watch(&self) -> watch::Receiver<LevelSnapshot> {
        self.snapshot.clone()
    }
}
