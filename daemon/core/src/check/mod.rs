//! The smaller guided measurements of a visit: camber of one wheel, a wheel's
//! play, the steering from lock to lock, toe-out on turns, camber against ride
//! height, and toe by a board that is carried from rim to rim.
//!
//! [`Check`] is the one that runs: readings and what a person typed go in, a
//! phase and in the end [`Evidence`] come out. What is found is worked out of
//! the evidence alone, by [`solve`]: kept evidence gives the same findings
//! again, and there is no other way to one.

mod bar;
mod carried;
mod carried_evidence;
mod centring;
pub mod evidence;
mod heights;
mod hub;
mod play;
pub mod refusal;
mod result;
mod running;
mod steered;
mod step;
mod still;
mod turns;

pub use bar::{BarSetup, BarTurn};
pub use carried::{CarriedNow, CarrySetup};
pub use centring::CentringSetup;
pub use evidence::Evidence;
pub use heights::HeightsSetup;
pub use hub::HubSetup;
pub use play::{Grip, PlaySetup};
pub use refusal::{CheckRefusal, FigureError, StartError};
pub use result::{
    CheckCause, CheckFinding, CheckResult, Curve, CurvePoint, Note, Quantity, Share, TurnPair, Unit,
};
pub use running::{Check, CheckSetup, Ended};
pub use step::{Figure, Hint, Kind, Phase, Position, Progress, Stop, Wanted};
pub use turns::{TurnsSetup, evidence_of_swing};

use crate::live::WheelSetup;

/// How it is known how the board sits on the hub.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeatBy {
    /// Somebody declared a face.
    Declared,
    /// The wheel was turned on its bearing.
    RunOut,
}

/// A wheel with a board on its hub, and how its seat is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeatedWheel {
    /// The wheel.
    pub wheel: WheelSetup,
    /// How the seat is known.
    pub seat_by: SeatBy,
}

/// What is found by evidence.
pub fn solve(evidence: &Evidence) -> Result<CheckResult, CheckRefusal> {
    match evidence {
        Evidence::CamberOnHub(of) => hub::solve(of),
        Evidence::CamberOnBar(of) => bar::solve(of),
        Evidence::Play(of) => play::solve(of),
        Evidence::Centring(of) => centring::solve(of),
        Evidence::TurnOut(of) => turns::solve(of),
        Evidence::Heights(of) => heights::solve(of),
        Evidence::CarriedToe(of) => carried::solve(of),
    }
}
