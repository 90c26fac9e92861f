//! By what a board is reached, as a person writes it.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

use thiserror::Error;

use crate::journal::{BadPlayed, Played};

const PLAYED: &str = "replay:";

/// By what a board is reached.
///
/// Written as one string: a path (`/dev/ttyUSB0`), or the identity of a serial
/// adapter (`usb-1a86-7523-A17`), or a board in a journal (`replay:journals/2026-05-30T140322Z#0`).
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// A path, which may be a link.
    Path(PathBuf),
    /// A stable identity of a serial port, looked up in the tree at every opening.
    Identity(String),
    /// A board in a journal.
    Played(Played),
}

/// What names no way to a board.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadTarget {
    /// Nothing is written.
    #[error("nothing says how the board is reached")]
    Empty,
    /// It names no board of a journal.
    #[error(transparent)]
    Played(#[from] BadPlayed),
}

impl FromStr for Target {
    type Err = BadTarget;

    fn from_str(written: &str) -> Result<Self, BadTarget> {
        if written.is_empty() {
            return Err(BadTarget::Empty);
        }
        if let Some(played) = written.strip_prefix(PLAYED) {
            return Ok(Self::Played(played.parse()?));
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
            Self::Played(played) => write!(f, "{PLAYED}{played}"),
        }
    }
}
