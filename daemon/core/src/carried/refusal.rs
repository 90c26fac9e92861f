//! Why a carry does not count, and why there is no toe at all.

use thiserror::Error;

use crate::angle::Angle;

/// Why one carry is left out; it is done again.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum LeftOut {
    /// The block leaned too far on the way.
    #[error("the block leaned {found_deg:.0}° on the way, {limit_deg:.0}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    TiltedTooMuch {
        /// Largest lean against the rest before.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The block was turned too far about the vertical on the way.
    #[error("the block turned {found_deg:.0}° aside on the way, {limit_deg:.0}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    TurnedTooMuch {
        /// Largest heading against the rest before.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// Between two rests the block turned by more than toe can be.
    #[error("the block rests turned by {found_deg:.1}°, {limit_deg:.0}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    RestsTurned {
        /// Heading of the rest after less that of the rest before.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The way was so winding that the chip's scale and axes spoil it.
    #[error("on that way this chip's scale and axes put {found_deg:.2}° into the heading, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    WayTooWinding {
        /// One sigma of what they do.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The block hit something.
    #[error("a blow of {peak_g:.2} g on the way, {limit_g:.2} g is the limit")]
    Bumped {
        /// Largest departure of the force from its strength at rest.
        peak_g: f64,
        /// The limit.
        limit_g: f64,
    },
    /// It took too long.
    #[error("{seconds:.0} s from wheel to wheel, {limit:.0} s is the limit")]
    TooSlow {
        /// How long.
        seconds: f64,
        /// The limit.
        limit: f64,
    },
    /// Nobody carries it that quickly.
    #[error("{seconds:.1} s from wheel to wheel, {limit:.1} s is the least")]
    TooQuick {
        /// How long.
        seconds: f64,
        /// The least.
        limit: f64,
    },
    /// A rest was none: the block crept or shook.
    #[error("at a rest the rate changed by {found_dps:.3} °/s, {limit_dps:.3} °/s is the limit")]
    RestNotStill {
        /// Mean rate of the second half less that of the first.
        found_dps: f64,
        /// The limit.
        limit_dps: f64,
    },
    /// The block leans otherwise than before at the same place.
    #[error("the block leans {found_deg:.2}° otherwise than before at that wheel, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    SeatedOtherwise {
        /// Difference of the lean out of the wheel's plane.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The gyro was at the end of its range.
    #[error("{found_dps:.0} °/s on the way, {limit_dps:.0} °/s is the end of the range")]
    Saturated {
        /// Largest rate about an axis.
        found_dps: f64,
        /// The range.
        limit_dps: f64,
    },
    /// Readings were missing.
    #[error("no reading for {gap_ms} ms, {limit_ms} ms is the limit")]
    Gap {
        /// Longest gap, ms.
        gap_ms: i64,
        /// The limit.
        limit_ms: i64,
    },
    /// The hand shook faster than the readings follow.
    #[error("every second reading alone gives {found_deg:.2}° of other heading, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    TooFewReadings {
        /// Heading by all readings less that by every second one.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The gyro does not arrive where gravity says the block is.
    #[error("gyro and gravity differ by {found_deg:.2}° after the way, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    DoesNotClose {
        /// Angle between up by the gyro and up by gravity.
        found: Angle,
        /// The limit.
        limit: Angle,
    },
    /// The block was carried to no wheel.
    #[error("moved {forward_m:.1} m forward and {left_m:.1} m to the left: to no other wheel")]
    NoWheelThere {
        /// Way forward.
        forward_m: f64,
        /// Way to the left.
        left_m: f64,
    },
}

/// Why there is no toe.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Refusal {
    /// Nothing is known of the chip.
    #[error("the chip is not known: its noise and drift cannot be told")]
    ChipUnknown,
    /// The board has no gyro, or tells none of its rates.
    #[error("the board has no gyro")]
    NoGyro,
    /// However often it is carried, this board does not get there.
    #[error("±{best_deg:.2}° after {passes} passes, ±{wanted_deg:.2}° are asked", best_deg = best.deg(), wanted_deg = wanted.deg())]
    CannotReach {
        /// Half width of the 95 % interval at best.
        best: Angle,
        /// After how many passes.
        passes: usize,
        /// What is asked.
        wanted: Angle,
    },
    /// Too few carries count.
    #[error("{counted} passes count, {needed} are the least; {left_out} were left out")]
    TooFewPasses {
        /// Passes that count.
        counted: usize,
        /// The least.
        needed: usize,
        /// Passes left out.
        left_out: usize,
    },
    /// All passes that count go one way, so that drift stays in.
    #[error("{there} passes to the right and {back} to the left: one each is the least")]
    OneWay {
        /// To the right.
        there: usize,
        /// To the left.
        back: usize,
    },
    /// The passes scatter more than anything known explains.
    #[error("the passes do not agree: {chi_square:.1} with {freedom} degrees of freedom")]
    PassesDisagree {
        /// Weighted sum of squares.
        chi_square: f64,
        /// Degrees of freedom.
        freedom: usize,
    },
    /// The board went away.
    #[error("the board went away")]
    BoardLost,
    /// Somebody gave up.
    #[error("cancelled")]
    Cancelled,
}
