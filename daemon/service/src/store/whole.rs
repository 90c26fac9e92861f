//! Is the file a whole store? Looked at before anything is written into it.

use std::path::Path;

use rusqlite::Connection;

/// Larger files are not read through at every start: a second or so of a slow disk.
const READ_THROUGH_BYTES: u64 = 256 << 20;

/// Why the file cannot be used.
#[derive(Debug)]
pub(super) enum NotWhole {
    /// Parts of it are missing or wrong, or it is of another program.
    Damaged(String),
    /// The database refused.
    Sql(rusqlite::Error),
}

impl From<rusqlite::Error> for NotWhole {
    fn from(why: rusqlite::Error) -> Self {
        Self::Sql(why)
    }
}

/// Is there anything in the write-ahead log beside the file?
fn has_log(file: &Path) -> bool {
    let mut log = file.as_os_str().to_owned();
    log.push("-wal");
    std::fs::metadata(log).is_ok_and(|found| found.len() > 0)
}

/// Looks at a file that was opened; an empty one is a store that nothing was put into yet.
pub(super) fn look(connection: &Connection, file: Option<&Path>) -> Result<(), NotWhole> {
    let layout: i64 = connection.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    let count = |sql| connection.query_row(sql, [], |row| row.get::<_, i64>(0));
    let tables = count(
        "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
    )?;
    let ours = count(
        "SELECT count(*) FROM sqlite_schema WHERE type = 'table' AND name IN ('car', 'visit', 'entry')",
    )?;
    if (layout == 0 && tables > 0) || (layout > 0 && ours < 3) {
        return Err(NotWhole::Damaged(
            "what is in it is of another program".to_owned(),
        ));
    }
    let length = file
        .and_then(|file| std::fs::metadata(file).ok())
        .map_or(0, |found| found.len());
    let pages = count("PRAGMA page_count")?;
    let page = count("PRAGMA page_size")?;
    // A page may be half written where a life ended within a checkpoint: its log then has all of it.
    let half =
        page > 0 && !length.is_multiple_of(page.unsigned_abs()) && !file.is_some_and(has_log);
    if (length > 0 && pages == 0) || half {
        return Err(NotWhole::Damaged("it is cut short".to_owned()));
    }
    if length > READ_THROUGH_BYTES {
        return Ok(());
    }
    let found: String = connection.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if found == "ok" {
        Ok(())
    } else {
        Err(NotWhole::Damaged(found.replace('\n', " ")))
    }
}
