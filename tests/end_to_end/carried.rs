//! Toe by a board in a block that a simulated hand carries from rim to rim, on real wires.

use std::time::Duration;

use hubplumb_sim::{Mount, Scenario, Step, Wheel};
use hubplumb_tests::run;
use hubplumb_tests::visiting::Visiting;
use serde_json::{Value, json};

const AT_MOST: Duration = Duration::from_secs(60);
const SPEED: f64 = 2.0;
/// One board more than the shipped car has: the one in the block. What its gyro wanders and what one g
/// does to it as in docs/CARRIED.md; the board leans in the block, whose faces are a wedge.
const BLOCK: &str = r#"
[[board]]
mount = "body"
mounting = { x = "forward", z = "up" }
rate_hz = 100
wire = "csv"
chip = { preset = "good", gyro_flicker_dps = 0.0015, gyro_per_g_dps = 0.05 }
clock = { offset_s = 0.7, rate_ppm = 12, jitter_us = 15 }

[block]
faces_deg = 0.06
lean_deg = [1.2, 1.1]
"#;

fn garage(arguments: &[&str]) -> Visiting {
    let shipped = Scenario::shipped_toml("garage-good").expect("a shipped scenario");
    let text = format!("{shipped}{BLOCK}");
    let scenario = Scenario::from_toml(&text).expect("a scenario");
    Visiting::with(scenario, SPEED, "", arguments)
}

fn carried(left: bool, turned: bool, lean_deg: f64) -> [Step; 2] {
    let carry = Step::CarryBlock {
        mount: Mount::Body,
        wheel: if left {
            Wheel::FrontLeft
        } else {
            Wheel::FrontRight
        },
        to_edge: false,
        turned,
        lean_deg,
        bump_g: 0.0,
        over_s: 6.0,
    };
    [
        carry,
        Step::Rest {
            for_s: 4.0,
            label: None,
        },
    ]
}

#[track_caller]
fn start(visit: &Visiting, wanted_deg: f64) -> (u16, Value) {
    let start = json!({ "kind": "carried_toe", "to_left": "+y", "wanted_deg": wanted_deg });
    visit.daemon.post("/api/v1/check", &start)
}

#[test]
fn four_passes_give_total_toe_that_is_kept_and_found_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().to_string_lossy();
    let mut visit = garage(&["--store", &store]);
    let (status, car) = visit
        .daemon
        .post("/api/v1/cars", &json!({ "name": "Marten 1600" }));
    assert_eq!(status, 201, "{car:#}");
    let (status, answer) = visit
        .daemon
        .post("/api/v1/visits", &json!({ "car": car["id"] }));
    assert_eq!(status, 201, "{answer:#}");
    // A gap of 2 mm at 350 mm is 0.33° of toe-in, which the car has not: 0.10°.
    let figures = json!({ "ask": "1", "figures": {
        "way": "gap", "front": true, "diameter": "350",
        "pairs": [{ "ahead": "1301", "behind": "1303 mm" }], "run_out": "0",
    }});
    let (status, entered) = visit.daemon.post("/api/v1/visits/1/figures", &figures);
    assert_eq!(status, 200, "{entered:#}");
    let before = entered["entries"].as_u64().expect("a number");

    visit.act(carried(true, false, 0.0).to_vec());
    let (status, answer) = start(&visit, 0.05);
    assert_eq!(status, 202, "{answer:#}");
    assert!(!answer["cautions"].as_array().expect("a list").is_empty());
    let taken = |visit: &Visiting, passes: usize| {
        visit.daemon.wait("the rest is taken", AT_MOST, |state| {
            let check = &state["check"];
            check["taken"] == passes && check["phase"] == "taken" || check["phase"] == "done"
        })
    };
    let mut state = taken(&visit, 0);
    assert_eq!(state["check"]["carried"]["place"], "front_left");
    for (pass, (left, turned)) in [(false, false), (true, false), (false, true), (true, true)]
        .into_iter()
        .enumerate()
    {
        if pass == 2 {
            assert_eq!(
                state["check"]["carried"]["turn_now"], true,
                "{:#}",
                state["check"]
            );
            visit.act(carried(true, true, 0.0).to_vec());
        }
        visit.act(carried(left, turned, 0.0).to_vec());
        state = taken(&visit, pass + 1);
    }
    assert_eq!(state["check"]["phase"], "done", "{:#}", state["check"]);
    let result = state["checked"].as_array().and_then(|all| all.last());
    let finding = &result.expect("a result")["findings"][0];
    println!("{:#}", result.expect("a result"));
    assert_eq!(finding["quantity"], "carried_total_toe");
    let number = |key: &str| finding[key].as_f64().expect("a number");
    let true_deg = visit.truth().stance.front_total_toe_deg;
    let error = number("value") - true_deg;
    println!("{error:+.4}° of ±{:.4}°", number("expanded"));
    assert!(error.abs() <= number("expanded") && number("expanded") <= 0.05);

    let written = |state: &Value| state["visit"]["entries"].as_u64() == Some(before + 1);
    visit.daemon.wait("it is in the visit", AT_MOST, written);
    let (_, _, view) = visit.daemon.get("/api/v1/visits/1");
    let view: Value = serde_json::from_str(&view).expect("JSON");
    let findings = view["findings"].as_array().expect("findings");
    let kept = findings
        .iter()
        .find(|f| f["quantity"] == "total_toe_carried");
    let caveat = kept.expect("it stands")["caveat"].as_str().expect("words");
    assert!(
        caveat.starts_with("Does not agree with toe by front and rear gap"),
        "{caveat}"
    );
    visit.daemon.end(AT_MOST);

    let finished = run(
        &["visits", "recompute", "1", "--store", &store, "--json"],
        AT_MOST,
    );
    let runs: Value = serde_json::from_str(&finished.stdout).expect("JSON");
    let again = runs.as_array().expect("runs").last().expect("a run");
    assert_eq!(again["procedure"], "toe_carried", "{again:#}");
    for pair in again["findings"].as_array().expect("findings") {
        assert_eq!(pair["difference_sigmas"], 0.0, "{pair:#}");
        assert_eq!(pair["standard_change"], 0.0, "{pair:#}");
    }
    assert_eq!(finished.code, Some(0), "{runs:#}");
}

