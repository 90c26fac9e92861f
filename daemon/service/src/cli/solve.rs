//! `hubplumb solve`

use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use super::args::{SchemaName, SolveArgs};
use super::{CliError, EXIT_FAILED};
use crate::documents::Document;
use crate::present;
use crate::recording::load::{self, Loaded};
use crate::recording::session_file::{
    BoardEntry, ChipEntry, ClockEntry, DirectionEntry, FaceEntry, MountEntry, RoleEntry,
    SessionFile,
};
use crate::recording::solution::{Told, Verdict};
use crate::recording::{InputError, SESSION_FILE, solve as recorded};

pub(super) fn solve(args: &SolveArgs) -> Result<ExitCode, CliError> {
    if let Some(schema) = args.schema {
        return print(&schema_text(schema)?).map(|()| ExitCode::SUCCESS);
    }
    // Clap asks for it unless a schema is wanted.
    let recording = args.recording.as_deref().unwrap_or(Path::new("."));
    let loaded =
        loaded(args, recording).map_err(|error| CliError::Input(present::input_trouble(&error)))?;
    let notes = present::notes(&loaded);
    let solution = match recorded::solve(&loaded) {
        Ok(outcome) => present::solution(&loaded, &outcome, notes),
        Err(error) => {
            let refusal = Told::from(present::session_trouble(&error));
            present::no_solution(&loaded, refusal, notes)
        }
    };
    if args.json {
        print(&json(&solution)?)?;
    } else {
        print(&present::solution_table(&solution))?;
    }
    Ok(if solution.verdict == Verdict::Solved {
        ExitCode::SUCCESS
    } else {
        ExitCode::from(EXIT_FAILED)
    })
}

/// Reads what the command line names: a session with its recordings, or one recording.
fn loaded(args: &SolveArgs, recording: &Path) -> Result<Loaded, InputError> {
    let is_folder = recording.is_dir();
    let is_session = recording
        .extension()
        .is_some_and(|extension| extension == "json");
    let session = match &args.session {
        Some(session) => Some(session.clone()),
        None if is_folder => {
            let session = recording.join(SESSION_FILE);
            if !session.is_file() {
                return Err(InputError::NoSession {
                    folder: recording.to_path_buf(),
                });
            }
            Some(session)
        }
        None if is_session => Some(recording.to_path_buf()),
        None => None,
    };
    let Some(session) = session else {
        return load::load(
            &one_board(args, recording)?,
            recording,
            Path::new(""),
            Some(recording),
        );
    };
    let entry = load::read_session(&session)?;
    let beside = |file: &Path| file.parent().unwrap_or(Path::new("")).to_path_buf();
    let (folder, only): (PathBuf, Option<&Path>) = if is_folder {
        (recording.to_path_buf(), None)
    } else if is_session {
        (beside(recording), None)
    } else {
        (beside(&session), Some(recording))
    };
    load::load(&entry, &session, &folder, only)
}

/// A session of one board, by what the command line says of it.
fn one_board(args: &SolveArgs, recording: &Path) -> Result<SessionFile, InputError> {
    let side = args.side.ok_or_else(|| InputError::NoSide {
        file: recording.to_path_buf(),
    })?;
    let mount = args.outboard.map_or(MountEntry::Unknown, |axis| {
        MountEntry::Face(FaceEntry {
            outboard: Some(DirectionEntry::Axis(axis)),
            forward: None,
            heading_standard_deg: crate::config::HEADING_BY_EYE.deg(),
            lean_standard_deg: crate::config::TILT_BY_EYE.deg(),
        })
    });
    Ok(SessionFile {
        written_by: None,
        recorded_at: None,
        boards: vec![BoardEntry {
            role: match side {
                hubplumb_core::side::Side::Left => RoleEntry::Left,
                hubplumb_core::side::Side::Right => RoleEntry::Right,
            },
            file: None,
            clock: ClockEntry::Shared,
            chip: args.chip.map(ChipEntry::Named),
            calibration: None,
            mount,
            before: None,
        }],
        floor: None,
        toe: None,
        steer: crate::recording::session_file::SteerEntry::All,
        plate_standard_deg: None,
        unwatched_body: None,
        jacking_pitch_standard_deg: None,
        windows: Vec::new(),
        found: None,
        lost_readings: 0,
    })
}

fn schema_text(schema: SchemaName) -> Result<String, CliError> {
    let document = match schema {
        SchemaName::Session => Document::Session,
        SchemaName::Solution => Document::Solution,
    };
    document.kept().map_err(CliError::Kept)
}

pub(super) fn json(value: &impl serde::Serialize) -> Result<String, CliError> {
    let mut text = serde_json::to_string_pretty(value).map_err(CliError::Document)?;
    text.push('\n');
    Ok(text)
}

pub(super) fn print(text: &str) -> Result<(), CliError> {
    io::stdout()
        .write_all(text.as_bytes())
        .map_err(CliError::Output)
}
