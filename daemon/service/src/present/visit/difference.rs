//! Left less right, with what both share.

use hubplumb_core::estimate::Estimate;
use hubplumb_core::gum::{coverage_factor, difference};

use super::verdict::{Judged, verdict};
use crate::car::{AxleTargets, CarTargets, Limits};
use crate::http::visit_views::SideDifferenceView;
use crate::visit::{Place, Quantity, Stage, Standing, Visit};

const COMPARED: [Quantity; 5] = [
    Quantity::Camber,
    Quantity::Caster,
    Quantity::Sai,
    Quantity::IncludedAngle,
    Quantity::Toe,
];

/// All differences of a stage.
pub(super) fn differences(visit: &Visit<'_>, stage: Stage) -> Vec<SideDifferenceView> {
    let axles = [
        (true, Place::FrontLeft, Place::FrontRight),
        (false, Place::RearLeft, Place::RearRight),
    ];
    axles
        .into_iter()
        .flat_map(|(front, left, right)| {
            COMPARED.iter().filter_map(move |quantity| {
                let left = visit.standing(stage, *quantity, left)?;
                let right = visit.standing(stage, *quantity, right)?;
                one(&visit.car.targets, stage, front, &left, &right)
            })
        })
        .collect()
}

fn one(
    targets: &CarTargets,
    stage: Stage,
    front: bool,
    left: &Standing<'_>,
    right: &Standing<'_>,
) -> Option<SideDifferenceView> {
    let estimate = |standing: &Standing<'_>| {
        Estimate::from_deg(standing.finding.value, standing.finding.standard)
    };
    let spread = left.finding.standard * right.finding.standard;
    let correlation = if spread > 0.0 {
        (left.covariance(right) / spread).clamp(-1.0, 1.0)
    } else {
        0.0
    };
    let difference = difference(&estimate(left), &estimate(right), correlation).ok()?;
    let freedom = [left, right]
        .into_iter()
        .filter_map(|standing| standing.finding.degrees_of_freedom)
        .fold(f64::INFINITY, f64::min);
    let factor = coverage_factor(freedom, 0.95).ok()?;
    let quantity = left.finding.quantity;
    let axle = if front { &targets.front } else { &targets.rear };
    let most = most(axle, quantity);
    // The side whose uncertainty is the larger one is worth the work.
    let worse = if left.finding.standard < right.finding.standard {
        right
    } else {
        left
    };
    let judged = Judged {
        value: difference.value.deg(),
        standard: difference.standard.deg(),
        degrees_of_freedom: freedom.is_finite().then_some(freedom),
        unit: quantity.unit(),
        advice: &worse.finding.advice,
    };
    Some(SideDifferenceView {
        stage,
        quantity,
        front,
        value_deg: difference.value.deg(),
        standard_deg: difference.standard.deg(),
        expanded_deg: difference.standard.deg() * factor,
        correlation,
        most_deg: most,
        verdict: most.and_then(|most| {
            let limits = Limits {
                target: None,
                low: Some(-most),
                high: Some(most),
            };
            verdict(&judged, &limits)
        }),
    })
}

const fn most(axle: &AxleTargets, quantity: Quantity) -> Option<f64> {
    let limits = &axle.most_difference;
    match quantity {
        Quantity::Camber => limits.camber_deg,
        Quantity::Caster => limits.caster_deg,
        Quantity::Sai => limits.sai_deg,
        Quantity::IncludedAngle => limits.included_angle_deg,
        _ => None,
    }
}
