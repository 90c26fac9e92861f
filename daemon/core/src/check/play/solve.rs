//! From turning points to the play.

use crate::angle::Angle;
use crate::check::evidence::{PlayEvidence, TurningPoint};
use crate::check::play::Grip;
use crate::check::refusal::CheckRefusal;
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Note, Quantity};
use crate::frames::{Board, Dir, Vec3};
use crate::gum::Uncertainty;
use crate::reading::Sample;

/// Time in which a hand rocks a wheel once to one side, s: noise is told over it.
const ROCK_S: f64 = 0.5;
/// A turning point goes so many sigmas beyond the noise: one in a long rocking would
/// go by chance beyond four.
const SIGMAS: f64 = 5.0;
/// Rocks that make a result.
const LEAST_ROCKS: usize = 3;
/// Fewer rocks than that which go so many times beyond the least are still movement.
const CLEARLY: f64 = 3.0;
/// To and fro takes no longer; what is slower is drift, µs.
const SLOWEST_US: i64 = 5_000_000;
/// Hands make the readings scatter by this factor; by chance the factor is
/// within 1.1 of 1 with 200 readings of rest.
const LEAST_SHAKEN: f64 = 1.3;

/// A turning point is the farthest of all angles about it, so noise carries it outward, in every
/// rock alike. Where a hand waits half a second at an end, by √(2/π) of the noise over that time;
/// where it turns at once, by none. Both ends together, and anything in between: 1.6 / √3.
const OUTWARD: f64 = 0.92;

/// The least rock that is told from noise, rad.
pub(super) fn floor_rad(rest_noise_rad: f64, density_radps_rthz: f64) -> f64 {
    SIGMAS * rest_noise_rad.max(density_radps_rthz * (ROCK_S / 2.0).sqrt())
}

/// Noise of an angle over half a second by the scatter of rates at rest, rad.
pub(super) fn rest_noise_rad(quiet: &[Sample], axis: &Dir<Board>) -> f64 {
    let rates: Vec<f64> = quiet
        .iter()
        .filter_map(|s| Some(s.rate_radps?.dot(&axis.vec())))
        .collect();
    let (Some(first), Some(last)) = (quiet.first(), quiet.last()) else {
        return 0.0;
    };
    let Ok((_, of_mean)) = Uncertainty::of_mean(&rates) else {
        return 0.0;
    };
    // Of a mean over T: σ √(step/T); of a sum over τ: σ √(step τ).
    let seconds = last.at.since_s(first.at);
    of_mean.standard * (seconds * ROCK_S).sqrt()
}

/// How much more the readings scatter than at rest: force or rate, whichever shows it better.
pub(super) fn shaken_ratio(trail: &[Sample], quiet: &[Sample]) -> f64 {
    let scatter = |samples: &[Sample], pick: &dyn Fn(&Sample) -> Option<Vec3<Board>>| {
        let all: Vec<Vec3<Board>> = samples.iter().filter_map(pick).collect();
        let n = all.len().max(1) as f64;
        let mean = all.iter().fold(Vec3::zero(), |sum, v| sum + *v) * (1.0 / n);
        let square: f64 = all.iter().map(|v| (*v - mean).dot(&(*v - mean))).sum();
        (square / n).sqrt()
    };
    let ratio = |pick: &dyn Fn(&Sample) -> Option<Vec3<Board>>| {
        let rest = scatter(quiet, pick);
        if rest > 0.0 {
            scatter(trail, pick) / rest
        } else {
            // A chip without noise: any movement is one.
            f64::from(u8::from(scatter(trail, pick) > 0.0)) * 1e3
        }
    };
    ratio(&|s| Some(s.accel_g)).max(ratio(&|s| s.rate_radps))
}

/// Sizes of whole rocks, drift taken out: each point against the line between its neighbours.
fn rocks(points: &[TurningPoint]) -> Vec<f64> {
    points
        .windows(3)
        .filter(|three| three[2].at_us - three[0].at_us <= SLOWEST_US)
        .map(|three| {
            let share =
                (three[1].at_us - three[0].at_us) as f64 / (three[2].at_us - three[0].at_us) as f64;
            let line = three[0].angle_rad + (three[2].angle_rad - three[0].angle_rad) * share;
            (three[1].angle_rad - line).abs()
        })
        .collect()
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    match sorted.len() {
        0 => 0.0,
        n if n % 2 == 1 => sorted[n / 2],
        n => 0.5 * (sorted[n / 2 - 1] + sorted[n / 2]),
    }
}

pub(in crate::check) fn solve(evidence: &PlayEvidence) -> Result<CheckResult, CheckRefusal> {
    if evidence.shaken_ratio.is_nan() || evidence.shaken_ratio < LEAST_SHAKEN {
        return Err(CheckRefusal::NotRocked {
            ratio: evidence.shaken_ratio,
            least: LEAST_SHAKEN,
        });
    }
    let noise = evidence
        .rest_noise_rad
        .max(evidence.gyro_noise_radps_rthz * (ROCK_S / 2.0).sqrt());
    let floor = floor_rad(evidence.rest_noise_rad, evidence.gyro_noise_radps_rthz);
    let rocks = rocks(&evidence.points);
    let largest = rocks.iter().copied().fold(0.0, f64::max);
    if rocks.len() < LEAST_ROCKS {
        if largest > CLEARLY * floor || evidence.range_rad > 4.0 * CLEARLY * floor {
            return Err(CheckRefusal::TooFew {
                found: rocks.len(),
                least: LEAST_ROCKS,
            });
        }
        return Ok(CheckResult {
            notes: vec![Note::NoPlayAbove(Angle::from_rad(floor.max(largest)))],
            ..CheckResult::default()
        });
    }
    let n = rocks.len() as f64;
    let value = median(&rocks);
    let off: Vec<f64> = rocks.iter().map(|rock| (rock - value).abs()).collect();
    // Of the normal distribution: σ = 1.4826 median|x − m|, and the median of n
    // scatters √(π/2) times as much as their mean.
    let scatter = 1.4826 * median(&off) * (std::f64::consts::FRAC_PI_2 / n).sqrt();
    let quantity = match evidence.grip {
        Grip::TopBottom => Quantity::PlayTopBottom,
        Grip::FrontRear => Quantity::PlayFrontRear,
    };
    let parts = [
        (
            CheckCause::Scatter,
            Uncertainty::with_freedom(scatter, n - 1.0),
        ),
        (
            CheckCause::GyroNoise,
            Uncertainty::certain(noise * (1.5 / n + OUTWARD * OUTWARD).sqrt()),
        ),
        (
            CheckCause::GyroScale,
            Uncertainty::certain(evidence.gyro_scale * value),
        ),
    ];
    Ok(CheckResult {
        findings: vec![CheckFinding::of(
            quantity,
            Some(evidence.side),
            value,
            &parts,
        )],
        notes: vec![Note::Rocks(rocks.len())],
        ..CheckResult::default()
    })
}
