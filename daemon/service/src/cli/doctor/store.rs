//! The folder of calibrations, cars and visits.

use std::fs::{self, Metadata};
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};

use super::check::{Check, told};
use super::machine::nearest;
use crate::calibration_store::CalibrationStore;
use crate::config::Config;
use crate::link::Ways;
use crate::present::store_trouble;
use crate::setup_store::SetupStore;
use crate::store::{Store, StoreFault};

const NAME: &str = "store";

/// What was seen of it.
pub(super) struct Stored {
    pub(super) checks: Vec<Check>,
    /// When the newest entry of a visit was made.
    pub(super) newest_at: Option<String>,
}

/// Looks at the folder and what is in it.
pub(super) async fn store(kept: &CalibrationStore, ways: &Ways, config: &Config) -> Stored {
    let Some(folder) = kept.folder().map(Path::to_owned) else {
        let check = Check::wrong(NAME, store_trouble(&StoreFault::NoFolder));
        return Stored {
            checks: vec![check],
            newest_at: None,
        };
    };
    let mut checks = vec![writable(&folder)];
    checks.extend(private(&folder));
    let file = folder.join(Store::FILE);
    let looked = tokio::task::spawn_blocking(move || Store::inspect(&file));
    let newest_at = match looked.await.unwrap_or(Err(StoreFault::Stopping)) {
        Ok(None) => {
            checks.push(Check::well("visits", "Nothing is kept yet."));
            None
        }
        Ok(Some(seen)) => {
            let said = format!("The file is whole; it holds {} visits.", seen.visits);
            checks.push(Check::well("visits", said));
            seen.newest_at
        }
        Err(fault) => {
            checks.push(Check::wrong("visits", store_trouble(&fault)));
            None
        }
    };
    checks.extend(beside(kept, ways, config));
    Stored { checks, newest_at }
}

/// Can something be kept there?
fn writable(folder: &Path) -> Check {
    let there = nearest(folder);
    let tried = tempfile::Builder::new()
        .prefix(".doctor-")
        .tempfile_in(&there)
        .map(drop);
    match tried {
        Ok(()) if there == folder => Check::well(
            NAME,
            format!("{} can be read and written.", folder.display()),
        ),
        Ok(()) => Check::well(
            NAME,
            format!("{} is not there yet and can be made.", folder.display()),
        ),
        Err(error) => Check::wrong(
            NAME,
            told(
                "store_unwritable",
                format!("Nothing can be written in {}: {error}.", there.display()),
                "The daemon measures, and keeps neither calibrations nor visits.",
                "Let the user that the daemon runs as write there, or start it with `--store FOLDER`.",
            ),
        ),
    }
}

/// Who else can get at it?
fn private(folder: &Path) -> Option<Check> {
    let mode = |of: &Metadata| of.permissions().mode() & 0o777;
    let folder_mode = fs::metadata(folder).ok().as_ref().map(mode)?;
    let file = folder.join(Store::FILE);
    let file_mode = fs::metadata(&file).ok().as_ref().map(mode);
    let what = |path: &Path, mode: u32, does: &str| {
        format!(
            "{} can be {does} by others (mode {mode:o}).",
            path.display()
        )
    };
    let parts: [(PathBuf, Option<u32>); 2] =
        [(folder.to_owned(), Some(folder_mode)), (file, file_mode)];
    let written = parts.iter().find_map(|(path, mode)| {
        mode.filter(|mode| mode & 0o022 != 0)
            .map(|mode| (path, mode))
    });
    if let Some((path, mode)) = written {
        return Some(Check::wrong(
            "privacy",
            told(
                "store_open_to_writing",
                what(path, mode, "written"),
                "Another user of this machine, or a program of theirs, can change visits and calibrations.",
                format!("`chmod go-w {}`.", path.display()),
            ),
        ));
    }
    // The file is out of reach where the folder is closed.
    if folder_mode & 0o055 == 0 {
        return Some(Check::well("privacy", "The folder is its owner's alone."));
    }
    Some(Check::noted(
        "privacy",
        told(
            "store_open_to_reading",
            what(folder, folder_mode, "read"),
            "Other users of this machine can read visits, with what was noted of cars and their owners.",
            format!(
                "If others use this machine: `chmod 700 {}`.",
                folder.display()
            ),
        ),
    ))
}

/// Calibrations of the boards of the configuration, and what was said on the page.
fn beside(kept: &CalibrationStore, ways: &Ways, config: &Config) -> Vec<Check> {
    let mut checks = Vec::new();
    for board in &config.boards {
        let identity = ways.identity(&board.target);
        let check = match kept.load(&identity) {
            Ok(Some(_)) => Check::well("calibration", "There is one, and it can be read."),
            Ok(None) => Check::note(
                "calibration",
                "There is none; every ± is wide for it until the board was calibrated.",
            ),
            Err(error) => Check::wrong(
                "calibration",
                told(
                    "calibration",
                    error.to_string(),
                    "The board is measured with as if it had never been calibrated.",
                    "Put a copy of the file back, or calibrate the board anew; the broken file is set aside then.",
                ),
            ),
        };
        checks.push(check.of(board.name.as_str()));
    }
    if let Err(error) = SetupStore::beside(kept).load() {
        checks.push(Check::wrong(
            "set-up",
            told(
                "setup",
                error.to_string(),
                "Where boards sit has to be said anew on the page.",
                "Put a copy of the file back, or say it on the page; the broken file is set aside then.",
            ),
        ));
    }
    checks
}
