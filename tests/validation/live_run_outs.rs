//! The live run-out on whole recordings of the independent cases: ground,
//! jacking, turns and swing as they come, nothing named, against the mounting
//! that the rigid-body simulator gave the board.

use std::path::Path;

use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::levelling::{
    DirectionUnknown, Outboard, RunOutProcedure, RunOutRefusal, RunOutSetup,
};
use hubplumb_core::side::Side;
use hubplumb_tests::skip;
use nalgebra::{Quaternion, UnitQuaternion, Vector3};
use serde_json::Value;

use crate::recorded_sessions::{chip, samples};

/// What a case says of the board on one side.
struct Board {
    setup: RunOutSetup,
    recording: &'static str,
    /// Outboard in the board's axes: `mount_quat` maps the board's vectors to
    /// the wheel's, which at straight ahead are those of the car.
    truth: [f64; 3],
}

fn boards(case: &Value) -> Vec<Board> {
    let inputs = &case["inputs"];
    let of = |side: Side, recording, sheet: &Value| {
        let (letter, name) = match side {
            Side::Left => ("L", "left"),
            Side::Right => ("R", "right"),
        };
        if inputs["boards"].is_null() && inputs["side"] != letter {
            return None;
        }
        let quat = &case["truth"]["vehicle"][name]["mount_quat"];
        let part = |i: usize| quat[i].as_f64().expect("a quaternion");
        let mount =
            UnitQuaternion::from_quaternion(Quaternion::new(part(0), part(1), part(2), part(3)));
        let angle = |key: &str| {
            case["truth"]["vehicle"][name][key]
                .as_f64()
                .expect(key)
                .to_radians()
        };
        let (toe, camber) = (angle("toe"), angle("camber"));
        // The cases' own definition of the spindle.
        let spindle = Vector3::new(
            camber.cos() * toe.sin(),
            side.sign() * camber.cos() * toe.cos(),
            -camber.sin(),
        );
        let truth = mount.inverse() * spindle;
        Some(Board {
            setup: RunOutSetup {
                side,
                chip: chip(sheet),
                outboard: Outboard::ForwardRolling,
                jacked: true,
                body: None,
            },
            recording,
            truth: truth.into(),
        })
    };
    if inputs["boards"].is_null() {
        return Side::BOTH
            .iter()
            .filter_map(|side| of(*side, "", &inputs["datasheet"]))
            .collect();
    }
    [(Side::Left, "left"), (Side::Right, "right")]
        .iter()
        .filter_map(|(side, name)| {
            let recording = if *name == "left" { ".left" } else { ".right" };
            of(*side, recording, &inputs["boards"][name]["datasheet"])
        })
        .collect()
}

/// The axis of every board of a case is outboard, within `limit_deg` of the
/// truth and within three of its standard uncertainties each way.
fn check(name: &str, limit_deg: f64) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
    if !folder.is_dir() {
        skip(name, "no reference cases beside the checkout");
        return;
    }
    let stem = folder.join(name);
    let text = std::fs::read_to_string(format!("{}.json", stem.display())).expect("a case");
    let case: Value = serde_json::from_str(&text).expect("JSON");
    for board in boards(&case) {
        let mut setup = board.setup;
        let truth = Dir::along(Vec3::from_array(board.truth)).expect("a direction");
        let readings = samples(&stem, board.recording);
        if readings.iter().all(|sample| sample.rate_radps.is_none()) {
            // Without a gyro rolling forward tells nothing; the printed axis does.
            let refused = run(&setup, &readings);
            assert_eq!(
                refused.refusal(),
                Some(&RunOutRefusal::DirectionUnknown(DirectionUnknown::NoGyro)),
                "{name}"
            );
            setup.outboard = Outboard::AwayFromCar(nearest(truth));
        }
        let procedure = run(&setup, &readings);
        let result = procedure.result();
        assert!(result.is_some(), "{name}: {:?}", procedure.refusal());
        let Some(found) = result else { continue };
        let up = found.last_up().expect("a stop");
        let spread = found.axis.about(up).expect("a level spindle");
        let ahead = Dir::along(truth.vec().cross(&up.vec())).expect("level");
        let upright = Dir::along(ahead.vec().cross(&truth.vec())).expect("level");
        let off = found.axis.outboard.vec();
        assert!(found.axis.outboard.dot(&truth) > 0.5, "{name}: inboard");
        for (what, along, standard) in [
            ("lean", upright, spread.lean),
            ("heading", ahead, spread.heading),
        ] {
            let off_deg = off.dot(&along.vec()).asin().to_degrees();
            println!(
                "{name}{} {what}: off {off_deg:+.4}°, standard {:.4}°",
                board.recording,
                standard.deg()
            );
            assert!(off_deg.abs() < limit_deg, "{name} {what}: {off_deg:+.4}°");
            assert!(
                off_deg.abs() <= 3.0 * standard.deg() || off_deg.abs() < 0.003,
                "{name} {what}: {off_deg:+.4}°, standard {:.4}°",
                standard.deg()
            );
        }
    }
}

fn run(setup: &RunOutSetup, readings: &[hubplumb_core::reading::Sample]) -> RunOutProcedure {
    let mut procedure = RunOutProcedure::start(*setup);
    for sample in readings {
        procedure.sample(sample);
    }
    procedure.finish();
    procedure
}

/// The printed axis nearest to a direction.
fn nearest(to: Dir<hubplumb_core::frames::Board>) -> Dir<hubplumb_core::frames::Board> {
    [Dir::x_axis(), Dir::y_axis(), Dir::z_axis()]
        .into_iter()
        .flat_map(|axis| [axis, -axis])
        .max_by(|a, b| a.dot(&to).total_cmp(&b.dot(&to)))
        .expect("six axes")
}

#[test]
fn stops_show_the_spindle_of_every_chip() {
    check("00_ideal_nominal", 0.005);
    for name in ["06_cheap_stops", "14_good_stops", "21_incl_stops"] {
        check(name, 0.15);
    }
    check("pair/00_ideal_pair", 0.005);
    check("pair/04_cheap_idle", 0.15);
    check("pair/05_good_pair", 0.15);
}

#[test]
fn one_spin_or_a_roll_forward_shows_it_too() {
    for name in ["11_cheap_spin", "17_good_spin", "18_good_rollfwd"] {
        check(name, 0.15);
    }
}
