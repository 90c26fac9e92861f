//! Cars, visits and the recordings behind them, in one `SQLite` file.
//!
//! An entry is added in a transaction of its own, and the call returns when the disk
//! has it (`synchronous = FULL`): what was confirmed once outlives the daemon being
//! killed at any moment. Entries are never changed. What is still to be published stands beside them.

mod aside;
mod cars;
mod error;
mod export;
mod inspect;
mod migrations;
mod standing;
mod unsent;
mod visits;
mod whole;

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rusqlite::Connection;

use crate::calibration_store::make_private;

pub use cars::CarRow;
pub use error::StoreFault;
pub use export::{Export, ExportedRecording, ExportedVisit};
pub use inspect::Inspected;
pub use unsent::Unsent;
pub use visits::{NewEntry, Recording, VisitRow};

/// How long another program may hold the file before it is called busy.
const BUSY: Duration = Duration::from_secs(5);

/// The file, open. Calls block on the disk: from a task use [`Store::run`].
#[derive(Debug, Clone)]
pub struct Store {
    connection: Arc<Mutex<Connection>>,
    file: Option<PathBuf>,
    tally: Arc<Tally>,
}

/// What the store did since it was opened.
#[derive(Debug, Default)]
pub struct Tally {
    commits: AtomicU64,
    faults: AtomicU64,
}

impl Tally {
    /// Changes that the database has.
    pub fn commits(&self) -> u64 {
        self.commits.load(Ordering::Relaxed)
    }

    /// Times that the database refused something.
    pub fn faults(&self) -> u64 {
        self.faults.load(Ordering::Relaxed)
    }
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
            make_private(folder).map_err(|why| StoreFault::Folder {
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
        let tally = Arc::<Tally>::default();
        let committed = tally.clone();
        let counting = move || {
            committed.commits.fetch_add(1, Ordering::Relaxed);
            // Whoever answers yes here takes the commit back.
            false
        };
        connection
            .commit_hook(Some(counting))
            .map_err(|why| told(&why))?;
        Ok(Self {
            connection: Arc::new(Mutex::new(connection)),
            file,
            tally,
        })
    }

    /// The file, where there is one.
    pub fn file(&self) -> Option<&Path> {
        self.file.as_deref()
    }

    /// What it did since it was opened.
    pub fn tally(&self) -> &Tally {
        &self.tally
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
        self.tally.faults.fetch_add(1, Ordering::Relaxed);
        StoreFault::of(self.file.as_deref(), why)
    }
}

#[cfg(test)]
mod broken_tests;
#[cfg(test)]
mod tests;
