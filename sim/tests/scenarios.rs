//! Scenario files: the shipped ones, determinism, and what is refused.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use hubplumb_sim::{Mount, Recording, Scenario, ScenarioError, Wheel, render};

#[test]
fn every_shipped_scenario_reads_renders_and_is_named_as_its_file() {
    let names = Scenario::shipped_names();
    assert_eq!(names.len(), 9);
    for name in names {
        let text = Scenario::shipped_toml(name).expect("shipped");
        let scenario = Scenario::from_toml(text).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(scenario.name(), name);
        assert!(!scenario.about().is_empty());
        let recordings = render(&scenario).unwrap_or_else(|error| panic!("{name}: {error}"));
        for (board, recording) in scenario.boards().iter().zip(&recordings) {
            let seconds = recording.readings.len() as f64 / board.rate_hz;
            assert!(seconds > 20.0, "{name} {}: {seconds} s", board.mount);
            for (_, reading) in &recording.readings {
                let finite =
                    |v: Option<[f64; 3]>| v.is_none_or(|v| v.iter().all(|c| c.is_finite()));
                assert!(finite(reading.accel_g) && finite(reading.rate_radps));
                assert_eq!(reading.rate_radps.is_some(), board.chip.gyro.is_some());
            }
        }
    }
    assert!(Scenario::shipped("no such").is_none());
}

#[test]
fn the_truth_is_what_the_file_says_when_the_body_sits_square() {
    let truth = Scenario::shipped("garage-good").expect("shipped").truth();
    let expected = [
        (Wheel::FrontLeft, 5.5, 12.8, -0.9, 0.06),
        (Wheel::FrontRight, 6.1, 13.1, -0.4, 0.04),
    ];
    for (wheel, caster, sai, camber, toe) in expected {
        let found = truth.wheel(wheel).expect("a wheel");
        let pairs = [
            (found.caster_deg, caster),
            (found.sai_deg, sai),
            (Some(found.camber_deg), camber),
            (Some(found.toe_deg), toe),
            (found.included_deg, sai + camber),
        ];
        for (found, expected) in pairs {
            assert!(
                (found.expect("an angle") - expected).abs() < 1e-9,
                "{wheel}"
            );
        }
    }
    let rear = truth.wheel(Wheel::RearLeft).expect("a wheel");
    assert_eq!(
        (rear.caster_deg, rear.sai_deg, rear.included_deg),
        (None, None, None)
    );
}

#[test]
fn rests_tell_plates_linkage_and_body() {
    let scenario = Scenario::shipped("body-roll").expect("shipped");
    let truth = scenario.truth();
    let rest = |label: &str| {
        truth
            .rests
            .iter()
            .find(|r| r.label.as_deref() == Some(label))
            .expect("a rest")
    };
    let (left, right) = (rest("stop_left"), rest("stop_right"));
    assert!((left.steer_deg - 19.0).abs() < 1e-9 && (right.steer_deg + 21.0).abs() < 1e-9);
    // The inner wheel is further in.
    assert!(left.wheels[0].plate_deg > left.wheels[1].plate_deg + 0.5);
    assert!(right.wheels[1].plate_deg < right.wheels[0].plate_deg - 0.5);
    // A sin(rack)/sin 20 with A = 0.35.
    let expected = 0.35 * 19.0_f64.to_radians().sin() / 20.0_f64.to_radians().sin();
    assert!((left.body_roll_deg - expected).abs() < 1e-9);
    assert!(right.body_roll_deg < 0.0 && right.body_pitch_deg > 0.0);
    // Readings are off by the reader's error, and exact where the plates are set to zero.
    assert!(left.wheels.iter().all(|w| {
        let error = (w.plate_read_deg - w.plate_deg).abs();
        error > 0.0 && error < 5.0 * 0.25
    }));
    assert_eq!(rest("straight").wheels[0].plate_read_deg, 0.0);
    // While jacked the corner hangs: 3° out less 1.2° of roll.
    let change = rest("runout_left_0").wheels[0].camber_deg - truth.wheels[0].camber_deg;
    assert!((change - 1.8).abs() < 0.02, "{change}");
}

fn of(recordings: &[Recording], mount: Mount) -> &Recording {
    recordings
        .iter()
        .find(|r| r.mount == mount)
        .expect("a board")
}

#[test]
fn the_same_seed_gives_the_same_bits_and_another_seed_others() {
    let scenario = Scenario::shipped("garage-cheap").expect("shipped");
    let once = render(&scenario).expect("can be done");
    assert_eq!(once, render(&scenario).expect("can be done"));
    let other = render(&scenario.with_seed(99)).expect("can be done");
    assert_ne!(of(&once, Mount::FrontLeft), of(&other, Mount::FrontLeft));
}

