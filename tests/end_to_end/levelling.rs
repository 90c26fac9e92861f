//! Run-outs on the simulated car, and swings that go by them.

use std::time::Duration;

use hubplumb_sim::{Scenario, Script, SimBoard, Step, Wheel};
use hubplumb_tests::Garage;
use hubplumb_tests::garage::{Sitting, sits_square, told_all};
use serde_json::{Value, json};

use crate::swing::judge;

const WHEELS: [(Wheel, &str); 2] = [
    (Wheel::FrontLeft, "front_left"),
    (Wheel::FrontRight, "front_right"),
];

/// The script of a scenario with run-outs: left wheel, right wheel, swing.
fn parts(garage: &Garage) -> [Script; 3] {
    let steps = garage.script().steps;
    let down: Vec<usize> = (0..steps.len())
        .filter(|i| matches!(steps[*i], Step::Jack { up: false, .. }))
        .collect();
    let [left, right] = down[..] else {
        panic!("two corners are let down: {down:?}");
    };
    [
        Script::new(steps[..=left].to_vec()),
        Script::new(steps[left + 1..=right].to_vec()),
        Script::new(steps[right + 1..].to_vec()),
    ]
}

fn of<'a>(state: &'a Value, mount: &str) -> &'a Value {
    let wheels = state["levelling"]["run_outs"].as_array().expect("run-outs");
    wheels
        .iter()
        .find(|wheel| wheel["mount"] == mount)
        .expect("a wheel there")
}

/// Jacks a corner, turns its wheel and lets it down while its run-out runs.
#[track_caller]
fn run_out(garage: &Garage, mount: &str, script: &Script) -> Value {
    let body = json!({ "mount": mount, "jacked": true });
    let (status, answer) = garage.daemon.post("/api/v1/run-out", &body);
    assert_eq!(status, 202, "{answer:#}");
    let ends_s = garage
        .sim
        .drive(script)
        .expect("a script that can be driven");
    let lasts = Duration::from_secs_f64((ends_s - garage.sim.now_s()).max(0.0));
    let state = garage.daemon.wait(
        "the run-out is over",
        lasts + Duration::from_secs(10),
        |state| {
            let phase = &of(state, mount)["phase"];
            *phase == "done" || *phase == "refused"
        },
    );
    while !garage.sim.is_idle() {
        std::thread::sleep(Duration::from_millis(50));
    }
    let found = of(&state, mount);
    assert_eq!(found["phase"], "done", "{found:#}");
    assert_eq!(found["sits_by"], "run_out");
    assert_eq!(found["result"]["stops"], 4, "{found:#}");
    println!("{mount}: {:#}", found["result"]);
    state
}

#[track_caller]
fn number(of: &Value, key: &str) -> f64 {
    of[key]
        .as_f64()
        .unwrap_or_else(|| panic!("{key} of {of:#}"))
}

fn newest<'a>(state: &'a Value, mount: &str, angle: &str) -> &'a Value {
    let findings = state["findings"].as_array().expect("findings");
    findings
        .iter()
        .rev()
        .find(|finding| finding["mount"] == mount && finding["angle"] == angle)
        .expect("a finding")
}

/// Killed after two corners were jacked and the pads were measured: nobody has to do that again.
#[test]
fn what_was_found_before_a_kill_is_offered_and_the_swing_goes_by_it() {
    let scenario = Scenario::shipped("body-roll").expect("a shipped scenario");
    let mut garage = Garage::open(scenario, &told_all);
    let [left, right, swing] = parts(&garage);
    run_out(&garage, "front_left", &left);
    run_out(&garage, "front_right", &right);
    let heights = json!({
        "front_left_mm": 0.0, "front_right_mm": 0.4, "rear_left_mm": 0.1, "rear_right_mm": 0.3,
        "standard_mm": 0.5, "track_front_mm": 1500.0, "track_rear_mm": 1500.0, "wheelbase_mm": 2600.0
    });
    let (status, before) = garage.daemon.post("/api/v1/floor/heights", &heights);
    assert_eq!(status, 200, "{before:#}");
    garage.kill_and_start();
    let state = garage
        .daemon
        .wait("the offer", Duration::from_secs(10), |state| {
            state["levelling"]["earlier"].is_object()
        });
    assert_eq!(
        state["levelling"]["earlier"]["what"]
            .as_array()
            .expect("words")
            .len(),
        3
    );
    assert_eq!(state["levelling"]["floor"]["by"], "configuration");
    let (status, after) = garage.daemon.post("/api/v1/levelling/go-on", &json!({}));
    assert_eq!(status, 200, "{after:#}");
    assert_eq!(after["floor"], before["floor"]);
    assert!(after["earlier"].is_null(), "{:#}", after["earlier"]);
    for wheel in 0..2 {
        let found = |view: &Value| {
            let mut result = view["run_outs"][wheel]["result"].clone();
            // By the clock of another life, and rounded once more.
            for key in ["at_us", "outboard"] {
                result.as_object_mut().expect("a result").remove(key);
            }
            result
        };
        assert_eq!(found(&after), found(&before), "{wheel}");
    }
    let (status, _) = garage.daemon.post("/api/v1/levelling/go-on", &json!({}));
    assert_eq!(status, 409, "once is enough");
    let state = garage.swing("gyro", &swing);
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    for (wheel, mount) in WHEELS {
        judge(&garage, &state, wheel, mount, 0.15);
    }
}

