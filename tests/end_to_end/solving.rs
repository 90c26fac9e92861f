//! `hubplumb solve` and `hubplumb allan` as they are typed, right and wrong.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::time::Duration;

use hubplumb_tests::run;
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(30);

/// A board lying still, with a little noise that is the same each time.
fn still(seconds: usize, gyro: bool) -> String {
    // Knuth's generator of MMIX, from memory; only its upper bits are used.
    let mut state = 1_u64;
    let mut noise = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from(u32::try_from(state >> 40).unwrap_or(0)) / f64::from(1 << 24) - 0.5
    };
    let mut text = "t_us,ax,ay,az,gx,gy,gz,temp\n".to_owned();
    for n in 0..seconds * 100 {
        let [a, b, c] = [0; 3].map(|_| 0.004 * noise());
        let rates = if gyro {
            let [p, q, r] = [0; 3].map(|_| 0.2 * noise());
            format!("{p:.5},{q:.5},{r:.5}")
        } else {
            ",,".to_owned()
        };
        let (t_us, c) = (n * 10_000, 1.0 + c);
        writeln!(text, "{t_us},{a:.6},{b:.6},{c:.6},{rates},24").expect("a string takes text");
    }
    text
}

fn session(file: &str) -> Value {
    json!({ "boards": [{ "role": "left", "file": file, "chip": "good", "mount": { "outboard": "+x" } }] })
}

/// Three parts, the evidence and the exit code.
#[track_caller]
fn wrong(arguments: &[&str], code: i32, evidence: &[&str]) {
    let finished = run(arguments, SOON);
    assert_eq!(finished.code, Some(code), "{arguments:?}: {finished:#?}");
    let said = format!("{}{}", finished.stderr, finished.stdout);
    for told in evidence {
        assert!(
            said.contains(told),
            "{arguments:?}: {told} is not in {said}"
        );
    }
}

/// Found by fuzzing: the stop behind it was taken for straight ahead, and without an axis the
/// program ended in a panic.
#[test]
fn a_first_window_without_readings_is_no_straight_ahead_rest() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("a.csv"), still(7, true)).expect("a file");
    let mut session = session("a.csv");
    session["windows"] = json!([
        { "from_us": -2_000_000, "to_us": -100, "kind": "straight" },
        { "from_us": 1_000_000, "to_us": 3_000_000, "kind": "stop" },
        { "from_us": 4_000_000, "to_us": 6_000_000, "kind": "straight" },
    ]);
    let file = folder.path().join("session.json");
    fs::write(file, session.to_string()).expect("a file");
    let folder = folder.path().to_string_lossy();
    wrong(
        &["solve", &folder],
        1,
        &["Refused", "begins with a rest straight ahead"],
    );
}

#[test]
fn a_wrong_recording_is_told_with_its_place() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.csv");
    let good = still(3, true);
    for (text, evidence) in [
        (String::new(), ["a.csv:1", "no columns"]),
        ("t_us,ax,ay\n1,2,3\n".to_owned(), ["a.csv:1", "lacks az"]),
        (
            good.replace("\n50000,", "\n50000,0,"),
            ["a.csv:7", "9 fields"],
        ),
        (
            good.replace("\n50000,", "\nfifty,"),
            ["a.csv:7: column t_us", "`fifty`"],
        ),
        (
            good.replace("\n50000,", "\n20000,"),
            ["a.csv:7", "back to 20000"],
        ),
        (still(0, true), ["a.csv", "0 readings"]),
    ] {
        fs::write(&path, text).expect("a recording");
        for command in [&["solve", "--side", "left"][..], &["allan"]] {
            let path = path.to_string_lossy();
            let arguments = [command, &[&*path]].concat();
            wrong(&arguments, 2, &evidence);
            wrong(&arguments, 2, &["error:", "what it means:", "what to do:"]);
        }
    }
}

/// The smallest session with something put at a place in it.
fn with(place: &str, value: Value) -> String {
    let mut session = session("a.csv");
    let (parent, key) = place.rsplit_once('/').expect("a place");
    session.pointer_mut(parent).expect("its parent")[key] = value;
    serde_json::to_string_pretty(&session).expect("JSON")
}

/// Each text of a session file is refused with its evidence.
#[track_caller]
fn wrong_sessions(rows: &[(String, [&str; 2])]) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("session.json");
    fs::write(folder.path().join("a.csv"), still(3, true)).expect("a recording");
    for (text, evidence) in rows {
        fs::write(&path, text).expect("a session file");
        let path = path.to_string_lossy();
        wrong(&["solve", &path], 2, evidence);
        wrong(
            &["solve", &path],
            2,
            &["error:", "what it means:", "what to do:"],
        );
    }
}

