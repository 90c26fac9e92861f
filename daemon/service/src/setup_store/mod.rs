//! What was said on the page of the boards: how they are reached, what they are called,
//! where they are strapped and how they sit. One TOML file beside the calibrations.
//!
//! The configuration wins: what it names is not read from here. A file that cannot be
//! read is named, left as it is, and set aside when another takes its place.

mod file;
#[cfg(test)]
mod tests;

use std::fmt;
use std::fs;
use std::io;
use std::path::PathBuf;

use hubplumb_protocol::WireFormat;

use crate::board::Seat;
use crate::calibration_store::{CalibrationStore, replace};
use crate::link::Target;
use crate::text;
use crate::text::Text;

/// The file, in a folder of its own so that no board's calibration is called like it.
const FILE: &str = "set-up/boards.toml";

/// What was said of one board.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedBoard {
    /// Its identity.
    pub id: String,
    /// What it is called, if it was named.
    pub name: Option<String>,
    /// How it is reached, where it does not show by itself as a serial port does.
    pub reached: Option<Target>,
    /// Its wire format, if that was said.
    pub format: Option<WireFormat>,
    /// Where it is strapped and how it sits.
    pub seat: Seat,
}

impl PlacedBoard {
    /// A board of which nothing was said yet.
    pub const fn unknown(id: String) -> Self {
        Self {
            id,
            name: None,
            reached: None,
            format: None,
            seat: Seat::NOWHERE,
        }
    }

    /// Is anything said of it that is worth a line?
    fn says_something(&self) -> bool {
        self.name.is_some() || self.reached.is_some() || self.seat != Seat::NOWHERE
    }
}

/// Why what was said cannot be read or kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SetupError {
    /// The file is there and cannot be read.
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// The file is no set-up.
    NotUnderstood {
        /// File.
        file: PathBuf,
        /// What is wrong in it.
        why: String,
    },
    /// The file is of another version.
    OtherFormat {
        /// File.
        file: PathBuf,
        /// Its version.
        found: u32,
    },
    /// The file cannot be written.
    Unwritable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// There is no folder to keep it in.
    NoFolder,
}

/// In English, for the log and the command line.
impl fmt::Display for SetupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what().stored())
    }
}

impl std::error::Error for SetupError {}

impl SetupError {
    /// What happened, a sentence.
    pub fn what(&self) -> Text {
        match self {
            Self::Unreadable { file, why } => text!(
                "{file} cannot be read: {why}.",
                file = file.display().to_string(),
                why
            ),
            Self::NotUnderstood { file, why } => text!(
                "{file} is no set-up of boards: {why}.",
                file = file.display().to_string(),
                why
            ),
            Self::OtherFormat { file, found } => text!(
                "{file} is of format {found}, and this program reads format {own}.",
                file = file.display().to_string(),
                found = *found,
                own = file::FORMAT
            ),
            Self::Unwritable { file, why } => text!(
                "{file} cannot be written: {why}.",
                file = file.display().to_string(),
                why
            ),
            Self::NoFolder => text!(
                "There is no folder to keep the set-up in: neither XDG_DATA_HOME nor HOME is set."
            ),
        }
    }
}

/// The file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupStore {
    file: Option<PathBuf>,
}

impl SetupStore {
    /// The one beside a folder of calibrations.
    pub fn beside(calibrations: &CalibrationStore) -> Self {
        Self {
            file: calibrations.folder().map(|folder| folder.join(FILE)),
        }
    }

    /// What was said of the boards; nothing when there is no file.
    pub fn load(&self) -> Result<Vec<PlacedBoard>, SetupError> {
        let Some(file) = &self.file else {
            return Ok(Vec::new());
        };
        let text = match fs::read_to_string(file) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
            Err(error) => {
                return Err(SetupError::Unreadable {
                    file: file.clone(),
                    why: error.to_string(),
                });
            }
        };
        file::read(&text).map_err(|fault| match fault {
            file::Fault::Format(found) => SetupError::OtherFormat {
                file: file.clone(),
                found,
            },
            file::Fault::Content(why) => SetupError::NotUnderstood {
                file: file.clone(),
                why,
            },
        })
    }

    /// Keeps what was said in place of what was before, as a whole or not at all.
    pub fn keep(&self, boards: &[PlacedBoard]) -> Result<(), SetupError> {
        let file = self.file.as_ref().ok_or(SetupError::NoFolder)?;
        let unwritable = |why: String| SetupError::Unwritable {
            file: file.clone(),
            why,
        };
        let said = boards.iter().filter(|board| board.says_something());
        let text = file::write(said).map_err(&unwritable)?;
        let broken = self.load().is_err();
        replace(file, &text, broken).map_err(|error| unwritable(error.to_string()))
    }
}
