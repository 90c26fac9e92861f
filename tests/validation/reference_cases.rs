//! Whole measuring sessions computed by a general rigid-body simulator that
//! shares no code with this project: the reference cases beside the checkout.
//!
//! Each case is a jacked wheel turned through four positions (from which the
//! board's place on the hub is found), then a swing with its rests. The swing
//! gets the readings one by one, as it would from a board.

use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use flate2::read::GzDecoder;
use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::Vec3;
use hubplumb_core::live::{BoardPipeline, WheelSetup};
use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use hubplumb_core::reading::RawSample;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{
    BodyMotion, Finding, Phase, SteerSource, SwingProcedure, SwingSetup, SwingWheel, WheelOutcome,
};
use hubplumb_core::time::HostTime;
use hubplumb_tests::skip;
use serde_json::Value;

/// What the operator of the cases reads a turn plate to, one sigma (the cases' own description).
const PLATE_STANDARD_DEG: f64 = 0.25;
/// Their floor survey and toe measurement, one sigma (the same).
const FLOOR_STANDARD_DEG: f64 = 0.02;
const TOE_STANDARD_DEG: f64 = 0.03;
/// Four rests of three seconds fix the spindle to a few hundredths of a degree.
const SPINDLE_STANDARD_DEG: f64 = 0.03;
/// Standard deviations within which a finding must lie: with some forty
/// findings judged, one beyond three is to be expected in about ten such sets.
const SIGMAS: f64 = 3.0;

struct Case {
    inputs: Value,
    truth: Value,
    samples: Vec<RawSample>,
}

/// The folder of cases; none where the checkout stands alone.
fn folder() -> Option<PathBuf> {
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/cases");
    beside.is_dir().then_some(beside)
}

fn load(folder: &Path, name: &str) -> Case {
    let json = fs::read_to_string(folder.join(format!("{name}.json"))).expect("a case");
    let mut json: Value = serde_json::from_str(&json).expect("a case is JSON");
    let packed = fs::File::open(folder.join(format!("{name}.csv.gz"))).expect("readings");
    let mut text = String::new();
    GzDecoder::new(packed)
        .read_to_string(&mut text)
        .expect("readings");
    let samples = text.lines().skip(1).map(sample).collect();
    Case {
        inputs: json["inputs"].take(),
        truth: json["truth"]["floor"].take(),
        samples,
    }
}

/// `t_us,ax,ay,az,gx,gy,gz,temp` in g, degrees per second and °C; no gyro: empty fields.
fn sample(line: &str) -> RawSample {
    let fields: Vec<Option<f64>> = line.split(',').map(|field| field.parse().ok()).collect();
    let triple = |from: usize| {
        Some(Vec3::new(
            fields[from]?,
            fields[from + 1]?,
            fields[from + 2]?,
        ))
    };
    let rate = triple(4).map(|rate| Vec3::from_array(rate.to_array().map(f64::to_radians)));
    #[expect(
        clippy::cast_possible_truncation,
        reason = "times of a minute in whole microseconds"
    )]
    let at_us = fields[0].expect("a time") as i64;
    RawSample {
        at: HostTime::from_us(at_us),
        accel_g: triple(1).expect("an acceleration"),
        rate_radps: rate,
        temperature_c: fields[7],
    }
}

impl Case {
    fn side(&self) -> Side {
        if self.inputs["side"] == "L" {
            Side::Left
        } else {
            Side::Right
        }
    }

    fn number(&self, pointer: &str) -> f64 {
        self.inputs
            .pointer(pointer)
            .and_then(Value::as_f64)
            .expect(pointer)
    }

    fn segment(&self, label: &str) -> &Value {
        let segments = self.inputs["segments"].as_array().expect("segments");
        segments
            .iter()
            .find(|segment| segment["label"] == label)
            .expect(label)
    }

    fn start_us(&self, label: &str) -> i64 {
        self.segment(label)["t0_us"].as_i64().expect("a start")
    }

