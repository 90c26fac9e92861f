//! Which number stands where.

use serde::Deserialize;

use crate::text::quantity::{Field, Quantity};
use crate::text::unit::Dimension;
use crate::told::{NumberKind, ToldError, ToldField, all_usable};

/// Longest frame: what the longest attribute of Bluetooth holds (512 bytes, from memory).
const MOST_BYTES: usize = 512;

/// What a frame of numbers in a row holds, in order.
///
/// In a configuration it is a table: how numbers are stored (`type`), which byte
/// of them comes first (`endian`, little if not said), and one entry a number. An
/// entry is a name with its unit (`"ax_mg"`), a table `{ quantity = "ax", type =
/// "i16", unit = "g", scale = 0.000061 }`, or `{ skip = 4 }` for bytes to be
/// passed over.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Written")]
pub struct ValueLayout {
    pub(super) little_endian: bool,
    pub(super) places: Vec<Place>,
    pub(super) frame_bytes: usize,
}

/// One number that is used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Place {
    pub(super) at: usize,
    pub(super) kind: NumberKind,
    pub(super) quantity: Quantity,
    pub(super) field: Field,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Endian {
    #[default]
    Little,
    Big,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    #[serde(default)]
    endian: Endian,
    #[serde(rename = "type")]
    kind: Option<NumberKind>,
    fields: Vec<Entry>,
}

#[derive(Deserialize)]
#[serde(
    untagged,
    expecting = "a field is a name such as \"ax_mg\", a table with `quantity` and, where needed, `type`, `unit`, `scale`, or { skip = 4 } with a number of bytes"
)]
enum Entry {
    Name(String),
    Skip(Skip),
    Described(Described),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Skip {
    skip: usize,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Described {
    quantity: String,
    #[serde(rename = "type")]
    kind: Option<NumberKind>,
    unit: Option<String>,
    scale: Option<f64>,
}

impl ValueLayout {
    /// Is roll or pitch among the fields?
    pub(crate) fn carries_angles(&self) -> bool {
        let is_angle = |place: &Place| place.field.unit.dimension() == Dimension::Angle;
        self.places.iter().any(is_angle)
    }

    /// Bytes of one frame.
    pub fn frame_bytes(&self) -> usize {
        self.frame_bytes
    }
}

impl TryFrom<Written> for ValueLayout {
    type Error = ToldError;

    fn try_from(written: Written) -> Result<Self, ToldError> {
        let mut places = Vec::new();
        let mut numbers = Vec::new();
        let mut end = 0_usize;
        for (index, entry) in written.fields.into_iter().enumerate() {
            let entry_number = index + 1;
            let (described, kind) = match entry {
                Entry::Skip(Skip { skip }) => {
                    if !(1..=MOST_BYTES).contains(&skip) {
                        let entry = entry_number;
                        return Err(ToldError::WrongSkip { entry, skip });
                    }
                    end += skip;
                    continue;
                }
                Entry::Name(quantity) => {
                    let plain = Described {
                        quantity,
                        kind: None,
                        unit: None,
                        scale: None,
                    };
                    (plain, written.kind)
                }
                Entry::Described(described) => {
                    let kind = described.kind.or(written.kind);
                    (described, kind)
                }
            };
            let (quantity, field) = ToldField {
                quantity: &described.quantity,
                unit: described.unit.as_deref(),
                scale: described.scale,
            }
            .read(entry_number)?;
            let kind = kind.ok_or(ToldError::NoType {
                entry: entry_number,
            })?;
            places.push(Place {
                at: end,
                kind,
                quantity,
                field,
            });
            numbers.push((entry_number, quantity));
            end += kind.len();
        }
        all_usable(numbers)?;
        if end > MOST_BYTES {
            return Err(ToldError::TooLong {
                found: end,
                limit: MOST_BYTES,
            });
        }
        Ok(Self {
            little_endian: written.endian == Endian::Little,
            places,
            frame_bytes: end,
        })
    }
}
