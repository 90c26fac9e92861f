//! The car against an independent rigid-body simulator.
//!
//! The reference cases beside the checkout (`../shared/cases`) were computed by a general-purpose
//! rigid-body engine that shares no code with this project. A vehicle is rebuilt here from a case's
//! truth and its noise-free recording is compared sample by sample.
//!
//! Where the cases are not beside the checkout the tests say so and do nothing; with `CI=true` in
//! the environment their absence is a failure.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use std::fs::File;
use std::io::Read;
use std::path::PathBuf;

use flate2::read::GzDecoder;
use hubplumb_sim::Jet;
use hubplumb_sim::board::Placement;
use hubplumb_sim::car::{
    AxisAngles, BodyMotion, Car, CarState, Corner, Linkage, MovingFrame, Slope, SteeringAxis,
    Wheel, Workshop, axis_direction, spindle_direction,
};
use nalgebra::{Quaternion, UnitQuaternion, Vector3};
use serde_json::Value;

fn cases() -> Option<PathBuf> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
    if folder.is_dir() {
        return Some(folder);
    }
    assert_ne!(
        std::env::var("CI").as_deref(),
        Ok("true"),
        "the reference cases are missing: {}",
        folder.display()
    );
    println!("skipped: no reference cases at {}", folder.display());
    None
}

fn json(name: &str) -> Option<Value> {
    let text = std::fs::read_to_string(cases()?.join(name)).expect("the case is readable");
    Some(serde_json::from_str(&text).expect("the case is JSON"))
}

/// One line of a recording: time in s, force in g, rate in rad/s.
struct Row {
    t_s: f64,
    force_g: Vector3<f64>,
    rate_radps: Vector3<f64>,
}