#[test]
fn a_board_on_a_rolling_body_and_run_outs_make_caster_good() {
    let scenario = Scenario::shipped("body-roll").expect("a shipped scenario");
    let garage = Garage::open(scenario, &told_all);
    let [left, right, swing] = parts(&garage);
    let state = run_out(&garage, "front_left", &left);
    assert_eq!(of(&state, "front_left")["result"]["body_seen"], true);
    assert_eq!(state["levelling"]["body"]["by_jackings"], false);
    let state = run_out(&garage, "front_right", &right);
    assert_eq!(
        state["levelling"]["body"]["by_jackings"], true,
        "{:#}",
        state["levelling"]
    );
    let state = garage.swing("gyro", &swing);
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    assert_eq!(
        state["swing"]["body"]["state"], "watching",
        "{:#}",
        state["swing"]["body"]
    );
    for (wheel, mount) in WHEELS {
        judge(&garage, &state, wheel, mount, 0.15);
        let caster = newest(&state, mount, "caster");
        assert!(number(caster, "expanded_deg") <= 0.15, "{caster:#}");
        assert_eq!(caster["body_watched"], true);
    }
    // Left less right, by what they share, is within its own interval too.
    let truth = garage.sim.truth();
    let of_wheel = |wheel| {
        truth
            .wheel(wheel)
            .expect("a wheel")
            .caster_deg
            .expect("steered")
    };
    let should = of_wheel(Wheel::FrontLeft) - of_wheel(Wheel::FrontRight);
    let differences = state["differences"].as_array().expect("differences");
    let caster = differences
        .iter()
        .find(|difference| difference["angle"] == "caster")
        .expect("a difference of casters");
    let error = number(caster, "value_deg") - should;
    assert!(
        error.abs() <= number(caster, "expanded_deg"),
        "{error}: {caster:#}"
    );
    assert!(number(caster, "correlation").abs() <= 1.0);
}

#[test]
fn without_a_board_on_the_body_the_interval_covers_what_it_rolls() {
    // One wheel alone: two good ones would tell each other about the body.
    let text = Scenario::shipped_toml("body-roll").expect("shipped");
    let (second, _) = text.match_indices("[[board]]").nth(1).expect("boards");
    let scenario = Scenario::from_toml(&text[..second]).expect("a scenario");
    let sitting = Sitting {
        told: &told_all,
        sits: &sits_square,
        swing: "body_roll_standard_deg = 0.3\nbody_pitch_standard_deg = 0.15\n",
        record: false,
        journal: false,
    };
    let garage = Garage::open_sitting(scenario, &sitting);
    let [.., swing] = parts(&garage);
    let state = garage.swing("gyro", &swing);
    assert_eq!(state["swing"]["body"]["state"], "none");
    let truth = garage.sim.truth();
    let (wheel, mount) = WHEELS[0];
    let caster = newest(&state, mount, "caster");
    let should = truth
        .wheel(wheel)
        .expect("a wheel")
        .caster_deg
        .expect("steered");
    let error = number(caster, "value_deg") - should;
    let expanded = number(caster, "expanded_deg");
    println!("{mount} caster: error {error:+.3}°, ±{expanded:.3}°");
    assert!(error.abs() <= expanded, "{error} {caster:#}");
    // It is the body that costs it, and the finding says so.
    assert!(error.abs() > 0.5, "{error}");
    assert!(
        caster["largest_contributor"]
            .as_str()
            .is_some_and(|text| text.contains("no board watched")),
        "{caster:#}"
    );
}

/// The printed axis that points nearest to away from the car.
fn away(garage_board: &SimBoard, scenario: &Scenario) -> String {
    let spec = scenario
        .boards()
        .iter()
        .find(|spec| spec.mount == garage_board.mount)
        .expect("a board of the scenario");
    let outward = if garage_board.mount == hubplumb_sim::Mount::FrontLeft {
        1.0
    } else {
        -1.0
    };
    let rotation = spec.placement.rotation.matrix();
    let along = [0, 1, 2].map(|column| outward * rotation[(1, column)]);
    let most = (0..3)
        .max_by(|a, b| along[*a].abs().total_cmp(&along[*b].abs()))
        .expect("three");
    let sign = if along[most] > 0.0 { '+' } else { '-' };
    format!("{sign}{}", ["x", "y", "z"][most])
}

