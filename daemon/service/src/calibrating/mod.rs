//! Calibrating boards: what a board holds, the procedure on it, and the desk
//! where clients ask for it.
//!
//! A procedure is fed by the board's own link task, under the board's lock; a
//! solution of a dozen poses takes less than a reading's time.

mod desk;
mod held;
#[cfg(test)]
mod tests;

use hubplumb_core::calibrate::{Ended, FitError, NoSuchPose, NotReversed};
use hubplumb_core::mounting::BoardAxis;
use thiserror::Error;

pub use desk::CalibrationDesk;
pub use held::{CalibrationNow, HeldCalibration, Origin, ProcedureNow, ResultNow};

use crate::calibration_store::StoreError;

/// What kind of calibration.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// By six or more poses.
    Poses,
    /// End for end.
    Reversal {
        /// The axis whose offset is wanted.
        sensing: BoardAxis,
        /// The axis the board is turned about.
        about: BoardAxis,
    },
}

/// What kind a client asks for; axes that are not named are those of the mounting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum KindWish {
    /// By six or more poses.
    Poses,
    /// End for end.
    Reversal {
        /// The axis whose offset is wanted.
        sensing: Option<BoardAxis>,
        /// The axis the board is turned about.
        about: Option<BoardAxis>,
    },
}

/// Why a wish about a calibration is not granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum DeskError {
    /// There is no such board.
    #[error("there is no board `{board}`")]
    NoBoard {
        /// Identity named.
        board: String,
    },
    /// The board gives no readings.
    #[error("the board gives no readings")]
    NotLive,
    /// A steering swing is running.
    #[error("a steering swing is running")]
    SwingRunning,
    /// This board is being calibrated.
    #[error("this board is being calibrated")]
    Running,
    /// This board is not being calibrated.
    #[error("this board is not being calibrated")]
    NotRunning,
    /// The one that runs has no poses.
    #[error("a reversal has no poses")]
    NoPoses,
    /// There is no result.
    #[error("there is no result yet")]
    NoResult,
    /// The configuration's numbers would win.
    #[error("the configuration gives this board's calibration")]
    Configured,
    /// There is nothing a reversal could improve.
    #[error("the board is not calibrated yet")]
    NotCalibrated,
    /// Nobody has said which axis lies along the spindle.
    #[error("the axes of the turn are not known")]
    NoAxes,
    /// The axes do not go together.
    #[error(transparent)]
    Axes(#[from] NotReversed),
    /// There is no such pose.
    #[error(transparent)]
    NoSuchPose(#[from] NoSuchPose),
    /// The poses have no calibration in them.
    #[error(transparent)]
    Fit(#[from] FitError),
    /// It ended without a result.
    #[error(transparent)]
    Ended(#[from] Ended),
    /// It is not kept.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The task that writes has ended.
    #[error("the daemon is stopping")]
    Stopping,
}
