//! The live tilt filter against open recordings with an optical reference, the
//! filter authors' own program, and the simulated car.

use hubplumb_tests::skip;
use hubplumb_tests::tilt::{contenders, cuts, garage, report, rms};
use vqf_rs::Params;

const REFERENCE: &str = include_str!("../reference/vqf_reference.csv");
/// The filter's readings count at their stamp, the recordings' fit means: half
/// a reading at 75 °/s, see docs/TILT.md. With it taken out, the second figure.
const MARGIN_AS_STAMPED_DEG: f64 = 0.08;
const MARGIN_DEG: f64 = 0.02;

fn cut(name: &str) -> Option<Vec<cuts::Reading>> {
    let found = cuts::load(name);
    if found.is_none() {
        skip("tilt filters", "the cuts of BROAD are not there");
    }
    found
}

fn error_deg(label: &str, cut: &[cuts::Reading]) -> f64 {
    let (_, run) = contenders::ALL
        .iter()
        .find(|(name, _)| name.starts_with(label))
        .expect("a contender");
    rms(cuts::errors_deg(cut, &run(cut))).expect("motion")
}

#[test]
fn the_adopted_filter_is_near_the_authors_and_beats_the_baselines() {
    for (name, published) in cuts::NAMES.iter().zip(cuts::PUBLISHED_CODE_DEG) {
        let Some(cut) = cut(name) else { return };
        let stamped = error_deg("adopted: ", &cut);
        let means = error_deg("adopted, readings", &cut);
        assert!(
            stamped < published + MARGIN_AS_STAMPED_DEG,
            "{name}: {stamped}"
        );
        assert!(means < published + MARGIN_DEG, "{name}: {means}");
        assert!(stamped < error_deg("baseline: accel", &cut), "{name}");
        // On 25 half a minute is too short for a gyro started at a rest to drift.
        if *name == "25" {
            assert!(stamped < error_deg("baseline: gyro", &cut) + MARGIN_DEG);
        } else {
            assert!(stamped < error_deg("baseline: gyro", &cut), "{name}");
        }
    }
}

#[test]
fn the_crate_gives_what_the_authors_program_gives() {
    for name in cuts::NAMES {
        let Some(cut) = cut(name) else { return };
        let found = contenders::vqf_quaternions(&cut, Params::default());
        let mut compared = 0;
        for line in REFERENCE.lines().skip(1) {
            let words: Vec<_> = line.split(',').collect();
            if words[0] != name {
                continue;
            }
            let reading: usize = words[1].parse().expect("a number");
            for (part, word) in found[reading].iter().zip(&words[2..]) {
                let should: f64 = word.parse().expect("a number");
                assert!((part - should).abs() < 1e-6, "{name} {reading}: {part}");
            }
            compared += 1;
        }
        assert_eq!(compared, 57);
    }
}

#[test]
fn the_stated_uncertainty_holds_on_recordings() {
    for name in cuts::NAMES {
        let Some(cut) = cut(name) else { return };
        let share = report::coverage(&cut).share();
        assert!(share >= 0.95, "{name}: {share}");
    }
}

#[test]
fn the_stated_uncertainty_holds_on_the_simulated_car() {
    for (name, chip) in garage::SWINGS {
        let coverage = garage::coverage(name, &chip, garage::SEEDS);
        assert!(coverage.share() >= 0.95, "{name}: {coverage:?}");
        // Nor is it so wide that it says nothing.
        assert!(
            coverage.stated_deg() < 2.0 * coverage.error_deg(),
            "{name}: {coverage:?}"
        );
    }
}