#[test]
fn a_session_file_of_another_form_is_told_with_its_place() {
    wrong_sessions(&[
        ("{".to_owned(), ["session.json:1:1", "EOF"]),
        ("{}\nx".to_owned(), ["session.json:1:2", "`boards`"]),
        (
            with("/wheels", json!(1)),
            ["session.json:", "unknown field `wheels`"],
        ),
        (
            with("/boards/0/role", json!("roof")),
            ["boards[0].role", "`roof`"],
        ),
        (
            with("/boards/0/chip", json!("poker")),
            ["boards[0].chip", "`poker`"],
        ),
        (
            with("/boards/0/chip", json!({ "figures": { "noise": 1 } })),
            ["boards[0].chip.figures", "unknown field `noise`"],
        ),
        (
            with(
                "/boards/0/chip",
                json!({ "figures": { "accel_offset_mg": -1 } }),
            ),
            ["boards[0].chip.figures.accel_offset_mg", "-1"],
        ),
        (
            with("/boards/0/mount", json!("glued")),
            ["boards[0].mount", "`glued`"],
        ),
        (
            with("/boards/0/mount", json!({ "forward": "+x" })),
            ["boards[0].mount", "outboard"],
        ),
        (
            with("/boards/0/mount", json!({ "outboard": [0, 0, 0] })),
            ["boards[0].mount", "no direction"],
        ),
        (
            with(
                "/boards/0/mount",
                json!({ "outboard": "+x", "lean_standard_deg": 90 }),
            ),
            ["boards[0].mount.lean_standard_deg", "90"],
        ),
        (
            with("/boards/0/clock", json!("wall")),
            ["boards[0].clock", "`wall`"],
        ),
    ]);
}

#[test]
fn a_value_that_cannot_be_is_told_with_its_key() {
    wrong_sessions(&[
        (
            with("/boards/0/file", json!("b.csv")),
            ["b.csv", "what to do"],
        ),
        (
            with("/boards/0/file", Value::Null),
            ["boards[0].file", "no recording"],
        ),
        (
            with("/boards/0/calibration", json!({ "date": "2026-05-30" })),
            ["boards[0].calibration", "no number"],
        ),
        (
            with(
                "/boards/0/calibration",
                json!({ "accel_offset_g": [1, 0, 0] }),
            ),
            ["boards[0].calibration", "accelerometer offset"],
        ),
        (
            with("/boards/0/calibration", json!({ "file": "c.toml" })),
            ["boards[0].calibration.file", "c.toml"],
        ),
        (
            with(
                "/boards/0/calibration",
                json!({ "accel_offset_g": [0, 0, 0], "date": "May" }),
            ),
            ["boards[0].calibration.date", "`May`"],
        ),
        (
            with("/floor", json!({ "roll_deg": 1 })),
            ["floor", "standard_deg"],
        ),
        (
            with("/floor", json!({ "roll_deg": 40, "standard_deg": 0.1 })),
            ["floor.roll_deg", "40"],
        ),
        (
            with(
                "/windows",
                json!([{ "from_us": 5, "to_us": 5, "kind": "stop" }]),
            ),
            ["windows[0].to_us", "not after"],
        ),
        (
            with(
                "/windows",
                json!([{ "from_us": 5, "to_us": 9, "kind": "park" }]),
            ),
            ["windows[0].kind", "`park`"],
        ),
        (
            with(
                "/windows",
                json!([{ "from_us": 5, "to_us": 9, "kind": "stop", "plate_deg": { "left": 100 } }]),
            ),
            ["windows[0].plate_deg.left", "100"],
        ),
    ]);
}

#[test]
fn a_session_that_cannot_be_solved_is_refused_in_three_parts() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("session.json");
    fs::write(folder.path().join("a.csv"), still(20, true)).expect("a recording");
    let two = json!([{ "role": "left", "file": "a.csv" }, { "role": "left", "file": "a.csv" }]);
    let mut unknown = session("a.csv");
    unknown["boards"][0]["mount"] = json!("unknown");
    unknown["windows"] = json!([{ "from_us": 0, "to_us": 9_000_000, "kind": "straight" }]);
    for (session, code) in [
        (json!({ "boards": two }), "boards"),
        (session("a.csv"), "no_straight"),
        (unknown, "no_spindle"),
    ] {
        fs::write(&path, session.to_string()).expect("a session file");
        wrong(&["solve", &path.to_string_lossy()], 1, &["Refused"]);
        let finished = run(&["solve", &path.to_string_lossy(), "--json"], SOON);
        assert_eq!(finished.code, Some(1), "{finished:?}");
        let solution: Value = serde_json::from_str(&finished.stdout).expect("JSON");
        assert_eq!(solution["refusal"]["code"], code, "{solution:#}");
        for part in ["what", "meaning", "remedy"] {
            let words = solution["refusal"][part].as_str().unwrap_or_default();
            assert!(words.len() > 10, "{solution:#}");
        }
    }
}

