//! Why a swing gives no finding.

use thiserror::Error;

use crate::angle::Angle;
use crate::side::Side;

/// A refusal with its evidence.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Refusal {
    /// The wheels were not steered far enough to one side.
    #[error("{side:?} wheel: steered {left_deg:.1}° to the left and {right_deg:.1}° to the right, {least_deg:.0}° each are the least", left_deg = left.deg(), right_deg = right.deg(), least_deg = least.deg())]
    ArcTooShort {
        /// Which wheel.
        side: Side,
        /// Farthest stop to the left.
        left: Angle,
        /// Farthest stop to the right.
        right: Angle,
        /// What is asked of each.
        least: Angle,
    },
    /// The hub did not come back to the pitch it had: the brake slipped.
    #[error("{side:?} hub pitched {found_deg:.2}° between the first and the last straight-ahead rest, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    HubRolled {
        /// Which wheel.
        side: Side,
        /// Change of pitch.
        found: Angle,
        /// What noise explains.
        limit: Angle,
    },
    /// Camber did not come back: the board moved on its hub, or the suspension did not settle.
    #[error("{side:?} camber changed {found_deg:.2}° between the first and the last straight-ahead rest, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    BoardSlipped {
        /// Which wheel.
        side: Side,
        /// Change of camber.
        found: Angle,
        /// What noise explains.
        limit: Angle,
    },
    /// One rest does not fit the others.
    #[error(
        "{side:?} wheel: rest {rest} does not fit the others by {found_sigmas:.0} standard deviations, {limit_sigmas:.0} is the limit"
    )]
    RestDoesNotFit {
        /// Which wheel.
        side: Side,
        /// Number of the rest, from 0.
        rest: usize,
        /// Misfit, in standard deviations.
        found_sigmas: f64,
        /// The limit.
        limit_sigmas: f64,
    },
    /// Readings were missing while the wheels turned.
    #[error("{side:?} board: no reading for {gap_ms} ms while the wheels turned")]
    Gap {
        /// Which wheel.
        side: Side,
        /// Length of the gap, ms.
        gap_ms: i64,
    },
    /// The board was at the end of its range while the wheels turned.
    #[error("{side:?} board: at the end of its range while the wheels turned")]
    Saturated {
        /// Which wheel.
        side: Side,
    },
    /// The board went away.
    #[error("{side:?} board: gone during the swing")]
    BoardLost {
        /// Which wheel.
        side: Side,
    },
    /// An axis of the board's chip hung.
    #[error("{side:?} board: an axis of its chip says the same number again and again")]
    Stuck {
        /// Which wheel.
        side: Side,
    },
    /// The board's clock jumped to and fro.
    #[error("{side:?} board: its clock jumped to and fro")]
    Torn {
        /// Which wheel.
        side: Side,
    },
    /// Numbers changed on the board's line.
    #[error("{side:?} board: numbers changed on its line")]
    Garbled {
        /// Which wheel.
        side: Side,
    },
    /// Both wheels lean as each other's would: the boards are on the wrong sides.
    #[error("caster is {left_deg:.1}° on the left and {right_deg:.1}° on the right, as boards on the wrong sides show it", left_deg = left.deg(), right_deg = right.deg())]
    SidesSwapped {
        /// Caster that the left board shows.
        left: Angle,
        /// Caster that the right board shows.
        right: Angle,
    },
    /// The wheels moved for too long between two rests.
    #[error("{side:?} board: {seconds} s between two rests, {limit} s is the limit")]
    TurnTooLong {
        /// Which wheel.
        side: Side,
        /// How long.
        seconds: i64,
        /// The limit.
        limit: i64,
    },
    /// The board has no gyro and no turn-plate readings were chosen.
    #[error("{side:?} board: no gyro, and steer angles were to come from it")]
    NoGyro {
        /// Which wheel.
        side: Side,
    },
    /// The positions do not fix an axis.
    #[error("{side:?} wheel: the rests do not fix a steering axis")]
    NoAxis {
        /// Which wheel.
        side: Side,
    },
    /// Somebody gave up.
    #[error("cancelled")]
    Cancelled,
}
