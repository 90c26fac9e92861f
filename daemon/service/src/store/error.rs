//! What can go wrong with the store, in three parts.

use std::fmt;
use std::path::{Path, PathBuf};

use crate::text;
use crate::text::Text;

/// Why the store cannot do what was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StoreFault {
    /// The folder of the file cannot be made.
    Folder {
        /// Folder.
        folder: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A later version of the program wrote the file.
    Newer {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// Another program holds the file.
    Busy {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The disk is full.
    Full {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The file may not be written.
    ReadOnly {
        /// File, where there is one.
        file: Option<PathBuf>,
    },
    /// The file is damaged or is no store.
    Damaged {
        /// File, where there is one.
        file: Option<PathBuf>,
        /// What the database says.
        why: String,
    },
    /// The database refused for another reason.
    Database {
        /// File, where there is one.
        file: Option<PathBuf>,
        /// What the database says.
        why: String,
    },
    /// A stored text is not understood.
    NotUnderstood {
        /// What was read.
        what: Text,
        /// What is wrong.
        why: Text,
    },
    /// There is no such car.
    NoCar {
        /// Its number.
        id: i64,
    },
    /// There is no such visit.
    NoVisit {
        /// Its number.
        id: i64,
    },
    /// There is no such entry.
    NoEntry {
        /// Visit.
        visit: i64,
        /// Entry.
        number: u32,
    },
    /// The visit is closed.
    Closed {
        /// Its number.
        id: i64,
    },
    /// The visit is here already.
    Known {
        /// Its number here.
        id: i64,
    },
    /// A file that would be overwritten.
    Exists {
        /// File.
        file: PathBuf,
    },
    /// There is no folder to keep anything in.
    NoFolder,
    /// The daemon is ending.
    Stopping,
}

/// In English, for the log and the command line.
impl fmt::Display for StoreFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.what().stored())
    }
}

impl std::error::Error for StoreFault {}

/// The file at the beginning of a sentence.
fn place(file: Option<&Path>) -> Text {
    file.map_or_else(
        || text!("The store in memory"),
        |file| file.display().to_string().into(),
    )
}

fn may_not_be_written(file: &Path) -> bool {
    let opened = std::fs::OpenOptions::new().append(true).open(file);
    opened.is_err_and(|why| {
        matches!(
            why.kind(),
            std::io::ErrorKind::ReadOnlyFilesystem | std::io::ErrorKind::PermissionDenied
        )
    })
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
            // The database keeps files beside its own, and cannot even be read without them.
            Some(ErrorCode::CannotOpen) if file.as_deref().is_some_and(may_not_be_written) => {
                Self::ReadOnly { file }
            }
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
    pub(super) fn text(what: Text, why: &serde_json::Error) -> Self {
        Self::NotUnderstood {
            what,
            why: why.to_string().into(),
        }
    }

    /// What happened.
    pub fn what(&self) -> Text {
        match self {
            Self::Folder { folder, why } => text!(
                "The folder {folder} cannot be made: {why}.",
                folder = folder.display().to_string(),
                why
            ),
            Self::Newer { file } => text!(
                "{file} was written by a later version of hubplumb.",
                file = place(file.as_deref())
            ),
            Self::Busy { file } => text!(
                "{file} is held by another program.",
                file = place(file.as_deref())
            ),
            Self::Full { file } => {
                text!(
                    "There is no room for {file}.",
                    file = place(file.as_deref())
                )
            }
            Self::ReadOnly { file } => {
                text!("{file} may not be written.", file = place(file.as_deref()))
            }
            Self::Damaged { file, why } => text!(
                "{file} is damaged or is not a store of visits: {why}.",
                file = place(file.as_deref()),
                why
            ),
            Self::Database { file, why } => text!(
                "{file} cannot be used: {why}.",
                file = place(file.as_deref()),
                why
            ),
            Self::NotUnderstood { what, why } => text!(
                "{what} holds something that this version does not understand: {why}.",
                what,
                why
            ),
            Self::NoCar { id } => text!("There is no car {id}.", id = *id),
            Self::NoVisit { id } => text!("There is no visit {id}.", id = *id),
            Self::NoEntry { visit, number } => text!(
                "Visit {visit} has no entry {number}.",
                visit = *visit,
                number = *number
            ),
            Self::Closed { id } => text!("Visit {id} is closed.", id = *id),
            Self::Known { id } => {
                text!("That visit is here already, as visit {id}.", id = *id)
            }
            Self::Exists { file } => text!(
                "{file} is there already, or its name cannot be used.",
                file = file.display().to_string()
            ),
            Self::NoFolder => text!(
                "There is no folder to keep cars and visits in: neither XDG_DATA_HOME nor HOME is set."
            ),
            Self::Stopping => text!("The daemon is stopping."),
        }
    }

    /// What it means.
    pub const fn meaning(&self) -> Text {
        match self {
            Self::Newer { .. } | Self::Damaged { .. } | Self::NotUnderstood { .. } => {
                text!("Cars and visits cannot be read. The file was left as it is.")
            }
            Self::Folder { .. }
            | Self::Busy { .. }
            | Self::Full { .. }
            | Self::ReadOnly { .. }
            | Self::Database { .. }
            | Self::NoFolder
            | Self::Stopping => {
                text!("Nothing was stored by this. What was stored before is still there.")
            }
            Self::NoCar { .. }
            | Self::NoVisit { .. }
            | Self::NoEntry { .. }
            | Self::Closed { .. }
            | Self::Known { .. }
            | Self::Exists { .. } => text!("Nothing was changed."),
        }
    }

    /// What to do.
    pub const fn remedy(&self) -> Text {
        match self {
            Self::Folder { .. } | Self::ReadOnly { .. } => {
                text!(
                    "Let the user that the daemon runs as write there, or start it with `--store FOLDER`."
                )
            }
            Self::Newer { .. } => {
                text!(
                    "Use that version, or start with `--store FOLDER` and import an export of it."
                )
            }
            Self::Busy { .. } => text!("End the other program that uses the file, and ask again."),
            Self::Full { .. } => text!("Make room on the disk, and ask again."),
            Self::Damaged { .. } => {
                text!(
                    "End the daemon and bring the newest backup in with `hubplumb visits restore FILE`, or begin anew with `hubplumb visits set-aside`. Either keeps the damaged file; docs/RECOVERY.md tells all."
                )
            }
            Self::Database { .. } => text!("Look at the file and its disk, and ask again."),
            Self::NotUnderstood { .. } => {
                text!("Use the version that wrote it, and export from there.")
            }
            Self::NoCar { .. } => text!("`hubplumb cars list` names the cars there are."),
            Self::NoVisit { .. } => text!("`hubplumb visits list` names the visits there are."),
            Self::NoEntry { .. } => text!("Show the visit for the numbers of its entries."),
            Self::Closed { .. } => text!("Open it again on the page, or begin another visit."),
            Self::Known { .. } => text!("Use the one that is here, or delete it first."),
            Self::Exists { .. } => text!("Name a file that is not there yet."),
            Self::NoFolder => text!("Start with `--store FOLDER`."),
            Self::Stopping => text!("Start the daemon again."),
        }
    }
}
