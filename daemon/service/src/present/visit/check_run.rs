//! A finished guided check, as it is stored in a visit.

use hubplumb_core::check::{CheckFinding, Quantity as Checked, TurnPair};
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::length::Length;
use hubplumb_core::side::Side;
use hubplumb_core::turning::{Geometry, percent_ackermann};

use super::entered::record_figure;
use super::stored;
use crate::car::CarRecord;
use crate::checking::{CheckFound, kept};
use crate::http::views::CheckKindView;
use crate::mount::Mount;
use crate::present::check::kind_view;
use crate::present::check_finding::{advice, cause_words, note_words};
use crate::text;
use crate::text::{Text, number};
use crate::visit::{BoardUsed, FindingRecord, Place, Procedure, Quantity, Run, ShareRecord, Stage};

/// The turn that an Ackermann share is told of: the stop nearest to this, degrees.
const ACKERMANN_AT_DEG: f64 = 20.0;
/// Farther from it the share is of another turn, degrees.
const ACKERMANN_WITHIN_DEG: f64 = 6.0;
/// What lengths of the record are known to, standard.
const LENGTH: Length = Length::from_mm(5.0);

/// The run of a finished check; none where it found nothing that is kept.
pub fn check_run(
    found: &CheckFound,
    car: &CarRecord,
    stage: Stage,
    boards: Vec<BoardUsed>,
) -> Option<Run> {
    let mut findings: Vec<FindingRecord> = found
        .result
        .findings
        .iter()
        .filter_map(|finding| record(finding, found.mount))
        .collect();
    for turn in Side::BOTH {
        findings.extend(ackermann(&found.result.pairs, turn, car));
    }
    if findings.is_empty() {
        return None;
    }
    let notes: Vec<String> = found
        .result
        .notes
        .iter()
        .map(|note| stored(note_words(note)))
        .collect();
    Some(Run {
        procedure: procedure(kind_view(found.kind)),
        stage,
        method: if notes.is_empty() {
            stored(procedure(kind_view(found.kind)).words())
        } else {
            notes.join(" ")
        },
        evidence: kept::to_json(&found.evidence),
        findings,
        covariance: Vec::new(),
        boards,
        software: env!("CARGO_PKG_VERSION").to_owned(),
    })
}

const fn procedure(kind: CheckKindView) -> Procedure {
    match kind {
        CheckKindView::CamberOnHub => Procedure::CamberOnHub,
        CheckKindView::CamberOnBar => Procedure::CamberOnBar,
        CheckKindView::Play => Procedure::Play,
        CheckKindView::Centring => Procedure::Locks,
        CheckKindView::ToeOutOnTurns => Procedure::Turns,
        CheckKindView::HeightSweep => Procedure::Heights,
        CheckKindView::CarriedToe => Procedure::ToeCarried,
    }
}

/// Quantity and place of a finding; none for those that only the check itself shows.
fn belongs(finding: &CheckFinding, mount: Option<Mount>) -> Option<(Quantity, Place)> {
    let wheel = || match mount? {
        Mount::FrontLeft => Some(Place::FrontLeft),
        Mount::FrontRight => Some(Place::FrontRight),
        Mount::RearLeft => Some(Place::RearLeft),
        Mount::RearRight => Some(Place::RearRight),
        Mount::Body => None,
    };
    let turn = |side| match side {
        Side::Left => Place::LeftTurn,
        Side::Right => Place::RightTurn,
    };
    Some(match finding.quantity {
        Checked::Camber => (Quantity::Camber, wheel()?),
        Checked::PlayTopBottom => (Quantity::Play, wheel()?),
        Checked::PlayFrontRear => (Quantity::PlayFrontRear, wheel()?),
        Checked::OffCentre => (Quantity::LockMiddle, Place::Front),
        Checked::OuterAtInner20(side) => (Quantity::TurnOuter, turn(side)),
        Checked::CamberSlope => (Quantity::CamberPerMm, wheel()?),
        Checked::ToeSlope => (Quantity::ToePerMm, wheel()?),
        Checked::CarriedTotalToe { front } => {
            let axle = if front { Place::Front } else { Place::Rear };
            (Quantity::TotalToeCarried, axle)
        }
        Checked::CarriedToe { front } => {
            let place = match (front, finding.side?) {
                (true, Side::Left) => Place::FrontLeft,
                (true, Side::Right) => Place::FrontRight,
                (false, Side::Left) => Place::RearLeft,
                (false, Side::Right) => Place::RearRight,
            };
            (Quantity::ToeCarried, place)
        }
        Checked::LockLeft => match finding.side {
            Some(Side::Left) => (Quantity::LockAngle, Place::FrontLeft),
            _ => return None,
        },
        Checked::LockRight => match finding.side {
            Some(Side::Right) => (Quantity::LockAngle, Place::FrontRight),
            _ => return None,
        },
        Checked::InnerLocksDiffer
        | Checked::OuterLocksDiffer
        | Checked::InnerAtOuter20(_)
        | Checked::TurnOut(_)
        | Checked::CamberAtRideHeight
        | Checked::CamberBend
        | Checked::ToeBend => return None,
    })
}

fn record(finding: &CheckFinding, mount: Option<Mount>) -> Option<FindingRecord> {
    let (quantity, place) = belongs(finding, mount)?;
    let caveat = match finding.quantity {
        Checked::LockLeft | Checked::LockRight => text!("As the inner wheel."),
        _ => Text::empty(),
    };
    Some(FindingRecord {
        quantity,
        place,
        value: finding.estimate.value.deg(),
        standard: finding.estimate.standard.deg(),
        degrees_of_freedom: finding
            .degrees_of_freedom
            .is_finite()
            .then_some(finding.degrees_of_freedom),
        budget: finding
            .shares
            .iter()
            .map(|share| ShareRecord {
                cause: stored(cause_words(share.cause)),
                share: share.share,
            })
            .collect(),
        advice: finding
            .largest()
            .map_or_else(String::new, |share| stored(advice(share.cause))),
        caveat: caveat.stored(),
    })
}

/// The Ackermann share of the stop nearest to the usual angle, where the lengths are known.
fn ackermann(pairs: &[TurnPair], turn: Side, car: &CarRecord) -> Option<FindingRecord> {
    let off = |pair: &TurnPair| (pair.inner.value.deg() - ACKERMANN_AT_DEG).abs();
    let pair = pairs
        .iter()
        .filter(|pair| pair.turn == turn && off(pair) <= ACKERMANN_WITHIN_DEG)
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    let length = |mm: f64, source| Entered::new(Length::from_mm(mm), LENGTH, source);
    let geometry = Geometry {
        wheelbase: length(car.wheelbase_mm?, Source::Wheelbase),
        kingpins: length(car.steering.axis_spacing_mm?, Source::KingpinSpacing),
    };
    let angle = |of: hubplumb_core::estimate::Estimate| {
        Entered::new(of.value, of.standard, Source::PlateReading)
    };
    let share = percent_ackermann(angle(pair.inner), angle(pair.outer), &geometry).ok()?;
    let place = match turn {
        Side::Left => Place::LeftTurn,
        Side::Right => Place::RightTurn,
    };
    let mut record = record_figure(Quantity::Ackermann, place, &share, 1.0);
    record.caveat = text!(
        "At {turned}° of the inner wheel.",
        turned = number(pair.inner.value.deg(), 1)
    )
    .stored();
    Some(record)
}