#[test]
fn what_the_command_line_lacks_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.csv");
    fs::write(&path, still(3, false)).expect("a recording");
    wrong(
        &["solve", &path.to_string_lossy()],
        2,
        &["--side left", "a.csv"],
    );
    wrong(
        &["solve", &folder.path().to_string_lossy()],
        2,
        &["session.json"],
    );
    wrong(
        &["solve", "nowhere.csv", "--side", "left"],
        2,
        &["nowhere.csv"],
    );
    wrong(&["solve"], 2, &["RECORDING"]);
}

#[test]
fn a_cut_last_line_does_not_lose_the_rest() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.csv");
    fs::write(&path, format!("{}1999", still(20, true))).expect("a recording");
    let arguments = [
        "solve",
        &*path.to_string_lossy(),
        "--side",
        "left",
        "--outboard",
        "+x",
    ];
    wrong(&arguments, 1, &["Line 2002", "no end", "2000 readings"]);
}

#[test]
fn the_schemas_are_those_in_the_repository() {
    for name in ["session", "solution"] {
        let finished = run(&["solve", "--schema", name], SOON);
        assert_eq!(finished.code, Some(0), "{finished:?}");
        let kept = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../docs")
            .join(format!("{name}.schema.json"));
        let kept = fs::read_to_string(kept).expect("a schema");
        assert!(
            finished.stdout == kept,
            "docs/{name}.schema.json is not what `hubplumb solve --schema {name}` prints"
        );
    }
}

#[test]
fn the_example_of_the_document_is_read() {
    let document = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/SOLVE.md");
    let document = fs::read_to_string(document).expect("docs/SOLVE.md");
    let example = document
        .split("```json\n")
        .nth(1)
        .and_then(|rest| rest.split("```").next())
        .expect("an example");
    let folder = tempfile::tempdir().expect("a folder");
    for role in ["left", "right", "body"] {
        let path = folder.path().join(format!("{role}.csv"));
        fs::write(path, still(80, true)).expect("a recording");
    }
    let path = folder.path().join("session.json");
    fs::write(&path, example.replace(".csv.gz", ".csv")).expect("a session file");
    // All of it is understood: what is refused is a board that never moved.
    wrong(
        &["solve", &path.to_string_lossy()],
        1,
        &["Refused", "left board fit the windows"],
    );
}

#[test]
fn the_noise_of_a_resting_board_is_told_with_lines_for_the_configuration() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rest.csv");
    fs::write(&path, still(150, true)).expect("a recording");
    let path = path.to_string_lossy();
    let finished = run(&["allan", &path], SOON);
    assert_eq!(finished.code, Some(0), "{finished:#?}");
    let lines = finished
        .stdout
        .split("[board.figures]")
        .nth(1)
        .expect("lines");
    let figures: toml::Table = lines.parse().expect("TOML");
    // Even noise of width w at 100 Hz: density w / √12 / √50, one-sided.
    let should = 0.004 / 12f64.sqrt() / 50f64.sqrt() * 1e6;
    let noise = figures["accel_noise_ug_rthz"].as_float().or_else(|| {
        let whole = figures["accel_noise_ug_rthz"].as_integer()?;
        i32::try_from(whole).ok().map(f64::from)
    });
    let noise = noise.expect("a number");
    assert!((noise / should - 1.0).abs() < 0.1, "{noise} for {should}");

    let finished = run(&["allan", &path, "--json"], SOON);
    let told: Value = serde_json::from_str(&finished.stdout).expect("JSON");
    assert_eq!(told["axes"].as_array().map(Vec::len), Some(6));
    assert!(
        told["axes"][0]["curve"]
            .as_array()
            .is_some_and(|curve| curve.len() > 10)
    );
}

#[test]
fn a_recording_that_tells_no_noise_is_refused_in_three_parts() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("rest.csv");
    let moved = still(150, true).replace("\n50000000,0", "\n50000000,3");
    let all = still(150, true);
    let away = |line: &&str| !(line.starts_with("500") && line.find(',') == Some(8));
    let gap = all.lines().filter(away).collect::<Vec<_>>().join("\n") + "\n";
    for (text, told) in [
        (still(30, true), "at least 120 s"),
        (
            moved.replace("\n50000000,-0", "\n50000000,3"),
            "the board moved 50.",
        ),
        (gap, "no reading for 110 ms"),
    ] {
        fs::write(&path, text).expect("a recording");
        let evidence = [told, "rest.csv", "what it means:", "what to do:"];
        wrong(&["allan", &path.to_string_lossy()], 1, &evidence);
    }
}
