//! Swings on the simulated car, judged by its truth.

use std::time::Duration;

use hubplumb_sim::{Scenario, Script, Truth, Wheel};
use hubplumb_tests::Garage;
use hubplumb_tests::garage::{Told, told_all};
use serde_json::{Value, json};

/// A tenth of the usual tolerance on caster, so that a verdict can be trusted.
const ERROR_AT_MOST_DEG: f64 = 0.1;

const WHEELS: [(Wheel, &str); 2] = [
    (Wheel::FrontLeft, "front_left"),
    (Wheel::FrontRight, "front_right"),
];

/// The finding of the newest run, if there is one.
fn finding<'a>(state: &'a Value, mount: &str, angle: &str) -> Option<&'a Value> {
    let findings = state["findings"].as_array().expect("findings");
    findings.iter().rev().find(|finding| {
        finding["run"] == state["swing"]["run"]
            && finding["mount"] == mount
            && finding["angle"] == angle
    })
}

/// Every angle of a wheel is there, near the truth and within its own interval.
#[track_caller]
pub(super) fn judge(garage: &Garage, state: &Value, wheel: Wheel, mount: &str, at_most_deg: f64) {
    judge_by(&garage.sim.truth(), state, wheel, mount, at_most_deg);
}

/// The same against the truth alone.
#[track_caller]
pub(super) fn judge_by(truth: &Truth, state: &Value, wheel: Wheel, mount: &str, at_most_deg: f64) {
    let truth = truth.wheel(wheel).expect("a wheel");
    for (angle, should) in [
        ("camber", Some(truth.camber_deg)),
        ("caster", truth.caster_deg),
        ("sai", truth.sai_deg),
        ("included_angle", truth.included_deg),
    ] {
        let should = should.expect("a steered wheel has every angle");
        let found = finding(state, mount, angle);
        let found = found.unwrap_or_else(|| panic!("no {angle} of {mount}: {state:#}"));
        let number = |key: &str| found[key].as_f64().expect(key);
        let (error, expanded) = (number("value_deg") - should, number("expanded_deg"));
        println!("{mount} {angle}: error {error:+.4}°, interval ±{expanded:.4}°");
        assert!(
            error.abs() <= expanded,
            "{mount} {angle}: {error:+.4}° beyond ±{expanded:.4}°"
        );
        assert!(
            error.abs() <= at_most_deg,
            "{mount} {angle}: {error:+.4}° beyond {at_most_deg}°"
        );
        assert!(
            expanded < 1.0,
            "{mount} {angle}: ±{expanded}° tells nothing"
        );
        for told in ["sense", "largest_contributor", "advice"] {
            assert!(
                found[told].as_str().is_some_and(|text| !text.is_empty()),
                "{told}: {found:#}"
            );
        }
    }
}

#[track_caller]
fn judge_both(garage: &Garage, state: &Value, at_most_deg: f64) {
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    for (wheel, mount) in WHEELS {
        judge(garage, state, wheel, mount, at_most_deg);
    }
}

fn seeded(seed: u64) {
    let garage = Garage::shipped("garage-good", Some(seed));
    let state = garage.swing("gyro", &garage.script());
    judge_both(&garage, &state, ERROR_AT_MOST_DEG);
}

#[test]
fn a_good_chip_finds_the_truth_with_seed_1() {
    seeded(1);
}

#[test]
fn a_good_chip_finds_the_truth_with_seed_2() {
    seeded(2);
}

#[test]
fn a_good_chip_finds_the_truth_with_seed_3() {
    seeded(3);
}

/// The shipped scenario with boards of another wire.
fn with_wire(wire: &str, told: Told<'_>) {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let text = text.replace("wire = \"csv\"", &format!("wire = {wire}"));
    assert!(text.contains(wire));
    let garage = Garage::open(Scenario::from_toml(&text).expect("a scenario"), told);
    let state = garage.swing("gyro", &garage.script());
    judge_both(&garage, &state, ERROR_AT_MOST_DEG);
}

#[test]
fn every_angle_is_found_over_csv_with_a_header() {
    with_wire("\"csv\"", &told_all);
}

#[test]
fn every_angle_is_found_over_csv_with_columns_told() {
    let columns = "[\"t_ms\", \"ax_mg\", \"ay_mg\", \"az_mg\", \"-\", \
                   { label = \"p\", quantity = \"gx\", unit = \"rad/s\" }, \
                   { label = \"q\", quantity = \"gy\", unit = \"rad/s\" }, \
                   { label = \"r\", quantity = \"gz\", unit = \"rad/s\" }]";
    with_wire(
        &format!("{{ format = \"csv\", columns = {columns} }}"),
        &|_| format!("baud = 115200\nformat = \"csv\"\ncolumns = {columns}\n"),
    );
}

#[test]
fn every_angle_is_found_over_labelled_lines() {
    with_wire("\"labelled\"", &told_all);
}

