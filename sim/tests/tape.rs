//! What a tape, a trammel and a lamp show of the simulated car.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::car::{Car, CarState};
use hubplumb_sim::{Jet, Scenario, Stance, TapeReader, Wheel, light_spot_m, render};

fn bent() -> Scenario {
    Scenario::shipped("bent-knuckle").expect("shipped")
}

/// The scenario with some of its text replaced.
fn bent_with(changes: &[(&str, &str)]) -> Scenario {
    let text = Scenario::shipped_toml("bent-knuckle").expect("shipped");
    let text = changes.iter().fold(text.to_owned(), |text, (old, new)| {
        assert!(text.contains(old), "the file has {old:?}");
        text.replace(old, new)
    });
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{error}"))
}

/// The same with rims that run true and a tape that is read exactly.
fn exact() -> Scenario {
    let text = Scenario::shipped_toml("bent-knuckle").expect("shipped");
    let kept = text.lines().filter(|line| !line.starts_with("rim ="));
    let text = kept.collect::<Vec<_>>().join("\n");
    let text = text.replace("tape_sigma_mm = 0.3", "tape_sigma_mm = 0.0");
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{error}"))
}

fn camber_toe_deg(car: &Car, wheel: Wheel) -> (f64, f64) {
    let angles = car.corner(wheel).angles_in(&car.rest_to_floor());
    (angles.camber_rad.to_degrees(), angles.toe_rad.to_degrees())
}

#[track_caller]
fn check(what: &str, found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found - expected).abs() <= tolerance,
        "{what}: {found:.6} instead of {expected:.6}"
    );
}

#[test]
fn strings_trammel_and_lamp_show_toe_by_their_own_formulas() {
    let scenario = exact();
    let car = scenario.car();
    let state = CarState::default();
    let mut tape = TapeReader::new(&scenario);
    let (diameter_m, string_m) = (0.350, 0.75);
    for reading in tape.strings(car, &state, diameter_m, string_m) {
        let [front_mm, rear_mm] = reading.true_mm;
        assert_eq!(reading.true_mm, reading.read_mm);
        // sin τ = (d_front − d_rear) / D, reference §4.
        let toe_deg = ((front_mm - rear_mm) / 350.0).asin().to_degrees();
        check(
            "string",
            toe_deg,
            camber_toe_deg(car, reading.mount).1,
            1e-6,
        );
        // Half the track is 630 mm, the rim's middle is that far from the centreline.
        check(
            "middle",
            f64::midpoint(front_mm, rear_mm),
            750.0 - 630.0,
            1e-6,
        );
    }
    let stance = Stance::of(car, &state);
    for (front_axle, total_deg) in [
        (true, stance.front_total_toe_deg),
        (false, stance.rear_total_toe_deg),
    ] {
        let found = tape.trammel(car, &state, front_axle, diameter_m);
        let toe_deg = (found.gap_read_mm / 350.0).asin().to_degrees();
        check("trammel", toe_deg, total_deg, 1e-4);
    }
    for wheel in Wheel::ALL {
        let spot_m = light_spot_m(car, wheel, &state, 3.0);
        let toe_deg = (spot_m / 3.0).atan().to_degrees();
        check("lamp", toe_deg, camber_toe_deg(car, wheel).1, 1e-9);
    }
}

#[test]
fn a_rim_that_runs_out_spoils_a_tape_and_half_a_turn_undoes_it() {
    let scenario = bent_with(&[
        ("tape_sigma_mm = 0.3", "tape_sigma_mm = 0.0"),
        ("high_at_deg = 75", "high_at_deg = 90"),
    ]);
    let car = scenario.car();
    let mut tape = TapeReader::new(&scenario);
    let mut toe_mm = |rolled_rad: f64| {
        let state = CarState {
            rolled: [Jet::constant(rolled_rad); 4],
            ..CarState::default()
        };
        let reading = tape.strings(car, &state, 0.35, 0.75)[Wheel::RearLeft.index()];
        reading.true_mm[0] - reading.true_mm[1]
    };
    let (one, other) = (toe_mm(0.0), toe_mm(std::f64::consts::PI));
    // 0.3 mm from end to end, standing furthest out in front, so the front is nearer the string.
    check("run-out", one - other, -0.6, 1e-3);
    let toe_deg = camber_toe_deg(car, Wheel::RearLeft).1;
    check(
        "mean",
        0.5 * (one + other),
        350.0 * toe_deg.to_radians().sin(),
        1e-3,
    );
}

#[test]
fn a_tape_is_read_with_its_error_the_same_for_the_same_seed() {
    let scenario = bent();
    let read = |seed: u64| {
        let scenario = scenario.clone().with_seed(seed);
        let mut tape = TapeReader::new(&scenario);
        let mut errors_mm = Vec::new();
        for _ in 0..200 {
            for reading in tape.strings(scenario.car(), &CarState::default(), 0.35, 0.75) {
                errors_mm.extend([0, 1].map(|end| reading.read_mm[end] - reading.true_mm[end]));
            }
        }
        errors_mm
    };
    let errors_mm = read(1);
    assert_eq!(errors_mm, read(1));
    assert_ne!(errors_mm, read(2));
    let square: f64 = errors_mm.iter().map(|mm| mm * mm).sum();
    let sigma_mm = (square / errors_mm.len() as f64).sqrt();
    // 1600 draws: three standard errors are 0.3 · 3 / √3200.
    check("sigma", sigma_mm, 0.3, 0.3 * 3.0 / 3200.0_f64.sqrt());
    assert_eq!(render(&scenario), render(&bent()));
}
