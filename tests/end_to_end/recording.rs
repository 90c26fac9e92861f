//! Swings recorded while they run, and solved again from what was written.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use hubplumb_sim::{Scenario, Wheel};
use hubplumb_tests::garage::told_all;
use hubplumb_tests::{Garage, run};
use serde_json::{Value, json};

const AT_MOST: Duration = Duration::from_secs(60);
/// Value and uncertainty may differ by no more: the rests end a reading apart, and tables are rounded.
const VALUE_DEG: f64 = 0.005;
const UNCERTAINTY: f64 = 0.05;

/// The shipped scenario with a board on the body besides.
fn with_body() -> Scenario {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let text = format!(
        "{text}\n[[board]]\nmount = \"body\"\nmounting = {{ x = \"forward\", z = \"up\" }}\n\
         lever_mm = [0, 0, 200]\nrate_hz = 100\nwire = \"csv\"\nchip = {{ preset = \"good\" }}\n\
         clock = {{ offset_s = 0.4, rate_ppm = 5, jitter_us = 15 }}\n"
    );
    Scenario::from_toml(&text).expect("a scenario")
}

/// The one folder of a recorded swing.
#[track_caller]
fn recorded(swings: &Path) -> PathBuf {
    let folders = fs::read_dir(swings).expect("recordings");
    let folders: Vec<PathBuf> = folders
        .map(|entry| entry.expect("a folder").path())
        .collect();
    assert_eq!(folders.len(), 1, "{folders:?}");
    let name = folders[0].file_name().unwrap_or_default().to_string_lossy();
    assert!(name.contains("Z-swing-1"), "{name}");
    folders[0].clone()
}

fn session(folder: &Path) -> Value {
    let text = fs::read_to_string(folder.join("session.json")).expect("a session file");
    serde_json::from_str(&text).expect("JSON")
}

