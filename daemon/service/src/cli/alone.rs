//! One daemon per folder of cars, visits, calibrations and set-up.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read as _, Seek as _, Write as _};
use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use super::CliError;
use crate::present::trouble;

/// The file that the running daemon holds. It says who that is and nothing else; it may lie there.
const FILE: &str = "daemon.lock";
/// A daemon that was ended a moment ago may still be on its way out.
const PATIENCE: Duration = Duration::from_secs(2);

/// Holds a folder until it is dropped, or the process ends in whatever way.
#[derive(Debug)]
pub(super) struct Alone {
    _held: File,
}

impl Alone {
    /// Takes a folder for this process. None where nothing can be written there: then nothing can
    /// be kept there either, which the stores say themselves.
    pub(super) fn in_folder(folder: Option<&Path>) -> Result<Option<Self>, CliError> {
        let Some(folder) = folder else {
            return Ok(None);
        };
        let opened = fs::create_dir_all(folder).and_then(|()| {
            OpenOptions::new()
                .create(true)
                .truncate(false)
                .read(true)
                .write(true)
                .open(folder.join(FILE))
        });
        let mut file = match opened {
            Ok(file) => file,
            Err(error) => {
                tracing::warn!(folder = %folder.display(), %error, "nobody can be kept off the store");
                return Ok(None);
            }
        };
        let began = Instant::now();
        loop {
            match file.try_lock() {
                Ok(()) => break,
                Err(TryLockError::WouldBlock) if began.elapsed() < PATIENCE => {
                    thread::sleep(Duration::from_millis(50));
                }
                Err(TryLockError::WouldBlock) => return Err(in_use(folder, &mut file)),
                Err(TryLockError::Error(error)) => {
                    tracing::warn!(folder = %folder.display(), %error, "nobody can be kept off the store");
                    return Ok(None);
                }
            }
        }
        let told = file
            .set_len(0)
            .and_then(|()| file.rewind())
            .and_then(|()| write!(file, "{}", std::process::id()));
        if let Err(error) = told {
            tracing::debug!(%error, "the number of this process is not written down");
        }
        Ok(Some(Self { _held: file }))
    }
}

fn in_use(folder: &Path, file: &mut File) -> CliError {
    let mut who = String::new();
    // Without a number it is somebody all the same.
    let _ = file.read_to_string(&mut who);
    let who = match who.trim() {
        "" => "another process".to_owned(),
        number => format!("process {number}"),
    };
    CliError::Refused(trouble(
        "store_in_use",
        format!("hubplumb runs on {} already: {who}", folder.display()),
        "two would write over each other's set-up and calibrations, so nothing was started or changed",
        "use the one that runs, or end it first; or name another folder with `--store FOLDER`",
    ))
}
