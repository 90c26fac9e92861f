//! Toe by a carried board: random cars of the simulator, and streams that scipy made
//! (`tests/reference/carried_reference.py`).

use std::io::Read as _;

use flate2::read::GzDecoder;
use hubplumb_core::carried::{CarriedAngle, CarriedToe, LeftOut, Place, Refusal};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::time::HostTime;
use hubplumb_tests::carried::{Class, Course, Found, Series, series, setup, trial};
use serde_json::Value;

const STREAMS: &[u8] = include_bytes!("../reference/carried_streams.csv.gz");
const TRUTH: &str = include_str!("../reference/carried_truth.json");

/// One session of scipy's, and what is true about it.
struct Stream {
    truth: Value,
    samples: Vec<Sample>,
}

fn streams() -> Vec<Stream> {
    let mut text = String::new();
    GzDecoder::new(STREAMS)
        .read_to_string(&mut text)
        .expect("packed text");
    let truths: Vec<Value> = serde_json::from_str(TRUTH).expect("JSON");
    let blocks = text.split("\n\n").filter(|block| !block.is_empty());
    truths
        .into_iter()
        .zip(blocks)
        .map(|(truth, block)| Stream {
            samples: readings(&truth, block),
            truth,
        })
        .collect()
}

/// Readings from their differences in steps.
fn readings(truth: &Value, block: &str) -> Vec<Sample> {
    let step = |key: &str| truth[key].as_f64().expect("a number");
    let (step_radps, step_g) = (step("step_dps").to_radians(), step("step_g"));
    let mut sum = [0_i64; 7];
    let samples: Vec<Sample> = block
        .lines()
        .map(|line| {
            for (sum, difference) in sum.iter_mut().zip(line.split(',')) {
                *sum += difference.parse::<i64>().expect("a whole number");
            }
            let three = |from: usize, step: f64| {
                Vec3::from_array([0, 1, 2].map(|axis| sum[from + axis] as f64 * step))
            };
            Sample {
                at: HostTime::from_us(sum[0]),
                accel_g: three(4, step_g),
                rate_radps: Some(three(1, step_radps)),
                temperature_c: None,
            }
        })
        .collect();
    assert_eq!(
        samples.len() as u64,
        truth["readings"].as_u64().expect("a count")
    );
    samples
}

fn carried(stream: &Stream) -> CarriedToe {
    let floor = [0, 1].map(|axis| {
        stream.truth["floor_measured_deg"][axis]
            .as_f64()
            .expect("degrees")
    });
    let chip = match stream.truth["chip"].as_str() {
        Some("cheap") => ChipFigures::CHEAP,
        _ => ChipFigures::GOOD,
    };
    let mut carried = CarriedToe::new(setup(chip, floor)).expect("a gyro");
    for sample in &stream.samples {
        carried.observe(sample);
    }
    carried
}

fn toe_deg(stream: &Stream, wheel: &str) -> f64 {
    stream.truth["toe_deg"][wheel].as_f64().expect("degrees")
}

/// Found less true, degrees; the truth must lie within so many of the stated half widths.
#[track_caller]
fn check(name: &str, found: &CarriedAngle, true_deg: f64) -> f64 {
    let error = found.estimate.value.deg() - true_deg;
    let half = found.estimate.expanded().deg();
    println!("{name}: {true_deg:+.4} found {error:+.4} off, U {half:.4}");
    assert!(error.abs() <= 1.3 * half, "{name}: {error} of {half}");
    error
}

#[test]
fn streams_that_scipy_made_give_the_toe_they_were_made_with() {
    let streams = streams();
    assert_eq!(streams.len(), 4);
    for stream in &streams {
        let name = format!("{} {}", stream.truth["chip"], stream.truth["course"]);
        let carried = carried(stream);
        assert_eq!(carried.left_out(), [], "{name}");
        let solved = carried.finish().expect("toe");
        let total = solved.total(true).expect("both front wheels");
        let error = check(&name, &total, toe_deg(stream, "FL") + toe_deg(stream, "FR"));
        if stream.truth["chip"] == "ideal" {
            // No chip, no seat, no block: what is left is the integration and the Earth.
            assert!(error.abs() < 0.003, "{error}");
        }
        if stream.truth["course"] == "all" {
            let rear = solved.total(false).expect("both rear wheels");
            check("rear", &rear, toe_deg(stream, "RL") + toe_deg(stream, "RR"));
            let thrust = 0.5 * (toe_deg(stream, "RL") - toe_deg(stream, "RR"));
            for (place, wheel, sign) in [
                (Place::FrontLeft, "FL", -1.0),
                (Place::FrontRight, "FR", 1.0),
            ] {
                let found = solved.to_thrust(place).expect("all wheels");
                check(wheel, &found, toe_deg(stream, wheel) + sign * thrust);
            }
        }
    }
}

/// The interval holds the truth as often as it says: within what chance does to so many trials.
#[track_caller]
fn check_honest(series: &Series) {
    let n = series.found.len() as f64;
    let by_chance = 3.0 * (0.95 * 0.05 / n).sqrt();
    let coverage = series.coverage();
    assert!(coverage >= 0.95 - by_chance, "{coverage} of {n}");
    assert!(series.refused * 20 <= series.trials, "{:?}", series.reasons);
}

#[test]
fn a_good_chip_finds_toe_to_a_twentieth_of_a_degree_in_four_passes() {
    let series = series(1, 100, Class::Good, &Course::default());
    check_honest(&series);
    assert!(
        series.half_width_95_deg() <= 0.05,
        "{}",
        series.half_width_95_deg()
    );
}

#[test]
fn a_cheap_chip_says_how_much_worse_it_is() {
    let series = series(1, 100, Class::Cheap, &Course::default());
    check_honest(&series);
    assert!(
        series.half_width_deg() > 0.03,
        "{}",
        series.half_width_deg()
    );
}

/// Every way done wrong is left out for that reason, and no figure comes of it.
#[track_caller]
fn check_refused(course: &Course, is_reason: impl Fn(&LeftOut) -> bool) {
    for seed in 1..=6 {
        let Found {
            outcome, left_out, ..
        } = trial(seed, Class::Good, course);
        assert!(!left_out.is_empty(), "{seed}");
        assert!(left_out.iter().all(&is_reason), "{seed}: {left_out:?}");
        assert!(
            matches!(outcome, Err(Refusal::TooFewPasses { .. })),
            "{seed}: {outcome:?}"
        );
    }
}

#[test]
fn a_block_that_leans_too_far_gives_no_figure() {
    let course = Course {
        lean_deg: 60.0,
        ..Course::default()
    };
    check_refused(&course, |why| matches!(why, LeftOut::TiltedTooMuch { .. }));
}

#[test]
fn a_blow_gives_no_figure() {
    let course = Course {
        bump_g: 4.0,
        ..Course::default()
    };
    check_refused(&course, |why| matches!(why, LeftOut::Bumped { .. }));
}

#[test]
fn a_slow_hand_gives_no_figure() {
    let course = Course {
        over_s: 24.0,
        ..Course::default()
    };
    check_refused(&course, |why| matches!(why, LeftOut::TooSlow { .. }));
}

#[test]
fn too_few_readings_a_second_give_no_figure() {
    let course = Course {
        rate_hz: 30.0,
        ..Course::default()
    };
    check_refused(&course, |why| matches!(why, LeftOut::Gap { .. }));
}
