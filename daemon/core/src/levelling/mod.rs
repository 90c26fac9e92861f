//! Where a board sits and what the car stands on, found by turning and
//! surveying instead of by adjusting.
//!
//! [`RunOutProcedure`] finds the spin axis of a wheel in its board's axes from
//! turns of the wheel on its bearing: gravity, seen from the board, goes round
//! the axis on a cone, and the plane through its tips is square to it. An
//! accelerometer offset shifts all tips alike and does no harm; the joint
//! solver of a swing gets the tips themselves, so that what offset and scale
//! do to axis and angles stays correlated. [`survey`] finds the floor's slope.

mod body;
mod cone;
mod gathered;
mod procedure;
mod refusal;
mod result;
mod step;
pub mod survey;
mod turned;

pub use body::{LEAST_JACKING_G, forward_by, jackings};
pub(crate) use body::{StillBody, mean_rest};
pub(crate) use cone::arc_round;
pub use cone::{AxisSpread, SpinAxis};
pub use procedure::RunOutProcedure;
pub use refusal::{DirectionUnknown, RunOutRefusal};
pub use result::{OutboardBy, RunOutResult};
pub use step::{Hint, Phase, Progress, RunOutSetup};

use crate::angle::Angle;
use crate::frames::{Board, Dir};

/// Gravity must go round the spindle by so much to show it.
pub const LEAST_ARC: Angle = Angle::from_deg(120.0);

/// What is known beforehand of which end of the spin axis is outboard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Outboard {
    /// A face was declared: the axis is sought near it.
    Declared(Dir<Board>),
    /// This axis of the board points roughly away from the car, within 60°.
    AwayFromCar(Dir<Board>),
    /// Nothing is known: the wheel is turned the way it rolls forward.
    ForwardRolling,
}