#[test]
fn one_board_more_leaves_the_others_noise_alone() {
    let text = Scenario::shipped_toml("garage-cheap").expect("shipped");
    let more = format!(
        "{text}\n[[board]]\nmount = \"body\"\nmounting = {{ x = \"forward\", z = \"up\" }}\n\
         rate_hz = 50\nwire = \"csv\"\nchip = {{ preset = \"good\" }}\n"
    );
    let before = render(&Scenario::from_toml(text).expect("reads")).expect("can be done");
    let after = render(&Scenario::from_toml(&more).expect("reads")).expect("can be done");
    assert_eq!(after.len(), before.len() + 1);
    for recording in &before {
        assert_eq!(recording, of(&after, recording.mount));
    }
}

/// Replaces one piece of a shipped file and checks that the error names key and remedy.
fn check_refused(old: &str, new: &str, wanted: &[&str]) {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    assert!(text.contains(old), "the file has {old:?}");
    let error = Scenario::from_toml(&text.replacen(old, new, 1)).expect_err(new);
    let said = error.to_string();
    for word in wanted {
        assert!(
            said.contains(word),
            "{new:?} is refused with {said:?}, which lacks {word:?}"
        );
    }
}

#[test]
fn refusals_name_the_key_and_the_remedy() {
    check_refused(
        "track_mm",
        "trak_mm",
        &["trak_mm", "track_mm", "unknown field"],
    );
    check_refused("seed = ", "sead = ", &["sead", "seed"]);
    check_refused(
        "track_mm = 1480",
        "track_mm = 1.48",
        &["car.track_mm", "from 500 to 3000"],
    );
    check_refused(
        "caster_deg = 5.5",
        "caster_deg = nan",
        &["car.front_left.caster_deg", "NaN"],
    );
    check_refused(
        "preset = \"good\"",
        "preset = \"best\"",
        &["best", "raw-cheap"],
    );
    check_refused(
        "rate_hz = 100",
        "rate_hz = 0",
        &["board front_left", "rate_hz", "from 1"],
    );
    check_refused("wire = \"csv\"", "wire = \"morse\"", &["morse"]);
    check_refused(
        "mount = \"front_right\"",
        "mount = \"front_left\"",
        &["two boards", "its own mount"],
    );
    check_refused(
        "z = \"out\"",
        "z = \"back\"",
        &["mounting", "one line", "for example"],
    );
    check_refused(", z = \"out\"", "", &["mounting", "two of x, y and z"]);
    check_refused(
        "ackermann_percent = 65",
        "ackermann_percent = 65\nspread_at_20_percent = 5",
        &["car.linkage", "keep either"],
    );
    check_refused(
        "{ rest_s = 6, label = \"straight\" },",
        "{ rest_s = 6, over_s = 2 },",
        &["step 1", "`over_s`"],
    );
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ steer_to_deg = 19 },",
        &["step 2", "`over_s`", "add"],
    );
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ label = \"x\" },",
        &["step 2", "steer_to_deg"],
    );
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ spin_deg = 90, over_s = 2, wheel = \"front_left\" },",
        &["step 2", "jack_up"],
    );
    check_refused(
        "preset = \"good\" }",
        "preset = \"inclinometer\", gyro_bias_dps = [1, 1, 1] }",
        &["gyro", "another preset"],
    );
}

/// Puts something more at the end of the car's file.
fn check_refused_more(more: &str, wanted: &[&str]) {
    check_refused("[car.linkage]", &format!("{more}\n[car.linkage]"), wanted);
}

