//! By what a board is reached, as a person writes it.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

use hubplumb_protocol::Packing;
use thiserror::Error;

/// By what a board is reached.
///
/// Written as one string: a path (`/dev/ttyUSB0`), or the identity of a serial
/// adapter (`usb-1a86-7523-A17`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// A path, which may be a link.
    Path(PathBuf),
    /// A stable identity of a serial port, looked up in the tree at every opening.
    Identity(String),
}

/// What names no way to a board.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadTarget {
    /// Nothing is written.
    #[error("nothing says how the board is reached")]
    Empty,
}

impl Target {
    /// How its lines cut what they carry.
    pub fn packing(&self) -> Packing {
        match self {
            Self::Path(_) | Self::Identity(_) => Packing::Stream,
        }
    }

    /// Do its lines have a speed that has to be known?
    pub fn has_speed(&self) -> bool {
        match self {
            Self::Path(_) | Self::Identity(_) => true,
        }
    }
}

impl FromStr for Target {
    type Err = BadTarget;

    fn from_str(written: &str) -> Result<Self, BadTarget> {
        if written.is_empty() {
            return Err(BadTarget::Empty);
        }
        Ok(if written.contains('/') {
            Self::Path(PathBuf::from(written))
        } else {
            Self::Identity(written.to_owned())
        })
    }
}

impl fmt::Display for Target {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Path(path) => path.display().fmt(f),
            Self::Identity(id) => id.fmt(f),
        }
    }
}
