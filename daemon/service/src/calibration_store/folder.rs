//! The folder, and what its files are called.

use std::env;
use std::fmt::Write as _;
use std::fs::{self, File};
use std::io::{self, Write as _};
use std::os::unix::fs::DirBuilderExt as _;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

use super::file::{self, Fault};
use super::{StoreError, StoredCalibration};

/// Longest name, bytes: file systems end at 255, and a file set aside gets longer.
const LONGEST_NAME: usize = 220;
/// How many broken files of one board are set aside before the last of them is given up.
const MOST_ASIDE: u32 = 99;

/// The folder that calibrations are kept in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CalibrationStore {
    folder: Option<PathBuf>,
}

impl CalibrationStore {
    /// A folder; it is made when something is kept.
    pub fn at(folder: impl Into<PathBuf>) -> Self {
        Self {
            folder: Some(folder.into()),
        }
    }

    /// The user's folder for data: `$XDG_DATA_HOME/hubplumb`, else `~/.local/share/hubplumb`.
    pub fn usual() -> Self {
        let set = |name| env::var_os(name).map(PathBuf::from);
        // The XDG specification has relative paths ignored.
        let data = set("XDG_DATA_HOME")
            .filter(|path| path.is_absolute())
            .or_else(|| {
                set("HOME")
                    .filter(|path| path.is_absolute())
                    .map(|home| home.join(".local/share"))
            });
        Self {
            folder: data.map(|data| data.join("hubplumb")),
        }
    }

    /// The folder, where there is one.
    pub fn folder(&self) -> Option<&Path> {
        self.folder.as_deref()
    }

    /// The file of a board.
    pub fn file(&self, board: &str) -> Result<PathBuf, StoreError> {
        let folder = self.folder.as_ref().ok_or(StoreError::NoFolder)?;
        Ok(folder.join(file_name(board)?))
    }

    /// The calibration of a board; none when there is no file of it.
    pub fn load(&self, board: &str) -> Result<Option<StoredCalibration>, StoreError> {
        let Ok(file) = self.file(board) else {
            return Ok(None);
        };
        let text = match fs::read_to_string(&file) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => {
                return Err(StoreError::Unreadable {
                    file,
                    why: error.to_string(),
                });
            }
        };
        read(&text, board, file).map(Some)
    }

    /// Keeps a calibration in place of the one before. A file that is there and
    /// cannot be read is set aside under another name first.
    pub fn keep(&self, stored: &StoredCalibration) -> Result<PathBuf, StoreError> {
        let file = self.file(&stored.board)?;
        let unwritable = |why: String| StoreError::Unwritable {
            file: file.clone(),
            why,
        };
        let text = file::write(stored).map_err(&unwritable)?;
        let broken = self.load(&stored.board).is_err();
        replace(&file, &text, broken).map_err(|error| unwritable(error.to_string()))?;
        Ok(file)
    }
}

/// The text of a calibration's file.
pub fn to_text(stored: &StoredCalibration) -> Result<String, StoreError> {
    file::write(stored).map_err(|why| StoreError::Unwritable {
        file: PathBuf::from(&stored.board),
        why,
    })
}

/// The calibration of `board` in the text of a file; `file` names it in errors.
pub fn read(text: &str, board: &str, file: PathBuf) -> Result<StoredCalibration, StoreError> {
    file::read(text, board).map_err(|fault| match fault {
        Fault::Shape(at, what) => StoreError::NotUnderstood {
            line: 1 + text.bytes().take(at).filter(|byte| *byte == b'\n').count(),
            file,
            what,
        },
        Fault::Content(what) => StoreError::Wrong { file, what },
    })
}

/// Every byte but letters, digits, `-` and inner `.` is written as `_` and its two
/// hexadecimal digits, so that no two boards share a name.
pub(crate) fn file_name(board: &str) -> Result<String, StoreError> {
    let mut name = String::new();
    for byte in board.bytes() {
        let plain =
            byte.is_ascii_alphanumeric() || byte == b'-' || (byte == b'.' && !name.is_empty());
        if plain {
            name.push(char::from(byte));
        } else {
            // A string takes every text.
            let _ = write!(name, "_{byte:02x}");
        }
    }
    if name.len() > LONGEST_NAME || name.is_empty() {
        return Err(StoreError::NameTooLong {
            board: board.to_owned(),
        });
    }
    Ok(name + ".toml")
}

/// Makes a folder and what is missing above it, for its owner alone: notes of cars and their owners
/// lie in it. One that is there keeps the rights that it has.
pub(crate) fn make_private(folder: &Path) -> io::Result<()> {
    fs::DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)
}

/// Puts a file in the place of another as a whole or not at all; what was there may be set aside.
pub(crate) fn replace(file: &Path, text: &str, set_aside: bool) -> io::Result<()> {
    let folder = file.parent().unwrap_or(Path::new("."));
    make_private(folder)?;
    let mut beside = tempfile::Builder::new()
        .prefix(".keeping-")
        .tempfile_in(folder)?;
    beside.write_all(text.as_bytes())?;
    beside.as_file().sync_all()?;
    if set_aside {
        fs::rename(file, aside(file))?;
    }
    beside.persist(file).map_err(|error| error.error)?;
    // The new name is on the disk only when its folder is.
    File::open(folder)?.sync_all()
}

/// Nobody but the owner may read or write.
pub(crate) const OWNER_ONLY: u32 = 0o600;

/// Takes every right to a file from everybody but its owner.
pub(crate) fn owner_only(file: &Path) -> io::Result<()> {
    let mode = fs::metadata(file)?.permissions().mode();
    if mode & 0o777 == OWNER_ONLY {
        return Ok(());
    }
    fs::set_permissions(file, fs::Permissions::from_mode(OWNER_ONLY))
}

fn aside(file: &Path) -> PathBuf {
    let named = |number: u32| {
        let mut name = file.as_os_str().to_owned();
        name.push(format!(".unreadable-{number}"));
        PathBuf::from(name)
    };
    (1..MOST_ASIDE)
        .map(named)
        .find(|name| !name.exists())
        .unwrap_or_else(|| named(MOST_ASIDE))
}
