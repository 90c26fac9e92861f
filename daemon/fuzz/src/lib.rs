//! What has to hold for any file and any request. A breach is a panic, which the fuzzer keeps.

mod altered;
mod http;

use std::fmt::Write as _;
use std::path::Path;
use std::sync::OnceLock;

use hubplumb::car;
use hubplumb::config::{self, ConfigError, MOST_BOARDS, Texts};
use hubplumb::present;
use hubplumb::recording::{InputError, csv_read, load, solve, spectrum};
use hubplumb::sheet::{self, SheetOptions};
use hubplumb::store::{Export, Store};
use hubplumb::visiting::recompute;
use tempfile::TempDir;

use altered::altered;

pub use http::requests;

/// What stands between the parts of an input that has several.
pub const BETWEEN: &str = "\n%%\n";

/// Name by which a configuration may name the second part as a calibration file.
const BESIDE: &str = "hub.toml";

/// Something is said, and in one piece.
fn says_something(said: &str) {
    assert!(!said.trim().is_empty(), "nothing is said");
}

fn text(data: &[u8]) -> Option<&str> {
    std::str::from_utf8(data).ok()
}

/// Any text for the configuration, and for a calibration file beside it.
pub fn config(data: &[u8]) {
    let Some(text) = text(data) else { return };
    let (main, beside) = text.split_once(BETWEEN).unwrap_or((text, ""));
    let texts = Texts {
        text: main.to_owned(),
        files: [(BESIDE.to_owned(), beside.to_owned())].into(),
    };
    let file = Path::new("car.toml");
    let judged = config::parse_texts(&texts, file);
    assert_eq!(
        judged,
        config::parse_texts(&texts, file),
        "it depends on chance, or holds NaN"
    );
    match judged {
        Ok(config) => assert!(config.boards.len() <= MOST_BOARDS),
        Err(error @ ConfigError::Unreadable { .. }) => says_something(&error.to_string()),
        Err(ConfigError::Wrong { faults }) => {
            assert!(!faults.is_empty(), "it is wrong, and nothing is");
            for fault in faults {
                says_something(&fault.what);
                says_something(&fault.fix);
                let of = if fault.file == file { main } else { beside };
                let lines = of.matches('\n').count() + 1;
                assert!(
                    (1..=lines).contains(&fault.line),
                    "line {} of {lines}",
                    fault.line
                );
            }
        }
    }
}

/// Recordings that sessions may name: a board that rests a while, leans, and rests again.
fn recordings() -> &'static TempDir {
    static FOLDER: OnceLock<TempDir> = OnceLock::new();
    FOLDER.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        for name in NAMES {
            std::fs::write(folder.path().join(name), table()).expect("a file");
        }
        folder
    })
}

const NAMES: [&str; 2] = ["left.csv", "right.csv"];

/// A table of readings: three rests of two seconds, 50 a second.
pub fn table() -> String {
    let mut table = "t_us,ax,ay,az,gx,gy,gz\n".to_owned();
    for number in 0..300_u32 {
        let leaning = if (100..200).contains(&number) {
            0.05
        } else {
            0.0
        };
        let wobble = f64::from(number % 7) * 1e-4;
        // Writing to a string cannot fail.
        let _ = writeln!(
            table,
            "{},{},{},0.998,0.0,{wobble},0.0",
            number * 20_000,
            leaning + wobble,
            0.02
        );
    }
    table
}

fn input_says(error: &InputError) {
    let trouble = present::input_trouble(error);
    for part in [trouble.what, trouble.meaning, trouble.remedy] {
        says_something(&part.to_string());
    }
}

const SESSION: &str = include_str!("../seeds/session/session-1");

