//! The front wheels in a turn: Ackermann, toe-out on turns, locks.
//!
//! Steer angles here are magnitudes from straight-ahead, each of its own wheel
//! about the vertical, as turn plates read them. Inner is the wheel on the side
//! the car turns to.

mod ackermann;
mod locks;
mod pairs;

pub use ackermann::{Geometry, cot_difference, ideal_inner, ideal_outer, percent_ackermann};
pub use locks::{Locks, lock_difference, off_centre, off_centre_at_wheels};
pub use pairs::{SteerPair, ToeOutOnTurns, TurnSide};
