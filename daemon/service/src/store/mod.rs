//! Cars, visits and the recordings behind them, in one `SQLite` file.
//!
//! An entry is added in a transaction of its own, and the call returns when the disk
//! has it (`synchronous = FULL`): what was confirmed once outlives the daemon being
//! killed at any moment. Entries are never changed.

mod aside;
mod cars;
mod error;
mod export;
mod migrations;
mod visits;
mod whole;

use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::Connection;

pub use cars::CarRow;
pub use error::StoreFault;
pub use export::{Export, ExportedRecording, ExportedVisit};
pub use visits::{NewEntry, Recording, VisitRow};

/// How long another program may hold the file before it is called busy.
const BUSY: Duration = Duration::from_secs(5);

/// The file, open. Calls block on the disk: from a task use [`Store::run`].
#[derive(Debug, Clone)]
pub struct Store {
    connection: Arc<Mutex<Connection>>,
    file: Option<PathBuf>,
}

impl Store {
    /// Name of the file in the folder where calibrations are kept.
    pub const FILE: &str = "visits.sqlite3";

    /// Opens the file, made if need be, and brings it to the newest layout.
    pub fn open(file: &Path) -> Result<Self, StoreFault> {
        if let Some(folder) = file
            .parent()
            .filter(|folder| !folder.as_os_str().is_empty())
        {
            std::fs::create_dir_all(folder).map_err(|why| StoreFault::Folder {
                folder: folder.to_owned(),
                why: why.to_string(),
            })?;
        }
        let connection = Connection::open(file).map_err(|why| StoreFault::of(Some(file), &why))?;
        Self::ready(connection, Some(file.to_owned()))
    }

    /// A store that is forgotten at the end.
    pub fn in_memory() -> Result<Self, StoreFault> {
        let connection = Connection::open_in_memory().map_err(|why| StoreFault::of(None, &why))?;
        Self::ready(connection, None)
    }

    fn ready(mut connection: Connection, file: Option<PathBuf>) -> Result<Self, StoreFault> {
        let told = |why: &rusqlite::Error| StoreFault::of(file.as_deref(), why);
        connection.busy_timeout(BUSY).map_err(|why| told(&why))?;
        whole::look(&connection, file.as_deref()).map_err(|why| match why {
            whole::NotWhole::Damaged(why) => StoreFault::Damaged {
                file: file.clone(),
                why,
            },
            whole::NotWhole::Sql(why) => told(&why),
        })?;
        for (name, value) in [
            ("journal_mode", "WAL"),
            ("synchronous", "FULL"),
            ("foreign_keys", "ON"),
        ] {
            connection
                .pragma_update_and_check(None, name, value, |_| Ok(()))
                .or_else(|why| match why {
                    // These answer with nothing.
                    rusqlite::Error::QueryReturnedNoRows => Ok(()),
                    other => Err(other),
                })
                .map_err(|why| told(&why))?;
        }
        migrations::bring_up(&mut connection).map_err(|why| match why {
            migrations::Fault::Newer => StoreFault::Newer { file: file.clone() },
            migrations::Fault::Sql(why) => StoreFault::Database {
                file: file.clone(),
                why,
            },
        })?;
        Ok(Self {
            connection: Arc::new(Mutex::new(connection)),
            file,
        })
    }

    /// The file, where there is one.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// Does something with the store where blocking is allowed.
    pub async fn run<T, F>(&self, act: F) -> Result<T, StoreFault>
    where
        T: Send + 'static,
        F: FnOnce(&Self) -> Result<T, StoreFault> + Send + 'static,
    {
        let store = self.clone();
        tokio::task::spawn_blocking(move || act(&store))
            .await
            .unwrap_or(Err(StoreFault::Stopping))
    }

    /// Copies everything into one file that must not exist yet.
    pub fn back_up(&self, to: &Path) -> Result<(), StoreFault> {
        if to.exists() {
            return Err(StoreFault::Exists {
                file: to.to_owned(),
            });
        }
        let target = to.to_str().ok_or_else(|| StoreFault::Exists {
            file: to.to_owned(),
        })?;
        self.lock()
            .execute("VACUUM INTO ?1", [target])
            .map(drop)
            .map_err(|why| StoreFault::of(Some(to), &why))
    }

    fn lock(&self) -> MutexGuard<'_, Connection> {
        // A panic while it was held rolled its transaction back.
        self.connection
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn fault(&self, why: &rusqlite::Error) -> StoreFault {
        StoreFault::of(self.file.as_deref(), why)
    }
}

#[cfg(test)]
mod broken_tests;
#[cfg(test)]
mod tests;