#[test]
fn what_a_workshop_cannot_have_is_refused() {
    let cases: [(&str, &[&str]); 8] = [
        (
            "[[adjuster]]\nwheel = \"rear_left\"\nname = \"rod\"\nwhat = { tie_rod = { pitch_mm = 1 } }",
            &["adjuster rod of rear_left", "does not steer", "eccentric"],
        ),
        (
            "[[adjuster]]\nwheel = \"rear_left\"\nname = \"cam\"\nwhat = { eccentric = { throw_mm = 5, shifts = \"link_behind\" } }",
            &["adjuster cam", "lever_mm"],
        ),
        (
            "[[adjuster]]\nwheel = \"front_left\"\nname = \"rod\"\nwhat = { tie_rod = { pitch = 1 } }",
            &["pitch_mm", "unknown field"],
        ),
        (
            "[[adjuster]]\nwheel = \"front_left\"\nname = \"rod\"\nneeds_bounce = 2\nwhat = { tie_rod = { pitch_mm = 1 } }",
            &["needs_bounce", "from 0 to 1"],
        ),
        (
            "[[damage]]\nwhat = { bent_knuckle = { camber_deg = 1 } }",
            &["damage", "add `wheel"],
        ),
        (
            "[[damage]]\nwheel = \"rear_left\"\nwhat = { bent_steering_arm = { bend_deg = 1 } }",
            &["damage of rear_left", "front wheel"],
        ),
        (
            "[car.steering]\nlock_left_deg = 36",
            &["one lock", "lock_right_deg"],
        ),
        (
            "[strings]\ntape_sigma_mm = -1",
            &["tape_sigma_mm", "from 0"],
        ),
    ];
    for (more, wanted) in cases {
        check_refused_more(more, wanted);
    }
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ rock = \"front_left\", about = \"front_rear\", over_s = 1 },",
        &["step 2", "jack_up"],
    );
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ adjust = \"rod\", wheel = \"front_left\", by = 1, over_s = 1 },",
        &["step 2", "no adjuster `rod`", "none"],
    );
    check_refused(
        "{ steer_to_deg = 19, over_s = 2 },",
        "{ lock_to_lock_s = 1, over_s = 1 },",
        &["step 2", "lock_left_deg"],
    );
}

#[test]
fn a_key_of_the_wrong_kind_names_its_line() {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let error = Scenario::from_toml(&text.replacen("track_mm = 1480", "track_mm = \"wide\"", 1))
        .expect_err("text is no number");
    assert!(
        matches!(&error, ScenarioError::Toml { text } if text.contains("line ") && text.contains("track_mm")),
        "{error}"
    );
}

