//! Why a check gives nothing, with the evidence.

use thiserror::Error;

use crate::angle::Angle;
use crate::carried::Refusal as CarriedRefusal;
use crate::check::bar::BarTurn;
use crate::side::Side;
use crate::swing::Refusal;

/// A refusal with its evidence.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CheckRefusal {
    /// No rest came.
    #[error("no rest for {seconds} s, {limit} s is the limit")]
    NotStill {
        /// How long.
        seconds: i64,
        /// The limit.
        limit: i64,
    },
    /// The board reads no direction of gravity that could be a wheel's.
    #[error("gravity and the spindle fix no camber")]
    NoCamber,
    /// The bar came back as it was.
    #[error("bar and board came back turned by {found_deg:.0}° only", found_deg = found.deg())]
    NotTurned {
        /// How far they were turned.
        found: Angle,
    },
    /// The turn was no half turn about an axis of the bar.
    #[error("turned by {found_deg:.0}° about an axis {off_deg:.0}° from the nearest of the bar", found_deg = found.deg(), off_deg = off.deg())]
    NoHalfTurn {
        /// How far they were turned.
        found: Angle,
        /// Axis of the turn from the bar's nearest one.
        off: Angle,
    },
    /// A half turn, but not the one that was asked for.
    #[error("turned {found:?}, not {asked:?}")]
    OtherTurn {
        /// What was asked.
        asked: BarTurn,
        /// What was done.
        found: BarTurn,
    },
    /// Gravity says otherwise than the gyro: the bar's ends were swapped or not.
    #[error("gyro and gravity do not agree on which end of the bar is up")]
    TurnUnclear,
    /// Without a gyro this turn does not show.
    #[error("without a gyro a turn about the length of the bar does not show")]
    TurnUnseen,
    /// Too few takes or stops.
    #[error("{found} taken, {least} are the least")]
    TooFew {
        /// Taken.
        found: usize,
        /// What is asked.
        least: usize,
    },
    /// The board has no gyro, and this check needs one.
    #[error("the board has no gyro")]
    NoGyro,
    /// Readings were missing while it moved.
    #[error("no reading for {gap_ms} ms while it moved")]
    Gap {
        /// Length of the gap, ms.
        gap_ms: i64,
    },
    /// It took too long between two stops for the gyro to be trusted.
    #[error("{seconds} s between two stops, {limit} s is the limit")]
    TooLong {
        /// How long.
        seconds: i64,
        /// The limit.
        limit: i64,
    },
    /// Nobody shook the wheel.
    #[error(
        "the readings of the rocking scatter {ratio:.1} times as much as at rest, {least:.1} is the least"
    )]
    NotRocked {
        /// Scatter while it should have been rocked over that at rest.
        ratio: f64,
        /// What is asked.
        least: f64,
    },
    /// The hub did not come back to where it was.
    #[error("the hub ended {found_deg:.2}° from where it began, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    NotBack {
        /// How far.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// A wheel was not steered far enough for a lock.
    #[error("steered {found_deg:.1}° only, {least_deg:.0}° is the least for a lock", found_deg = found.deg(), least_deg = least.deg())]
    NoLock {
        /// To which side.
        side: Side,
        /// How far.
        found: Angle,
        /// What is asked.
        least: Angle,
    },
    /// Locks of one side that were taken more than once differ too much.
    #[error("locks of one side differ by {found_deg:.2}°, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    LocksVary {
        /// To which side.
        side: Side,
        /// How much.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// No stop near 20° of the inner wheel.
    #[error("the nearest stop stands at {found_deg:.1}°, more than {limit_deg:.0}° from 20°", found_deg = found.deg(), limit_deg = limit.deg())]
    FarFromTwenty {
        /// The nearest stop, inner wheel.
        found: Angle,
        /// How far it may be.
        limit: Angle,
    },
    /// The heights lie too near together.
    #[error("the heights span {found_mm:.1} mm, {least_mm:.0} mm is the least")]
    SpanTooSmall {
        /// Highest less lowest, mm.
        found_mm: f64,
        /// What is asked, mm.
        least_mm: f64,
    },
    /// The points lie on no smooth curve.
    #[error("a point lies {sigmas:.1} standard deviations off the curve, {limit:.0} is the limit")]
    OffCurve {
        /// Number of the point, from 0.
        point: usize,
        /// How far.
        sigmas: f64,
        /// The limit.
        limit: f64,
    },
    /// A number of the evidence is none, or contradicts another.
    #[error("the evidence is not complete")]
    Evidence,
    /// What a wheel's watch refuses in a swing too.
    #[error(transparent)]
    Wheel(#[from] Refusal),
    /// The passes of a carried board give no toe.
    #[error(transparent)]
    Carried(CarriedRefusal),
    /// The board was at the end of its range.
    #[error("at the end of its range")]
    Saturated,
    /// The board went away.
    #[error("the board is gone")]
    BoardLost,
    /// Somebody gave up.
    #[error("cancelled")]
    Cancelled,
}

/// Why a check cannot start.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum StartError {
    /// The hold time is no time.
    #[error("rests of {hold_us} µs, {least_us} to {most_us} µs can be had")]
    Hold {
        /// What was given, µs.
        hold_us: i64,
        /// The least, µs.
        least_us: i64,
        /// The most, µs.
        most_us: i64,
    },
    /// So many repetitions cannot be had.
    #[error("{found} repetitions, 1 to {most} can be had")]
    Repetitions {
        /// What was given.
        found: usize,
        /// The most.
        most: usize,
    },
    /// Two wheels of different sides are needed.
    #[error("{found} steered wheels give readings, {least} are needed")]
    Wheels {
        /// How many there are.
        found: usize,
        /// How many are needed.
        least: usize,
    },
    /// A number that cannot be.
    #[error("{found} is no {what}")]
    Number {
        /// Of what.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// A board cannot be carried for that.
    #[error(transparent)]
    Carried(#[from] CarriedRefusal),
}

/// Why a figure is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum FigureError {
    /// This check wants none, or another kind, or none now.
    #[error("no such figure is wanted now")]
    NotWanted,
    /// A number that cannot be.
    #[error("{found} is no {what}")]
    Impossible {
        /// Of what.
        what: &'static str,
        /// What was given.
        found: f64,
    },
    /// The first height has to be typed.
    #[error("there is no height to step on from")]
    NoStep,
    /// The check is over.
    #[error("the check is over")]
    Over,
}