#[test]
fn a_straight_edge_gives_toe_of_each_wheel() {
    let visit = garage(&[]);
    visit.act(carried(true, false, 0.0).to_vec());
    let start = json!({ "kind": "carried_toe", "to_left": "+y", "with_edge": true });
    let (status, answer) = visit.daemon.post("/api/v1/check", &start);
    assert_eq!(status, 202, "{answer:#}");
    let taken = |place: &str, passes: usize| {
        visit.daemon.wait("the rest is taken", AT_MOST, |state| {
            let check = &state["check"];
            check["taken"] == passes
                && check["phase"] == "taken"
                && check["carried"]["place"] == place
        });
    };
    let edge_next = || {
        let figure = json!({ "what": "edge_next" });
        let (status, answer) = visit.daemon.post("/api/v1/check/figure", &figure);
        assert_eq!(status, 200, "{answer:#}");
    };
    taken("front_left", 0);
    let mut passes = 0;
    for turned in [false, true] {
        if turned {
            visit.act(carried(true, true, 0.0).to_vec());
            taken("front_left", passes);
        }
        for left in [false, true] {
            visit.act(carried(left, turned, 0.0).to_vec());
            passes += 1;
            taken(if left { "front_left" } else { "front_right" }, passes);
        }
        edge_next();
        let mut steps = carried(true, turned, 0.0);
        if let Step::CarryBlock { to_edge, .. } = &mut steps[0] {
            *to_edge = true;
        }
        visit.act(steps.to_vec());
        passes += 1;
        taken("edge", passes);
        edge_next();
        visit.act(carried(true, turned, 0.0).to_vec());
        passes += 1;
        taken("front_left", passes);
    }
    let (status, done) = visit.daemon.post("/api/v1/check/finish", &json!({}));
    assert_eq!(status, 200, "{done:#}");
    let state = visit.daemon.wait("it is done", AT_MOST, |state| {
        state["check"]["phase"] == "done"
    });
    let result = state["checked"].as_array().and_then(|all| all.last());
    let findings = result.expect("a result")["findings"].as_array();
    let findings = findings.expect("findings");
    let truth = visit.truth();
    for (mount, wheel) in [
        ("front_left", Wheel::FrontLeft),
        ("front_right", Wheel::FrontRight),
    ] {
        let finding = findings
            .iter()
            .find(|found| found["mount"] == mount)
            .unwrap_or_else(|| panic!("none of {mount}: {findings:#?}"));
        let number = |key: &str| finding[key].as_f64().expect("a number");
        let wheel = truth.wheels.iter().find(|one| one.mount == wheel);
        let true_deg = wheel.expect("it has one").toe_deg;
        let error = number("value") - true_deg;
        println!("{mount}: {error:+.4}° of ±{:.4}°", number("expanded"));
        // Twice the ± is four sigmas: one stream in 16 000 lies beyond.
        assert!(error.abs() <= 2.0 * number("expanded"), "{finding:#}");
        assert!(number("expanded") <= 0.06, "{finding:#}");
    }
}

#[test]
fn out_of_reach_is_told_beforehand_and_a_leaning_pass_does_not_count() {
    let visit = garage(&[]);
    let (status, problem) = start(&visit, 0.005);
    assert_eq!(
        (status, problem["code"].as_str()),
        (422, Some("check_not_started")),
        "{problem:#}"
    );
    visit.act(carried(true, false, 0.0).to_vec());
    let (status, answer) = start(&visit, 0.05);
    assert_eq!(status, 202, "{answer:#}");
    visit.daemon.wait("the rest is taken", AT_MOST, |state| {
        state["check"]["phase"] == "taken"
    });
    visit.act(carried(false, false, 60.0).to_vec());
    let state = visit.daemon.wait("it is left out", AT_MOST, |state| {
        state["check"]["carried"]["left_out"] == 1
    });
    let check = &state["check"];
    println!("{check:#}");
    assert_eq!(check["taken"], 0);
    let why = check["carried"]["last_left_out"].as_str().expect("words");
    assert!(why.contains("leaned by"), "{why}");
    let (status, answer) = visit.daemon.post("/api/v1/check/finish", &json!({}));
    assert_eq!(status, 200, "{answer:#}");
    assert_eq!(answer["trouble"]["code"], "too_few_passes", "{answer:#}");
}
