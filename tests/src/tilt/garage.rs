//! The stated uncertainty in motion on the simulated car: a swing with chips
//! drawn anew for each seed.

use hubplumb_core::chip::ChipFigures;
use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::{Motion, Sample};
use hubplumb_core::stillness::StillnessDetector;
use hubplumb_core::tilt::TiltFollower;
use hubplumb_core::time::HostTime;
use hubplumb_sim::{Scenario, render};

use super::{Coverage, Up};

/// Coverage in motion over the swings of a shipped scenario with these seeds.
/// What the accelerometer's offset, cross axis and scale leave is taken as
/// `core::live` takes it, times two axes of which one may lean.
///
/// # Panics
/// When the scenario is not one that is shipped.
pub fn coverage(scenario: &str, chip: &ChipFigures, seeds: std::ops::Range<u64>) -> Coverage {
    let mut coverage = Coverage::default();
    for seed in seeds {
        let Some(scenario) = Scenario::shipped(scenario) else {
            panic!("no scenario {scenario}");
        };
        let scenario = scenario.with_seed(seed);
        let mut timeline = scenario.timeline();
        let extended = timeline.extend(scenario.script(), 0.0);
        let recordings = render(&scenario);
        let (Ok(()), Ok(recordings)) = (extended, recordings) else {
            panic!("a script that cannot be driven");
        };
        for (recording, board) in recordings.iter().zip(scenario.boards()) {
            let (mut stillness, mut tilt) = (StillnessDetector::new(), TiltFollower::new());
            for (at_us, reading) in &recording.readings {
                let Some(accel_g) = reading.accel_g else {
                    continue;
                };
                let sample = Sample {
                    at: HostTime::from_us(*at_us),
                    accel_g: Vec3::from_array(accel_g),
                    rate_radps: reading.rate_radps.map(Vec3::from_array),
                    temperature_c: reading.temperature_c,
                };
                stillness.observe(&sample);
                tilt.observe(&sample, &stillness);
                if stillness.motion() != Motion::Moving {
                    continue;
                }
                let Some(found) = tilt.tilt(chip) else {
                    continue;
                };
                let frame = timeline.mount_frame(board.mount, *at_us as f64 * 1e-6);
                let to_level = frame.to_level * board.placement.rotation;
                let row = to_level.matrix().row(2).transpose();
                let truth: Up = [row[0], row[1], row[2]];
                let by_chip = chip
                    .accel_offset_g
                    .hypot(chip.accel_cross_rad)
                    .hypot(0.5 * chip.accel_scale);
                let standard = found.standard.rad().hypot(by_chip);
                coverage.take(found.up.vec().to_array(), truth, standard);
            }
        }
    }
    coverage
}

/// Scenarios with the class of their chips.
pub const SWINGS: [(&str, ChipFigures); 2] = [
    ("garage-good", ChipFigures::GOOD),
    ("garage-cheap", ChipFigures::CHEAP),
];
/// Seeds that are played.
pub const SEEDS: std::ops::Range<u64> = 1..11;
