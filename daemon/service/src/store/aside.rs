//! Ways out when the file cannot be used: out of the way with it, or a backup in its place.
//! Nothing may have it open meanwhile.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::{Store, StoreFault};

/// How many files of before lie beside a store at most.
const MOST_ASIDE: u32 = 999;

impl Store {
    /// Moves the file away, with what the database keeps beside it; tells where it is now. None
    /// where there was none.
    pub fn set_aside(file: &Path) -> Result<Option<PathBuf>, StoreFault> {
        if !file.exists() {
            return Ok(None);
        }
        let moved = free_name(file).ok_or_else(|| StoreFault::Exists {
            file: file.to_owned(),
        })?;
        let named = |why: io::Error| fault(file, &why);
        // The file goes last: until it has gone the store is as it was, or not there at all.
        for part in ["-wal", "-shm"] {
            let from = beside(file, part);
            if from.exists() {
                fs::rename(&from, beside(&moved, part)).map_err(named)?;
            }
        }
        fs::rename(file, &moved).map_err(named)?;
        keep_names(file).map_err(named)?;
        Ok(Some(moved))
    }

    /// Puts a backup in the place of the file, after it was seen to be whole. What was there is
    /// moved away; tells where it is now.
    pub fn restore(file: &Path, backup: &Path) -> Result<Option<PathBuf>, StoreFault> {
        if !backup.is_file() {
            return Err(StoreFault::Database {
                file: Some(backup.to_owned()),
                why: "there is no such file".to_owned(),
            });
        }
        let named = |why: io::Error| fault(file, &why);
        if let Some(folder) = file.parent() {
            fs::create_dir_all(folder).map_err(named)?;
        }
        let coming = beside(file, ".restoring");
        let copied = copy(backup, &coming).map_err(named).and_then(|()| {
            // Of the copy, so that the backup stays as it is.
            let store = Self::open(&coming)?;
            store.cars().map(drop)
        });
        if let Err(why) = copied {
            forget(&coming);
            return Err(match why {
                StoreFault::Damaged { why, .. } => StoreFault::Damaged {
                    file: Some(backup.to_owned()),
                    why,
                },
                other => other,
            });
        }
        let moved = Self::set_aside(file)?;
        fs::rename(&coming, file).map_err(named)?;
        keep_names(file).map_err(named)?;
        forget(&coming);
        Ok(moved)
    }
}

fn copy(from: &Path, to: &Path) -> io::Result<()> {
    forget(to);
    fs::copy(from, to)?;
    File::open(to)?.sync_all()
}

/// Takes away what an attempt left; there may be nothing.
fn forget(file: &Path) {
    for part in ["", "-wal", "-shm"] {
        let _ = fs::remove_file(beside(file, part));
    }
}

fn beside(file: &Path, part: &str) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push(part);
    PathBuf::from(name)
}

fn free_name(file: &Path) -> Option<PathBuf> {
    (1..=MOST_ASIDE)
        .map(|number| beside(file, &format!(".aside-{number}")))
        .find(|name| !name.exists())
}

/// A new name is on the disk only when its folder is.
fn keep_names(file: &Path) -> io::Result<()> {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => File::open(folder)?.sync_all(),
        _ => Ok(()),
    }
}

fn fault(file: &Path, why: &io::Error) -> StoreFault {
    let file = Some(file.to_owned());
    match why.kind() {
        io::ErrorKind::StorageFull => StoreFault::Full { file },
        io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
            StoreFault::ReadOnly { file }
        }
        _ => StoreFault::Database {
            file,
            why: why.to_string(),
        },
    }
}
