//! The wire formats by name.

use serde::Deserialize;
use thiserror::Error;

use crate::compact;
use crate::iio_scan::ScanLayout;
use crate::rvc;
use crate::text::{ColumnMap, Columns};
use crate::xbus;

/// Which wire a board speaks.
///
/// In a configuration it is its name (`"csv"`), or a table where columns are
/// given (`{ format = "csv", columns = ["ax", "ay", "az"] }`).
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Written")]
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
#[derive(Debug, Clone, PartialEq, Eq, Error)]
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
}

impl WireFormat {
    /// Names of all formats that a person may name, as [`from_name`](Self::from_name) takes them.
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
            | Self::IioScan(_) => None,
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
#[derive(Deserialize)]
#[serde(untagged)]
enum Written {
    Name(String),
    WithColumns { format: String, columns: ColumnMap },
}

impl TryFrom<Written> for WireFormat {
    type Error = UnknownFormat;

    fn try_from(written: Written) -> Result<Self, UnknownFormat> {
        match written {
            Written::Name(name) => Self::from_name(&name, None),
            Written::WithColumns { format, columns } => Self::from_name(&format, Some(columns)),
        }
    }
}
