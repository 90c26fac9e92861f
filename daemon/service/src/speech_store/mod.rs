//! How boards talked when they were last listened to: a folder beside their
//! calibrations, with one TOML file per board.
//!
//! Only what was found by listening is kept; what the configuration tells needs no
//! memory. What is read from here is still a guess. A file that cannot be read is
//! named, set aside when another takes its place, and never stands in the way.

mod memory;
#[cfg(test)]
mod tests;

use std::fs;
use std::io;
use std::path::PathBuf;

use hubplumb_protocol::WireFormat;
use serde::{Deserialize, Serialize};
use thiserror::Error;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use crate::calibration_store::{CalibrationStore, StoreError, file_name, replace};

pub use memory::SpeechMemory;

/// The format that is written. A change that older programs would misread gets another number.
const FORMAT: u32 = 1;
/// Folder beside the calibrations.
const FOLDER: &str = "speech";

/// What listening once found out about a board.
#[derive(Debug, Clone, PartialEq)]
pub struct RememberedSpeech {
    /// When it was found, UTC.
    pub date: OffsetDateTime,
    /// Speed of the line, where it was found by listening.
    pub baud: Option<u32>,
    /// Wire format with its columns, where it was found by listening.
    pub format: Option<WireFormat>,
    /// What spoke for the format.
    pub why: Option<String>,
}

/// Why a memory cannot be read or kept.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SpeechError {
    /// The file is there and cannot be read.
    #[error(
        "{} cannot be read: {why}. The board is listened to as if it were new; the file was left as it is",
        file.display()
    )]
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// The file tells no speech.
    #[error(
        "{} tells nothing of how a board talks: {why}. The board is listened to as if it were new; the file is set aside when something better is known",
        file.display()
    )]
    NotUnderstood {
        /// File.
        file: PathBuf,
        /// What is wrong in it.
        why: String,
    },
    /// The file cannot be written.
    #[error(
        "{} cannot be written: {why}. The board will be listened to again next time",
        file.display()
    )]
    Unwritable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
    },
    /// There is no place for a file of this board.
    #[error(transparent)]
    NoPlace(StoreError),
}

/// The folder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpeechStore {
    folder: Option<PathBuf>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    format: u32,
    board: String,
    date: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    baud: Option<u32>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    why: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    speaks: Option<WireFormat>,
}

impl SpeechStore {
    /// The one beside a folder of calibrations.
    pub fn beside(calibrations: &CalibrationStore) -> Self {
        Self {
            folder: calibrations.folder().map(|folder| folder.join(FOLDER)),
        }
    }

    /// The file of a board.
    pub fn file(&self, board: &str) -> Result<PathBuf, SpeechError> {
        let folder = self.folder.as_ref();
        let folder = folder.ok_or(SpeechError::NoPlace(StoreError::NoFolder))?;
        Ok(folder.join(file_name(board).map_err(SpeechError::NoPlace)?))
    }

    /// What is remembered of a board; none when there is no file of it.
    pub fn load(&self, board: &str) -> Result<Option<RememberedSpeech>, SpeechError> {
        let Ok(file) = self.file(board) else {
            return Ok(None);
        };
        match fs::read_to_string(&file) {
            Ok(text) => match read(&text, board) {
                Ok(remembered) => Ok(Some(remembered)),
                Err(why) => Err(SpeechError::NotUnderstood { file, why }),
            },
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(SpeechError::Unreadable {
                file,
                why: error.to_string(),
            }),
        }
    }

    /// Keeps what was found in place of what was there. A file that cannot be read is set aside.
    pub fn keep(&self, board: &str, found: &RememberedSpeech) -> Result<(), SpeechError> {
        let file = self.file(board)?;
        let unwritable = |why: String| SpeechError::Unwritable {
            file: file.clone(),
            why,
        };
        let date = found.date.format(&Rfc3339);
        let text = toml::to_string(&File {
            format: FORMAT,
            board: board.to_owned(),
            date: date.map_err(|error| unwritable(error.to_string()))?,
            baud: found.baud,
            why: found.why.clone(),
            speaks: found.format.clone(),
        })
        .map_err(|error| unwritable(error.to_string()))?;
        let broken = self.load(board).is_err();
        replace(&file, &text, broken).map_err(|error| unwritable(error.to_string()))
    }

    /// Forgets a board.
    pub fn forget(&self, board: &str) -> Result<(), SpeechError> {
        let file = self.file(board)?;
        match fs::remove_file(&file) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => Err(SpeechError::Unwritable {
                file,
                why: error.to_string(),
            }),
            _ => Ok(()),
        }
    }
}

fn read(text: &str, board: &str) -> Result<RememberedSpeech, String> {
    let file: File = toml::from_str(text).map_err(|error| error.message().to_owned())?;
    if file.format != FORMAT {
        return Err(format!(
            "it is of format {}, and {FORMAT} is known",
            file.format
        ));
    }
    if file.board != board {
        return Err(format!("it is of another board, `{}`", file.board));
    }
    let date = OffsetDateTime::parse(&file.date, &Rfc3339)
        .map_err(|error| format!("`{}` is no date: {error}", file.date))?;
    if file.baud.is_none() && file.speaks.is_none() {
        return Err("neither speed nor format is in it".to_owned());
    }
    Ok(RememberedSpeech {
        date,
        baud: file.baud,
        format: file.speaks,
        why: file.why,
    })
}
