//! Why turns of a wheel give no spin axis.

use thiserror::Error;

use crate::angle::Angle;

/// Why it cannot be told which end of the axis is outboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum DirectionUnknown {
    /// The board has no gyro that could tell which way the wheel turned.
    #[error("the board has no gyro")]
    NoGyro,
    /// The wheel was turned both ways, or hardly.
    #[error("the wheel was turned {net_deg}° one way of {gross_deg}° in all")]
    BothWays {
        /// Turn that is left over, whole degrees.
        net_deg: u32,
        /// All turns added up, whole degrees.
        gross_deg: u32,
    },
}

/// A refusal with its evidence.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum RunOutRefusal {
    /// The wheel was not turned far enough.
    #[error("turned through {found_deg:.0}° on its bearing, {least_deg:.0}° is the least", found_deg = found.deg(), least_deg = least.deg())]
    ShortArc {
        /// How far gravity went round the axis.
        found: Angle,
        /// What is asked.
        least: Angle,
    },
    /// Too few stops and no spin.
    #[error("{found} stops, {least} are the least")]
    TooFewStops {
        /// Stops taken.
        found: usize,
        /// What is asked.
        least: usize,
    },
    /// The stops do not lie on a cone.
    #[error("a stop lies {found_deg:.2}° off the cone of the others, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    Wobbled {
        /// Largest distance.
        found: Angle,
        /// What noise and bearing play explain.
        limit: Angle,
    },
    /// The corner moved between two stops, not by a turn of the wheel.
    #[error("gravity leant by {found_deg:.2}° between two stops without a turn of the wheel", found_deg = found.deg())]
    CornerMoved {
        /// How far.
        found: Angle,
    },
    /// The wheel did not come to rest.
    #[error("no rest for {seconds} s, {limit} s is the limit")]
    NotStill {
        /// How long.
        seconds: i64,
        /// The limit.
        limit: i64,
    },
    /// The board was at the end of its range.
    #[error("at the end of its range while the wheel turned")]
    Saturated,
    /// Readings were missing while the wheel turned.
    #[error("no reading for {gap_ms} ms while the wheel turned")]
    Gap {
        /// Length of the gap, ms.
        gap_ms: i64,
    },
    /// The board went away.
    #[error("gone while the wheel was being turned")]
    BoardLost,
    /// The axis lies far from what was declared.
    #[error("the axis is {found_deg:.0}° from the direction declared outboard, {limit_deg:.0}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    OffDeclared {
        /// How far.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// Nothing was declared, and the turns do not tell either.
    #[error("which end of the axis is outboard is not known: {0}")]
    DirectionUnknown(DirectionUnknown),
    /// The tips of gravity fix no axis.
    #[error("the stops fix no axis")]
    NoAxis,
    /// Somebody gave up.
    #[error("cancelled")]
    Cancelled,
}
