//! From stops on a turn to the angles at 20°.

use nalgebra::{Matrix2, Vector2};

use crate::angle::Angle;
use crate::check::evidence::{PlainTurn, TurnedBy, TurnsEvidence};
use crate::check::refusal::CheckRefusal;
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Note, Quantity, TurnPair};
use crate::gum::Uncertainty;
use crate::side::Side;

/// The angle that makers quote toe-out on turns at.
const TWENTY: Angle = Angle::from_deg(20.0);
/// The nearest stop is no farther from it than this.
const NEAR: Angle = Angle::from_deg(7.0);
/// Stops this far apart tell the cube of the angle from its square.
const APART: Angle = Angle::from_deg(4.0);
/// What one stop says at another angle is wrong by this share of the difference and
/// the distance (by judgement, no source): no linkage keeps the cotangents exactly.
const BY_LINKAGE: f64 = 0.3;
/// The wheels came back within this.
const BACK_WITHIN: Angle = Angle::from_deg(2.0);

/// Inner less outer as c₂ i² + c₃ i³, i in units of 20°.
struct Difference {
    coefficients: Vector2<f64>,
    covariance: Matrix2<f64>,
    /// Where one stop is all there is: its inner angle and the difference of the cotangents.
    only: Option<(f64, f64)>,
}

impl Difference {
    fn row(inner: f64) -> Vector2<f64> {
        let ratio = inner / TWENTY.rad();
        Vector2::new(ratio.powi(2), ratio.powi(3))
    }

    fn of(turns: &[&PlainTurn]) -> Option<Self> {
        let inner = turns.iter().map(|turn| turn.inner_rad[0]);
        let highest = inner.clone().fold(f64::MIN, f64::max);
        let lowest = inner.fold(f64::MAX, f64::min);
        let both = highest - lowest > APART.rad();
        let mut normal = Matrix2::zeros();
        let mut right = Vector2::zeros();
        for turn in turns {
            let variance =
                turn.inner_rad[1].powi(2) + turn.outer_rad[1].powi(2) + f64::MIN_POSITIVE;
            let row = Self::row(turn.inner_rad[0]);
            let row = if both { row } else { Vector2::new(row[0], 0.0) };
            normal += row * row.transpose() / variance;
            right += row * ((turn.inner_rad[0] - turn.outer_rad[0]) / variance);
        }
        if !both {
            // One stop, or several alike: the cotangents go on as they are there.
            let covariance = 1.0 / normal[(0, 0)];
            let n = turns.len() as f64;
            let of = |pick: &dyn Fn(&PlainTurn) -> f64| turns.iter().map(|t| pick(t)).sum::<f64>();
            let stop = of(&|turn| turn.inner_rad[0]) / n;
            let outer = of(&|turn| turn.outer_rad[0]) / n;
            let cotangents = outer.tan().recip() - stop.tan().recip();
            return (covariance.is_finite() && cotangents.is_finite()).then(|| Self {
                coefficients: Vector2::new(right[0] * covariance, 0.0),
                covariance: Matrix2::new(covariance, 0.0, 0.0, 0.0),
                only: Some((stop, cotangents)),
            });
        }
        let covariance = normal.try_inverse()?;
        Some(Self {
            coefficients: covariance * right,
            covariance,
            only: None,
        })
    }

    fn at(&self, inner: f64) -> f64 {
        if let Some((_, cotangents)) = self.only {
            return inner - (inner.tan().recip() + cotangents).recip().atan();
        }
        self.coefficients.dot(&Self::row(inner))
    }

    fn slope(&self, inner: f64) -> f64 {
        let step = 1e-4;
        (self.at(inner + step) - self.at(inner - step)) / (2.0 * step)
    }

    fn noise(&self, inner: f64) -> f64 {
        let row = Self::row(inner);
        row.dot(&(self.covariance * row)).max(0.0).sqrt()
    }

    fn by_model(&self, inner: f64) -> f64 {
        self.only.map_or(0.0, |(stop, _)| {
            BY_LINKAGE * self.at(inner).abs() * (inner / stop - 1.0).abs()
        })
    }
}

