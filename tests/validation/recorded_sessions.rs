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

/// One case.
struct Case {
    name: String,
    stem: PathBuf,
    told: Value,
}

/// How far one angle of one wheel is off.
struct CaseOff {
    what: String,
    off_deg: f64,
    standard_deg: f64,
    half_width_deg: f64,
}

impl Case {
    /// None where there are no cases, which is said aloud.
    fn open(name: &str) -> Option<Self> {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
        if !folder.is_dir() {
            skip(name, "no reference cases beside the checkout");
            return None;
        }
        let stem = folder.join(name);
        let text = std::fs::read_to_string(format!("{}.json", stem.display())).expect("a case");
        Some(Self {
            name: name.to_owned(),
            stem,
            told: serde_json::from_str(&text).expect("JSON"),
        })
    }

    fn windows(&self) -> Vec<Window> {
        let segments = self.told["inputs"]["segments"].as_array();
        segments
            .expect("segments")
            .iter()
            .filter_map(window)
            .collect()
    }

    /// With the board on the body left out, its motion is a stated uncertainty:
    /// roll anywhere within ±0.4°, pitch up to 0.15° (the cases' own README).
    fn session(&self, windows: Vec<Window>, watched: bool) -> Session {
        let inputs = &self.told["inputs"];
        let sigma = if self.name.contains("ideal") {
            0.0
        } else {
            1.0
        };
        let measured = |value: &Value, standard: f64| {
            Estimate::from_deg(value.as_f64().expect("measured"), sigma * standard)
        };
        let slope = &inputs["floor_slope_measured_deg"];
        let toe = &inputs["toe_measured_deg"];
        let toe_of = |side: &str| measured(if toe.is_object() { &toe[side] } else { toe }, 0.03);
        let mut boards = boards(inputs, &self.stem);
        boards.retain(|board| watched || board.role != Role::Body);
        let unwatched = if watched { 0.0 } else { 1.0 };
        Session {
            boards,
            floor: FloorSlope {
                roll: measured(&slope["roll"], 0.02),
                pitch: measured(&slope["pitch"], 0.02),
            },
            toe: [toe_of("L"), toe_of("R")],
            windows,
            unwatched: BodyMotion {
                roll: Angle::from_deg(0.23 * unwatched),
                pitch: Angle::from_deg(0.09 * unwatched),
            },
            plate_standard: Angle::from_deg(0.25),
            jacking_pitch: Angle::from_deg(0.08),
        }
    }

    /// Caster and SAI of every wheel.
    fn offs(&self, session: &Session) -> Vec<CaseOff> {
        let mut offs = Vec::new();
        for wheel in solve(session).expect("a solution").wheels {
            let wheel = wheel.expect("an outcome");
            let axis = wheel.axis.as_ref().expect("an axis");
            let letter = if wheel.side == Side::Left { "L" } else { "R" };
            let truth = &self.told["truth"];
            let truth = truth[letter].get("floor").unwrap_or(&truth["floor"]);
            for (key, finding) in [("caster", &axis.caster), ("sai", &axis.sai)] {
                let off = CaseOff {
                    what: key.to_owned(),
                    off_deg: finding.estimate.value.deg() - truth[key].as_f64().expect("truth"),
                    standard_deg: finding.estimate.standard.deg(),
                    half_width_deg: finding.expanded().deg(),
                };
                println!(
                    "{}, {letter} {key}: off {:+.4}°, standard {:.4}°",
                    self.name, off.off_deg, off.standard_deg
                );
                offs.push(off);
            }
        }
        offs
    }
}

/// Solves a case with named and with found windows. Caster and SAI must be
/// within `limit_deg` of the truth and within three standard uncertainties.
fn check(name: &str, limit_deg: f64, found_too: bool) {
    let Some(case) = Case::open(name) else { return };
    let mut ways = vec![case.windows()];
    if found_too {
        ways.push(Vec::new());
    }
    for windows in ways {
        let way = if windows.is_empty() { "found" } else { "named" };
        for off in case.offs(&case.session(windows, true)) {
            let (off_deg, standard_deg) = (off.off_deg, off.standard_deg);
            let told = format!("{name}, windows {way}, {}: off {off_deg:+.4}°", off.what);
            assert!(off_deg.abs() <= limit_deg, "{told}");
            assert!(
                off_deg.abs() <= 3.0 * standard_deg || off_deg.abs() < 0.003,
                "{told}, standard {standard_deg:.4}°"
            );
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

/// What is promised of a pair with a body board is a root mean square over many
/// cars, and `random_cars` holds it. Of one pair, whose sides share the heading
/// of the body board, no side may be off by more than twice that.
#[test]
fn pairs_are_within_twice_the_promise_and_without_a_body_board_covered() {
    for (name, promised_deg) in [
        ("pair/00_ideal_pair", [0.005, 0.015]),
        ("pair/04_cheap_idle", [0.05, 0.06]),
        ("pair/05_good_pair", [0.03, 0.04]),
    ] {
        let Some(case) = Case::open(name) else { return };
        for off in case.offs(&case.session(case.windows(), true)) {
            let promised_deg = promised_deg[usize::from(off.what == "sai")];
            assert!(
                off.off_deg.abs() <= 2.0 * promised_deg,
                "{name} with a body board, {}: off {:+.4}°",
                off.what,
                off.off_deg
            );
        }
        for off in case.offs(&case.session(case.windows(), false)) {
            assert!(
                off.off_deg.abs() <= off.half_width_deg,
                "{name} without a body board, {}: off {:+.4}°, ±{:.4}°",
                off.what,
                off.off_deg,
                off.half_width_deg
            );
        }
    }
}
