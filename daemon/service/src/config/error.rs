//! What is wrong with a configuration: file, line, key, and how to mend it.

use std::fmt;
use std::path::PathBuf;

use thiserror::Error;

/// Why a configuration cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ConfigError {
    /// The file cannot be read.
    #[error("{}: {why}\n  fix: {fix}", file.display())]
    Unreadable {
        /// File.
        file: PathBuf,
        /// What the system says.
        why: String,
        /// How to mend it.
        fix: String,
    },
    /// The file says something that cannot be.
    #[error("{}", faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Wrong {
        /// Everything that is wrong, in order of the lines.
        faults: Vec<Fault>,
    },
}

/// One thing that is wrong in a configuration file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// File.
    pub file: PathBuf,
    /// Line, from 1.
    pub line: usize,
    /// Full name of the key, e.g. `board[0].baud`; empty where the file is no TOML at that place.
    pub key: String,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub fix: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: ", self.file.display(), self.line)?;
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        write!(f, "{}\n  fix: {}", self.what, self.fix)
    }
}
