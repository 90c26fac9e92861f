//! Reading and writing the entries of a session file that may be written in two ways.
//!
//! By hand, because an untagged enum would say of a misspelt key only that
//! nothing matched.

use std::fmt;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer, StrDeserializer};
use serde::de::{Deserialize, Deserializer, Error, MapAccess, SeqAccess, Visitor};
use serde::ser::{Serialize, Serializer};

use super::chip_name::ChipName;
use super::session_file::{ChipEntry, ChipFiguresEntry, DirectionEntry, FaceEntry, MountEntry};

impl<'de> Deserialize<'de> for ChipEntry {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Chip;

        impl<'de> Visitor<'de> for Chip {
            type Value = ChipEntry;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("the name of a chip or of a chip class, or its figures")
            }

            fn visit_str<E: Error>(self, name: &str) -> Result<ChipEntry, E> {
                ChipName::deserialize(StrDeserializer::new(name)).map(ChipEntry::Named)
            }

            fn visit_map<M: MapAccess<'de>>(self, map: M) -> Result<ChipEntry, M::Error> {
                ChipFiguresEntry::deserialize(MapAccessDeserializer::new(map))
                    .map(|written| ChipEntry::Figures(Box::new(written)))
            }
        }

        from.deserialize_any(Chip)
    }
}

/// The word for a mount that nobody declared.
const UNKNOWN: &str = "unknown";

impl Serialize for MountEntry {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Unknown => to.serialize_str(UNKNOWN),
            Self::Face(face) => face.serialize(to),
        }
    }
}

impl<'de> Deserialize<'de> for MountEntry {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Mount;

        impl<'de> Visitor<'de> for Mount {
            type Value = MountEntry;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("\"unknown\", or the declared face")
            }

            fn visit_str<E: Error>(self, word: &str) -> Result<MountEntry, E> {
                if word == UNKNOWN {
                    Ok(MountEntry::Unknown)
                } else {
                    Err(E::unknown_variant(word, &[UNKNOWN]))
                }
            }

            fn visit_map<M: MapAccess<'de>>(self, map: M) -> Result<MountEntry, M::Error> {
                FaceEntry::deserialize(MapAccessDeserializer::new(map)).map(MountEntry::Face)
            }
        }

        from.deserialize_any(Mount)
    }
}

impl<'de> Deserialize<'de> for DirectionEntry {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct Direction;

        impl<'de> Visitor<'de> for Direction {
            type Value = DirectionEntry;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an axis such as \"+z\", or three numbers")
            }

            fn visit_str<E: Error>(self, axis: &str) -> Result<DirectionEntry, E> {
                Deserialize::deserialize(StrDeserializer::new(axis)).map(DirectionEntry::Axis)
            }

            fn visit_seq<S: SeqAccess<'de>>(self, numbers: S) -> Result<DirectionEntry, S::Error> {
                Deserialize::deserialize(SeqAccessDeserializer::new(numbers))
                    .map(DirectionEntry::Vector)
            }
        }

        from.deserialize_any(Direction)
    }
}
