//! A swing solved again from its recordings.

use std::fs;
use std::path::Path;

use hubplumb_core::session::Role;
use hubplumb_core::swing::{BodyUse, Difference, WheelOutcome};

use crate::car::CarRecord;
use crate::present;
use crate::recording::load::{self, Loaded};
use crate::recording::{SESSION_FILE, solve};
use crate::store::Recording;
use crate::visit::FindingRecord;

/// What the recordings of a swing show, or why nothing.
pub(super) fn findings(
    recordings: &[Recording],
    car: &CarRecord,
) -> Result<Vec<FindingRecord>, String> {
    if recordings.is_empty() {
        return Err("its recording was not kept".to_owned());
    }
    let folder = tempfile::tempdir().map_err(|why| format!("no folder to lay it out in: {why}"))?;
    lay_out(recordings, folder.path())?;
    let loaded = loaded(recordings, folder.path())?;
    let outcome =
        solve::solve(&loaded).map_err(|why| present::session_trouble(&why).what.to_string())?;
    let wheels: Vec<&WheelOutcome> = outcome.wheels.iter().flatten().collect();
    if wheels.is_empty() {
        let refusals: Vec<String> = outcome
            .wheels
            .iter()
            .filter_map(|wheel| wheel.as_ref().err())
            .map(|refusal| present::refusal_trouble(refusal).what.to_string())
            .collect();
        return Err(refusals.join(" "));
    }
    let differences: Vec<&Difference> = outcome.differences.iter().collect();
    let watched = outcome
        .used
        .iter()
        .any(|used| used.role == Role::Body && used.rests > 0);
    let body = if watched {
        BodyUse::Watching
    } else {
        BodyUse::None
    };
    Ok(present::swing_findings(&wheels, &differences, body, car).findings)
}

fn lay_out(recordings: &[Recording], folder: &Path) -> Result<(), String> {
    for recording in recordings {
        let name = Path::new(&recording.name);
        // A visit may have been brought in from anywhere: nothing is written outside the folder.
        if name.file_name() != Some(name.as_os_str()) {
            return Err(format!("`{}` is no name of a file", recording.name));
        }
        fs::write(folder.join(name), &recording.content)
            .map_err(|why| format!("{} cannot be laid out: {why}", recording.name))?;
    }
    Ok(())
}

fn loaded(recordings: &[Recording], folder: &Path) -> Result<Loaded, String> {
    let kept = |name: &str| recordings.iter().any(|recording| recording.name == name);
    if !kept(SESSION_FILE) {
        return Err(format!("its {SESSION_FILE} was not kept"));
    }
    let file = folder.join(SESSION_FILE);
    let told = |why| present::input_trouble(&why).what.to_string();
    let session = load::read_session(&file).map_err(told)?;
    // Nor is anything read that was not kept.
    let mut named = session
        .boards
        .iter()
        .filter_map(|board| board.file.as_deref());
    if let Some(missing) = named.find(|name| !kept(name)) {
        return Err(format!("its recording {missing} was not kept"));
    }
    load::load(&session, &file, folder, None).map_err(told)
}
