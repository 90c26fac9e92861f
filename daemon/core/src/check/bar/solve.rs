//! From the takes of a bar to the camber.

use nalgebra::{DMatrix, DVector, Matrix4, Vector4};

use crate::angle::Angle;
use crate::attitude::{camber_at, mirrored_up};
use crate::check::evidence::{BarEvidence, BarTake};
use crate::check::refusal::CheckRefusal;
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Note, Quantity};
use crate::frames::{Board, Dir, Vec3};
use crate::gum::Uncertainty;

/// Nothing is known of the lean beforehand, rad.
const LEAN_SIGMA: f64 = 1.0;
/// A cause that is declared certain keeps its weight finite, rad.
const LEAST_SIGMA: f64 = 1e-9;

/// Lean of the board's outboard axis above the horizontal, rad.
pub(super) fn lean(evidence: &BarEvidence, take: &BarTake) -> Option<f64> {
    let outboard: Dir<Board> = Dir::along(Vec3::from_array(evidence.outboard))?;
    Some(outboard.dot(&take.rest.up()?).clamp(-1.0, 1.0).asin())
}

/// How lean, seat, offset and wedge enter a take.
fn row(take: &BarTake) -> Vector4<f64> {
    let sign = |plus: bool| if plus { 1.0 } else { -1.0 };
    let (face, end) = (sign(take.faces_out), sign(take.same_end_up));
    Vector4::new(face, end, 1.0, if take.faces_out { 0.0 } else { end })
}

/// One sigma of a take by itself, rad.
fn sigma(evidence: &BarEvidence, take: &BarTake) -> f64 {
    evidence
        .reseat_rad
        .hypot(take.rest.noise_rad)
        .max(LEAST_SIGMA)
}

/// How many unknowns the takes can tell apart.
fn classes(rows: &[Vector4<f64>]) -> usize {
    let new = |(i, row): &(usize, &Vector4<f64>)| !rows[..*i].contains(row);
    rows.iter().enumerate().filter(new).count()
}

/// What each cause comes to in the lean, which is `weights` times the takes.
fn parts(
    evidence: &BarEvidence,
    rows: &[Vector4<f64>],
    weights: &[f64],
    misfits: &[f64],
) -> Vec<(CheckCause, Uncertainty)> {
    let takes = &evidence.takes;
    // The estimate is linear in the takes, so each cause goes through the same weights.
    let through = |pick: &dyn Fn(&Vector4<f64>) -> f64| -> f64 {
        rows.iter().zip(weights).map(|(row, k)| k * pick(row)).sum()
    };
    let squares = |pick: &dyn Fn(usize) -> f64| -> f64 {
        let terms = weights.iter().enumerate();
        terms
            .map(|(i, k)| (k * pick(i)).powi(2))
            .sum::<f64>()
            .sqrt()
    };
    let certain = |standard: f64| Uncertainty::certain(standard);
    let by_take: Vec<Uncertainty> = takes
        .iter()
        .zip(weights.iter())
        .map(|(take, k)| {
            Uncertainty::with_freedom(take.rest.noise_rad * k, take.rest.degrees_of_freedom)
        })
        .collect();
    let mut parts = vec![
        (CheckCause::TiltNoise, Uncertainty::combined(&by_take)),
        (
            CheckCause::Reseat,
            certain(squares(&|_| evidence.reseat_rad)),
        ),
        (
            CheckCause::BarSeat,
            certain(through(&|row| row[1]) * evidence.seat_rad),
        ),
        (
            CheckCause::AccelScale,
            certain(through(&|row| row[1]) * evidence.accel.cross_rad),
        ),
        (
            CheckCause::AccelOffset,
            certain(through(&|row| row[2]) * evidence.accel.offset_g),
        ),
        (
            CheckCause::BarFaces,
            certain(through(&|row| row[3]) * evidence.faces_rad),
        ),
        (CheckCause::Rim, certain(evidence.rim_rad)),
        (CheckCause::Floor, certain(evidence.floor.roll_rad[1])),
    ];
    // What repetitions scatter beyond what was declared.
    let free = takes.len().saturating_sub(classes(rows));
    if free > 0 {
        let square: f64 = misfits
            .iter()
            .zip(takes)
            .map(|(misfit, take)| (misfit / sigma(evidence, take)).powi(2))
            .sum();
        let excess = (square / free as f64 - 1.0).max(0.0);
        let scatter = excess.sqrt() * squares(&|i| sigma(evidence, &takes[i]));
        parts.push((
            CheckCause::Scatter,
            Uncertainty::with_freedom(scatter, free as f64),
        ));
    }
    parts
}

pub(in crate::check) fn solve(evidence: &BarEvidence) -> Result<CheckResult, CheckRefusal> {
    let takes = &evidence.takes;
    if takes.len() < 2 {
        return Err(CheckRefusal::TooFew {
            found: takes.len(),
            least: 2,
        });
    }
    let leans: Vec<f64> = takes
        .iter()
        .map(|take| lean(evidence, take))
        .collect::<Option<_>>()
        .ok_or(CheckRefusal::NoCamber)?;
    let rows: Vec<Vector4<f64>> = takes.iter().map(row).collect();
    // The upright axis leaks into the one that is read, and turns with the ends as a seat does.
    let seat = evidence.seat_rad.hypot(evidence.accel.cross_rad);
    let priors = [
        LEAN_SIGMA,
        seat,
        evidence.accel.offset_g,
        evidence.faces_rad,
    ];
    let mut information = Matrix4::from_diagonal(&Vector4::from(
        priors.map(|sigma| sigma.max(LEAST_SIGMA).powi(-2)),
    ));
    let mut gains = DMatrix::zeros(4, takes.len());
    for (index, (row, take)) in rows.iter().zip(takes).enumerate() {
        let weight = sigma(evidence, take).powi(-2);
        information += row * row.transpose() * weight;
        gains.set_column(index, &(row * weight));
    }
    let covariance = information.try_inverse().ok_or(CheckRefusal::Evidence)?;
    let gains = covariance * gains;
    let found = &gains * DVector::from_column_slice(&leans);
    let misfits: Vec<f64> = rows
        .iter()
        .zip(&leans)
        .map(|(row, lean)| lean - row.dot(&Vector4::new(found[0], found[1], found[2], found[3])))
        .collect();

    let parts = parts(
        evidence,
        &rows,
        &gains.row(0).iter().copied().collect::<Vec<_>>(),
        &misfits,
    );
    let gravity = mirrored_up(evidence.side, evidence.floor.up());
    let camber = camber_at(&gravity, found[0].sin(), Angle::ZERO).ok_or(CheckRefusal::NoCamber)?;
    let mut notes: Vec<Note> = Vec::new();
    for turn in takes.iter().filter_map(|take| take.turn) {
        let note = Note::Turned(turn);
        if !notes.contains(&note) {
            notes.push(note);
        }
    }
    notes.push(Note::TakenOut(Angle::from_rad(found[1] + found[2])));
    Ok(CheckResult {
        findings: vec![CheckFinding::of(
            Quantity::Camber,
            Some(evidence.side),
            camber.rad(),
            &parts,
        )],
        notes,
        ..CheckResult::default()
    })
}
