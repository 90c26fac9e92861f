//! The body board while corners are jacked: how far the body leant tells which
//! way the board's axes point.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir, Vec3};
use crate::joint::evidence::{Jackings, RunOutEvidence};
use crate::reading::{Motion, Sample};
use crate::rest::{RestMeasure, RestTally};
use crate::stillness::StillnessDetector;

/// Jackings that differ by less show no heading, g (a third of a degree).
pub const LEAST_JACKING_G: f64 = 6e-3;

/// The two jackings as evidence of the body board's heading; none when they
/// lean the body too much alike. `pitch_difference` is one sigma of how far the
/// body's pitch may differ between them.
pub fn jackings(
    left: RunOutEvidence,
    right: RunOutEvidence,
    pitch_difference: Angle,
) -> Option<Jackings> {
    ((left.accel_g - right.accel_g).norm() >= LEAST_JACKING_G).then_some(Jackings {
        left,
        right,
        pitch_difference,
    })
}

/// Which direction of the body board points forward, by the two jackings: with the left
/// corner up the car leans to the right, with the right one to the left, and what gravity
/// differs by lies across the car.
pub fn forward_by(jackings: &Jackings) -> Option<Dir<Board>> {
    let (left, right) = (jackings.left.accel_g, jackings.right.accel_g);
    // The higher side is the one that the direction against gravity leans to.
    let across = left - right;
    Dir::along(across.cross(&(left + right)))
}

/// Shortest stretch of a still body worth having: beyond it a push on the car
/// ends the stretch, before it a push begins it anew.
const LEAST_STILL_US: i64 = 1_000_000;

/// Collects the body board's readings while the wheels rest.
#[derive(Debug, Clone, Default)]
pub(crate) struct StillBody {
    detector: StillnessDetector,
    resting: Option<Stretch>,
}

#[derive(Debug, Clone, Default)]
struct Stretch {
    tally: RestTally,
    /// The body moved after it had been still for long enough.
    over: bool,
}

impl StillBody {
    /// Takes a reading.
    pub(crate) fn observe(&mut self, sample: &Sample) {
        let still = self.detector.observe(sample) == Motion::Still;
        let Some(stretch) = self.resting.as_mut().filter(|stretch| !stretch.over) else {
            return;
        };
        if still {
            stretch.tally.add(sample);
        } else if stretch.tally.held_us() >= LEAST_STILL_US {
            stretch.over = true;
        } else {
            stretch.tally = RestTally::new();
        }
    }

    /// The wheels begin to rest.
    pub(crate) fn begin(&mut self) {
        self.resting.get_or_insert_default();
    }

    /// What it showed in this rest so far, if it was still for long enough.
    pub(crate) fn measure(&self, chip: &ChipFigures) -> Option<RestMeasure> {
        let tally = &self.resting.as_ref()?.tally;
        (tally.held_us() >= LEAST_STILL_US)
            .then(|| tally.measure(chip))
            .flatten()
    }

    /// The wheels' rest is over.
    pub(crate) fn end(&mut self) {
        self.resting = None;
    }
}

/// Rests taken together, each weighted by its length.
pub(crate) fn mean_rest(rests: &[RestMeasure]) -> Option<RunOutEvidence> {
    let total: f64 = rests.iter().map(RestMeasure::seconds).sum();
    if total <= 0.0 {
        return None;
    }
    let share = |rest: &RestMeasure| rest.seconds() / total;
    let accel_g = rests.iter().fold(Vec3::<Board>::zero(), |sum, rest| {
        sum + rest.accel_g * share(rest)
    });
    let noise = rests
        .iter()
        .map(|rest| (rest.direction_noise.rad() * share(rest)).powi(2))
        .sum::<f64>()
        .sqrt();
    // Turning the wheel by hand rocks the body; what the rests differ by is in the mean too.
    let scatter = rests
        .iter()
        .map(|rest| {
            let d = rest.accel_g - accel_g;
            d.dot(&d) * share(rest)
        })
        .sum::<f64>()
        .sqrt();
    Some(RunOutEvidence {
        accel_g,
        noise_g: noise.hypot(scatter / (rests.len() as f64).sqrt()),
        degrees_of_freedom: rests
            .iter()
            .map(|rest| rest.degrees_of_freedom)
            .fold(f64::INFINITY, f64::min),
        still: true,
    })
}
