//! Why a recording cannot be read, with the place.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

/// Why a recording cannot be read.
#[derive(Debug, Error)]
pub enum CsvError {
    /// The file cannot be opened or read.
    #[error("{}: {source}", file.display())]
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// There is no header line.
    #[error("{}:1: the first line names no columns: `{found}`", file.display())]
    NoHeader {
        /// File.
        file: PathBuf,
        /// The first line.
        found: String,
    },
    /// The header lacks columns.
    #[error("{}:{line}: the header lacks {}: `{found}`", file.display(), missing.join(", "))]
    MissingColumns {
        /// File.
        file: PathBuf,
        /// Line of the header.
        line: u64,
        /// What is missing.
        missing: Vec<&'static str>,
        /// The header.
        found: String,
    },
    /// The header names a column twice.
    #[error("{}:{line}: the header names `{column}` twice", file.display())]
    TwiceNamed {
        /// File.
        file: PathBuf,
        /// Line of the header.
        line: u64,
        /// Column.
        column: String,
    },
    /// A line has not as many fields as the header.
    #[error("{}:{line}: {found} fields, the header names {expected}", file.display())]
    Fields {
        /// File.
        file: PathBuf,
        /// Line.
        line: u64,
        /// Fields in it.
        found: usize,
        /// Fields in the header.
        expected: usize,
    },
    /// A field is no number.
    #[error("{}:{line}: column {column}: `{found}` is no number", file.display())]
    NotANumber {
        /// File.
        file: PathBuf,
        /// Line.
        line: u64,
        /// Column.
        column: &'static str,
        /// What stands there.
        found: String,
    },
    /// A line is no text.
    #[error("{}:{line}: not UTF-8 text", file.display())]
    NotText {
        /// File.
        file: PathBuf,
        /// Line.
        line: u64,
    },
    /// Time goes back.
    #[error("{}:{line}: column t_us: from {before_us} back to {found_us}", file.display())]
    TimeBackwards {
        /// File.
        file: PathBuf,
        /// Line.
        line: u64,
        /// Time of the reading before, µs.
        before_us: i64,
        /// Time of this one, µs.
        found_us: i64,
    },
    /// There are next to no readings.
    #[error("{}: {found} readings, at least {least} are needed", file.display())]
    TooFew {
        /// File.
        file: PathBuf,
        /// Readings.
        found: usize,
        /// The least.
        least: usize,
    },
}