fn side_findings(evidence: &TurnsEvidence, side: Side) -> Result<Vec<CheckFinding>, CheckRefusal> {
    let turns: Vec<&PlainTurn> = evidence
        .turns
        .iter()
        .filter(|turn| turn.turn == side)
        .collect();
    let far = |turn: &&PlainTurn| (turn.inner_rad[0] - TWENTY.rad()).abs();
    let nearest = turns
        .iter()
        .copied()
        .min_by(|a, b| far(a).total_cmp(&far(b)))
        .ok_or(CheckRefusal::TooFew { found: 0, least: 1 })?;
    if far(&nearest).is_nan() || far(&nearest) > NEAR.rad() {
        return Err(CheckRefusal::FarFromTwenty {
            found: Angle::from_rad(nearest.inner_rad[0]),
            limit: NEAR,
        });
    }
    let difference = Difference::of(&turns).ok_or(CheckRefusal::Evidence)?;
    let noise_cause = match evidence.by {
        TurnedBy::Gyro => CheckCause::GyroNoise,
        _ => CheckCause::Typed,
    };
    let (inner_scale, outer_scale) = match side {
        Side::Left => (evidence.scale[0], evidence.scale[1]),
        Side::Right => (evidence.scale[1], evidence.scale[0]),
    };
    let straight = 0.5 * (evidence.straight_rad[0] + evidence.straight_rad[1]);
    let parts = |inner: f64, gain: f64| {
        let outer = inner - difference.at(inner);
        let scale = (inner_scale * inner).hypot(outer_scale * outer);
        [
            (noise_cause, difference.noise(inner)),
            (CheckCause::GyroScale, scale),
            // Both wheels are set straight together, which moves both alike along the curve.
            (CheckCause::Straight, straight * difference.slope(inner)),
            (CheckCause::Interpolation, difference.by_model(inner)),
        ]
        .map(|(cause, standard)| (cause, Uncertainty::certain(standard * gain)))
    };
    let twenty = TWENTY.rad();
    let at_twenty = difference.at(twenty);
    // The inner angle at which the outer wheel stands at 20°: a few steps are exact to rounding.
    let mut inner = twenty;
    for _ in 0..20 {
        inner = twenty + difference.at(inner);
    }
    if !inner.is_finite() {
        return Err(CheckRefusal::Evidence);
    }
    let finding =
        |quantity, value, at, gain| CheckFinding::of(quantity, None, value, &parts(at, gain));
    // More difference moves the inner angle on, and that makes more difference again.
    let amplified = 1.0 / (1.0 - difference.slope(inner)).max(0.1);
    Ok(vec![
        finding(
            Quantity::OuterAtInner20(side),
            twenty - at_twenty,
            twenty,
            1.0,
        ),
        finding(Quantity::TurnOut(side), at_twenty, twenty, 1.0),
        finding(Quantity::InnerAtOuter20(side), inner, inner, amplified),
    ])
}

pub(in crate::check) fn solve(evidence: &TurnsEvidence) -> Result<CheckResult, CheckRefusal> {
    let found = Angle::from_rad(evidence.return_rad.abs());
    if found > BACK_WITHIN {
        return Err(CheckRefusal::NotBack {
            found,
            limit: BACK_WITHIN,
        });
    }
    let mut result = CheckResult {
        pairs: evidence.turns.iter().map(TurnPair::of).collect(),
        ..CheckResult::default()
    };
    let mut refusal = None;
    for side in Side::BOTH {
        match side_findings(evidence, side) {
            Ok(findings) => result.findings.extend(findings),
            Err(error) => {
                result.notes.push(Note::NoTurnTo(side));
                // The stop that was far off tells more than none at all.
                if refusal.is_none() || !matches!(error, CheckRefusal::TooFew { .. }) {
                    refusal = Some(error);
                }
            }
        }
    }
    if let Some(refusal) = refusal.filter(|_| result.findings.is_empty()) {
        return Err(refusal);
    }
    result
        .notes
        .push(Note::Return(Angle::from_rad(evidence.return_rad)));
    Ok(result)
}
