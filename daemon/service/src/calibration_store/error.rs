//! What can go wrong with a kept calibration, in three parts.

use std::fmt;
use std::path::PathBuf;

use crate::text;
use crate::text::Text;

/// Why a calibration cannot be read or kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StoreError {
    /// The file is there and cannot be read.
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// The file is no calibration.
    NotUnderstood {
        /// File.
        file: PathBuf,
        /// Line, from 1.
        line: usize,
        /// What is wrong there.
        what: String,
    },
    /// The file holds numbers that cannot be.
    Wrong {
        /// File.
        file: PathBuf,
        /// What is wrong.
        what: String,
    },
    /// The file cannot be written.
    Unwritable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// No file name can be made of the identity.
    NameTooLong {
        /// Identity.
        board: String,
    },
    /// There is no folder to keep calibrations in.
    NoFolder,
}

/// In English, for the log and the command line.
impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what().stored())
    }
}

impl std::error::Error for StoreError {}

impl StoreError {
    /// What happened, a sentence.
    pub fn what(&self) -> Text {
        match self {
            Self::Unreadable { file, why } => text!(
                "{file} cannot be read: {why}.",
                file = file.display().to_string(),
                why
            ),
            Self::NotUnderstood { file, line, what } => text!(
                "{file} is no calibration: line {line}: {what}.",
                file = file.display().to_string(),
                line,
                what
            ),
            Self::Wrong { file, what } => text!(
                "{file} holds a calibration that cannot be: {what}.",
                file = file.display().to_string(),
                what
            ),
            Self::Unwritable { file, why } => text!(
                "{file} cannot be written: {why}.",
                file = file.display().to_string(),
                why
            ),
            Self::NameTooLong { board } => text!(
                "The identity of the board is too long for the name of a file: {board}.",
                board
            ),
            Self::NoFolder => text!(
                "There is no folder to keep calibrations in: neither XDG_DATA_HOME nor HOME is set."
            ),
        }
    }

    /// What it means for the measurement.
    pub fn meaning(&self) -> Text {
        match self {
            Self::Unreadable { .. } | Self::NotUnderstood { .. } | Self::Wrong { .. } => text!(
                "The board is used as if it had never been calibrated. The file was left as it is."
            ),
            Self::Unwritable { .. } | Self::NameTooLong { .. } | Self::NoFolder => {
                text!("The calibration is not kept, and the one before stays in force.")
            }
        }
    }

    /// What to do.
    pub fn remedy(&self) -> Text {
        match self {
            Self::Unreadable { .. } => text!(
                "Make the file readable for the user the daemon runs as, and start the daemon again; or calibrate the board anew."
            ),
            Self::NotUnderstood { .. } | Self::Wrong { .. } => text!(
                "Calibrate the board anew: the file is then set aside, not overwritten. Or put a good copy in its place and start the daemon again."
            ),
            Self::Unwritable { .. } => text!(
                "Make room, or let the daemon's user write there, and keep the result again; `--store FOLDER` names another folder."
            ),
            Self::NameTooLong { .. } => {
                text!("Name the board by a shorter identity in the configuration.")
            }
            Self::NoFolder => text!("Start the daemon with `--store FOLDER`."),
        }
    }
}
