//! The file that the certificates and their keys lie in, beside the calibrations.

use std::fs;
use std::io;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use super::Papers;
use crate::calibration_store::{OWNER_ONLY, owner_only, replace};

/// Name of the file.
pub(super) const FILE: &str = "https.toml";

/// What is kept; none where nothing is. A file that is no such thing is set aside when a new one is kept.
pub(super) fn load(folder: &Path) -> Option<Papers> {
    let file = folder.join(FILE);
    let text = match fs::read_to_string(&file) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return None,
        Err(error) => {
            tracing::warn!(file = %file.display(), %error, "the certificate cannot be read");
            return None;
        }
    };
    if let Err(error) = owner_only(&file) {
        tracing::warn!(file = %file.display(), %error, "others can read the certificate's key");
    }
    toml::from_str(&text)
        .inspect_err(|error| {
            tracing::warn!(file = %file.display(), error = error.message(), "the certificate is not understood");
        })
        .ok()
}

/// What is kept, without changing anything; none where nothing is.
pub(super) fn read(file: &Path) -> Result<Option<Papers>, String> {
    match fs::read_to_string(file) {
        Ok(text) => match toml::from_str(&text) {
            Ok(papers) => Ok(Some(papers)),
            Err(error) => Err(error.message().to_owned()),
        },
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error.to_string()),
    }
}

/// The mode of a file that others can read.
pub(super) fn open_to_others(file: &Path) -> Option<u32> {
    let mode = fs::metadata(file).ok()?.permissions().mode() & 0o777;
    (mode & !OWNER_ONLY != 0).then_some(mode)
}

/// Keeps both certificates in place of those before, as a whole or not at all.
pub(super) fn keep(folder: &Path, papers: &Papers) -> Result<(), String> {
    let file = folder.join(FILE);
    let text = toml::to_string(papers).map_err(|error| error.to_string())?;
    let not_understood =
        fs::read_to_string(&file).is_ok_and(|text| toml::from_str::<Papers>(&text).is_err());
    // The file is made for its owner alone before anything is in it.
    replace(&file, &text, not_understood)
        .and_then(|()| owner_only(&file))
        .map_err(|error| format!("{}: {error}", file.display()))
}