    /// Mean acceleration over a rest.
    fn mean(&self, label: &str) -> [f64; 3] {
        let to_us = self.segment(label)["t1_us"].as_i64().expect("an end");
        let within = self.start_us(label)..to_us;
        let rest: Vec<[f64; 3]> = self
            .samples
            .iter()
            .filter(|sample| within.contains(&sample.at.us()))
            .map(|sample| sample.accel_g.to_array())
            .collect();
        [0, 1, 2].map(|axis| rest.iter().map(|a| a[axis]).sum::<f64>() / rest.len() as f64)
    }

    /// Outboard spindle in the board's axes: the normal of the plane through
    /// gravity at four positions a quarter turn apart. Rolling forward turns
    /// the left wheel about it, the right wheel against it.
    fn spindle(&self) -> [f64; 3] {
        let [a, b, c, d] = ["runout0", "runout90", "runout180", "runout270"].map(|l| self.mean(l));
        let minus = |a: [f64; 3], b: [f64; 3]| [0, 1, 2].map(|i| a[i] - b[i]);
        let normal = cross(minus(b, d), minus(a, c));
        normal.map(|part| part * self.side().sign())
    }

    fn mounting(&self) -> Mounting {
        let trust = MountingTrust {
            camber: Angle::from_deg(SPINDLE_STANDARD_DEG),
            // The zero of pitch is free in a swing.
            pitch: Angle::from_deg(1.0),
            heading: Angle::from_deg(SPINDLE_STANDARD_DEG),
        };
        let upward = nearest_axis(self.mean("straight"), self.spindle());
        Mounting::with_spin_axis(self.side(), self.spindle(), upward, trust).expect("a mounting")
    }

    fn setup(&self, chip: ChipFigures, steer_source: SteerSource) -> SwingSetup {
        let slope = |key| Estimate::from_deg(self.number(key), FLOOR_STANDARD_DEG);
        let wheel = WheelSetup {
            side: self.side(),
            chip,
            mounting: self.mounting(),
            floor: FloorSlope {
                roll: slope("/floor_slope_measured_deg/roll"),
                pitch: slope("/floor_slope_measured_deg/pitch"),
            },
        };
        let toe = Estimate::from_deg(self.number("/toe_measured_deg"), TOE_STANDARD_DEG);
        SwingSetup {
            wheels: vec![SwingWheel {
                wheel,
                run_out: Vec::new(),
                toe,
            }],
            steer_source,
            // The bodies of these cases do not move.
            body: BodyMotion {
                roll: Angle::ZERO,
                pitch: Angle::ZERO,
            },
            body_board: None,
            hold_us: 4_000_000,
            plate_standard: Angle::from_deg(PLATE_STANDARD_DEG),
        }
    }

