//! The task that owns the steering swing: readings and wishes go in, the
//! swing as it stands comes out.

mod inlet;
mod task;

use std::sync::Arc;

use hubplumb_core::angle::Angle;
use hubplumb_core::check::evidence::TurnsEvidence;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{
    BodyUse, Difference, Phase, PlateError, Progress, Refusal, Rest, StartError, SteerSource,
    SwingCurve, WheelOutcome,
};
use thiserror::Error;
use tokio::sync::{mpsc, oneshot, watch};

use crate::mount::Mount;

pub use inlet::{SwingInlet, SwingInput, SwingPlace};
pub use task::{SwingTask, SwingWheels};

/// Wishes that may wait: one person presses one button at a time, and a client
/// that sends faster is told to wait by its own request.
const WISHES: usize = 16;

/// The swing as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SwingSnapshot {
    /// Rises with every start.
    pub run: u64,
    /// The swing that runs or ran last; none before the first.
    pub current: Option<Current>,
    /// Findings of all runs, newest last.
    pub found: Vec<Found>,
    /// Left less right of all runs that found both wheels, newest last.
    pub differences: Vec<(u64, Difference)>,
    /// Camber over steer of all runs that went through, newest last.
    pub curves: Vec<(u64, Arc<SwingCurve>)>,
    /// What the last swing that went through tells of toe-out on turns, if both wheels took part.
    pub turns: Option<Arc<TurnsEvidence>>,
}

impl SwingSnapshot {
    /// Does a swing run that uses the board on this mount?
    pub fn uses(&self, mount: Mount) -> bool {
        let mut current = self.current.iter().filter(|current| !current.is_over());
        current.any(|current| current.mounts.contains(&mount))
    }

    /// Does a swing run?
    pub fn is_running(&self) -> bool {
        self.current
            .as_ref()
            .is_some_and(|current| !matches!(current.phase, Phase::Done | Phase::Refused))
    }
}

/// A swing that runs, or ran last.
#[derive(Debug, Clone, PartialEq)]
pub struct Current {
    /// The step at hand.
    pub phase: Phase,
    /// How far it is.
    pub progress: Progress,
    /// Where steer angles come from.
    pub steer_source: SteerSource,
    /// The mounts whose boards take part.
    pub mounts: Vec<Mount>,
    /// Rests taken so far.
    pub rests: Vec<Rest>,
    /// What the body board does.
    pub body: BodyUse,
    /// Why the whole swing was refused.
    pub refusal: Option<Refusal>,
    /// Wheels that were refused though the swing went through.
    pub refused_wheels: Vec<Refusal>,
}

impl Current {
    /// Is it over, with findings or without?
    pub const fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Done | Phase::Refused)
    }
}

/// What a swing found out about a wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Which run.
    pub run: u64,
    /// The findings.
    pub wheel: WheelOutcome,
    /// What the body board did in that run.
    pub body: BodyUse,
}

/// Why a wish is not granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WishError {
    /// A swing is running.
    #[error("a steering swing is running")]
    Running,
    /// None is running.
    #[error("no steering swing is running")]
    NotRunning,
    /// A wheel is being turned on its bearing.
    #[error("a run-out is running")]
    RunOutRunning,
    /// No steered wheel has a board whose mounting is known.
    #[error("no board is known to sit on a steered wheel")]
    NoWheels,
    /// The boards on the steered wheels give no readings.
    #[error("no board on a steered wheel gives readings")]
    NoneLive,
    /// The core does not start it.
    #[error(transparent)]
    Start(#[from] StartError),
    /// The core does not take the plate reading.
    #[error(transparent)]
    Plate(#[from] PlateError),
    /// The task has ended.
    #[error("the daemon is stopping")]
    Stopping,
}

type Answer = oneshot::Sender<Result<SwingSnapshot, WishError>>;

/// What a client may wish for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wish {
    /// Start a swing.
    Start(SteerSource),
    /// Give the running one up.
    Cancel,
    /// A turn-plate reading.
    Plate {
        /// At which rest.
        rest: usize,
        /// Of which wheel.
        side: Side,
        /// The reading, + left.
        plate: Angle,
    },
}

/// A way to the swing's task.
#[derive(Debug, Clone)]
pub struct SwingHandle {
    wishes: mpsc::Sender<(Wish, Answer)>,
    snapshot: watch::Receiver<SwingSnapshot>,
}

impl SwingHandle {
    /// Starts a swing.
    pub async fn start(&self, source: SteerSource) -> Result<SwingSnapshot, WishError> {
        self.wish(Wish::Start(source)).await
    }

    /// Gives the running swing up.
    pub async fn cancel(&self) -> Result<SwingSnapshot, WishError> {
        self.wish(Wish::Cancel).await
    }

    /// Enters a turn-plate reading, + left.
    pub async fn enter_plate(
        &self,
        rest: usize,
        side: Side,
        plate: Angle,
    ) -> Result<SwingSnapshot, WishError> {
        self.wish(Wish::Plate { rest, side, plate }).await
    }

    /// The swing as it stands, and every change of it.
    pub fn watch(&self) -> watch::Receiver<SwingSnapshot> {
        self.snapshot.clone()
    }

    async fn wish(&self, wish: Wish) -> Result<SwingSnapshot, WishError> {
        let (answer, answered) = oneshot::channel();
        self.wishes
            .send((wish, answer))
            .await
            .map_err(|_| WishError::Stopping)?;
        answered.await.map_err(|_| WishError::Stopping)?
    }
}
