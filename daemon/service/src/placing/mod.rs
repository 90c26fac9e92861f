//! Finding boards, and saying on the page where they are and how they sit.
//!
//! What is said comes into force at once: the task of the run-outs ([`crate::levelling`])
//! straps the board, and swing and checks find it there when they start. What is said is
//! kept ([`crate::setup_store`]) and is in force again after a start. What a configuration
//! names stays as that says.

mod finder;
mod naming;
mod placer;
mod tap_inlet;
#[cfg(test)]
mod tests;

use hubplumb_core::mounting::BoardAxis;
use thiserror::Error;

use crate::board::SeatError;
use crate::levelling::LevelError;
use crate::link::{BadTarget, Target};
use crate::setup_store::SetupError;

pub use finder::{Finder, FinderHandle, Look, TakeIn};
pub use naming::{HeardTap, NamingHandle, NamingSnapshot, NamingTask, NamingWish};
pub use placer::{Placer, SaidToSit};
pub use tap_inlet::{Felt, TapInlet};

/// Why a wish about boards and their places is not granted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlaceError {
    /// It cannot be strapped there.
    #[error(transparent)]
    Level(#[from] LevelError),
    /// It cannot sit so.
    #[error(transparent)]
    Seat(#[from] SeatError),
    /// How it stands cannot be told while it moves.
    #[error("the board `{0}` does not rest")]
    NotStill(String),
    /// The axis that was said to point outboard points up or down.
    #[error("the axis {1:?} of the board `{0}` points up or down")]
    Upended(String, BoardAxis),
    /// A name without letters, or with too many.
    #[error("a name has 1 to {most} letters, and this one has {letters}")]
    Name {
        /// Letters found.
        letters: usize,
        /// Most letters.
        most: usize,
    },
    /// No way to a board is written there.
    #[error(transparent)]
    Target(#[from] BadTarget),
    /// Boards on that way are not taken in by writing them down.
    #[error("boards at `{0}` are not taken in by hand")]
    NotByHand(Target),
    /// It is read already.
    #[error("the board `{0}` is read already")]
    Here(String),
    /// One daemon reads no more.
    #[error("{most} boards are read already")]
    TooMany {
        /// The most.
        most: usize,
    },
    /// There is no such format, or it cannot be read over this way.
    #[error("{0}")]
    Format(String),
    /// The board was not taken in, and shows again by itself as long as it is plugged in.
    #[error("the board `{0}` was not taken in by hand")]
    NotTakenIn(String),
    /// Bluetooth is being looked at.
    #[error("Bluetooth is being looked at")]
    Looking,
    /// No board that may be placed gives readings.
    #[error("no board that can be placed gives readings")]
    NoneLive,
    /// No naming runs.
    #[error("no mount is being named")]
    NotNaming,
    /// It is in force, and not known after the daemon has ended.
    #[error(transparent)]
    NotKept(#[from] SetupError),
    /// The task has ended.
    #[error("the daemon is stopping")]
    Stopping,
}
