//! One number a person describes.

use thiserror::Error;

use crate::text::AssumedUnits;
use crate::text::quantity::{Field, Quantity, Subject, are_usable};
use crate::text::spelling::spelled;
use crate::text::unit::Unit;

/// What was told cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ToldError {
    /// A name that is not understood.
    #[error(
        "field {entry}: `{name}` is not understood; write for instance ax, gy_rads, roll, pitch, temp"
    )]
    UnknownName {
        /// Number of the entry, from 1.
        entry: usize,
        /// The name as it was written.
        name: String,
    },
    /// A unit that is not known, or measures something else.
    #[error("field {entry}: `{unit}` is no unit of `{quantity}`")]
    WrongUnit {
        /// Number of the entry, from 1.
        entry: usize,
        /// What the field holds.
        quantity: String,
        /// The unit as it was written.
        unit: String,
    },
    /// A clock whose unit nobody told.
    #[error("field {entry}: write the unit of the time, as in t_us, t_ms or t_s")]
    TimeWithoutUnit {
        /// Number of the entry, from 1.
        entry: usize,
    },
    /// A scale that is zero or not finite.
    #[error("field {entry}: a scale of {scale} leaves nothing to measure")]
    WrongScale {
        /// Number of the entry, from 1.
        entry: usize,
        /// The scale as it was written.
        scale: f64,
    },
    /// Two fields for one quantity.
    #[error("field {entry} holds `{quantity}`, and so does an earlier one")]
    Twice {
        /// Number of the second entry, from 1.
        entry: usize,
        /// What both hold.
        quantity: &'static str,
    },
    /// No three axes, nor roll and pitch.
    #[error("the fields hold neither acceleration nor rate in all three axes, nor roll and pitch")]
    NothingUsable,
    /// How a number is stored was told nowhere.
    #[error(
        "field {entry}: nothing says how it is stored; add `type = \"i16\"` (i8, u8, i16, u16, i32, u32, f32)"
    )]
    NoType {
        /// Number of the entry, from 1.
        entry: usize,
    },
    /// A number of bytes to be passed over that cannot be.
    #[error("field {entry}: {skip} bytes cannot be passed over")]
    WrongSkip {
        /// Number of the entry, from 1.
        entry: usize,
        /// The number as it was written.
        skip: usize,
    },
    /// More than fits.
    #[error("{found} bytes are too long, {limit} at most")]
    TooLong {
        /// Bytes that were described.
        found: usize,
        /// Most there may be.
        limit: usize,
    },
    /// A number of a table that is out of its range.
    #[error("`{key}` is {found}, which is not within {least} to {most}")]
    OutOfRange {
        /// The key.
        key: &'static str,
        /// What was written.
        found: f64,
        /// Least it may be.
        least: f64,
        /// Most it may be.
        most: f64,
    },
    /// A register that holds no whole number of its kind.
    #[error("field {entry}: a register has 16 bits, so a number of 8 bits cannot be alone in one")]
    HalfRegister {
        /// Number of the entry, from 1.
        entry: usize,
    },
    /// A field of a sentence that is neither a quantity nor two letters.
    #[error("field {entry}: a letter that tells a sign stands right behind its number")]
    LetterAlone {
        /// Number of the entry, from 1.
        entry: usize,
    },
    /// A sentence whose name cannot be one.
    #[error(
        "`{name}` is no name of a sentence: write its capital letters after the dollar sign, as in PRDID, or the last three, as in XDR"
    )]
    SentenceName {
        /// The name as it was written.
        name: String,
    },
}

/// A number as a person describes it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct ToldField<'a> {
    pub(crate) quantity: &'a str,
    pub(crate) unit: Option<&'a str>,
    pub(crate) scale: Option<f64>,
}

impl ToldField<'_> {
    /// The quantity and what one count of it is; `entry` is its number in the list.
    ///
    /// A scale may be negative, other than that of a column: inclinometers
    /// disagree about which way is positive, and no way of strapping one on
    /// turns one axis about alone.
    pub(crate) fn read(self, entry: usize) -> Result<(Quantity, Field), ToldError> {
        let name = self.quantity;
        let unknown = || ToldError::UnknownName {
            entry,
            name: name.to_owned(),
        };
        let spelled = spelled(name).ok_or_else(unknown)?;
        let Subject::One(quantity) = spelled.subject else {
            return Err(unknown());
        };
        let unit = match self.unit {
            None => spelled
                .unit
                .or_else(|| AssumedUnits::default().of(spelled.subject))
                .ok_or(ToldError::TimeWithoutUnit { entry })?,
            Some(text) => Unit::spelled(text)
                .filter(|unit| {
                    unit.dimension() == spelled.subject.dimension()
                        && spelled.unit.is_none_or(|named| named == *unit)
                })
                .ok_or_else(|| ToldError::WrongUnit {
                    entry,
                    quantity: name.to_owned(),
                    unit: text.to_owned(),
                })?,
        };
        let scale = self.scale.unwrap_or(1.0);
        if !scale.is_finite() || scale == 0.0 {
            return Err(ToldError::WrongScale { entry, scale });
        }
        let field = Field {
            scale,
            ..Field::new(spelled.subject, unit)
        };
        Ok((quantity, field))
    }
}

/// Is each quantity there once, and are they enough to measure by? The numbers
/// are those of the entries.
pub(crate) fn all_usable(
    quantities: impl IntoIterator<Item = (usize, Quantity)>,
) -> Result<(), ToldError> {
    let mut seen = Vec::new();
    for (entry, quantity) in quantities {
        if seen.contains(&quantity) {
            return Err(ToldError::Twice {
                entry,
                quantity: quantity.name(),
            });
        }
        seen.push(quantity);
    }
    if are_usable(&seen) {
        Ok(())
    } else {
        Err(ToldError::NothingUsable)
    }
}
