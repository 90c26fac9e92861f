//! The name of a chip in a session file.

use std::borrow::Cow;
use std::fmt;

use hubplumb_core::chip::{Chip, ChipFigures};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{Error, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A class of chips, or one chip by its own name; the core keeps the names.
#[derive(Clone, Copy, PartialEq)]
pub struct ChipName {
    name: &'static str,
    chip: Chip,
}

impl ChipName {
    /// A chip without error, for made-up data.
    pub const IDEAL: Self = Self {
        name: "ideal",
        chip: Chip::Class(&ChipFigures::IDEAL),
    };
    /// A consumer chip as it comes out of the bag.
    pub const RAW: Self = Self {
        name: "raw",
        chip: Chip::Class(&ChipFigures::RAW),
    };

    /// The chip with that name.
    pub fn named(written: &str) -> Option<Self> {
        let chip = Chip::named(written)?;
        let name = match chip {
            Chip::Product(sheet) => sheet.name,
            Chip::Class(_) => Chip::names().find(|name| *name == written)?,
        };
        Some(Self { name, chip })
    }

    /// Its figures, as it is or after a calibration.
    pub fn figures(&self, calibrated: bool) -> ChipFigures {
        self.chip.figures(calibrated)
    }
}

impl Default for ChipName {
    fn default() -> Self {
        Self::RAW
    }
}

impl fmt::Debug for ChipName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

impl Serialize for ChipName {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.serialize_str(self.name)
    }
}

impl<'de> Deserialize<'de> for ChipName {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Name;

        impl Visitor<'_> for Name {
            type Value = ChipName;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the name of a chip or of a chip class")
            }

            fn visit_str<E: Error>(self, written: &str) -> Result<ChipName, E> {
                ChipName::named(written).ok_or_else(|| {
                    E::custom(format!(
                        "there is no chip `{written}`; write one of {}",
                        listed()
                    ))
                })
            }
        }

        from.deserialize_str(Name)
    }
}

/// All names, for a message.
pub fn listed() -> String {
    Chip::names().collect::<Vec<_>>().join(", ")
}

impl JsonSchema for ChipName {
    fn schema_name() -> Cow<'static, str> {
        "ChipName".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A class of chips (good, cheap, raw, inclinometer, angles, ideal), or one chip by its name (docs/CHIPS.md).",
            "type": "string",
            "enum": Chip::names().collect::<Vec<_>>(),
        })
    }
}
