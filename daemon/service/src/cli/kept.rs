//! The store as the command line reaches it, and what cars, visits and sheet share.

use std::fs;
use std::io::{self, BufRead as _, IsTerminal as _, Write as _};
use std::path::{Path, PathBuf};

use super::CliError;
use super::solve::print;
use super::visit_args::Place;
use crate::calibration_store::CalibrationStore;
use crate::present::trouble;
use crate::store::{Store, StoreFault};

impl Place {
    /// Where the file is, or would be.
    pub(super) fn file(&self) -> Result<PathBuf, CliError> {
        let kept = self
            .store
            .clone()
            .map_or_else(CalibrationStore::usual, CalibrationStore::at);
        let folder = kept.folder().ok_or(StoreFault::NoFolder)?;
        Ok(folder.join(Store::FILE))
    }

    /// The store, made if need be.
    pub(super) fn open(&self) -> Result<Store, CliError> {
        Ok(Store::open(&self.file()?)?)
    }

    /// The store for reading: where there is none yet it is empty, and none is made.
    pub(super) fn look(&self) -> Result<Store, CliError> {
        let file = self.file()?;
        if file.exists() {
            Ok(Store::open(&file)?)
        } else {
            Ok(Store::in_memory()?)
        }
    }
}

/// The text of a file that was named.
pub(super) fn text_of(file: &Path) -> Result<String, CliError> {
    fs::read_to_string(file).map_err(|why| {
        CliError::Input(trouble(
            "unreadable",
            format!("{}: {why}", file.display()),
            "nothing was changed",
            "name a file that is there, may be read, and is text",
        ))
    })
}

/// Writes a text into a file, or to standard output where none is named.
pub(super) fn deliver(text: &str, out: Option<&Path>) -> Result<(), CliError> {
    let Some(file) = out else {
        return print(text);
    };
    fs::write(file, text).map_err(|why| {
        CliError::Refused(trouble(
            "unwritable",
            format!("{}: {why}", file.display()),
            "what was asked for is not all there",
            "name a file that may be written, on a disk with room",
        ))
    })
}

/// Asks before something goes for good. Without a terminal there is nobody to ask.
pub(super) fn confirmed(what: &str, yes: bool) -> Result<(), CliError> {
    if yes {
        return Ok(());
    }
    let not = |happened: String| {
        Err(CliError::Input(trouble(
            "not_confirmed",
            happened,
            "nothing was deleted",
            "add `--yes` if it is to go",
        )))
    };
    if !io::stdin().is_terminal() {
        return not(format!(
            "{what} would be deleted, and there is nobody to ask"
        ));
    }
    let mut out = io::stderr();
    write!(out, "Delete {what}? Type yes: ")
        .and_then(|()| out.flush())
        .map_err(CliError::Output)?;
    let mut answer = String::new();
    // No answer is no.
    let _ = io::stdin().lock().read_line(&mut answer);
    if answer.trim().eq_ignore_ascii_case("yes") {
        Ok(())
    } else {
        not(format!("{what} was not confirmed to go"))
    }
}