fn recording(name: &str) -> Vec<Row> {
    let path = cases().expect("asked only when present").join(name);
    let mut text = String::new();
    GzDecoder::new(File::open(path).expect("the recording opens"))
        .read_to_string(&mut text)
        .expect("the recording unpacks");
    text.lines()
        .skip(1)
        .map(|line| {
            let v: Vec<f64> = line
                .split(',')
                .map(|f| f.parse().expect("a number"))
                .collect();
            Row {
                t_s: v[0] * 1e-6,
                force_g: Vector3::new(v[1], v[2], v[3]),
                rate_radps: Vector3::new(v[4], v[5], v[6]).map(f64::to_radians),
            }
        })
        .collect()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn vector(value: &Value) -> Vector3<f64> {
    Vector3::new(number(&value[0]), number(&value[1]), number(&value[2]))
}

fn corner(vehicle: &Value, wheel: Wheel) -> Corner {
    let side = if wheel.side().sign() > 0.0 {
        "left"
    } else {
        "right"
    };
    let (s, truth) = (wheel.side().sign(), &vehicle[side]);
    let angle = |key: &str| number(&truth[key]).to_radians();
    let axis = AxisAngles {
        caster_rad: angle("caster"),
        sai_rad: angle("sai"),
    };
    // The offset is written outward on both sides.
    let mut to_centre_m = vector(&truth["axis_offset"]);
    to_centre_m.y *= s;
    Corner {
        wheel,
        centre_m: Vector3::new(0.0, s * 0.5 * number(&vehicle["track"]), 0.0),
        spindle: spindle_direction(wheel, angle("camber"), angle("toe")),
        steering: Some(SteeringAxis {
            direction: axis_direction(wheel, axis),
            to_centre_m,
        }),
        radius_m: number(&vehicle["radius"]),
    }
}

fn car(truth: &Value) -> Car {
    let vehicle = &truth["vehicle"];
    let angle = |key: &str| number(&vehicle[key]).to_radians();
    let front = |wheel| corner(vehicle, wheel);
    Car {
        name: "Rebuilt".to_owned(),
        corners: [
            front(Wheel::FrontLeft),
            front(Wheel::FrontRight),
            front(Wheel::FrontLeft),
            front(Wheel::FrontRight),
        ],
        linkage: Linkage::Progressive {
            spread_at_20: truth["ackermann"].as_f64().unwrap_or(0.0),
        },
        body: BodyMotion {
            rest_roll_rad: angle("chassis_roll"),
            rest_pitch_rad: angle("chassis_pitch"),
            steer_roll_rad: number(&truth["roll_at_20"]).to_radians(),
            steer_pitch_rad: number(&truth["pitch_at_20"]).to_radians(),
            jack_roll_rad: 1.2_f64.to_radians(),
            jack_pitch_rad: -0.32_f64.to_radians(),
            jack_right_more_rad: 0.0,
            droop_rad: 3.0_f64.to_radians(),
        },
        floor: Slope {
            roll_rad: angle("floor_roll"),
            pitch_rad: angle("floor_pitch"),
        },
        gravity_mps2: number(&vehicle["g"]),
        workshop: Workshop::default(),
    }
}

/// The cases fix sensors to a wheel body whose axes are the chassis' when straight ahead.
fn placement(car: &Car, wheel: Wheel, truth: &Value) -> Placement {
    let q = &truth["mount_quat"];
    let quaternion = Quaternion::new(number(&q[0]), number(&q[1]), number(&q[2]), number(&q[3]));
    let to_hub = car.corner(wheel).hub_axes().inverse();
    let to_body = UnitQuaternion::new_normalize(quaternion).to_rotation_matrix();
    Placement {
        rotation: to_hub * to_body,
        lever_m: to_hub * vector(&truth["lever"]),
    }
}

fn at_board(frame: MovingFrame, placement: &Placement) -> MovingFrame {
    frame
        .offset(&placement.lever_m)
        .mounted(&placement.rotation)
}

fn force_g(car: &Car, wheel: Wheel, state: &CarState, placement: &Placement) -> Vector3<f64> {
    at_board(car.hub_frame(wheel, state), placement).specific_force_mps2(car.gravity_mps2)
        / 9.806_65
}

/// Mean force over the inner part of a dwell.
fn dwell_force_g(rows: &[Row], from_s: f64, to_s: f64) -> Vector3<f64> {
    let inside: Vec<_> = rows
        .iter()
        .filter(|row| row.t_s > from_s + 0.3 && row.t_s < to_s - 0.3)
        .collect();
    assert!(
        inside.len() > 50,
        "the dwell {from_s}..{to_s} s is recorded"
    );
    inside.iter().map(|row| row.force_g).sum::<Vector3<f64>>() / inside.len() as f64
}

/// How far the wheel has been turned on its spindle is in no truth file; it is the one angle that
/// is found from a dwell. Two more components of that dwell remain to be predicted, and all three
/// of every other dwell.
fn rolled_that_explains(
    car: &Car,
    wheel: Wheel,
    placement: &Placement,
    measured_g: &Vector3<f64>,
    base: &CarState,
) -> CarState {
    let with = |rolled: f64| {
        let mut state = *base;
        state.rolled[wheel.index()] = Jet::constant(rolled);
        state
    };
    let miss =
        |rolled: f64| (force_g(car, wheel, &with(rolled), placement) - measured_g).norm_squared();
    let coarse = (0..360)
        .map(|deg| f64::from(deg).to_radians())
        .min_by(|a, b| miss(*a).total_cmp(&miss(*b)))
        .expect("there are candidates");
    let (mut low, mut high) = (coarse - 0.02, coarse + 0.02);
    for _ in 0..80 {
        let (a, b) = (low + (high - low) / 3.0, high - (high - low) / 3.0);
        if miss(a) < miss(b) {
            high = b;
        } else {
            low = a;
        }
    }
    with(f64::midpoint(low, high))
}

/// Dwells repeat to the nine printed digits; the search for the wheel's turn adds a little.
const DWELL_TOLERANCE_G: f64 = 2e-7;

#[test]
fn a_single_wheel_case_is_predicted_at_every_dwell() {
    let Some(case) = json("00_ideal_nominal.json") else {
        return;
    };
    let rows = recording("00_ideal_nominal.csv.gz");
    let (truth, wheel) = (&case["truth"], Wheel::FrontLeft);
    let car = car(truth);
    let placement = placement(&car, wheel, &truth["vehicle"]["left"]);

    let untouched = force_g(&car, wheel, &CarState::default(), &placement);
    let start = dwell_force_g(&rows, 0.0, 2.0);
    assert!(
        (untouched - start).norm() < DWELL_TOLERANCE_G,
        "before anything moved"
    );

    let straight = rolled_that_explains(
        &car,
        wheel,
        &placement,
        &dwell_force_g(&rows, 28.0, 33.0),
        &CarState::default(),
    );
    let mut compared = 0;
    for segment in case["inputs"]["segments"].as_array().expect("segments") {
        let (from_s, to_s) = (
            number(&segment["t0_us"]) * 1e-6,
            number(&segment["t1_us"]) * 1e-6,
        );
        let Some(plate_deg) = segment["plate_read_deg"].as_f64() else {
            continue;
        };
        // No noise here: the reading is the truth.
        let plan = Jet::constant(plate_deg.to_radians());
        let mut state = straight;
        state.steer = plan;
        state.axis_turn = car.axis_turns(plan);
        let predicted = force_g(&car, wheel, &state, &placement);
        let measured = dwell_force_g(&rows, from_s, to_s);
        assert!(
            (predicted - measured).norm() < DWELL_TOLERANCE_G,
            "{}: {predicted} for {measured}",
            segment["label"]
        );
        compared += 1;
    }
    assert_eq!(compared, 4);
}

#[test]
fn jacked_dwells_are_predicted_too() {
    let Some(case) = json("00_ideal_nominal.json") else {
        return;
    };
    let rows = recording("00_ideal_nominal.csv.gz");
    let (truth, wheel) = (&case["truth"], Wheel::FrontLeft);
    let mut car = car(truth);
    // The single-wheel cases roll the chassis by 1.2° and do not pitch it.
    car.body.jack_pitch_rad = 0.0;
    let placement = placement(&car, wheel, &truth["vehicle"]["left"]);
    let mut jacked = CarState::default();
    jacked.jacked[wheel.index()] = Jet::constant(1.0);
    for (from_s, to_s) in [(5.0, 8.0), (10.0, 13.0), (15.0, 18.0), (20.0, 23.0)] {
        let measured = dwell_force_g(&rows, from_s, to_s);
        let state = rolled_that_explains(&car, wheel, &placement, &measured, &jacked);
        let predicted = force_g(&car, wheel, &state, &placement);
        println!(
            "jacked, {from_s} s: off by {:.1e} g",
            (predicted - measured).norm()
        );
        assert!(
            (predicted - measured).norm() < DWELL_TOLERANCE_G,
            "{from_s} s: {predicted} {measured}"
        );
    }
}

#[test]
fn the_moves_of_a_single_wheel_case_are_predicted_sample_by_sample() {
    let Some(case) = json("00_ideal_nominal.json") else {
        return;
    };
    let rows = recording("00_ideal_nominal.csv.gz");
    let (truth, wheel) = (&case["truth"], Wheel::FrontLeft);
    let car = car(truth);
    let placement = placement(&car, wheel, &truth["vehicle"]["left"]);
    let straight = rolled_that_explains(
        &car,
        wheel,
        &placement,
        &dwell_force_g(&rows, 28.0, 33.0),
        &CarState::default(),
    );
    let turn = |plate_deg: f64| car.axis_turns(Jet::constant(plate_deg.to_radians()))[0].value;
    let (stop1, stop2) = (turn(19.504_637_871), turn(-19.656_142_42));
    let moves = [
        (33.0, 2.0, 0.0, stop1),
        (40.0, 4.0, stop1, stop2),
        (49.0, 2.0, stop2, 0.0),
    ];
    let (mut worst_g, mut worst_radps, mut fastest_radps) = (0.0_f64, 0.0_f64, 0.0_f64);
    for (start_s, over_s, from, to) in moves {
        for row in rows
            .iter()
            .filter(|row| row.t_s > start_s && row.t_s < start_s + over_s)
        {
            let mut state = straight;
            // The cases drive the steering joint itself along the minimum-jerk profile.
            state.axis_turn[0] = Jet::minimum_jerk(from, to, row.t_s - start_s, over_s);
            let board = at_board(car.hub_frame(wheel, &state), &placement);
            let force = board.specific_force_mps2(car.gravity_mps2) / 9.806_65;
            worst_g = worst_g.max((force - row.force_g).norm());
            worst_radps = worst_radps.max((board.body_rate_radps() - row.rate_radps).norm());
            fastest_radps = fastest_radps.max(row.rate_radps.norm());
        }
    }
    println!("worst {worst_g:.2e} g, {worst_radps:.2e} rad/s of {fastest_radps:.2} rad/s");
    assert!(fastest_radps > 0.3, "the moves are in the recording");
    assert!(worst_g < 1e-6, "{worst_g} g");
    assert!(worst_radps < 1e-6, "{worst_radps} rad/s");
}

#[test]
fn angles_against_floor_and_gravity_agree_in_every_case() {
    let Some(folder) = cases() else { return };
    let mut compared = 0;
    for entry in std::fs::read_dir(folder).expect("the folder lists") {
        let path = entry.expect("an entry").path();
        if path.extension().is_none_or(|kind| kind != "json") {
            continue;
        }
        let name = path
            .file_name()
            .and_then(|name| name.to_str())
            .expect("a name");
        let case = json(name).expect("present");
        let (truth, wheel) = match case["inputs"]["side"].as_str() {
            Some("L") => (&case["truth"], Wheel::FrontLeft),
            Some("R") => (&case["truth"], Wheel::FrontRight),
            side => panic!("{name}: side {side:?}"),
        };
        let car = car(truth);
        let to_level = car.floor.rotation() * car.rest_to_floor();
        for (against, rotation) in [("floor", car.rest_to_floor()), ("gravity", to_level)] {
            let angles = car.corner(wheel).angles_in(&rotation);
            let axis = angles.steering.expect("a front wheel steers");
            for (key, found_rad) in [
                ("camber", angles.camber_rad),
                ("toe", angles.toe_rad),
                ("caster", axis.caster_rad),
                ("sai", axis.sai_rad),
            ] {
                let expected_deg = number(&truth[against][key]);
                assert!(
                    (found_rad.to_degrees() - expected_deg).abs() < 1e-9,
                    "{name} {against} {key}: {} for {expected_deg}",
                    found_rad.to_degrees()
                );
                compared += 1;
            }
        }
        compared += check_steer_table(name, &car, wheel, truth);
    }
    assert!(compared >= 100, "only {compared} values were compared");
}

/// Plate angle and camber against the floor over the whole lock, from the case's own table, whose
/// argument is the turn about the steering axis.
fn check_steer_table(name: &str, car: &Car, wheel: Wheel, truth: &Value) -> usize {
    let mut still = car.clone();
    // The table is made with the body at rest.
    still.body.steer_roll_rad = 0.0;
    still.body.steer_pitch_rad = 0.0;
    let table = truth["steer_table"].as_array().expect("a table");
    for line in table {
        let turn = Jet::constant(number(&line["theta"]).to_radians());
        let state = CarState {
            axis_turn: [turn; 2],
            ..CarState::default()
        };
        let plate_deg = still.plate_rad(wheel, &state).to_degrees();
        let camber_deg = (-still.spindle_on_floor(wheel, &state).z)
            .asin()
            .to_degrees();
        assert!(
            (plate_deg - number(&line["plate"])).abs() < 1e-9,
            "{name} plate {line}"
        );
        assert!(
            (camber_deg - number(&line["camber_floor"])).abs() < 1e-9,
            "{name} camber {line}"
        );
    }
    2 * table.len()
}

#[test]
fn a_pair_case_with_body_motion_is_predicted_at_both_stops() {
    let Some(case) = json("pair/00_ideal_pair.json") else {
        return;
    };
    let truth = &case["truth"];
    let car = car(truth);
    for (side, letter, wheel) in [
        ("left", "L", Wheel::FrontLeft),
        ("right", "R", Wheel::FrontRight),
    ] {
        let rows = recording(&format!("pair/00_ideal_pair.{side}.csv.gz"));
        let placement = placement(&car, wheel, &truth["vehicle"][side]);
        let clock = &truth["boards"][side];
        let to_board_s = |reference_s: f64| {
            number(&clock["clock_offset_s"])
                + (1.0 + number(&clock["clock_rate_ppm"]) * 1e-6) * reference_s
        };
        let dwell =
            |from_s: f64, to_s: f64| dwell_force_g(&rows, to_board_s(from_s), to_board_s(to_s));
        let straight = rolled_that_explains(
            &car,
            wheel,
            &placement,
            &dwell(63.0, 68.0),
            &CarState::default(),
        );
        for (from_s, to_s, stop) in [(70.0, 75.0, "stop1"), (79.0, 84.0, "stop2")] {
            // Mean of both plates is the angle of the rack, by which the body leans.
            let segment = case["inputs"]["segments"]
                .as_array()
                .and_then(|all| all.iter().find(|s| s["label"] == stop))
                .expect("the stop is there");
            let plate = |letter: &str| number(&segment["plate_read_deg"][letter]).to_radians();
            let mean = Jet::constant(f64::midpoint(plate("L"), plate("R")));
            let mut state = straight;
            state.steer = mean;
            state.axis_turn = car.axis_turns(mean);
            let body = car.body.attitude(mean, &state.jacked);
            let roll_deg = body.roll.value.to_degrees() - number(&truth["vehicle"]["chassis_roll"]);
            let expected_deg = number(&truth["stops"][stop]["body_roll_deg"]);
            assert!(
                (roll_deg - expected_deg).abs() < 1e-3,
                "{stop} roll {roll_deg}"
            );

            let own_deg = car.plate_rad(wheel, &state).to_degrees();
            let read_deg = plate(letter).to_degrees();
            // The two laws of the linkage agree in form; the case fits its own by a polynomial.
            assert!(
                (own_deg - read_deg).abs() < 0.01,
                "{stop} {side}: {own_deg} {read_deg}"
            );

            let predicted = force_g(&car, wheel, &state, &placement);
            let measured = dwell(from_s, to_s);
            // 0.01° of steer moves the force by 2e-5 g at most.
            assert!(
                (predicted - measured).norm() < 5e-5,
                "{stop} {side}: {predicted} {measured}"
            );
        }
    }
}
