//! The independent cases through the program itself: what a person would write
//! down becomes a session file, `hubplumb solve --json` solves it, and the
//! cases' truth judges what comes out.

use std::path::{Path, PathBuf};
use std::time::Duration;

use hubplumb_tests::{run, skip};
use serde_json::{Value, json};

/// Reading and solving a minute of three boards without optimisation.
const AT_MOST: Duration = Duration::from_secs(120);

/// Everything that a case tells, and its truth.
struct Case {
    name: &'static str,
    stem: PathBuf,
    told: Value,
}

fn case(name: &'static str) -> Option<Case> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
    if !folder.is_dir() {
        skip(name, "no reference cases beside the checkout");
        return None;
    }
    let stem = folder.join(name);
    let text = std::fs::read_to_string(format!("{}.json", stem.display())).expect("a case");
    Some(Case {
        name,
        stem,
        told: serde_json::from_str(&text).expect("JSON"),
    })
}

/// The cases' own data sheet of the chip, as figures.
fn chip(sheet: &Value) -> Value {
    json!({ "class": "ideal", "figures": {
        "accel_noise_ug_rthz": sheet["acc_nd"], "accel_offset_mg": sheet["acc_bias"],
        "accel_scale_ppm": sheet["acc_scale"], "accel_cross_mrad": sheet["acc_misalign"],
        "gyro_noise_dps_rthz": sheet["gyr_nd"], "gyro_scale_ppm": sheet["gyr_scale"],
        "gyro_cross_mrad": sheet["gyr_misalign"],
    }})
}

fn kind(segment: &Value) -> Option<&'static str> {
    let (label, kind) = (segment["label"].as_str()?, segment["kind"].as_str()?);
    Some(match label {
        "straight" => "straight",
        "runout_spin" => "spin",
        _ if label.starts_with("stop") => "stop",
        _ if label.starts_with("sweep") => "sweep",
        _ if label.starts_with("roll_f") => "roll",
        _ if label.starts_with("runout") && kind == "dwell" => "run-out-stop",
        _ if kind == "move" => "move",
        _ => return None,
    })
}

fn window(segment: &Value) -> Option<Value> {
    let mut window =
        json!({ "from_us": segment["t0_us"], "to_us": segment["t1_us"], "kind": kind(segment)? });
    let read = &segment["plate_read_deg"];
    if read.is_number() {
        window["plate_deg"] = json!({ "left": read, "right": read });
    } else if read.is_object() {
        window["plate_deg"] = json!({ "left": read["L"], "right": read["R"] });
    }
    match segment["side"].as_str() {
        Some("L") => window["corner"] = json!("left"),
        Some("R") => window["corner"] = json!("right"),
        _ => {}
    }
    Some(window)
}

impl Case {
    fn inputs(&self) -> &Value {
        &self.told["inputs"]
    }

    fn is_ideal(&self) -> bool {
        self.name.contains("ideal")
    }

    fn boards(&self) -> Vec<Value> {
        let inputs = self.inputs();
        let file = |part: &str| format!("{}{part}.csv.gz", self.stem.display());
        let Some(several) = inputs["boards"].as_object() else {
            let role = if inputs["side"] == "L" {
                "left"
            } else {
                "right"
            };
            return vec![json!({
                "role": role, "file": file(""), "clock": "shared",
                "chip": chip(&inputs["datasheet"]), "mount": "unknown",
            })];
        };
        ["left", "right", "body"]
            .map(|role| {
                json!({
                    "role": role, "file": file(&format!(".{role}")), "clock": "unknown",
                    "chip": chip(&several[role]["datasheet"]), "mount": "unknown",
                })
            })
            .into()
    }

    /// What a careful person writes down of the session.
    fn session(&self, with_windows: bool) -> Value {
        let inputs = self.inputs();
        let sigma = if self.is_ideal() { 0.0 } else { 1.0 };
        let toe = &inputs["toe_measured_deg"];
        let toe_of = |side: &str| {
            let value = if toe.is_object() { &toe[side] } else { toe };
            json!({ "value_deg": value, "standard_deg": 0.03 * sigma })
        };
        let slope = &inputs["floor_slope_measured_deg"];
        let mut session = json!({
            "boards": self.boards(),
            "floor": { "roll_deg": slope["roll"], "pitch_deg": slope["pitch"], "standard_deg": 0.02 * sigma },
            "toe": { "left": toe_of("L"), "right": toe_of("R") },
            "plate_standard_deg": 0.25,
            "unwatched_body": { "roll_standard_deg": 0.0, "pitch_standard_deg": 0.0 },
            "jacking_pitch_standard_deg": 0.08,
        });
        if with_windows {
            let segments = inputs["segments"].as_array().expect("segments");
            session["windows"] = segments.iter().filter_map(window).collect();
        }
        session
    }

    /// Solves the case by the program.
    fn solve(&self, with_windows: bool) -> Value {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("session.json");
        let session = serde_json::to_string_pretty(&self.session(with_windows)).expect("JSON");
        std::fs::write(&path, session).expect("a session file");
        let finished = run(&["solve", &path.to_string_lossy(), "--json"], AT_MOST);
        assert_eq!(finished.code, Some(0), "{}: {finished:#?}", self.name);
        serde_json::from_str(&finished.stdout).expect("a solution")
    }