#[test]
fn boards_strapped_on_anyhow_find_how_they_sit() {
    let scenario = Scenario::shipped("oblique-mounts").expect("a shipped scenario");
    // The left one says only which axis points away from the car; the right one nothing.
    let of_scenario = scenario.clone();
    let sits = |board: &SimBoard| {
        if board.mount == hubplumb_sim::Mount::FrontLeft {
            format!(
                "mounting = {{ away = \"{}\" }}\n",
                away(board, &of_scenario)
            )
        } else {
            String::new()
        }
    };
    let sitting = Sitting {
        told: &told_all,
        sits: &sits,
        swing: "",
        record: false,
        journal: true,
    };
    let garage = Garage::open_sitting(scenario, &sitting);
    let before = garage.daemon.state();
    for wheel in before["wheels"].as_array().expect("wheels") {
        assert_eq!(wheel["camber"]["reason"], "unmounted", "{wheel:#}");
    }
    let (status, problem) = garage.daemon.post("/api/v1/swing", &json!({}));
    assert_eq!(status, 409, "{problem:#}");
    let [left, right, swing] = parts(&garage);
    let state = run_out(&garage, "front_left", &left);
    assert_eq!(
        of(&state, "front_left")["result"]["outboard_by"],
        "away_from_car"
    );
    let state = run_out(&garage, "front_right", &right);
    assert_eq!(
        of(&state, "front_right")["result"]["outboard_by"],
        "forward_rolling"
    );
    // Live camber goes by it at once, on the ground again.
    let state = garage
        .daemon
        .wait("camber of both wheels", Duration::from_secs(10), |state| {
            let wheels = state["wheels"].as_array().expect("wheels");
            wheels
                .iter()
                .all(|wheel| wheel["motion"] == "still" && wheel["camber"]["status"] == "known")
        });
    let truth = garage.sim.truth();
    for (wheel, mount) in WHEELS {
        let wheels = state["wheels"].as_array().expect("wheels");
        let live = wheels
            .iter()
            .find(|live| live["mount"] == mount)
            .expect("a wheel");
        let error =
            number(&live["camber"], "value_deg") - truth.wheel(wheel).expect("a wheel").camber_deg;
        println!("{mount}: live camber off by {error:+.4}°");
        assert!(
            error.abs() <= number(&live["camber"], "expanded_deg"),
            "{live:#}"
        );
    }
    let state = garage.swing("gyro", &swing);
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    for (wheel, mount) in WHEELS {
        judge(&garage, &state, wheel, mount, 0.15);
    }
    crate::journal::plays_alike(&garage);
}

#[test]
fn a_run_out_is_given_up_and_its_troubles_are_told() {
    let garage = Garage::shipped("garage-good", None);
    let left = json!({ "mount": "front_left" });
    let start = json!({ "mount": "front_left", "jacked": false });
    let (status, answer) = garage.daemon.post("/api/v1/run-out", &start);
    assert_eq!(status, 202, "{answer:#}");
    for (path, body, code) in [
        ("/api/v1/run-out", &start, "run_out_running"),
        ("/api/v1/swing", &json!({}), "run_out_running"),
    ] {
        let (status, problem) = garage.daemon.post(path, body);
        assert_eq!(
            (status, &problem["code"]),
            (409, &json!(code)),
            "{problem:#}"
        );
    }
    garage
        .daemon
        .wait("a stop is taken", Duration::from_secs(10), |state| {
            of(state, "front_left")["phase"] == "taken"
        });
    let (status, answer) = garage.daemon.post("/api/v1/run-out/finish", &left);
    assert_eq!(status, 200, "{answer:#}");
    let view = json!({ "levelling": answer });
    let refused = of(&view, "front_left");
    assert_eq!(refused["trouble"]["code"], "too_few_stops", "{refused:#}");
    assert_eq!(refused["sits_by"], "declared");
    let (status, _) = garage.daemon.post("/api/v1/run-out", &start);
    assert_eq!(status, 202);
    let (_, answer) = garage.daemon.post("/api/v1/run-out/cancel", &left);
    let view = json!({ "levelling": answer });
    assert_eq!(of(&view, "front_left")["trouble"]["code"], "cancelled");
}