    fn swing(&self, chip: ChipFigures, steer_source: SteerSource) -> WheelOutcome {
        let side = self.side();
        let setup = self.setup(chip, steer_source);
        let mut pipeline =
            BoardPipeline::new(Calibration::none(), chip, Some(setup.wheels[0].wheel));
        let mut swing = SwingProcedure::start(setup).expect("a swing");
        let from = self.start_us("straight");
        for raw in self.samples.iter().filter(|sample| sample.at.us() >= from) {
            let sample = pipeline.ingest(raw).expect("a sound reading");
            swing.sample(side, &sample);
        }
        if steer_source == SteerSource::Plates {
            assert_eq!(swing.phase(), Phase::AwaitPlates, "{:?}", swing.refusal());
            for (rest, label) in [(1, "stop1"), (2, "stop2")] {
                let read = self.segment(label)["plate_read_deg"]
                    .as_f64()
                    .expect("a reading");
                swing
                    .enter_plate(rest, side, Angle::from_deg(read))
                    .expect("taken");
            }
        }
        assert_eq!(swing.phase(), Phase::Done, "{:?}", swing.refusal());
        swing.outcome()[0].clone().expect("an outcome")
    }
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

/// The printed axis that points up best, across the spindle.
fn nearest_axis(up: [f64; 3], spindle: [f64; 3]) -> BoardAxis {
    let along = (0..3).map(|i| up[i] * spindle[i]).sum::<f64>()
        / spindle.iter().map(|part| part * part).sum::<f64>();
    let across = [0, 1, 2].map(|i| up[i] - along * spindle[i]);
    let all = [
        (BoardAxis::XPlus, across[0]),
        (BoardAxis::XMinus, -across[0]),
        (BoardAxis::YPlus, across[1]),
        (BoardAxis::YMinus, -across[1]),
        (BoardAxis::ZPlus, across[2]),
        (BoardAxis::ZMinus, -across[2]),
    ];
    let best = all.into_iter().max_by(|a, b| a.1.total_cmp(&b.1));
    best.expect("six axes").0
}

/// A case with its chip class and the largest error allowed whatever the finding says of itself.
fn check(name: &str, chip: ChipFigures, source: SteerSource, at_most_deg: f64) {
    judge(name, chip, source, at_most_deg);
}

/// What was found, after judging it; none where there are no cases.
fn judge(
    name: &str,
    chip: ChipFigures,
    source: SteerSource,
    at_most_deg: f64,
) -> Option<WheelOutcome> {
    let Some(folder) = folder() else {
        skip(name, "no reference cases beside the checkout");
        return None;
    };
    let case = load(&folder, name);
    let outcome = case.swing(chip, source);
    let axis = outcome.axis.as_ref().expect("a steering axis");
    let judged: [(&str, &Finding); 4] = [
        ("camber", &outcome.camber),
        ("caster", &axis.caster),
        ("sai", &axis.sai),
        ("included", &axis.included),
    ];
    for (key, finding) in judged {
        let truth = case.truth[key].as_f64().expect("a truth");
        let Estimate { value, standard } = finding.estimate;
        let error = value.deg() - truth;
        println!(
            "{name} {source:?} {key}: error {error:+.4}°, standard {:.4}°",
            standard.deg()
        );
        assert!(
            error.abs() <= at_most_deg,
            "{key}: error {error:+.4}° beyond {at_most_deg}°"
        );
        assert!(
            error.abs() <= SIGMAS * standard.deg(),
            "{key}: error {error:+.4}° with a standard uncertainty of {:.4}°",
            standard.deg()
        );
    }
    Some(outcome)
}

/// A chip without error on a floor and a toe measured exactly: only rounding is left.
#[test]
fn a_chip_without_error_finds_the_axis_by_gyro() {
    check(
        "00_ideal_nominal",
        ChipFigures::IDEAL,
        SteerSource::Gyro,
        0.001,
    );
}

#[test]
fn a_chip_without_error_finds_the_axis_by_plates() {
    check(
        "00_ideal_nominal",
        ChipFigures::IDEAL,
        SteerSource::Plates,
        0.001,
    );
}

#[test]
fn a_good_chip_finds_the_axis_by_gyro() {
    check("14_good_stops", ChipFigures::GOOD, SteerSource::Gyro, 0.15);
}

#[test]
fn a_good_chip_finds_the_axis_by_plates() {
    check(
        "14_good_stops",
        ChipFigures::GOOD,
        SteerSource::Plates,
        0.15,
    );
}

#[test]
fn a_cheap_chip_finds_the_axis_by_gyro() {
    check("06_cheap_stops", ChipFigures::CHEAP, SteerSource::Gyro, 0.4);
}

#[test]
fn a_cheap_chip_finds_the_axis_by_plates() {
    check(
        "06_cheap_stops",
        ChipFigures::CHEAP,
        SteerSource::Plates,
        0.4,
    );
}

#[test]
fn an_inclinometer_without_gyro_finds_the_axis_by_plates() {
    check(
        "21_incl_stops",
        ChipFigures::INCLINOMETER,
        SteerSource::Plates,
        0.15,
    );
}

/// An uncalibrated chip cannot be near; it must say so.
#[test]
fn a_raw_chip_says_how_little_it_knows() {
    let outcome = judge("13_cheap_raw", ChipFigures::RAW, SteerSource::Plates, 5.0);
    if let Some(outcome) = outcome {
        assert!(
            outcome.camber.estimate.standard.deg() > 1.0,
            "{:?}",
            outcome.camber
        );
    }
}