    /// Every finding lies within three of its standard uncertainties of the
    /// truth, and caster and SAI within `limit_deg`.
    fn judge(&self, solution: &Value, limit_deg: f64) {
        for wheel in solution["wheels"].as_array().expect("wheels") {
            let letter = if wheel["side"] == "left" { "L" } else { "R" };
            let truth = self.told["truth"][letter]
                .get("floor")
                .unwrap_or(&self.told["truth"]["floor"]);
            for (key, limit_deg) in [
                ("camber", f64::INFINITY),
                ("caster", limit_deg),
                ("sai", limit_deg),
            ] {
                let found = finding(wheel, key);
                let number = |key: &str| found[key].as_f64().expect(key);
                let off = number("value_deg") - truth[key].as_f64().expect("truth");
                let standard = number("standard_deg");
                println!(
                    "{}, windows from {}, {letter} {key}: off {off:+.4}°, standard {standard:.4}°",
                    self.name, solution["windows_from"]
                );
                assert!(
                    off.abs() <= limit_deg,
                    "{} {letter} {key}: {off:+.4}°",
                    self.name
                );
                assert!(
                    off.abs() <= 3.0 * standard || off.abs() < 0.003,
                    "{} {letter} {key}: {off:+.4}°, standard {standard:.4}°",
                    self.name
                );
            }
        }
    }
}

fn finding<'a>(wheel: &'a Value, angle: &str) -> &'a Value {
    let findings = wheel["findings"].as_array().expect("findings");
    findings
        .iter()
        .find(|finding| finding["angle"] == angle)
        .expect("every angle")
}

fn check(name: &'static str, limit_deg: f64, found_too: bool) {
    let Some(case) = case(name) else { return };
    case.judge(&case.solve(true), limit_deg);
    if found_too {
        let solution = case.solve(false);
        assert_eq!(solution["windows_from"], "movements");
        case.judge(&solution, limit_deg);
    }
}

#[test]
fn chips_without_error_are_solved_exactly() {
    check("00_ideal_nominal", 0.005, true);
    check("03_ideal_sweep", 0.005, false);
}

#[test]
fn calibrated_chips_are_solved_within_a_tenth_of_a_degree() {
    for name in [
        "06_cheap_stops",
        "11_cheap_spin",
        "14_good_stops",
        "17_good_spin",
        "18_good_rollfwd",
        "21_incl_stops",
    ] {
        check(name, 0.1, true);
    }
    check("10_cheap_sweep", 0.1, true);
}

#[test]
fn three_boards_with_clocks_of_their_own_are_solved() {
    check("pair/00_ideal_pair", 0.005, true);
    check("pair/05_good_pair", 0.1, true);
    check("pair/04_cheap_idle", 0.1, true);
}

#[test]
fn the_differences_of_a_pair_are_told_with_what_both_share() {
    let Some(case) = case("pair/05_good_pair") else {
        return;
    };
    let solution = case.solve(true);
    let truth = |side: &str, angle: &str| {
        case.told["truth"][side]["floor"][angle]
            .as_f64()
            .expect("truth")
    };
    for difference in solution["differences"].as_array().expect("differences") {
        let angle = match difference["angle"].as_str().expect("an angle") {
            "included_angle" => "included",
            angle => angle,
        };
        let number = |key: &str| difference[key].as_f64().expect(key);
        let off = number("value_deg") - (truth("L", angle) - truth("R", angle));
        assert!(
            off.abs() <= 3.0 * number("standard_deg"),
            "{angle}: {off:+.4}°: {difference}"
        );
        assert!(number("correlation").abs() <= 1.0, "{difference}");
    }
    assert_eq!(solution["differences"].as_array().map(Vec::len), Some(4));
}

#[test]
fn a_chip_out_of_the_bag_gets_a_wide_interval() {
    let (Some(raw), Some(calibrated)) = (case("13_cheap_raw"), case("06_cheap_stops")) else {
        return;
    };
    let solution = raw.solve(true);
    raw.judge(&solution, f64::INFINITY);
    let known = calibrated.solve(true);
    // Caster rests on how gravity moves fore and aft in the hub, which the plates
    // and the gyro pin down; what a chip out of the bag spoils is the lean.
    for angle in ["camber", "sai"] {
        let standard = |solution: &Value| {
            let found = finding(&solution["wheels"][0], angle);
            found["standard_deg"].as_f64().expect("standard")
        };
        let (wide, narrow) = (standard(&solution), standard(&known));
        // Offset and scale are 30 and 10 times those of the same chip calibrated;
        // the turns of the wheel and the lengths of gravity reveal a part of that.
        assert!(
            wide > 3.0 * narrow,
            "{angle}: {wide:.3}° against {narrow:.3}°"
        );
    }
    let camber = finding(&solution["wheels"][0], "camber");
    let cause = camber["budget"][0]["cause"].as_str().expect("a cause");
    assert!(cause.starts_with("accel_"), "{camber:#}");
}
