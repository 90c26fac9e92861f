//! The task that owns the guided checks: readings and wishes go in, the check as
//! it stands and what the checks found come out.

mod inlet;
pub mod kept;
mod setup;
mod task;

use std::sync::Arc;

use hubplumb_core::check::{
    CheckRefusal, CheckResult, Evidence, FigureError, Kind, Phase, Progress, StartError, Stop,
};
use thiserror::Error;
use tokio::sync::{mpsc, oneshot, watch};

use crate::http::views::{CheckFigure, CheckStart};
use crate::mount::Mount;

pub use inlet::{CheckInlet, CheckInput};
pub use task::{CheckBoards, CheckTask};

/// Wishes that may wait: one person presses one button at a time.
const WISHES: usize = 16;

/// The check that runs, or ran last.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckNow {
    /// Which check.
    pub kind: Kind,
    /// Of which wheel; none for the steering.
    pub mount: Option<Mount>,
    /// Numbers of the boards it listens to.
    pub boards: Vec<usize>,
    /// The step at hand.
    pub phase: Phase,
    /// How far it is.
    pub progress: Progress,
    /// May a height be left out?
    pub may_step: bool,
    /// The stops.
    pub stops: Vec<Stop>,
    /// Why it was refused.
    pub refusal: Option<CheckRefusal>,
}

impl CheckNow {
    /// Does it run?
    pub const fn is_running(&self) -> bool {
        !matches!(self.phase, Phase::Done | Phase::Refused)
    }
}

/// A check that found something, with all that it takes to find it again.
#[derive(Debug, Clone, PartialEq)]
pub struct CheckFound {
    /// Which run.
    pub run: u64,
    /// Which check.
    pub kind: Kind,
    /// Of which wheel; none for the steering.
    pub mount: Option<Mount>,
    /// When it ended, µs of the daemon's time.
    pub at_us: i64,
    /// What was gathered: [`hubplumb_core::check::solve`] makes the result of it.
    pub evidence: Evidence,
    /// What that is.
    pub result: CheckResult,
}

/// Everything as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CheckSnapshot {
    /// Rises with every start.
    pub run: u64,
    /// The check that runs or ran last.
    pub current: Option<CheckNow>,
    /// What was found, newest last.
    pub found: Vec<Arc<CheckFound>>,
}

impl CheckSnapshot {
    /// Does a check run that listens to the board of this number?
    pub fn uses(&self, board: usize) -> bool {
        let mut current = self.current.iter().filter(|current| current.is_running());
        current.any(|current| current.boards.contains(&board))
    }

    /// Does a check run?
    pub fn is_running(&self) -> bool {
        self.current.as_ref().is_some_and(CheckNow::is_running)
    }
}

/// Why a wish is not granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CheckError {
    /// A check is running.
    #[error("a check is running")]
    Running,
    /// None is running.
    #[error("no check is running")]
    NotRunning,
    /// A steering swing is running.
    #[error("a steering swing is running")]
    SwingRunning,
    /// A wheel is being turned on its bearing.
    #[error("a run-out is running")]
    RunOutRunning,
    /// The body has no wheel.
    #[error("a board on the body has no wheel to check")]
    NotAWheel,
    /// That wheel is not steered.
    #[error("the wheel `{}` is not steered", .0.name())]
    NotSteered(Mount),
    /// No board is on that wheel.
    #[error("no board is on the wheel `{}`", .0.name())]
    NoBoard(Mount),
    /// There is no board by that identity.
    #[error("there is no board `{0}`")]
    NoSuchBoard(String),
    /// The board gives no readings.
    #[error("the board `{0}` gives no readings")]
    NotLive(String),
    /// How the board sits on its wheel is not known.
    #[error("how the board sits on the wheel `{}` is not known", .0.name())]
    NotSeated(Mount),
    /// Which axis of the board faces away from the car is not known.
    #[error("which axis of the board `{0}` faces away from the car is not known")]
    NoOutboard(String),
    /// No swing of both wheels has ended.
    #[error("no steering swing of both wheels has ended")]
    NoSwing,
    /// What the swing showed gives no toe-out on turns.
    #[error("the last swing gives no toe-out on turns: {0}")]
    SwingGivesNone(CheckRefusal),
    /// The core does not start it.
    #[error(transparent)]
    Start(#[from] StartError),
    /// The core does not take the figure.
    #[error(transparent)]
    Figure(#[from] FigureError),
    /// The task has ended.
    #[error("the daemon is stopping")]
    Stopping,
}

type Answer = oneshot::Sender<Result<CheckSnapshot, CheckError>>;

/// What a client may wish for.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckWish {
    /// Start a check.
    Start(CheckStart),
    /// Something was typed.
    Figure(CheckFigure),
    /// End it with what is there.
    Finish,
    /// Give it up.
    Cancel,
    /// Toe-out on turns of the last swing.
    TurnsOfSwing,
}

/// A way to the task.
#[derive(Debug, Clone)]
pub struct CheckHandle {
    wishes: mpsc::Sender<(CheckWish, Answer)>,
    snapshot: watch::Receiver<CheckSnapshot>,
}

impl CheckHandle {
    /// Asks for something.
    pub async fn wish(&self, wish: CheckWish) -> Result<CheckSnapshot, CheckError> {
        let (answer, answered) = oneshot::channel();
        self.wishes
            .send((wish, answer))
            .await
            .map_err(|_| CheckError::Stopping)?;
        answered.await.map_err(|_| CheckError::Stopping)?
    }

    /// Everything as it stands, and every change of it.
    pub fn watch(&self) -> watch::Receiver<CheckSnapshot> {
        self.snapshot.clone()
    }
}
