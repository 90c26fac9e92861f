//! A car that is wrong is measured, adjusted and measured again, on real wires.

use hubplumb_sim::Wheel;
use hubplumb_tests::visiting::{RIM_M, Visiting};
use serde_json::Value;

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
