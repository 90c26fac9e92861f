//! Findings of a visit, with their limits.

use hubplumb_core::angle::Angle;
use hubplumb_core::carried::agreement::Agreement;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::gum::coverage_factor;
use hubplumb_core::length::Length;
use hubplumb_core::notation::{LengthUnit, Reference, ToeUnit, Wheels, write_toe};

use super::verdict::{Judged, verdict};
use crate::car::{CarRecord, CarTargets, Limits};
use crate::http::visit_views::VisitFindingView;
use crate::text;
use crate::text::{Text, number, plain, written};
use crate::visit::{FindingRecord, Place, Quantity, Standing, Visit};

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
        (Quantity::Toe | Quantity::ToeCarried, Some(axle)) => axle.toe_deg,
        (Quantity::TotalToe | Quantity::TotalToeCarried, Some(axle)) => axle.total_toe_deg,
        (Quantity::Setback, _) if place != Place::Rear => targets.setback_mm,
        (Quantity::Thrust, _) => targets.thrust_deg,
        (Quantity::SteeringWheel, _) => targets.steering_wheel_deg,
        // Toe-out on turns is told where the inner wheel stands at 20°, as most data have it.
        (Quantity::TurnOuter, _) if targets.turns.inner_deg.is_none_or(|inner| inner == 20.0) => {
            targets.turns.outer_deg
        }
        _ => return None,
    };
    (!limits.is_empty()).then_some(limits)
}

/// Half width of the 95 % interval.
pub(in crate::present) fn expanded(finding: &FindingRecord) -> f64 {
    let freedom = finding.degrees_of_freedom.unwrap_or(f64::INFINITY);
    // Below one degree of freedom there is no interval; a finding is not stored with less.
    finding.standard * coverage_factor(freedom, 0.95).unwrap_or(f64::INFINITY)
}

/// Toe as mm and inches at the rim's flange, and as m/km.
fn toe_also(finding: &FindingRecord, car: &CarRecord) -> Vec<Text> {
    let (wheels, axle) = match (finding.quantity, finding.place) {
        (Quantity::Toe | Quantity::ToeCarried, place) => match place.corner() {
            Some(corner) => (Wheels::One, car.axle(corner)),
            None => return Vec::new(),
        },
        (Quantity::TotalToe | Quantity::TotalToeCarried, Place::Front) => {
            (Wheels::Axle, &car.front)
        }
        (Quantity::TotalToe | Quantity::TotalToeCarried, Place::Rear) => (Wheels::Axle, &car.rear),
        _ => return Vec::new(),
    };
    let reference = Reference {
        wheels,
        diameter: axle.rim_flange_mm.map(Length::from_mm),
    };
    let toe = Angle::from_deg(finding.value);
    let told = |unit, decimals| {
        let told = write_toe(toe, unit, &reference, decimals)?;
        // Number and unit; the number has the decimal mark of the language.
        let (figure, unit) = told.split_once(' ')?;
        Some(Text::sentences([
            Text::from(written(figure)),
            Text::from(unit),
        ]))
    };
    [
        told(ToeUnit::Length(LengthUnit::Millimetre), 1),
        told(ToeUnit::Length(LengthUnit::Inch), 3),
    ]
    .into_iter()
    .flatten()
    .map(|length| match axle.rim_flange_mm {
        Some(mm) => text!("{length} at {diameter} mm", length, diameter = plain(mm)),
        None => length,
    })
    .chain(told(ToeUnit::MetresPerKilometre, 1))
    .collect()
}

/// Whether toe by a carried board agrees with toe found otherwise in the same part of the visit.
fn agreement_words(standing: &Standing<'_>, visit: &Visit<'_>) -> Option<Text> {
    let finding = standing.finding;
    let beside = match finding.quantity {
        Quantity::ToeCarried => Quantity::Toe,
        Quantity::TotalToeCarried => Quantity::TotalToe,
        _ => return None,
    };
    let other = visit.standing(standing.run.what.stage, beside, finding.place)?;
    let of = |finding: &FindingRecord| {
        // Half widths over 1.96: few degrees of freedom widen what is compared.
        let standard = expanded(finding) / coverage_factor(f64::INFINITY, 0.95).unwrap_or(2.0);
        Estimate::from_deg(finding.value, standard)
    };
    let compared = Agreement::between(&of(finding), &of(other.finding))?;
    let how = other.run.what.procedure.words();
    let differ = number(compared.difference.deg().abs(), 3);
    let within = number(
        Estimate::new(compared.difference, compared.standard)
            .expanded()
            .deg(),
        3,
    );
    Some(if compared.holds() {
        text!(
            "Agrees with {how}: they differ by {differ}°, and ±{within}° is what both leave open.",
            how,
            differ,
            within
        )
    } else {
        text!(
            "Does not agree with {how}: they differ by {differ}°, more than the ±{within}° that both leave open. Roll the car on by half a turn of the wheels and measure both anew.",
            how,
            differ,
            within
        )
    })
}

pub(super) fn finding_view(standing: &Standing<'_>, visit: &Visit<'_>) -> VisitFindingView {
    let car = visit.car;
    let (finding, targets) = (standing.finding, &car.targets);
    let limits = limits_of(targets, finding.quantity, finding.place);
    VisitFindingView {
        number: standing.run.number,
        at: standing.run.at.clone(),
        stage: standing.run.what.stage,
        procedure: standing.run.what.procedure,
        quantity: finding.quantity,
        name: finding.quantity.words(),
        place: finding.place,
        place_words: finding.place.words(),
        value: finding.value,
        standard: finding.standard,
        expanded: expanded(finding),
        unit: finding.quantity.unit(),
        sense: finding.quantity.sense(finding.value),
        also: toe_also(finding, car),
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
            .map_or_else(Text::empty, |share| Text::recalled(&share.cause)),
        budget: finding.budget.clone(),
        advice: Text::recalled(&finding.advice),
        caveat: agreement_words(standing, visit).unwrap_or_else(|| Text::recalled(&finding.caveat)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn also(quantity: Quantity, place: Place, value: f64, flange_mm: Option<f64>) -> Vec<Text> {
        let mut car = CarRecord::default();
        car.front.rim_flange_mm = flange_mm;
        let finding = FindingRecord {
            quantity,
            place,
            value,
            standard: 0.01,
            degrees_of_freedom: None,
            budget: Vec::new(),
            advice: String::new(),
            caveat: String::new(),
        };
        toe_also(&finding, &car)
    }

    #[test]
    fn toe_is_told_as_lengths_and_side_slip_too() {
        // 1.2 mm at 406.4 mm is 0.1692° (check value 15 of the geometry reference), and its tangent
        // 2.953 m/km.
        let told = also(Quantity::Toe, Place::FrontLeft, 0.1692, Some(406.4));
        assert_eq!(
            told,
            ["1.2 mm at 406.4 mm", "0.047 in at 406.4 mm", "3.0 m/km"]
        );
        // 1/16 in at 28.65 in is 0.125° (1988 data of Lincoln, as quoted there).
        let told = also(Quantity::TotalToe, Place::Front, 0.125, Some(727.71));
        assert_eq!(told[1], "0.063 in at 727.71 mm");
        // Without a diameter a length says nothing.
        assert_eq!(
            also(Quantity::Toe, Place::FrontLeft, 0.1692, None),
            ["3.0 m/km"]
        );
        assert!(also(Quantity::Camber, Place::FrontLeft, 0.1692, Some(406.4)).is_empty());
    }
}
