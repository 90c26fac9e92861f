//! What a wheel did between two of its stops.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir, Vec3};
use crate::joint::evidence::RunOutEvidence;
use crate::reading::Sample;
use crate::rest::RestMeasure;

/// Length of a bin of a spinning wheel.
const BIN_US: i64 = 250_000;

/// The movement between two stops.
#[derive(Debug, Clone, Copy)]
pub(super) struct Turned {
    /// Rotation vector in the board's axes, added up: unlike a rotation it does
    /// not stop at half a turn. None without a gyro.
    pub(super) vector_rad: Option<Vec3<Board>>,
    /// To and fro added up.
    pub(super) gross: Angle,
    /// Its part about the horizontal.
    pub(super) level: Angle,
}

impl Turned {
    /// This movement and one after it as one.
    #[must_use]
    pub(super) fn joined(self, later: &Self) -> Self {
        Self {
            vector_rad: self.vector_rad.zip(later.vector_rad).map(|(a, b)| a + b),
            gross: self.gross + later.gross,
            level: self.level + later.level,
        }
    }
}

/// From the readings between two rests.
pub(super) fn turned(trail: &[Sample], before: &RestMeasure, after: &RestMeasure) -> Turned {
    by_gyro(trail, before, after).unwrap_or_else(|| by_gravity(trail))
}

fn by_gyro(trail: &[Sample], before: &RestMeasure, after: &RestMeasure) -> Option<Turned> {
    let offset = (before.rate_radps? + after.rate_radps?) * 0.5;
    let up = Dir::along(before.accel_g)?;
    let (mut sum, mut gross) = (Vec3::<Board>::zero(), 0.0);
    for pair in trail.windows(2) {
        let mean = (pair[0].rate_radps? + pair[1].rate_radps?) * 0.5 - offset;
        let step = mean * pair[1].at.since_s(pair[0].at);
        // About a fixed axis the components in the board stay, so the steps add up.
        sum = sum + step;
        gross += step.norm();
    }
    let upright = sum.dot(&up.vec());
    // Gravity turns in the board as well: what is about the vertical at the
    // start is about something else after half a turn. A turn about the
    // spindle, which lies level, keeps no upright part to speak of.
    let level = (sum.dot(&sum) - upright * upright).max(0.0).sqrt();
    Some(Turned {
        vector_rad: Some(sum),
        gross: Angle::from_rad(gross),
        level: Angle::from_rad(level),
    })
}

/// Without a gyro: how far gravity went, bin by bin. A spindle lies level but
/// for a few degrees, so that gravity goes nearly as far as the wheel turns.
fn by_gravity(trail: &[Sample]) -> Turned {
    let ups: Vec<Dir<Board>> = bins(trail)
        .into_iter()
        .filter_map(|(mean, _)| Dir::along(mean))
        .collect();
    let gross = ups
        .windows(2)
        .map(|pair| pair[0].angle_to(&pair[1]))
        .fold(Angle::ZERO, |sum, step| sum + step);
    let reach = ups
        .first()
        .zip(ups.last())
        .map_or(Angle::ZERO, |(a, b)| a.angle_to(b));
    Turned {
        vector_rad: None,
        gross,
        // Trembling adds up too; a single turn is at least as far as its ends are apart.
        level: if gross.rad() > std::f64::consts::PI {
            gross
        } else {
            reach
        },
    }
}

/// Means over short bins while the wheel spins. Each keeps its component along
/// the spindle, however far the wheel turned within the bin: what the turning
/// itself makes the board feel lies square to the spindle.
pub(super) fn spun(trail: &[Sample], chip: &ChipFigures) -> Vec<RunOutEvidence> {
    let noise_g = chip.accel_noise_g_rthz / (2.0 * BIN_US as f64 * 1e-6).sqrt();
    let all = bins(trail);
    // The wheel is pushed at the start and stopped at the end, and leans by it.
    let inner = all.get(1..all.len().saturating_sub(1)).unwrap_or(&[]);
    inner
        .iter()
        .map(|(accel_g, _)| RunOutEvidence {
            accel_g: *accel_g,
            noise_g,
            degrees_of_freedom: f64::INFINITY,
            still: false,
        })
        .collect()
}

fn bins(trail: &[Sample]) -> Vec<(Vec3<Board>, usize)> {
    let mut means = Vec::new();
    let mut rest = trail;
    while let Some(first) = rest.first() {
        let end = rest.partition_point(|s| s.at.since_us(first.at) < BIN_US);
        let (bin, later) = rest.split_at(end.max(1));
        rest = later;
        if bin.len() < 4 {
            continue;
        }
        let sum = bin.iter().fold(Vec3::zero(), |sum, s| sum + s.accel_g);
        means.push((sum * (1.0 / bin.len() as f64), bin.len()));
    }
    means
}
