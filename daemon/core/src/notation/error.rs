//! What is wrong with a text, and where.

use thiserror::Error;

/// What would be accepted at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Accepted {
    /// `+` or `-`.
    Sign,
    /// A digit.
    Digit,
    /// A decimal point or comma.
    DecimalMark,
    /// `°` or `deg`.
    DegreeMark,
    /// `'` or `min`.
    MinuteMark,
    /// Minutes of arc, 0 to 59.
    Minutes,
    /// `/` of a fraction of an inch.
    FractionBar,
    /// A unit of length.
    LengthUnit,
    /// `m/km`, `mm/m` or `ft/mile`.
    SlopeUnit,
    /// The end of the text.
    End,
}

/// What is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Problem {
    /// Nothing was typed.
    Empty,
    /// Something else is accepted here; `found` is none at the end of the text.
    Unexpected {
        /// What stands there.
        found: Option<char>,
        /// What could.
        accepted: &'static [Accepted],
    },
    /// May be a thousands separator as well as a decimal mark: leave it out, or
    /// write another number of decimals.
    ThousandsOrDecimal,
    /// May be decimals of a degree as well as minutes: add `°`, or write minutes
    /// after a space.
    DecimalsOrMinutes,
    /// Minutes of arc go to 59.
    MinutesTooMany,
    /// Minutes follow a broken number of degrees.
    MinutesAfterDecimals,
    /// Nothing can be divided into no parts.
    ZeroDenominator,
    /// A fraction of something else than inches.
    FractionNotOfInches,
    /// More digits than any measured figure has.
    TooManyDigits,
    /// Toe as a length says nothing without the diameter it was measured at.
    DiameterMissing,
    /// Toe as a length is more than the wheel is wide at that diameter.
    BeyondDiameter,
}

/// What is wrong with a text, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("character {at}: {problem:?}")]
pub struct NotationError {
    /// Character it is about, the first being 0; the length of the text at its end.
    pub at: usize,
    /// What is wrong.
    pub problem: Problem,
}
