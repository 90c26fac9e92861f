//! The wire formats by name.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::compact;
use crate::rvc;
use crate::text::kept::{KeptColumns, KeptUnits};
use crate::text::{ColumnMap, ColumnMapError, Columns};
use crate::xbus;

/// Which wire a board speaks.
///
/// In a configuration it is its name (`"csv"`), or a table where columns are
/// given (`{ format = "csv", columns = ["ax", "ay", "az"] }`). Written down by the
/// program, it is read again exactly as it was.
#[derive(Debug, Clone, PartialEq, Deserialize, Serialize)]
#[serde(try_from = "Written", into = "Written")]
pub enum WireFormat {
    /// Lines of numbers; by default the board's own header says what they are.
    Csv(Columns),
    /// Lines of `label:value` or `label=value`.
    Labelled(Columns),
    /// One JSON object a line.
    JsonLines(Columns),
    /// Binary frames of 11 bytes that begin with 0x55.
    Ahrs55,
    /// The same frames from the older boards without magnetometer, whose
    /// temperature has another scale.
    Ahrs55SixAxis,
    /// Frames of 20 bytes that begin with 55 61, from the radio boards of that family.
    Ahrs55Radio,
    /// Frames of 19 bytes that begin with AA AA, from `BNO08x` chips.
    Rvc,
    /// Xbus frames with `MTData2`, from Xsens/Movella motion trackers.
    Xbus,
    /// `MAVLink`, versions 1 and 2, from autopilots and their boards.
    Mavlink,
    /// Our own compact binary frames for home-made firmware.
    Compact,
}

/// A format that cannot be had.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum UnknownFormat {
    /// No format has this name.
    #[error("there is no wire format `{name}`")]
    Name {
        /// The name as it was written.
        name: String,
    },
    /// Columns were given for a format that has none.
    #[error("frames of `{name}` have no columns to be named")]
    NoColumns {
        /// The format.
        name: &'static str,
    },
    /// Columns that were written down and changed since.
    #[error(transparent)]
    Columns(#[from] ColumnMapError),
    /// Units that were written down and changed since.
    #[error("the units of `{name}` are no units of acceleration, rate and time")]
    Units {
        /// The format.
        name: String,
    },
}

impl WireFormat {
    /// Names of all formats, as [`from_name`](Self::from_name) takes them.
    pub const NAMES: [&'static str; 10] = [
        "csv",
        "labelled",
        "json-lines",
        "ahrs55",
        "ahrs55-six-axis",
        "ahrs55-radio",
        "rvc",
        "xbus",
        "mavlink",
        "compact",
    ];

    /// The format's name.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Csv(_) => "csv",
            Self::Labelled(_) => "labelled",
            Self::JsonLines(_) => "json-lines",
            Self::Ahrs55 => "ahrs55",
            Self::Ahrs55SixAxis => "ahrs55-six-axis",
            Self::Ahrs55Radio => "ahrs55-radio",
            Self::Rvc => "rvc",
            Self::Xbus => "xbus",
            Self::Mavlink => "mavlink",
            Self::Compact => "compact",
        }
    }

    /// The format of a name. Without `columns` a text board has to name its
    /// columns itself, in a header, in labels or in keys.
    pub fn from_name(name: &str, columns: Option<ColumnMap>) -> Result<Self, UnknownFormat> {
        let binary = |format: Self| match columns {
            Some(_) => Err(UnknownFormat::NoColumns {
                name: format.name(),
            }),
            None => Ok(format),
        };
        match name {
            "ahrs55" => binary(Self::Ahrs55),
            "ahrs55-six-axis" => binary(Self::Ahrs55SixAxis),
            "ahrs55-radio" => binary(Self::Ahrs55Radio),
            "rvc" => binary(Self::Rvc),
            "xbus" => binary(Self::Xbus),
            "mavlink" => binary(Self::Mavlink),
            "compact" => binary(Self::Compact),
            "csv" => Ok(Self::Csv(columns.into())),
            "labelled" => Ok(Self::Labelled(columns.into())),
            "json-lines" => Ok(Self::JsonLines(columns.into())),
            _ => Err(UnknownFormat::Name {
                name: name.to_owned(),
            }),
        }
    }

    /// Bits of the running number that [`Reading::sequence`](crate::Reading::sequence)
    /// wraps at; none where the wire carries none.
    pub fn sequence_bits(&self) -> Option<u8> {
        match self {
            Self::Csv(_) | Self::Labelled(_) | Self::JsonLines(_) => Some(32),
            Self::Compact => Some(compact::SEQUENCE_BITS),
            Self::Xbus => Some(xbus::SEQUENCE_BITS),
            Self::Rvc => Some(rvc::SEQUENCE_BITS),
            // Of MAVLink the number counts messages of every kind together.
            Self::Ahrs55 | Self::Ahrs55SixAxis | Self::Ahrs55Radio | Self::Mavlink => None,
        }
    }

    /// The column map, where one is fixed.
    pub fn columns(&self) -> Option<&ColumnMap> {
        match self {
            Self::Csv(Columns::Mapped(map))
            | Self::Labelled(Columns::Mapped(map))
            | Self::JsonLines(Columns::Mapped(map)) => Some(map),
            _ => None,
        }
    }
}

/// A format as it stands in a configuration.
#[derive(Deserialize, Serialize)]
#[serde(untagged)]
enum Written {
    Name(String),
    #[serde(skip_serializing)]
    WithColumns {
        format: String,
        columns: ColumnMap,
    },
    Mapped {
        format: String,
        map: KeptColumns,
    },
    Assuming {
        format: String,
        units: KeptUnits,
    },
}

impl From<WireFormat> for Written {
    fn from(wire: WireFormat) -> Self {
        let format = wire.name().to_owned();
        match wire {
            WireFormat::Csv(columns)
            | WireFormat::Labelled(columns)
            | WireFormat::JsonLines(columns) => match columns {
                Columns::Mapped(map) => Self::Mapped {
                    format,
                    map: KeptColumns::from(&map),
                },
                ref named if *named == Columns::default() => Self::Name(format),
                Columns::Named(units) => Self::Assuming {
                    format,
                    units: units.into(),
                },
            },
            _ => Self::Name(format),
        }
    }
}

impl TryFrom<Written> for WireFormat {
    type Error = UnknownFormat;

    fn try_from(written: Written) -> Result<Self, UnknownFormat> {
        match written {
            Written::Name(name) => Self::from_name(&name, None),
            Written::WithColumns { format, columns } => Self::from_name(&format, Some(columns)),
            Written::Mapped { format, map } => Self::from_name(&format, Some(map.map()?)),
            Written::Assuming { format, units } => {
                let Some(units) = units.units() else {
                    return Err(UnknownFormat::Units { name: format });
                };
                match Self::from_name(&format, None)? {
                    Self::Csv(_) => Ok(Self::Csv(Columns::Named(units))),
                    Self::Labelled(_) => Ok(Self::Labelled(Columns::Named(units))),
                    Self::JsonLines(_) => Ok(Self::JsonLines(Columns::Named(units))),
                    binary => Err(UnknownFormat::NoColumns {
                        name: binary.name(),
                    }),
                }
            }
        }
    }
}
