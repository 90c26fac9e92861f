//! The wire formats by name.

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::bno055;
use crate::compact;
use crate::iio_scan::ScanLayout;
use crate::modbus::RegisterMap;
use crate::nmea::Sentences;
use crate::options::FormatOptions;
use crate::question::Question;
use crate::rvc;
use crate::text::kept::{KeptColumns, KeptUnits};
use crate::text::{ColumnMap, ColumnMapError, Columns};
use crate::values::ValueLayout;
use crate::xbus;

/// Which wire a board speaks.
///
/// In a configuration it is its name (`"csv"`), or a table where more is
/// told (`{ format = "csv", columns = ["ax", "ay", "az"] }`). What was found by
/// listening and is written down by the program is read again exactly as it was.
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
    /// Sentences of NMEA 0183.
    Nmea(Sentences),
    /// Answers of a board read by Modbus RTU.
    Modbus(RegisterMap),
    /// Answers of a BNO055 on its serial port.
    Bno055,
    /// Numbers in a row, in pieces or messages that the link cuts.
    Values(ValueLayout),
    /// Records of a buffer of the Linux Industrial I/O subsystem. Not named by a
    /// person: whoever opens the device reads the layout from the kernel.
    IioScan(ScanLayout),
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
    /// Something was told that is not of this format.
    #[error("`{option}` is told, and `{name}` has nothing of the kind")]
    NoOption {
        /// The format.
        name: String,
        /// The option.
        option: &'static str,
    },
    /// Without something told the format cannot be read.
    #[error("`{name}` cannot be read without `{option}`")]
    NeedsOption {
        /// The format.
        name: String,
        /// The option.
        option: &'static str,
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
    /// Names of all formats that a person may name, as [`from_name`](Self::from_name) takes them.
    pub const NAMES: [&'static str; 14] = [
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
        "nmea",
        "modbus",
        "bno055",
        "values",
    ];

    /// The format's name.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Csv(_) => "csv",
            Self::Labelled(_) => "labelled",
            Self::JsonLines(_) => "json-lines",
            Self::Ahrs55 => "ahrs55",
            Self::Ahrs55SixAxis => "ahrs55-six-axis",
            Self::Nmea(_) => "nmea",
            Self::Modbus(_) => "modbus",
            Self::Bno055 => "bno055",
            Self::Values(_) => "values",
            Self::IioScan(_) => "iio-scan",
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
            "bno055" => binary(Self::Bno055),
            "nmea" => binary(Self::Nmea(Sentences::default())),
            "modbus" | "values" => Self::with_options(name, FormatOptions::default()),
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
            Self::Ahrs55
            | Self::Ahrs55SixAxis
            | Self::Ahrs55Radio
            | Self::Mavlink
            | Self::Nmea(_)
            | Self::Modbus(_)
            | Self::Bno055
            | Self::Values(_)
            | Self::IioScan(_) => None,
        }
    }

    /// Does a sum at the end of each frame tell that a byte changed on the way? What the kernel
    /// hands over was on no line.
    pub const fn has_check_sum(&self) -> bool {
        match self {
            Self::Csv(_)
            | Self::Labelled(_)
            | Self::JsonLines(_)
            | Self::Ahrs55Radio
            | Self::Bno055
            | Self::Values(_) => false,
            Self::Ahrs55
            | Self::Ahrs55SixAxis
            | Self::Nmea(_)
            | Self::Modbus(_)
            | Self::Rvc
            | Self::Xbus
            | Self::Mavlink
            | Self::Compact
            | Self::IioScan(_) => true,
        }
    }

    /// What has to be asked of a board that speaks this, again and again; none
    /// where boards talk by themselves.
    pub fn question(&self) -> Option<Question> {
        match self {
            Self::Modbus(map) => Some(map.question()),
            Self::Bno055 => Some(bno055::question()),
            _ => None,
        }
    }

    /// Does it carry roll and pitch? A board that speaks it works them out itself.
    pub fn carries_angles(&self) -> bool {
        match self {
            Self::Nmea(_) => true,
            Self::Modbus(map) => map.carries_angles(),
            Self::Values(layout) => layout.carries_angles(),
            _ => false,
        }
    }

    /// Does the link have to say where a frame ends? Then the format cannot be
    /// read from a stream.
    pub fn needs_cuts(&self) -> bool {
        matches!(self, Self::Values(_))
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
    Told(Told),
    Mapped {
        format: String,
        map: KeptColumns,
    },
    Assuming {
        format: String,
        units: KeptUnits,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Told {
    format: String,
    columns: Option<ColumnMap>,
    sentences: Option<Sentences>,
    registers: Option<RegisterMap>,
    values: Option<ValueLayout>,
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
            Written::Told(Told {
                format,
                columns,
                sentences,
                registers,
                values,
            }) => Self::with_options(
                &format,
                FormatOptions {
                    columns,
                    sentences,
                    registers,
                    values,
                },
            ),
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
