//! A whole recorded session, solved at once.
//!
//! The recordings of one board, or of both hubs and the body, each with its
//! own clock, become the same evidence that a live swing gathers, and go
//! through the same checks and the same solver.

mod align;
mod gather;
mod measure;
mod seen;
mod segment;

use thiserror::Error;

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir};
use crate::joint::evidence::{Jackings, RunOutEvidence};
use crate::reading::Sample;
use crate::side::Side;
use crate::swing::{BodyMotion, Difference, Refusal, WheelOutcome};
use crate::time::HostTime;

/// Where a recorded board sat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// On the hub of this side.
    Hub(Side),
    /// On the body.
    Body,
}

/// How a recorded hub board was said to sit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeclaredFace {
    /// Outboard, in the board's axes.
    pub outboard: Dir<Board>,
    /// One sigma of that direction, about the vertical.
    pub heading: Angle,
    /// One sigma of that direction, leaning.
    pub lean: Angle,
}

/// What was measured before a recording began.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MeasuredBefore {
    /// On a hub: turns of the wheel on its bearing.
    pub run_out: Vec<Vec<RunOutEvidence>>,
    /// On the body: each front corner jacked.
    pub jacked: Option<Jackings>,
}

/// One recorded board.
#[derive(Debug, Clone)]
pub struct SessionBoard {
    /// Where it sat.
    pub role: Role,
    /// Its calibrated readings by its own clock, in order.
    pub samples: Vec<Sample>,
    /// Its one-sigma figures.
    pub chip: ChipFigures,
    /// How it was said to sit; none where only the turns of the wheel tell.
    pub face: Option<DeclaredFace>,
    /// What was measured before the recording began.
    pub before: MeasuredBefore,
    /// Is its clock the clock of the windows?
    pub shares_clock: bool,
}

/// What happened in a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WindowKind {
    /// Rest, wheels straight ahead, brake held.
    Straight,
    /// Rest at a stop, brake held.
    Stop,
    /// Rest with this corner jacked, the wheel turned on its bearing between such rests.
    RunOutStop,
    /// The jacked wheel spins steadily.
    Spin,
    /// The car rolls forward on its wheels.
    Roll,
    /// The wheels are steered to and fro without stopping.
    Sweep,
    /// Anything moves.
    Move,
    /// A corner is jacked, the wheel untouched.
    Jacked,
}

impl WindowKind {
    /// Does the car rest in it?
    pub const fn is_rest(self) -> bool {
        matches!(
            self,
            Self::Straight | Self::Stop | Self::RunOutStop | Self::Jacked
        )
    }
}

/// A stretch of time, by the clock of the windows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Beginning.
    pub from: HostTime,
    /// End.
    pub to: HostTime,
    /// What happened.
    pub kind: WindowKind,
    /// Which corner was jacked; none for what concerns the whole car.
    pub corner: Option<Side>,
    /// Turn-plate readings left and right, + left.
    pub plates: [Option<Angle>; 2],
}

impl Window {
    /// The window by which a recording is solved from the very readings that
    /// counted for a rest, first and last included.
    pub(crate) fn of_rest(from: HostTime, to: HostTime, straight: bool) -> Self {
        Self {
            from: HostTime::from_us(from.us() - gather::TRIM_US),
            to: HostTime::from_us(to.us() + gather::TRIM_US),
            kind: if straight {
                WindowKind::Straight
            } else {
                WindowKind::Stop
            },
            corner: None,
            plates: [None, None],
        }
    }
}

/// A recorded session.
#[derive(Debug, Clone)]
pub struct Session {
    /// Its boards.
    pub boards: Vec<SessionBoard>,
    /// The floor as surveyed or presumed.
    pub floor: FloorSlope,
    /// Toe left and right, + toe-in.
    pub toe: [Estimate; 2],
    /// What happened when; empty: find out.
    pub windows: Vec<Window>,
    /// How much the body may have moved where no board watched it.
    pub unwatched: BodyMotion,
    /// Standard uncertainty of a plate reading.
    pub plate_standard: Angle,
    /// One sigma of the difference of the body's pitch between the two
    /// jackings, on which the body board's heading rests.
    pub jacking_pitch: Angle,
}

/// Why a session cannot be solved at all.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SessionError {
    /// No board sat on a hub, or two sat on one.
    #[error("{found} boards on the {side:?} hub; one is the most, and one hub must have one")]
    Boards {
        /// Which side.
        side: Side,
        /// How many.
        found: usize,
    },
    /// A recording holds next to nothing.
    #[error("the recording of {role:?} holds {found} readings")]
    Empty {
        /// Which board.
        role: Role,
        /// How many readings.
        found: usize,
    },
    /// A recording runs backwards.
    #[error("the recording of {role:?} goes from {before_us} µs to {after_us} µs")]
    TimeBackwards {
        /// Which board.
        role: Role,
        /// Earlier reading, µs.
        before_us: i64,
        /// The one after it, µs.
        after_us: i64,
    },
    /// The movements of a board do not fit the windows at any shift of its clock.
    #[error(
        "the movements of {role:?} fit the windows at no shift of its clock (best agreement {agreement:.2})"
    )]
    ClockNotFound {
        /// Which board.
        role: Role,
        /// Correlation of movement and windows, 1 at best.
        agreement: f64,
    },
    /// No straight-ahead rest.
    #[error("no straight-ahead rest was found")]
    NoStraight,
    /// The spindle is nowhere to be had.
    #[error("{side:?} board: neither was the wheel turned on its bearing nor was a face declared")]
    NoSpindle {
        /// Which side.
        side: Side,
    },
    /// The wheel was not turned far enough to show its spindle.
    #[error(
        "{side:?} wheel: turned through {arc_deg:.0}° on its bearing, {least_deg:.0}° is the least"
    )]
    ShortArc {
        /// Which side.
        side: Side,
        /// How far it was turned.
        arc_deg: f64,
        /// What is asked.
        least_deg: f64,
    },
}

/// What a session found out.
#[derive(Debug, Clone)]
pub struct SessionOutcome {
    /// Per wheel, or why not.
    pub wheels: Vec<Result<WheelOutcome, Refusal>>,
    /// Left less right.
    pub differences: Vec<Difference>,
    /// What was used of each board.
    pub used: Vec<Used>,
    /// The windows it was solved by, given or found.
    pub windows: Vec<Window>,
}

/// What was used of one board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Used {
    /// Which board.
    pub role: Role,
    /// Rests of the swing.
    pub rests: usize,
    /// Turns between them by gyro.
    pub turns: usize,
    /// Positions of the wheel on its bearing.
    pub run_out: usize,
    /// Seconds of rest used.
    pub rest_seconds: f64,
    /// Its clock less the clock of the windows, µs.
    pub clock_offset_us: i64,
}

/// Solves a session.
pub fn solve(session: &Session) -> Result<SessionOutcome, SessionError> {
    gather::solve(session)
}
