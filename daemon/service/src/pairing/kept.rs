//! The file that paired devices lie in, beside the calibrations; daemon and command line share it.

use std::fs::{self, File, OpenOptions};
use std::io;
use std::os::unix::fs::OpenOptionsExt as _;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use super::PairingFault;
use super::book::Book;
use crate::calibration_store::{OWNER_ONLY, owner_only, replace};

/// Name of the file.
pub(super) const FILE: &str = "paired.toml";
/// Name of the file that is locked while the other is read, changed and put in its place again.
const LOCK: &str = "paired.lock";

/// Where the book is.
#[derive(Debug)]
pub(super) enum Kept {
    Folder(PathBuf),
    Memory(Mutex<Book>),
}

impl Kept {
    pub(super) fn in_folder(folder: PathBuf) -> Self {
        Self::Folder(folder)
    }

    pub(super) fn in_memory() -> Self {
        Self::Memory(Mutex::default())
    }

    /// The book as it is now. Read anew each time, for the command line may have changed it;
    /// it holds a few kilobytes and commands come a few times a second at most.
    pub(super) fn read(&self) -> Result<Book, PairingFault> {
        match self {
            Self::Folder(folder) => read(&folder.join(FILE)),
            Self::Memory(book) => Ok(lock(book).clone()),
        }
    }

    /// Changes the book; nobody else does meanwhile.
    pub(super) fn change<T>(&self, change: impl FnOnce(&mut Book) -> T) -> Result<T, PairingFault> {
        match self {
            Self::Memory(book) => Ok(change(&mut lock(book))),
            Self::Folder(folder) => {
                let file = folder.join(FILE);
                let fault = |error: io::Error| {
                    PairingFault::File(format!("{} cannot be written: {error}", file.display()))
                };
                fs::create_dir_all(folder).map_err(fault)?;
                // Held until it goes out of scope.
                let _held = held(&folder.join(LOCK)).map_err(fault)?;
                let mut book = read(&file)?;
                let done = change(&mut book);
                let text =
                    toml::to_string(&book).map_err(|error| fault(io::Error::other(error)))?;
                // The file is made for its owner alone before anything is in it.
                replace(&file, &text, false).map_err(fault)?;
                Ok(done)
            }
        }
    }
}

/// Every change of a book is whole before its holder can panic.
fn lock(book: &Mutex<Book>) -> std::sync::MutexGuard<'_, Book> {
    book.lock().unwrap_or_else(PoisonError::into_inner)
}

fn held(file: &Path) -> io::Result<File> {
    let file = OpenOptions::new()
        .write(true)
        .create(true)
        .truncate(false)
        .mode(OWNER_ONLY)
        .open(file)?;
    file.lock()?;
    Ok(file)
}

/// What is kept there; an empty book where nothing is.
fn read(file: &Path) -> Result<Book, PairingFault> {
    let text = match fs::read_to_string(file) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Book::default()),
        Err(error) => {
            return Err(PairingFault::File(format!(
                "{} cannot be read: {error}",
                file.display()
            )));
        }
    };
    if let Err(error) = owner_only(file) {
        tracing::warn!(file = %file.display(), %error, "others can read which devices are paired");
    }
    let not_understood = |why: &str| {
        PairingFault::NotUnderstood(format!("{} is not understood: {why}", file.display()))
    };
    let book: Book = toml::from_str(&text).map_err(|error| not_understood(error.message()))?;
    if book.is_current() {
        Ok(book)
    } else {
        Err(not_understood("it is of another version of the program"))
    }
}
