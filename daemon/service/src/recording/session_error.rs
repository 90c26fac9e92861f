//! Why a session file cannot be used, with the place.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use super::csv_error::CsvError;
use crate::config::ConfigError;

/// Why a session file cannot be used.
#[derive(Debug, Error)]
pub enum InputError {
    /// The session file cannot be read.
    #[error("{}: {source}", file.display())]
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The session file is no JSON, or not of its form.
    #[error("{}:{line}:{column}: {key}: {what}", file.display())]
    Form {
        /// File.
        file: PathBuf,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// Key, as in `boards[0].chip`.
        key: String,
        /// What is wrong.
        what: String,
    },
    /// The session file says something that cannot be.
    #[error("{}: {key}: {what}", file.display())]
    Value {
        /// File.
        file: PathBuf,
        /// Key, as in `boards[0].chip`.
        key: String,
        /// What is wrong.
        what: String,
        /// How to mend it.
        fix: &'static str,
    },
    /// A calibration file cannot be used.
    #[error("{}: {key}: {error}", file.display())]
    Calibration {
        /// The session file.
        file: PathBuf,
        /// Key of the calibration.
        key: String,
        /// What is wrong with the calibration file.
        error: ConfigError,
    },
    /// A recording cannot be read.
    #[error(transparent)]
    Csv(#[from] CsvError),
    /// A folder holds no session file.
    #[error("{} holds no session.json", folder.display())]
    NoSession {
        /// Folder.
        folder: PathBuf,
    },
    /// Nothing says which side a single board was on.
    #[error("nothing says on which hub the board of {} sat", file.display())]
    NoSide {
        /// Its recording.
        file: PathBuf,
    },
}
