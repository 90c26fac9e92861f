//! What can go wrong with the store, in three parts.

use std::path::{Path, PathBuf};

use thiserror::Error;

/// Why the store cannot do what was asked.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum StoreFault {
    /// The folder of the file cannot be made.
    #[error("The folder {} cannot be made: {why}.", folder.display())]
    Folder {
        /// Folder.
        folder: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A later version of the program wrote the file.
    #[error("{} was written by a later version of hubplumb.", place(file.as_deref()))]
    Newer {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// Another program holds the file.
    #[error("{} is held by another program.", place(file.as_deref()))]
    Busy {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The disk is full.
    #[error("There is no room for {}.", place(file.as_deref()))]
    Full {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The file may not be written.
    #[error("{} may not be written.", place(file.as_deref()))]
    ReadOnly {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The file is damaged or is no store.
    #[error("{} is damaged or is not a store of visits: {why}.", place(file.as_deref()))]
    Damaged {
        /// File, where there is one.
        file: Option<PathBuf>,
        /// What the database says.
        why: String,
    },
    /// The database refused for another reason.
    #[error("{} cannot be used: {why}.", place(file.as_deref()))]
    Database {
        /// File, where there is one.
        file: Option<PathBuf>,
        /// What the database says.
        why: String,
    },
    /// A stored text is not understood.
    #[error("{what} holds something that this version does not understand: {why}.")]
    NotUnderstood {
        /// What was read.
        what: String,
        /// What is wrong.
        why: String,
    },
    /// There is no such car.
    #[error("There is no car {id}.")]
    NoCar {
        /// Its number.
        id: i64,
    },
    /// There is no such visit.
    #[error("There is no visit {id}.")]
    NoVisit {
        /// Its number.
        id: i64,
    },
    /// There is no such entry.
    #[error("Visit {visit} has no entry {number}.")]
    NoEntry {
        /// Visit.
        visit: i64,
        /// Entry.
        number: u32,
    },
    /// The visit is closed.
    #[error("Visit {id} is closed.")]
    Closed {
        /// Its number.
        id: i64,
    },
    /// The visit is here already.
    #[error("That visit is here already, as visit {id}.")]
    Known {
        /// Its number here.
        id: i64,
    },
    /// A file that would be overwritten.
    #[error("{} is there already, or its name cannot be used.", file.display())]
    Exists {
        /// File.
        file: PathBuf,
    },
    /// There is no folder to keep anything in.
    #[error(
        "There is no folder to keep cars and visits in: neither XDG_DATA_HOME nor HOME is set."
    )]
    NoFolder,
    /// The daemon is ending.
    #[error("The daemon is stopping.")]
    Stopping,
}

fn place(file: Option<&Path>) -> String {
    file.map_or_else(
        || "The store in memory".to_owned(),
        |file| file.display().to_string(),
    )
}

impl StoreFault {
    /// What a fault of the database means here.
    pub(super) fn of(file: Option<&Path>, why: &rusqlite::Error) -> Self {
        use rusqlite::ErrorCode;
        let file = file.map(Path::to_owned);
        match why.sqlite_error_code() {
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy { file },
            Some(ErrorCode::DiskFull) => Self::Full { file },
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly { file },
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged {
                file,
                why: why.to_string(),
            },
            _ => Self::Database {
                file,
                why: why.to_string(),
            },
        }
    }

    /// A stored text that is not understood.
    pub(super) fn text(what: impl Into<String>, why: &serde_json::Error) -> Self {
        Self::NotUnderstood {
            what: what.into(),
            why: why.to_string(),
        }
    }

    /// What it means.
    pub const fn meaning(&self) -> &'static str {
        match self {
            Self::Newer { .. } | Self::Damaged { .. } | Self::NotUnderstood { .. } => {
                "Cars and visits cannot be read. The file was left as it is."
            }
            Self::Folder { .. }
            | Self::Busy { .. }
            | Self::Full { .. }
            | Self::ReadOnly { .. }
            | Self::Database { .. }
            | Self::NoFolder
            | Self::Stopping => {
                "Nothing was stored by this. What was stored before is still there."
            }
            Self::NoCar { .. }
            | Self::NoVisit { .. }
            | Self::NoEntry { .. }
            | Self::Closed { .. }
            | Self::Known { .. }
            | Self::Exists { .. } => "Nothing was changed.",
        }
    }

    /// What to do.
    pub const fn remedy(&self) -> &'static str {
        match self {
            Self::Folder { .. } | Self::ReadOnly { .. } => {
                "Let the user that the daemon runs as write there, or start it with `--store FOLDER`."
            }
            Self::Newer { .. } => {
                "Use that version, or start with `--store FOLDER` and import an export of it."
            }
            Self::Busy { .. } => "End the other program that uses the file, and ask again.",
            Self::Full { .. } => "Make room on the disk, and ask again.",
            Self::Damaged { .. } => {
                "Put the newest backup in its place; docs/VISIT.md tells how. Keep the damaged file."
            }
            Self::Database { .. } => "Look at the file and its disk, and ask again.",
            Self::NotUnderstood { .. } => "Use the version that wrote it, and export from there.",
            Self::NoCar { .. } => "`hubplumb cars list` names the cars there are.",
            Self::NoVisit { .. } => "`hubplumb visits list` names the visits there are.",
            Self::NoEntry { .. } => "Show the visit for the numbers of its entries.",
            Self::Closed { .. } => "Open it again on the page, or begin another visit.",
            Self::Known { .. } => "Use the one that is here, or delete it first.",
            Self::Exists { .. } => "Name a file that is not there yet.",
            Self::NoFolder => "Start with `--store FOLDER`.",
            Self::Stopping => "Start the daemon again.",
        }
    }
}
