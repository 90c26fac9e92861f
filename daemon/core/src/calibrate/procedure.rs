//! A calibration of one board under way, of either kind.

use thiserror::Error;

use crate::angle::Angle;
use crate::calibration::CalibrationError;
use crate::reading::RawSample;

use super::coverage::{Edge, Face};
use super::poses::PosesProcedure;
use super::reversal::NotReversed;
use super::turn_over::ReversalProcedure;

/// The step at hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Phase {
    /// The board is to be laid down, see the hint; it may be in the hand just now.
    Lay,
    /// It lies as it should: hands off until the hold is full.
    Hold,
    /// This rest is taken; the board lies there still.
    Taken,
    /// There is a result.
    Solved,
    /// It ended without one.
    Ended,
}

/// What to do now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// Lay the board with this face up.
    LayFace(Face),
    /// Lay it on an edge, slanting, so that both axes point half up or down.
    LayEdge(Edge),
    /// Lay it in any way it has not been.
    LayAnyOtherWay,
    /// Hands off.
    HoldStill,
    /// This pose does not fit the others: take it back and do it again.
    TakeBack(usize),
    /// Stand the board as it is used, at the place where it is turned.
    StandFirst,
    /// Turn it end for end, on the same place.
    TurnOver,
    /// It is over.
    Finished,
}

/// How far a hold is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Hold {
    /// For how long the board has lain still, µs.
    pub held_us: i64,
    /// How long it has to, µs.
    pub needed_us: i64,
}

/// Why a calibration ended without a result.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Ended {
    /// Given up by the operator.
    #[error("given up")]
    Cancelled,
    /// The board went away.
    #[error("the board went away")]
    BoardLost,
    /// The two rests are no reversal.
    #[error(transparent)]
    NotReversed(#[from] NotReversed),
    /// The gyro felt another turn than half a turn about the axis named.
    #[error("the gyro felt a turn {off}° from the half turn that was asked for", off = .off.deg())]
    NotTurned {
        /// Angle between the turn felt and the one asked for.
        off: Angle,
    },
    /// The offset found is no chip's.
    #[error(transparent)]
    NoChip(#[from] CalibrationError),
}

/// A calibration of one board, of either kind.
#[derive(Debug, Clone)]
#[expect(
    clippy::large_enum_variant,
    reason = "there is one for each board that is being calibrated"
)]
pub enum CalibrationProcedure {
    /// By six or more poses.
    Poses(PosesProcedure),
    /// End for end.
    Reversal(ReversalProcedure),
}

impl CalibrationProcedure {
    /// Takes one reading, not calibrated.
    pub fn observe(&mut self, raw: &RawSample) {
        match self {
            Self::Poses(poses) => poses.observe(raw),
            Self::Reversal(reversal) => reversal.observe(raw),
        }
    }

    /// Ends without a result, unless there is one.
    pub fn end(&mut self, why: Ended) {
        match self {
            Self::Poses(poses) => poses.end(why),
            Self::Reversal(reversal) => reversal.end(why),
        }
    }

    /// The step at hand.
    pub fn phase(&self) -> Phase {
        match self {
            Self::Poses(poses) => poses.phase(),
            Self::Reversal(reversal) => reversal.phase(),
        }
    }

    /// What to do now.
    pub fn hint(&self) -> Hint {
        match self {
            Self::Poses(poses) => poses.hint(),
            Self::Reversal(reversal) => reversal.hint(),
        }
    }

    /// How far the hold is.
    pub fn hold(&self) -> Hold {
        match self {
            Self::Poses(poses) => poses.hold(),
            Self::Reversal(reversal) => reversal.hold(),
        }
    }

    /// Why it ended without a result, if it did.
    pub fn ended(&self) -> Option<Ended> {
        match self {
            Self::Poses(poses) => poses.outcome()?.err(),
            Self::Reversal(reversal) => reversal.outcome()?.err(),
        }
    }

    /// Is it over, with a result or without?
    pub fn is_over(&self) -> bool {
        matches!(self.phase(), Phase::Solved | Phase::Ended)
    }
}
