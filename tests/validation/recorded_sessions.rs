//! Whole recordings of the independent cases through [`hubplumb_core::session`]:
//! run-out, jackings and swing, three boards with clocks of their own, windows
//! named or found from the movements alone.

use std::path::{Path, PathBuf};

use flate2::read::GzDecoder;
use hubplumb_core::angle::Angle;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::session::{
    MeasuredBefore, Role, Session, SessionBoard, Window, WindowKind, solve,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::BodyMotion;
use hubplumb_core::time::HostTime;
use hubplumb_tests::skip;
use serde_json::Value;

pub(super) fn samples(stem: &Path, board: &str) -> Vec<Sample> {
    let path = PathBuf::from(format!("{}{board}.csv.gz", stem.display()));
    let packed = std::fs::File::open(path).expect("readings");
    let text = std::io::read_to_string(GzDecoder::new(packed)).expect("text");
    text.lines()
        .skip(1)
        .map(|line| {
            let fields: Vec<Option<f64>> = line.split(',').map(|f| f.parse().ok()).collect();
            let three = |i: usize| Some([fields[i]?, fields[i + 1]?, fields[i + 2]?]);
            let time: i64 = line
                .split(',')
                .next()
                .and_then(|t| t.parse().ok())
                .expect("a time");
            Sample {
                at: HostTime::from_us(time),
                accel_g: Vec3::from_array(three(1).expect("an acceleration")),
                rate_radps: three(4).map(|rate| Vec3::from_array(rate.map(f64::to_radians))),
                temperature_c: fields[7],
            }
        })
        .collect()
}

/// The cases' own data sheet of the chip.
pub(super) fn chip(sheet: &Value) -> ChipFigures {
    let figure = |key: &str| sheet[key].as_f64().expect("a figure");
    ChipFigures {
        accel_noise_g_rthz: figure("acc_nd") * 1e-6,
        accel_offset_g: figure("acc_bias") * 1e-3,
        accel_scale: figure("acc_scale") * 1e-6,
        accel_cross_rad: figure("acc_misalign") * 1e-3,
        accel_settled: None,
        gyro_noise_radps_rthz: figure("gyr_nd").to_radians(),
        gyro_scale: figure("gyr_scale") * 1e-6,
        gyro_cross_rad: figure("gyr_misalign") * 1e-3,
        ..ChipFigures::IDEAL
    }
}

fn window(segment: &Value) -> Option<Window> {
    let (label, kind) = (segment["label"].as_str()?, segment["kind"].as_str()?);
    let kind = match label {
        "straight" => WindowKind::Straight,
        "runout_spin" => WindowKind::Spin,
        _ if label.starts_with("stop") => WindowKind::Stop,
        _ if label.starts_with("sweep") => WindowKind::Sweep,
        _ if label.starts_with("roll_f") => WindowKind::Roll,
        _ if label.starts_with("runout") && kind == "dwell" => WindowKind::RunOutStop,
        _ if kind == "move" => WindowKind::Move,
        _ => return None,
    };
    let read = &segment["plate_read_deg"];
    let plate = |side: &str| read[side].as_f64().or(read.as_f64()).map(Angle::from_deg);
    Some(Window {
        from: HostTime::from_us(segment["t0_us"].as_i64()?),
        to: HostTime::from_us(segment["t1_us"].as_i64()?),
        kind,
        corner: match segment["side"].as_str() {
            Some("L") => Some(Side::Left),
            Some("R") => Some(Side::Right),
            _ => None,
        },
        plates: [plate("L"), plate("R")],
    })
}

fn boards(inputs: &Value, stem: &Path) -> Vec<SessionBoard> {
    let board = |role, name: &str, sheet: &Value, shares_clock| SessionBoard {
        role,
        samples: samples(stem, name),
        chip: chip(sheet),
        face: None,
        before: MeasuredBefore::default(),
        shares_clock,
    };
    let Some(several) = inputs["boards"].as_object() else {
        let side = if inputs["side"] == "L" {
            Side::Left
        } else {
            Side::Right
        };
        return vec![board(Role::Hub(side), "", &inputs["datasheet"], true)];
    };
    let roles = [
        ("left", Role::Hub(Side::Left)),
        ("right", Role::Hub(Side::Right)),
        ("body", Role::Body),
    ];
    roles
        .map(|(name, role)| {
            board(
                role,
                &format!(".{name}"),
                &several[name]["datasheet"],
                false,
            )
        })
        .into()
}

/// Solves a case with named and with found windows. Caster and SAI must be
/// within `limit_deg` of the truth and within three standard uncertainties.
fn check(name: &str, limit_deg: f64, found_too: bool) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
    if !folder.is_dir() {
        skip(name, "no reference cases beside the checkout");
        return;
    }
    let stem = folder.join(name);
    let text = std::fs::read_to_string(format!("{}.json", stem.display())).expect("a case");
    let case: Value = serde_json::from_str(&text).expect("JSON");
    let inputs = &case["inputs"];
    let sigma = if name.contains("ideal") { 0.0 } else { 1.0 };
    let measured = |value: &Value, standard: f64| {
        Estimate::from_deg(value.as_f64().expect("measured"), sigma * standard)
    };
    let slope = &inputs["floor_slope_measured_deg"];
    let toe = &inputs["toe_measured_deg"];
    let toe_of = |side: &str| measured(if toe.is_object() { &toe[side] } else { toe }, 0.03);
    let named: Vec<Window> = inputs["segments"]
        .as_array()
        .expect("segments")
        .iter()
        .filter_map(window)
        .collect();
    let ways = if found_too {
        vec![named, Vec::new()]
    } else {
        vec![named]
    };
    for windows in ways {
        let way = if windows.is_empty() { "found" } else { "named" };
        let session = Session {
            boards: boards(inputs, &stem),
            floor: FloorSlope {
                roll: measured(&slope["roll"], 0.02),
                pitch: measured(&slope["pitch"], 0.02),
            },
            toe: [toe_of("L"), toe_of("R")],
            windows,
            unwatched: BodyMotion {
                roll: Angle::ZERO,
                pitch: Angle::ZERO,
            },
            plate_standard: Angle::from_deg(0.25),
            jacking_pitch: Angle::from_deg(0.08),
        };
        for wheel in solve(&session).expect("a solution").wheels {
            let wheel = wheel.expect("an outcome");
            let axis = wheel.axis.as_ref().expect("an axis");
            let letter = if wheel.side == Side::Left { "L" } else { "R" };
            let truth = case["truth"][letter]
                .get("floor")
                .unwrap_or(&case["truth"]["floor"]);
            for (key, finding) in [("caster", &axis.caster), ("sai", &axis.sai)] {
                let off = finding.estimate.value.deg() - truth[key].as_f64().expect("truth");
                let standard = finding.estimate.standard.deg();
                println!(
                    "{name}, windows {way}, {letter} {key}: off {off:+.4}°, standard {standard:.4}°"
                );
                assert!(
                    off.abs() <= limit_deg,
                    "{name}, windows {way}, {letter} {key}: off {off:+.4}°"
                );
                assert!(
                    off.abs() <= 3.0 * standard || off.abs() < 0.003,
                    "{name}, windows {way}, {letter} {key}: off {off:+.4}°, standard {standard:.4}°"
                );
            }
        }
    }
}

#[test]
fn chips_without_error_are_exact() {
    check("00_ideal_nominal", 0.005, true);
    check("03_ideal_sweep", 0.005, false);
    check("pair/00_ideal_pair", 0.005, true);
}

#[test]
fn calibrated_chips_stay_within_a_tenth_of_a_degree() {
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
fn a_body_board_takes_the_bodys_roll_out() {
    check("pair/05_good_pair", 0.1, true);
    check("pair/04_cheap_idle", 0.1, true);
}