#[test]
fn every_angle_is_found_over_json_lines() {
    with_wire("\"json-lines\"", &told_all);
}

#[test]
fn every_angle_is_found_over_binary_frames() {
    with_wire("\"ahrs55\"", &told_all);
}

#[test]
fn every_angle_is_found_over_compact_frames() {
    with_wire("\"compact\"", &told_all);
}

#[test]
fn a_format_nobody_told_is_found_by_listening() {
    with_wire("\"labelled\"", &|_| String::new());
}

#[test]
fn unequal_stops_do_not_spoil_the_finding_as_they_spoil_the_rule() {
    let garage = Garage::shipped("unequal-stops", None);
    let state = garage.swing("gyro", &garage.script());
    judge_both(&garage, &state, ERROR_AT_MOST_DEG);
    let caster = finding(&state, "front_left", "caster").expect("judged above");
    assert!(
        caster["two_reading_deg"].is_number(),
        "the cross-check is missing: {caster:#}"
    );
}

#[test]
fn without_a_gyro_the_plates_are_asked_for_and_give_the_axis() {
    let garage = Garage::shipped("no-gyro", None);
    let truth = garage.sim.truth();
    let state = garage.swing("plates", &garage.script());
    assert_eq!(
        state["swing"]["phase"], "await_plates",
        "{:#}",
        state["swing"]
    );
    let rests = state["swing"]["rests"].as_array().expect("rests");
    assert_eq!(rests.len(), truth.rests.len(), "{rests:#?}");
    for (rest, read) in rests
        .iter()
        .zip(&truth.rests)
        .filter(|(rest, _)| rest["straight"] == false)
    {
        for wheel in &read.wheels {
            let mount = WHEELS
                .iter()
                .find(|(known, _)| *known == wheel.mount)
                .expect("a front wheel");
            let body = json!({ "rest": rest["index"], "mount": mount.1, "plate_deg": wheel.plate_read_deg });
            let (status, answer) = garage.daemon.post("/api/v1/swing/plate", &body);
            assert_eq!(status, 200, "{answer:#}");
        }
    }
    let state = garage
        .daemon
        .wait("the swing is done", Duration::from_secs(5), |state| {
            state["swing"]["phase"] == "done"
        });
    // Plates read to a quarter of a degree limit this, not the chip.
    judge_both(&garage, &state, 0.25);
}

#[test]
fn a_brake_that_slips_is_refused_and_the_other_wheel_stands() {
    let garage = Garage::shipped("brake-slip", None);
    let state = garage.swing("gyro", &garage.script());
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    judge(
        &garage,
        &state,
        Wheel::FrontLeft,
        "front_left",
        ERROR_AT_MOST_DEG,
    );
    for angle in ["caster", "sai", "included_angle"] {
        assert_eq!(finding(&state, "front_right", angle), None, "{angle}");
    }
    let notes = state["swing"]["notes"].to_string();
    for told in ["right hub", "brake"] {
        assert!(
            notes.to_lowercase().contains(told),
            "{told} is not in {notes}"
        );
    }
}

#[test]
fn an_arc_too_short_to_measure_by_gives_no_findings_and_says_so() {
    let garage = Garage::shipped("garage-good", Some(4));
    let (status, _) = garage.daemon.post("/api/v1/swing", &json!({}));
    assert_eq!(status, 202);
    garage
        .sim
        .drive(&Script::swing(4.0, -4.0, 4.0, 1.0))
        .expect("driven");
    let state = garage.daemon.wait(
        "more steer is asked for",
        Duration::from_secs(15),
        |state| {
            let say = state["swing"]["say"]
                .as_str()
                .unwrap_or_default()
                .to_lowercase();
            state["swing"]["phase"] == "turning" && say.contains("farther")
        },
    );
    assert_eq!(state["findings"], json!([]));
}

#[test]
fn a_second_swing_cannot_start_beside_the_first_and_the_first_can_be_given_up() {
    let garage = Garage::shipped("garage-good", Some(5));
    assert_eq!(garage.daemon.post("/api/v1/swing", &json!({})).0, 202);
    let (status, problem) = garage.daemon.post("/api/v1/swing", &json!({}));
    assert_eq!(status, 409, "{problem:#}");
    for key in ["type", "title", "detail", "remedy", "code"] {
        assert!(
            problem[key].as_str().is_some_and(|text| !text.is_empty()),
            "{key}: {problem:#}"
        );
    }
    assert_eq!(problem["status"], 409);
    let (status, swing) = garage.daemon.post("/api/v1/swing/cancel", &json!({}));
    assert_eq!(status, 200, "{swing:#}");
    assert_ne!(swing["phase"], "hold_straight", "{swing:#}");
    assert_eq!(garage.daemon.post("/api/v1/swing", &json!({})).0, 202);
}