#[test]
fn rolling_the_car_forward_by_quarters_turns_both_wheels_at_once() {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let text = text.replace("brake = \"locked\"", "brake = \"free\"");
    let scenario = Scenario::from_toml(&text).expect("a scenario");
    let garage = Garage::open(scenario, &told_all);
    for (_, mount) in WHEELS {
        let body = json!({ "mount": mount, "jacked": false });
        let (status, answer) = garage.daemon.post("/api/v1/run-out", &body);
        assert_eq!(status, 202, "{answer:#}");
    }
    let rest = || Step::Rest {
        for_s: 3.0,
        label: None,
    };
    // A quarter turn of a wheel of 310 mm radius.
    let roll = || Step::RollForward {
        distance_m: 0.487,
        over_s: 2.0,
    };
    let steps = vec![
        Step::Brake { locked: false },
        rest(),
        roll(),
        rest(),
        roll(),
        rest(),
        roll(),
        rest(),
    ];
    garage
        .sim
        .drive(&Script::new(steps))
        .expect("a script that can be driven");
    let state = garage
        .daemon
        .wait("both run-outs are over", Duration::from_secs(40), |state| {
            WHEELS.iter().all(|(_, mount)| {
                let phase = &of(state, mount)["phase"];
                *phase == "done" || *phase == "refused"
            })
        });
    for (_, mount) in WHEELS {
        let wheel = of(&state, mount);
        assert_eq!(wheel["phase"], "done", "{wheel:#}");
        // The board was strapped on square to within a few hundredths.
        assert!(
            number(&wheel["result"], "off_declared_deg") < 0.1,
            "{wheel:#}"
        );
        assert_eq!(wheel["result"]["body_seen"], false);
    }
}

#[test]
fn a_board_turned_end_for_end_gives_the_slope_of_a_line_without_its_offset() {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let text = text.replacen("pitch_deg = 0.0", "pitch_deg = 0.5", 1);
    let scenario = Scenario::from_toml(&text).expect("a scenario");
    let garage = Garage::open(scenario, &told_all);
    let state = garage.daemon.state();
    let boards = state["boards"].as_array().expect("boards");
    let left = boards
        .iter()
        .find(|board| board["mount"] == "front_left")
        .expect("a board");
    // The hub stands in for the straight-edge: its forward direction is along the left pads.
    let rest = |turned: bool| {
        let body = json!({ "line": "left", "board": left["id"], "along": "+x", "turned": turned });
        garage.daemon.post("/api/v1/floor/line", &body)
    };
    let still = || {
        garage
            .daemon
            .wait("the wheel is still", Duration::from_secs(15), |state| {
                let wheels = state["wheels"].as_array().expect("wheels");
                wheels.iter().all(|wheel| wheel["motion"] == "still")
            })
    };
    still();
    let (status, problem) = rest(true);
    assert_eq!(
        (status, &problem["code"]),
        (409, &json!("no_first_rest")),
        "{problem:#}"
    );
    let (status, view) = rest(false);
    assert_eq!(
        (status, &view["floor"]["half"]),
        (200, &json!("left")),
        "{view:#}"
    );
    let turn = Step::BoardSlip {
        mount: hubplumb_sim::Mount::FrontLeft,
        by_deg: [0.0, 180.0, 0.0],
    };
    garage
        .sim
        .drive(&Script::new(vec![turn]))
        .expect("a script that can be driven");
    // Turned about its upright, the board takes outboard for inboard: the sign
    // of what it shows for camber turns round.
    garage.daemon.wait(
        "the board is turned and still",
        Duration::from_secs(15),
        |state| {
            let wheels = state["wheels"].as_array().expect("wheels");
            let left = wheels
                .iter()
                .find(|wheel| wheel["mount"] == "front_left")
                .expect("a wheel");
            let camber_deg = left["camber"]["value_deg"].as_f64();
            left["motion"] == "still" && camber_deg.is_some_and(|camber_deg| camber_deg > 0.3)
        },
    );
    let (status, view) = rest(true);
    assert_eq!(status, 200, "{view:#}");
    let lines = view["floor"]["lines"].as_array().expect("lines");
    let pitch_deg = garage.sim.truth().floor.pitch_deg;
    assert!((pitch_deg - 0.5).abs() < 1e-9, "{pitch_deg}");
    let (slope, expanded) = (
        number(&lines[0], "slope_deg"),
        number(&lines[0], "expanded_deg"),
    );
    println!(
        "slope {slope:+.4}° ± {expanded:.4}°, truth {:+.4}°",
        -pitch_deg
    );
    // Front lower is + pitch of the floor and − slope of the line.
    assert!((slope + pitch_deg).abs() <= expanded, "{view:#}");
    // One line along the car is not a floor yet.
    assert_eq!(view["floor"]["by"], "configuration");
}