/// Any text for a session file; where it can be solved, it is.
///
/// What begins with a brace is the text; anything else alters a session that is sound.
pub fn session(data: &[u8]) {
    let whole = if data.first() == Some(&b'{') {
        text(data).map(str::to_owned)
    } else {
        altered(SESSION, data)
    };
    let Some(text) = whole.as_deref() else { return };
    let file = Path::new("session.json");
    let session = match load::parse_session(text, file) {
        Ok(session) => session,
        Err(error) => return input_says(&error),
    };
    let written = serde_json::to_string(&session).expect("what was read can be written");
    let again = load::parse_session(&written, file);
    assert_eq!(again.ok().as_ref(), Some(&session), "{written}");
    let is_ours = |name: &Option<String>| {
        name.as_deref()
            .is_none_or(|name| NAMES.contains(&name) || name == BESIDE)
    };
    let all_ours = session.boards.iter().all(|board| {
        let calibration = board.calibration.as_ref();
        is_ours(&board.file) && calibration.is_none_or(|numbers| is_ours(&numbers.file))
    });
    if !all_ours {
        // A name out of chance may be that of anything on this machine.
        return;
    }
    let loaded = match load::load(&session, file, recordings().path(), None) {
        Ok(loaded) => loaded,
        Err(error) => return input_says(&error),
    };
    let notes = present::notes(&loaded);
    let solution = match solve::solve(&loaded) {
        Ok(outcome) => present::solution(&loaded, &outcome, notes),
        Err(error) => {
            let trouble = present::session_trouble(&error);
            for part in [&trouble.what, &trouble.meaning, &trouble.remedy] {
                says_something(&part.to_string());
            }
            present::no_solution(&loaded, trouble.into(), notes)
        }
    };
    says_something(&present::solution_table(&solution));
    // Angles that are no numbers would be written as null.
    let json = serde_json::to_value(&solution).expect("a solution can be written");
    for wheel in json["wheels"].as_array().into_iter().flatten() {
        for angle in ["camber", "caster", "sai", "included_angle"] {
            let found = &wheel[angle];
            assert!(
                found.is_null() || found["value_deg"].is_number(),
                "{angle}: {found}"
            );
        }
    }
}

/// Any bytes for a table of readings.
pub fn recording(data: &[u8]) {
    let file = Path::new("left.csv");
    match csv_read::read(data, file) {
        Ok(recording) => {
            assert!(recording.readings.len() <= data.len());
            for reading in &recording.readings {
                let triples = [Some(reading.accel_g), reading.rate_radps];
                let mut numbers = triples
                    .iter()
                    .flatten()
                    .flat_map(|of| [of.x(), of.y(), of.z()]);
                assert!(numbers.all(f64::is_finite), "{reading:?}");
            }
            let pairs = recording.readings.windows(2);
            for pair in pairs {
                assert!(pair[0].at < pair[1].at, "{pair:?} are not in order");
            }
            match spectrum::of(&recording) {
                Ok(spectrum) => says_something(&present::spectrum_table(&spectrum)),
                Err(error) => {
                    says_something(&present::spectrum_trouble(file, &error).what.to_string());
                }
            }
        }
        Err(error) => says_something(&error.to_string()),
    }
}

/// Any text for a car's file.
pub fn car(data: &[u8]) {
    let Some(text) = text(data) else { return };
    match car::read(text) {
        Ok(record) => {
            let json = car::write_json(&record).expect("a car can be written");
            assert_eq!(car::read(&json).as_ref(), Ok(&record), "{json}");
            let toml = car::write_toml(&record).expect("a car can be written");
            assert_eq!(car::read(&toml).as_ref(), Ok(&record), "{toml}");
            let store = Store::in_memory().expect("a store");
            let id = store.add_car(&record, NOW).expect("a sound car is kept");
            assert_eq!(store.car(id).map(|row| row.record).ok(), Some(record));
        }
        Err(error) => says_something(&error.told().to_string()),
    }
}

const VISITS: &str = include_str!("../../../tests/visits/two_visits.json");

const NOW: &str = "2026-05-01T10:00:00Z";

/// Any text for visits that are brought in: they are shown, put on a sheet, computed again and
/// brought out as they came in.
///
/// What begins with a brace is the text; anything else alters visits that are sound.
pub fn visits(data: &[u8]) {
    let whole = if data.first() == Some(&b'{') {
        text(data).map(str::to_owned)
    } else {
        altered(VISITS, data)
    };
    let Some(text) = whole else { return };
    let Ok(export) = serde_json::from_str::<Export>(&text) else {
        return;
    };
    let store = Store::in_memory().expect("a store");
    let ids = match store.import(&export, NOW) {
        Ok(ids) => ids,
        Err(fault) => {
            says_something(&fault.to_string());
            says_something(&fault.remedy().to_string());
            assert!(
                store.visits(None).is_ok_and(|visits| visits.is_empty()),
                "half of it was brought in"
            );
            return;
        }
    };
    let again = store.export(&ids).expect("what came in goes out");
    let written = |export: &Export| serde_json::to_string(export).expect("it can be written");
    assert_eq!(written(&again), written(&export));
    again.table().expect("findings make a table");
    let lines = present::visit_lines(&store, None).expect("visits are listed");
    assert_eq!(lines.len(), ids.len());
    for id in ids {
        let visit = present::visit_of(&store, id).expect("a visit is shown");
        serde_json::to_string(&visit).expect("a view can be written");
        let sheet = sheet::of(&store, id, &SheetOptions::default()).expect("a sheet is written");
        assert!(sheet.ends_with("</html>") || sheet.trim_end().ends_with("</html>"));
        for again in recompute::recompute(&store, id).expect("runs are gone through") {
            says_something(&again.software_now);
        }
    }
}
