//! A look at the file that changes nothing.

use std::path::Path;

use rusqlite::{Connection, OpenFlags};

use super::{BUSY, Store, StoreFault, migrations};

/// What was seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inspected {
    /// How many visits there are.
    pub visits: u64,
    /// When the newest entry was made, RFC 3339.
    pub newest_at: Option<String>,
}

impl Store {
    /// Looks at a file, and through all of it for damage; none where there is no file.
    pub fn inspect(file: &Path) -> Result<Option<Inspected>, StoreFault> {
        if !file.exists() {
            return Ok(None);
        }
        let told = |why: &rusqlite::Error| StoreFault::of(Some(file), why);
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
            | OpenFlags::SQLITE_OPEN_NO_MUTEX
            | OpenFlags::SQLITE_OPEN_URI;
        let connection =
            Connection::open_with_flags(place(file), flags).map_err(|why| told(&why))?;
        look(&connection, file).map_err(|fault| match fault {
            Fault::Sql(why) => told(&why),
            Fault::Told(fault) => fault,
        })
    }
}

/// Where nobody has it open it is read as it lies: the files for sharing it would else be made beside it.
fn place(file: &Path) -> String {
    let path = file.to_string_lossy();
    let escaped = path
        .replace('%', "%25")
        .replace('?', "%3f")
        .replace('#', "%23");
    let mut log = file.as_os_str().to_owned();
    log.push("-wal");
    if Path::new(&log).exists() {
        format!("file:{escaped}")
    } else {
        format!("file:{escaped}?immutable=1")
    }
}

enum Fault {
    Sql(rusqlite::Error),
    Told(StoreFault),
}

impl From<rusqlite::Error> for Fault {
    fn from(why: rusqlite::Error) -> Self {
        Self::Sql(why)
    }
}

fn look(connection: &Connection, file: &Path) -> Result<Option<Inspected>, Fault> {
    connection.busy_timeout(BUSY)?;
    let first: String = connection.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if first != "ok" {
        return Err(Fault::Told(StoreFault::Damaged {
            file: Some(file.to_owned()),
            why: first,
        }));
    }
    let layout: i64 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    if migrations::is_newer(layout) {
        return Err(Fault::Told(StoreFault::Newer {
            file: Some(file.to_owned()),
        }));
    }
    if layout == 0 {
        // Made, and nothing in it yet.
        return Ok(None);
    }
    let visits: i64 = connection.query_row("SELECT count(*) FROM visit", [], |row| row.get(0))?;
    let newest_at = connection.query_row("SELECT max(at) FROM entry", [], |row| row.get(0))?;
    Ok(Some(Inspected {
        visits: visits.unsigned_abs(),
        newest_at,
    }))
}
