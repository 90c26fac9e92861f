//! Findings of a visit, with their limits.

use hubplumb_core::gum::coverage_factor;

use super::verdict::{Judged, verdict};
use crate::car::{CarTargets, Limits};
use crate::http::visit_views::VisitFindingView;
use crate::visit::{FindingRecord, Place, Quantity, Standing};

/// Target and limits of a quantity at a place, where the record has any.
pub(super) fn limits_of(targets: &CarTargets, quantity: Quantity, place: Place) -> Option<Limits> {
    let axle = match place {
        Place::FrontLeft | Place::FrontRight | Place::Front => Some(&targets.front),
        Place::RearLeft | Place::RearRight | Place::Rear => Some(&targets.rear),
        Place::Car | Place::LeftTurn | Place::RightTurn => None,
    };
    let limits = match (quantity, axle) {
        (Quantity::Camber, Some(axle)) => axle.camber_deg,
        (Quantity::Caster, Some(axle)) => axle.caster_deg,
        (Quantity::Sai, Some(axle)) => axle.sai_deg,
        (Quantity::IncludedAngle, Some(axle)) => axle.included_angle_deg,
        (Quantity::Toe, Some(axle)) => axle.toe_deg,
        (Quantity::TotalToe, Some(axle)) => axle.total_toe_deg,
        (Quantity::Setback, _) if place != Place::Rear => targets.setback_mm,
        (Quantity::Thrust, _) => targets.thrust_deg,
        (Quantity::SteeringWheel, _) => targets.steering_wheel_deg,
        (Quantity::TurnOuter, _) => targets.turns.outer_deg,
        _ => return None,
    };
    (!limits.is_empty()).then_some(limits)
}

/// Half width of the 95 % interval.
pub(super) fn expanded(finding: &FindingRecord) -> f64 {
    let freedom = finding.degrees_of_freedom.unwrap_or(f64::INFINITY);
    // Below one degree of freedom there is no interval; a finding is not stored with less.
    finding.standard * coverage_factor(freedom, 0.95).unwrap_or(f64::INFINITY)
}

pub(super) fn finding_view(standing: &Standing<'_>, targets: &CarTargets) -> VisitFindingView {
    let finding = standing.finding;
    let limits = limits_of(targets, finding.quantity, finding.place);
    VisitFindingView {
        number: standing.run.number,
        at: standing.run.at.clone(),
        stage: standing.run.what.stage,
        procedure: standing.run.what.procedure,
        quantity: finding.quantity,
        name: finding.quantity.words().to_owned(),
        place: finding.place,
        place_words: finding.place.words().to_owned(),
        value: finding.value,
        standard: finding.standard,
        expanded: expanded(finding),
        unit: finding.quantity.unit(),
        sense: finding.quantity.sense(finding.value).to_owned(),
        limits,
        verdict: limits.and_then(|limits| {
            let judged = Judged {
                value: finding.value,
                standard: finding.standard,
                degrees_of_freedom: finding.degrees_of_freedom,
                unit: finding.quantity.unit(),
                advice: &finding.advice,
            };
            verdict(&judged, &limits)
        }),
        largest_contributor: finding
            .budget
            .first()
            .map_or_else(String::new, |share| share.cause.clone()),
        budget: finding.budget.clone(),
        advice: finding.advice.clone(),
        caveat: finding.caveat.clone(),
    }
}