/// One of each key.
const EVERYTHING: &str = r#"
name = "everything"
about = "One of each."
seed = 7
brake = "free"
script = [
  { rest_s = 1, label = "first" },
  { idle = true },
  { knock = "rear_left", peak_g = 0.3 },
  { tap = "body", peak_g = 1.2 },
  { slam_g = 0.8 },
  { roll_mm = 200, over_s = 1 },
  { jack_up = "front_right", over_s = 1 },
  { spin_deg = 90, wheel = "front_right", over_s = 1 },
  { jack_down = "front_right", over_s = 1 },
  { brake = "locked" },
  { brake_slip_deg = 0.5, wheel = "front_left", over_s = 1 },
  { board_slip = "body", by_deg = [0.1, 0.2, 0.3] },
  { sweep_deg = -20, over_s = 2, times = 2 },
  { steer_to_deg = 5, over_s = 1, slip_deg = 0.2, wheel = "front_left" },
  { idle = false },
  { adjust = "wedge", wheel = "rear_left", by = 1, clock_deg = 30, over_s = 1 },
  { mend = "front_left", over_s = 1 },
  { bounce_s = 1 },
  { set_height_mm = 12, wheels = ["front_left"], over_s = 1 },
  { set_height_mm = 0, over_s = 1 },
  { lock_to_lock_s = 1, over_s = 1 },
  { jack_up = "rear_left", over_s = 1 },
  { rock = "rear_left", about = "front_rear", times = 2, hold_s = 0.5, over_s = 0.5 },
  { hold_bar = "body", wheel = "rear_left", reversed = true, over_s = 1 },
  { strap_board = "body", over_s = 1 },
]
[floor]
roll_deg = 0.5
pitch_deg = -0.5
gravity_mps2 = 9.81
[plates]
reading_sigma_deg = 0.1
[car]
name = "Otter Van"
track_mm = 1600
wheelbase_mm = 3000
wheel_radius_mm = 330
front_left = { caster_deg = 3, sai_deg = 10, camber_deg = 0, toe_deg = 0.1, axis_inboard_mm = 60, axis_behind_mm = 2, height_mm = -3, bump = { camber_deg_per_mm = 0.01, camber_deg_per_mm2 = 0.0001, toe_deg_per_mm = 0.001, toe_deg_per_mm2 = 0.00001 }, play = { top_bottom_deg = 0.1, front_rear_deg = 0.1 }, rim = { run_out_mm = 0.5, diameter_mm = 400, high_at_deg = 20 }, joints = { layout = "strut", joint_height_mm = 550, lower_below_mm = 100, steering_arm_mm = 120, tie_rod_mm = 300 } }
front_right = { caster_deg = 3, sai_deg = 10, camber_deg = 0, toe_deg = 0.1 }
rear_left = { camber_deg = -1, toe_deg = 0 }
rear_right = { camber_deg = -1, toe_deg = 0 }
linkage = { spread_at_20_percent = 6 }
body = { rest_roll_deg = 0.1, rest_pitch_deg = 0.1, roll_at_20_deg = 0.2, pitch_at_20_deg = 0.1 }
jack = { roll_deg = 1, pitch_deg = -0.3, droop_deg = 2 }
idle = { frequency_hz = 30, amplitude_mg = 4, rock_dps = 0.1 }
steering = { ratio = 18, off_centre_deg = 2, lock_left_deg = 35, lock_right_deg = 34 }
[strings]
tape_sigma_mm = 0.5
[bar]
seat_deg = 0.2
[targets]
thrust_deg = [0, 0.1]
[[damage]]
wheel = "front_left"
what = { bent_knuckle = { camber_deg = 1, toe_deg = 0.1 } }
[[damage]]
wheel = "front_left"
what = { joint_moved = { joint = "upper", outward_mm = -5, rearward_mm = 3 } }
[[damage]]
wheel = "front_right"
what = { bent_steering_arm = { bend_deg = 3 } }
[[damage]]
what = { axle_shifted = { turned_deg = 0.2, sideways_mm = 4 } }
[[damage]]
wheel = "rear_right"
what = { set_back = { by_mm = 6 } }
[[adjuster]]
wheel = "front_left"
name = "strut"
what = { strut_bolt = {} }
[[adjuster]]
wheel = "front_right"
name = "shim"
what = { upper_arm_shim = { bolt = "both", inward = true } }
backlash = 0.1
needs_bounce = 0.5
[[adjuster]]
wheel = "front_right"
name = "rod"
what = { tie_rod = { pitch_mm = 1.5, sleeve = true } }
[[adjuster]]
wheel = "rear_left"
name = "wedge"
what = { contact_shim = { plate_mm = 120 } }
[[adjuster]]
wheel = "rear_right"
name = "cam"
what = { eccentric = { throw_mm = 4, mark_deg = 10, shifts = "upper_arm", lever_mm = 200 } }
[[board]]
mount = "body"
mounting = { quaternion_wxyz = [1, 0, 0, 0], misaligned_deg = [0.1, 0.2, 0.3] }
lever_mm = [1, 2, 3]
rate_hz = 50
wire = "json-lines"
clock = { offset_s = 1, rate_ppm = 10, jitter_us = 5, stamp_error_us = 5, wraps = true }
temperature = { start_c = 20, rise_c = 3, settle_s = 30 }
[board.chip]
preset = "raw-cheap"
accel_noise_ug_per_rthz = 100
accel_bias_sigma_mg = 1
accel_walk_ug_per_rts = 1
accel_scale_ppm = 100
accel_cross_axis_mrad = 1
accel_drift_mg_per_c = 0.1
accel_range_g = 2
accel_lsb_mg = 0.06
accel_bias_mg = [1, 2, 3]
gyro_noise_dps_per_rthz = 0.01
gyro_bias_sigma_dps = 0.1
gyro_walk_dps_per_rts = 0.001
gyro_scale_ppm = 100
gyro_cross_axis_mrad = 1
gyro_drift_dps_per_c = 0.01
gyro_range_dps = 250
gyro_lsb_mdps = 8
gyro_bias_dps = [0.1, 0.2, 0.3]
"#;

#[test]
fn every_key_of_a_full_file_is_understood() {
    let scenario = Scenario::from_toml(EVERYTHING).unwrap_or_else(|error| panic!("{error}"));
    let recordings = render(&scenario).unwrap_or_else(|error| panic!("{error}"));
    assert!(recordings[0].readings.len() > 500);
}

const GUIDE: &str = include_str!("../../docs/SIMULATOR.md");

#[test]
fn the_example_in_the_guide_runs() {
    let (_, rest) = GUIDE.split_once("```toml\n").expect("an example");
    let (example, _) = rest.split_once("```").expect("its end");
    let scenario = Scenario::from_toml(example).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(render(&scenario).expect("can be done").len(), 2);
}

#[test]
fn the_guide_explains_every_key() {
    let mut keys = 0;
    let files = concat!(
        include_str!("../src/scenario/file.rs"),
        include_str!("../src/scenario/file_workshop.rs")
    );
    for line in files.lines() {
        let field = line.trim().strip_prefix("pub(super) ");
        let Some((key, _)) = field.and_then(|field| field.split_once(": ")) else {
            continue;
        };
        if key.contains(' ') {
            // A function, whose first parameter this is.
            continue;
        }
        assert!(
            GUIDE.contains(&format!("`{key}`")),
            "{key} is not explained"
        );
        keys += 1;
    }
    assert!(keys > 140, "only {keys} keys were found in the source");
}
