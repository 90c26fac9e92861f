//! A car that is wrong is measured, adjusted and measured again, on real wires.

use hubplumb_sim::motion::Rocked;
use hubplumb_sim::{Step, Wheel};
use hubplumb_tests::visiting::{RIM_M, Visiting};
use serde_json::{Value, json};

/// How fast a visit goes: four times real time keeps five boards in step on two busy cores.
const SPEED: f64 = 4.0;

fn found_deg(state: &Value, mount: &str, angle: &str) -> f64 {
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    let findings = state["findings"].as_array().expect("findings");
    // Those of every swing are there, the newest last.
    let found = findings
        .iter()
        .rfind(|found| found["mount"] == mount && found["angle"] == angle);
    let found = found.unwrap_or_else(|| panic!("{mount} {angle} is missing: {findings:#?}"));
    found["value_deg"].as_f64().expect("a number")
}

/// Everything a swing tells of the front wheels agrees with the truth of that moment.
fn judge(visit: &Visiting, state: &Value) {
    let truth = visit.truth();
    for wheel in [Wheel::FrontLeft, Wheel::FrontRight] {
        let told = truth.wheel(wheel).expect("a wheel");
        let true_deg = [
            ("camber", Some(told.camber_deg)),
            ("caster", told.caster_deg),
            ("sai", told.sai_deg),
            ("included_angle", told.included_deg),
        ];
        for (angle, true_deg) in true_deg {
            let (found, true_deg) = (
                found_deg(state, wheel.name(), angle),
                true_deg.expect("a front wheel"),
            );
            // As the swings of the good chip elsewhere here, and the toe nobody told: 0.15° of it is
            // 0.15° · tan 9° = 0.024° of caster.
            assert!(
                (found - true_deg).abs() < 0.2,
                "{wheel} {angle}: {found:+.3}°, truth {true_deg:+.3}°"
            );
        }
    }
}

#[test]
fn a_bent_knuckle_is_seen_replaced_and_seen_no_more() {
    let visit = Visiting::begin(SPEED);
    let before = visit.swing();
    judge(&visit, &before);
    let included = |state: &Value| found_deg(state, "front_left", "included_angle");
    let left_toe_mm = || {
        let readings = visit.string_box_readings();
        let [front_mm, rear_mm] = readings[Wheel::RearLeft.index()].read_mm;
        front_mm - rear_mm
    };
    let (seen_deg, string_mm, toe_deg) = (
        included(&before),
        left_toe_mm(),
        visit.camber_toe_deg(Wheel::RearLeft).1,
    );

    visit.replace_damaged(Wheel::FrontLeft);
    visit.turn_eccentric(Wheel::RearLeft, -15.7);
    visit.turn_tie_rod(Wheel::FrontLeft, 0.38);
    visit.turn_tie_rod(Wheel::FrontRight, 0.31);
    visit.bounce();

    let after = visit.swing();
    judge(&visit, &after);
    assert!((included(&after) - seen_deg - 1.2).abs() < 0.2);
    // A tape of 0.3 mm read four times.
    let turned_rad = (visit.camber_toe_deg(Wheel::RearLeft).1 - toe_deg).to_radians();
    let error_mm = left_toe_mm() - string_mm - RIM_M * 1e3 * turned_rad;
    assert!(error_mm.abs() < 4.0 * 0.6, "{error_mm} mm");
    let stance = visit.truth().stance;
    assert!(stance.thrust_deg.abs() < 0.02 && stance.front_total_toe_deg > 0.1);
}

/// Starts a check, and waits until it is in a phase.
#[track_caller]
fn started(visit: &Visiting, start: &Value, phase: &str) {
    let (status, answer) = visit.daemon.post("/api/v1/check", start);
    assert_eq!(status, 202, "{answer:#}");
    until(visit, phase);
}

#[track_caller]
fn until(visit: &Visiting, phase: &str) -> Value {
    let state = visit.daemon.wait(phase, visit.real(60.0), |state| {
        let now = &state["check"]["phase"];
        *now == *phase || *now == "refused"
    });
    assert_eq!(state["check"]["phase"], phase, "{:#}", state["check"]);
    state
}

/// A finding of the last result: value and half width of its interval.
#[track_caller]
fn checked(state: &Value, quantity: &str) -> (f64, f64) {
    let result = state["checked"].as_array().and_then(|all| all.last());
    let findings = result.expect("a result")["findings"].as_array();
    let found = findings
        .expect("findings")
        .iter()
        .find(|found| found["quantity"] == quantity)
        .unwrap_or_else(|| panic!("no {quantity}: {result:#?}"));
    let number = |key: &str| found[key].as_f64().expect("a number");
    (number("value"), number("expanded"))
}

#[test]
fn camber_follows_the_ride_height() {
    let visit = Visiting::begin(SPEED);
    let start = json!({ "kind": "height_sweep", "mount": "front_left", "hold_s": 3, "ride_height_mm": 350 });
    started(&visit, &start, "await_figure");
    let mut true_deg = Vec::new();
    for to_mm in [-20.0, -10.0, 0.0, 10.0, 20.0] {
        visit.set_height(&[Wheel::FrontLeft], to_mm);
        true_deg.push(visit.camber_toe_deg(Wheel::FrontLeft).0);
        let figure = json!({ "what": "height", "height_mm": 350.0 + to_mm });
        let taken = true_deg.len();
        let (status, answer) = visit.daemon.post("/api/v1/check/figure", &figure);
        assert_eq!(status, 200, "{answer:#}");
        visit
            .daemon
            .wait("the stop is taken", visit.real(30.0), |state| {
                state["check"]["taken"] == taken
            });
    }
    let (status, answer) = visit.daemon.post("/api/v1/check/finish", &json!({}));
    assert_eq!(status, 200, "{answer:#}");
    let state = until(&visit, "done");
    let (slope, expanded) = checked(&state, "camber_slope");
    // The slope at the middle of points that lie alike about it is that of the outer two.
    let should = (true_deg[4] - true_deg[0]) / 40.0;
    println!("slope {slope:+.5} ± {expanded:.5} °/mm, truth {should:+.5}");
    assert!((slope - should).abs() <= 1.5 * expanded && expanded < 0.004);
}

#[test]
fn a_rocked_wheel_shows_its_play() {
    // In real time: rocking is the fastest that a wheel is moved, and a gap of a tenth of a second is refused.
    let visit = Visiting::begin(1.0);
    let wheel = Wheel::FrontRight;
    visit.act(vec![Step::Jack {
        wheel,
        up: true,
        over_s: 2.0,
    }]);
    let start =
        json!({ "kind": "play", "mount": "front_right", "grip": "top_bottom", "rock_s": 16 });
    started(&visit, &start, "rock");
    visit.act(vec![Step::Rock {
        wheel,
        about: Rocked::TopBottom,
        cycles: 6,
        hold_s: 0.8,
        over_s: 0.4,
    }]);
    let state = until(&visit, "done");
    let (play, expanded) = checked(&state, "play_top_bottom");
    // What the scenario gives that wheel from end to end, and the 0.02° that the simulated hands
    // push it beyond either end. Turning points are extremes, so noise makes them a little larger.
    println!("play {play:.3} ± {expanded:.3}°");
    assert!((play - 0.29).abs() <= 0.01, "{play} ± {expanded}");
}
