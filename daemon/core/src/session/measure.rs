//! Means over windows and turns between them.

use crate::chip::ChipFigures;
use crate::frames::{Board, Vec3};
use crate::reading::Sample;
use crate::rest::{RestMeasure, RestTally};
use crate::time::HostTime;
use crate::turn;

/// Length of a bin of a spinning wheel.
const BIN_US: i64 = 250_000;

/// The readings from one time to another.
pub(super) fn between(samples: &[Sample], from: HostTime, to: HostTime) -> &[Sample] {
    let first = samples.partition_point(|s| s.at < from);
    let last = samples.partition_point(|s| s.at <= to);
    &samples[first..last.max(first)]
}

/// Mean over a stretch of rest.
pub(super) fn rest(samples: &[Sample], chip: &ChipFigures) -> Option<RestMeasure> {
    let mut tally = RestTally::new();
    for sample in samples {
        tally.add(sample);
    }
    tally.count_all();
    tally.measure(chip)
}

/// Means over short bins: of a spinning wheel each keeps its component along
/// the spindle, however far it turned within the bin.
pub(super) fn bins(samples: &[Sample], chip: &ChipFigures) -> Vec<(Vec3<Board>, f64)> {
    let mut means = Vec::new();
    let mut rest = samples;
    while let Some(first) = rest.first() {
        let end = rest.partition_point(|s| s.at.since_us(first.at) < BIN_US);
        let (bin, later) = rest.split_at(end);
        rest = later;
        if bin.len() < 4 {
            continue;
        }
        let sum = bin.iter().fold(Vec3::zero(), |sum, s| sum + s.accel_g);
        let seconds = BIN_US as f64 * 1e-6;
        means.push((
            sum * (1.0 / bin.len() as f64),
            chip.accel_noise_g_rthz / (2.0 * seconds).sqrt(),
        ));
    }
    means
}

/// Rotation vector from one time to another, board axes now → then. The ends
/// may fall between readings.
pub(super) fn rotation(
    samples: &[Sample],
    from: HostTime,
    to: HostTime,
    offset: Vec3<Board>,
) -> Option<Vec3<Board>> {
    let inner: Option<Vec<_>> = between(samples, from, to)
        .iter()
        .map(|s| Some((s.at, s.rate_radps?)))
        .collect();
    let ends = [from, to].map(|at| Some((at, rate_at(samples, at)?)));
    let rates = ends[0].into_iter().chain(inner?).chain(ends[1]);
    Some(turn::integrate(rates, offset).to_vector())
}

/// The rate at a time, on the straight line between the readings about it.
fn rate_at(samples: &[Sample], at: HostTime) -> Option<Vec3<Board>> {
    let after = samples.partition_point(|s| s.at < at);
    let (before, after) = (samples.get(after.checked_sub(1)?)?, samples.get(after)?);
    let share = at.since_s(before.at) / after.at.since_s(before.at);
    let (then, now) = (before.rate_radps?, after.rate_radps?);
    share
        .is_finite()
        .then(|| then + (now - then) * share.clamp(0.0, 1.0))
}

/// A moment of a sweep: the mean specific force about a time, and what a
/// distance from the steering axis adds to it, g per metre (row by row).
///
/// A point at r from a fixed axis feels α × r + ω × (ω × r); the angular
/// acceleration is the slope of the rate over the moment.
pub(super) fn moment(samples: &[Sample], offset: Vec3<Board>) -> Option<(Vec3<Board>, [f64; 9])> {
    let n = samples.len() as f64;
    let start = samples.first()?.at;
    let (mut force, mut rate, mut time) = (Vec3::zero(), Vec3::zero(), 0.0);
    for sample in samples {
        force = force + sample.accel_g;
        rate = rate + (sample.rate_radps? - offset);
        time += sample.at.since_s(start);
    }
    let (force, rate, time) = (force * (1.0 / n), rate * (1.0 / n), time / n);
    let (mut slope, mut square) = (Vec3::zero(), 0.0);
    for sample in samples {
        let t = sample.at.since_s(start) - time;
        slope = slope + (sample.rate_radps? - offset - rate) * t;
        square += t * t;
    }
    if square <= 0.0 {
        return None;
    }
    let [ax, ay, az] = (slope * (1.0 / square)).to_array();
    let [wx, wy, wz] = rate.to_array();
    let w2 = wx * wx + wy * wy + wz * wz;
    let per_metre_mps2 = [
        wx * wx - w2,
        wx * wy - az,
        wx * wz + ay,
        wy * wx + az,
        wy * wy - w2,
        wy * wz - ax,
        wz * wx - ay,
        wz * wy + ax,
        wz * wz - w2,
    ];
    Some((force, per_metre_mps2.map(|m| m / STANDARD_GRAVITY_MPS2)))
}

/// Exact by definition (ISO 80000-3).
const STANDARD_GRAVITY_MPS2: f64 = 9.806_65;