/// Waits until the session file is as wanted.
#[track_caller]
fn wait_for(folder: &Path, wanted: impl Fn(&Value) -> bool) -> Value {
    let began = Instant::now();
    loop {
        let session = session(folder);
        if wanted(&session) {
            return session;
        }
        assert!(began.elapsed() < Duration::from_secs(10), "{session:#}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

#[track_caller]
fn solved(folder: &Path) -> Value {
    let finished = run(&["solve", &folder.to_string_lossy(), "--json"], AT_MOST);
    assert_eq!(finished.code, Some(0), "{finished:#?}");
    serde_json::from_str(&finished.stdout).expect("a solution")
}

/// Everything that the swing found live is found from its recording.
#[track_caller]
fn same(state: &Value, solution: &Value) {
    let live = state["findings"].as_array().expect("findings");
    assert_eq!(live.len(), 8, "{live:#?}");
    for live in live {
        let side = if live["mount"] == "front_left" {
            "left"
        } else {
            "right"
        };
        let wheels = solution["wheels"].as_array().expect("wheels");
        let wheel = wheels.iter().find(|wheel| wheel["side"] == side);
        let findings = wheel.and_then(|wheel| wheel["findings"].as_array());
        let again = findings
            .into_iter()
            .flatten()
            .find(|finding| finding["angle"] == live["angle"])
            .unwrap_or_else(|| panic!("{live:#} is not in {solution:#}"));
        let pair = |key: &str| {
            let number = |value: &Value| value[key].as_f64().expect("a number");
            (number(live), number(again))
        };
        let ((value, value_again), (expanded, expanded_again)) =
            (pair("value_deg"), pair("expanded_deg"));
        println!(
            "{side} {}: {:+.5}°, interval {:+.2} %",
            live["angle"],
            value_again - value,
            100.0 * (expanded_again / expanded - 1.0)
        );
        assert!(
            (value_again - value).abs() < VALUE_DEG,
            "{live:#} {again:#}"
        );
        assert!(
            (expanded_again / expanded - 1.0).abs() < UNCERTAINTY,
            "{live:#} {again:#}"
        );
        assert_eq!(live["sense"], again["sense"]);
    }
}

#[test]
fn a_recorded_swing_is_solved_as_it_was_measured() {
    let garage = Garage::recorded(with_body(), &told_all);
    let state = garage.swing("gyro", &garage.script());
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    let folder = recorded(&garage.folder().join("swings"));
    let session = wait_for(&folder, |session| session["found"].is_object());
    assert_eq!(
        session["windows"].as_array().map(Vec::len),
        Some(7),
        "{session:#}"
    );
    assert_eq!(session["found"]["wheels"].as_array().map(Vec::len), Some(2));
    let solution = solved(&folder);
    same(&state, &solution);
    for board in solution["boards"].as_array().expect("boards") {
        let seconds = board["seconds"].as_f64().expect("a length");
        assert!(seconds > 20.0, "{board:#}");
    }
    assert_eq!(solution["boards"][2]["role"], "body");

    spoilt_while_turning(&folder, &session);

    // Without the windows the movements tell them.
    let mut unnamed = session;
    unnamed["windows"] = json!([]);
    let path = folder.join("unnamed.json");
    fs::write(&path, unnamed.to_string()).expect("a session file");
    assert_eq!(solved(&path)["windows_from"], "movements");
}

/// A gap, and the end of the range, while the left wheel turned: its axis is
/// refused as it would be live, and the other wheel stands.
fn spoilt_while_turning(folder: &Path, session: &Value) {
    let table = folder.join("left.csv");
    let whole = fs::read_to_string(&table).expect("a table");
    let turn = &session["windows"][3];
    assert_eq!(turn["kind"], "move");
    let number = |key: &str| turn[key].as_i64().expect("a time");
    let middle = i64::midpoint(number("from_us"), number("to_us"));
    let near = |line: &str, reach_us: i64| {
        let time = line
            .split(',')
            .next()
            .and_then(|time| time.parse::<i64>().ok());
        time.is_some_and(|time| (time - middle).abs() < reach_us)
    };
    let lines = |each: &dyn Fn(&str) -> Option<String>| {
        whole
            .lines()
            .filter_map(each)
            .collect::<Vec<_>>()
            .join("\n")
            + "\n"
    };
    let gap = lines(&|line| (!near(line, 250_000)).then(|| line.to_owned()));
    let full_scale = lines(&|line| {
        let mut fields: Vec<&str> = line.split(',').collect();
        if near(line, 30_000) {
            fields[5] = "125";
        }
        Some(fields.join(","))
    });
    for (text, code, note) in [
        (gap, "gap", "a gap of 0.5 s"),
        (full_scale, "saturated", "end of the chip's range"),
    ] {
        fs::write(&table, text).expect("a table");
        let finished = run(&["solve", &folder.to_string_lossy(), "--json"], AT_MOST);
        assert_eq!(finished.code, Some(1), "{finished:#?}");
        let solution: Value = serde_json::from_str(&finished.stdout).expect("a solution");
        assert_eq!(solution["verdict"], "partly_refused");
        let [left, right] = [0, 1].map(|wheel| &solution["wheels"][wheel]);
        assert_eq!(left["refusal"]["code"], code, "{left:#}");
        assert_eq!(
            left["findings"].as_array().map(Vec::len),
            Some(1),
            "camber stands"
        );
        assert_eq!(
            right["findings"].as_array().map(Vec::len),
            Some(4),
            "{right:#}"
        );
        let notes = solution["notes"].to_string();
        assert!(notes.contains(note), "{notes}");
    }
    fs::write(&table, whole).expect("a table");
}

#[test]
fn a_recorded_swing_by_plates_is_solved_as_it_was_measured() {
    let scenario = Scenario::shipped("no-gyro").expect("shipped");
    let garage = Garage::recorded(scenario, &told_all);
    let truth = garage.sim.truth();
    let state = garage.swing("plates", &garage.script());
    let rests = state["swing"]["rests"].as_array().expect("rests");
    let stops = rests
        .iter()
        .zip(&truth.rests)
        .filter(|(rest, _)| rest["straight"] == false);
    for (rest, read) in stops {
        for wheel in &read.wheels {
            let mount = if wheel.mount == Wheel::FrontLeft {
                "front_left"
            } else {
                "front_right"
            };
            let body =
                json!({ "rest": rest["index"], "mount": mount, "plate_deg": wheel.plate_read_deg });
            let (status, answer) = garage.daemon.post("/api/v1/swing/plate", &body);
            assert_eq!(status, 200, "{answer:#}");
        }
    }
    let state = garage.daemon.wait("the swing is done", AT_MOST, |state| {
        state["swing"]["phase"] == "done"
    });
    let folder = recorded(&garage.folder().join("swings"));
    wait_for(&folder, |session| session["found"].is_object());
    same(&state, &solved(&folder));
}

#[test]
fn a_daemon_that_is_killed_leaves_a_recording_that_can_be_solved() {
    let garage = Garage::recorded(
        Scenario::shipped("garage-good").expect("shipped"),
        &told_all,
    );
    let swings = garage.folder().join("swings");
    let (status, _) = garage.daemon.post("/api/v1/swing", &json!({}));
    assert_eq!(status, 202);
    garage.sim.drive(&garage.script()).expect("driven");
    garage.daemon.wait("a stop to each side", AT_MOST, |state| {
        state["swing"]["rests"]
            .as_array()
            .is_some_and(|rests| rests.len() == 3)
    });
    let folder = recorded(&swings);
    wait_for(&folder, |session| {
        session["windows"]
            .as_array()
            .is_some_and(|windows| windows.len() == 5)
    });
    drop(garage.daemon);
    let session = session(&folder);
    assert!(session["found"].is_null(), "{session:#}");
    let solution = solved(&folder);
    assert_eq!(
        solution["wheels"].as_array().map(Vec::len),
        Some(2),
        "{solution:#}"
    );
}

#[test]
fn the_demonstration_records_its_swing() {
    let folder = tempfile::tempdir().expect("a folder");
    let swings = folder.path().join("swings");
    let finished = run(
        &[
            "demo",
            "--once",
            "--speed",
            "4",
            "--listen",
            "127.0.0.1:0",
            "--record",
            &swings.to_string_lossy(),
        ],
        AT_MOST,
    );
    assert_eq!(finished.code, Some(0), "{finished:#?}");
    let folder = recorded(&swings);
    assert!(session(&folder)["found"].is_object());
    solved(&folder);
}

#[test]
fn a_folder_that_cannot_be_written_is_told_before_anything_starts() {
    let folder = tempfile::tempdir().expect("a folder");
    let taken = folder.path().join("a-file");
    fs::write(&taken, "").expect("a file");
    let finished = run(&["run", "--record", &taken.to_string_lossy()], AT_MOST);
    assert_eq!(finished.code, Some(2), "{finished:?}");
    for told in ["a-file", "what it means", "what to do"] {
        assert!(finished.stderr.contains(told), "{finished:?}");
    }
}
