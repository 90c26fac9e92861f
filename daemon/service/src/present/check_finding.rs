//! What the checks found, in words.

use crate::text::Text;
use hubplumb_core::angle::Angle;
use hubplumb_core::check::{
    BarTurn, CheckCause, CheckFinding, Curve, Kind, Note, Quantity, TurnPair, Unit,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{AngleKind, Cause};

use super::check::kind_view;
use super::finding::{advice as swing_advice, cause_words as swing_cause_words};
use super::{mount_view, sense_words, side_words};
use crate::checking::CheckFound;
use crate::http::views::{
    CheckCurveView, CheckFindingView, CheckPairView, CheckPointView, CheckQuantity,
    CheckResultView, CheckUnit, SideView,
};
use crate::mount::Mount;

/// A result for the page.
pub(super) fn result_view(found: &CheckFound) -> CheckResultView {
    let result = &found.result;
    let findings: Vec<CheckFindingView> = result
        .findings
        .iter()
        .map(|finding| finding_view(found.mount, finding))
        .collect();
    let notes: Vec<String> = result.notes.iter().map(note_words).collect();
    CheckResultView {
        run: found.run,
        kind: kind_view(found.kind),
        mount: found.mount.map(mount_view),
        say: Text::from(headline(found.kind, findings.first(), &notes)),
        findings,
        notes: notes.into_iter().map(Text::from).collect(),
        pairs: result.pairs.iter().map(pair_view).collect(),
        curves: result.curves.iter().map(curve_view).collect(),
        at_us: found.at_us,
    }
}

fn headline(kind: Kind, main: Option<&CheckFindingView>, notes: &[String]) -> String {
    let Some(main) = main else {
        let first = notes.first().cloned();
        return first.unwrap_or_else(|| "Nothing was found.".to_owned());
    };
    match main.unit {
        CheckUnit::Deg if kind == Kind::Play => format!(
            "{} {:.2}° ± {:.2}°, as it was rocked by hand.",
            main.name, main.value, main.expanded
        ),
        CheckUnit::Deg => format!(
            "{} {:+.2}° ± {:.2}°, {}.",
            main.name, main.value, main.expanded, main.sense
        ),
        _ => format!(
            "{} {:+.3}° ± {:.3}° per 10 mm, {}.",
            main.name,
            10.0 * main.value,
            10.0 * main.expanded,
            main.sense
        ),
    }
}

fn finding_view(mount: Option<Mount>, finding: &CheckFinding) -> CheckFindingView {
    let largest = finding.largest();
    let (quantity, turn) = quantity_view(finding.quantity);
    let of_wheel = finding
        .side
        .map(|side| mount_view(mount.unwrap_or(Mount::steered(side))));
    CheckFindingView {
        quantity,
        name: Text::from(name(finding.quantity)),
        mount: of_wheel,
        turn: turn.map(side_view),
        value: finding.estimate.value.deg(),
        unit: match finding.quantity.unit() {
            Unit::Angle => CheckUnit::Deg,
            Unit::AnglePerMm => CheckUnit::DegPerMm,
            Unit::AnglePerMm2 => CheckUnit::DegPerMm2,
        },
        standard: finding.estimate.standard.deg(),
        expanded: finding.expanded().deg(),
        sense: Text::from(sense(finding.quantity, finding.estimate.value)),
        largest_contributor: Text::from(
            largest.map_or("nothing that is known", |share| cause_words(share.cause)),
        ),
        largest_share: largest.map_or(0.0, |share| share.share),
        advice: Text::from(largest.map_or("There is nothing to make better.", |share| {
            advice(share.cause)
        })),
    }
}

const fn side_view(side: Side) -> SideView {
    match side {
        Side::Left => SideView::Left,
        Side::Right => SideView::Right,
    }
}

const fn quantity_view(quantity: Quantity) -> (CheckQuantity, Option<Side>) {
    let view = match quantity {
        Quantity::Camber => CheckQuantity::Camber,
        Quantity::PlayTopBottom => CheckQuantity::PlayTopBottom,
        Quantity::PlayFrontRear => CheckQuantity::PlayFrontRear,
        Quantity::LockLeft => CheckQuantity::LockLeft,
        Quantity::LockRight => CheckQuantity::LockRight,
        Quantity::OffCentre => CheckQuantity::OffCentre,
        Quantity::InnerLocksDiffer => CheckQuantity::InnerLocksDiffer,
        Quantity::OuterLocksDiffer => CheckQuantity::OuterLocksDiffer,
        Quantity::OuterAtInner20(side) => return (CheckQuantity::OuterAtInner20, Some(side)),
        Quantity::InnerAtOuter20(side) => return (CheckQuantity::InnerAtOuter20, Some(side)),
        Quantity::TurnOut(side) => return (CheckQuantity::ToeOutOnTurn, Some(side)),
        Quantity::CamberAtRideHeight => CheckQuantity::CamberAtRideHeight,
        Quantity::CamberSlope => CheckQuantity::CamberSlope,
        Quantity::CamberBend => CheckQuantity::CamberBend,
        Quantity::ToeSlope => CheckQuantity::ToeSlope,
        Quantity::ToeBend => CheckQuantity::ToeBend,
    };
    (view, None)
}

const fn name(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::Camber => "Camber",
        Quantity::PlayTopBottom => "Movement with the hands at the top and the bottom",
        Quantity::PlayFrontRear => "Movement with the hands in front and behind",
        Quantity::LockLeft => "Left lock",
        Quantity::LockRight => "Right lock",
        Quantity::OffCentre => "Steering off centre by",
        Quantity::InnerLocksDiffer => "Inner locks, left less right",
        Quantity::OuterLocksDiffer => "Outer locks, right wheel less left",
        Quantity::OuterAtInner20(_) => "Outer wheel when the inner stands at 20°",
        Quantity::InnerAtOuter20(_) => "Inner wheel when the outer stands at 20°",
        Quantity::TurnOut(_) => "Toe-out on the turn at 20°",
        Quantity::CamberAtRideHeight => "Camber at ride height",
        Quantity::CamberSlope => "Camber change",
        Quantity::CamberBend => "Bend of the camber curve",
        Quantity::ToeSlope => "Toe change",
        Quantity::ToeBend => "Bend of the toe curve",
    }
}

/// Below this a direction would be noise.
const SHOWN_AS_ZERO_DEG: f64 = 0.005;

fn sense(quantity: Quantity, value: Angle) -> &'static str {
    let by_sign = |least_deg: f64, plus, minus, zero| {
        if value.deg() >= least_deg {
            plus
        } else if value.deg() <= -least_deg {
            minus
        } else {
            zero
        }
    };
    match quantity {
        Quantity::Camber | Quantity::CamberAtRideHeight => sense_words(AngleKind::Camber, value),
        Quantity::PlayTopBottom | Quantity::PlayFrontRear => "peak to peak",
        Quantity::LockLeft => "to the left",
        Quantity::LockRight => "to the right",
        Quantity::OffCentre => by_sign(
            SHOWN_AS_ZERO_DEG,
            "more lock to the left",
            "more lock to the right",
            "centred",
        ),
        Quantity::InnerLocksDiffer => by_sign(
            SHOWN_AS_ZERO_DEG,
            "the left wheel goes farther in",
            "the right wheel goes farther in",
            "alike",
        ),
        Quantity::OuterLocksDiffer => by_sign(
            SHOWN_AS_ZERO_DEG,
            "the right wheel goes farther out",
            "the left wheel goes farther out",
            "alike",
        ),
        Quantity::OuterAtInner20(side) | Quantity::InnerAtOuter20(side) => match side {
            Side::Left => "turned to the left",
            Side::Right => "turned to the right",
        },
        Quantity::TurnOut(_) => by_sign(SHOWN_AS_ZERO_DEG, "toes out", "toes in", "parallel"),
        Quantity::CamberSlope => by_sign(
            0.0,
            "more top out as the body rises",
            "more top in as the body rises",
            "none",
        ),
        Quantity::ToeSlope => by_sign(
            0.0,
            "more toe-in as the body rises",
            "more toe-out as the body rises",
            "none",
        ),
        Quantity::CamberBend | Quantity::ToeBend => by_sign(0.0, "rising", "falling", "straight"),
    }
}

pub(super) const fn cause_words(cause: CheckCause) -> &'static str {
    match cause {
        CheckCause::TiltNoise => swing_cause_words(Cause::TiltNoise),
        CheckCause::AccelOffset => swing_cause_words(Cause::AccelOffset),
        CheckCause::AccelScale => swing_cause_words(Cause::AccelScale),
        CheckCause::Seat => swing_cause_words(Cause::MountTilt),
        CheckCause::RunOut => swing_cause_words(Cause::RunOut),
        CheckCause::BarSeat => "how the board sits on the bar, and the bar's feet",
        CheckCause::BarFaces => "how parallel the bar's faces are",
        CheckCause::Reseat => "how truly bar and rim come together",
        CheckCause::Rim => "how truly the rim runs",
        CheckCause::Floor => swing_cause_words(Cause::Floor),
        CheckCause::Scatter => "scatter of the repetitions",
        CheckCause::GyroNoise => "noise and drift of the gyro",
        CheckCause::GyroScale => "scale of the gyro",
        CheckCause::Straight => "how closely straight ahead was found again",
        CheckCause::Interpolation => "stops away from 20°",
        CheckCause::Typed => "the figures that were typed",
        CheckCause::Height => "the heights that were typed",
    }
}

pub(super) const fn advice(cause: CheckCause) -> &'static str {
    match cause {
        CheckCause::TiltNoise => swing_advice(Cause::TiltNoise),
        CheckCause::AccelOffset => {
            "Calibrate the board by poses while it is warm; or take camber by the bar, turned to its other face, which takes the offset out."
        }
        CheckCause::AccelScale => swing_advice(Cause::AccelScale),
        CheckCause::Seat => swing_advice(Cause::MountTilt),
        CheckCause::RunOut => swing_advice(Cause::RunOut),
        CheckCause::BarSeat => {
            "Turn the bar another way as well: ends swapped and faces swapped both take the seat out."
        }
        CheckCause::BarFaces => {
            "Take a bar with parallel faces, or swap its ends instead of its faces."
        }
        CheckCause::Reseat => "Clean the rim flange and the bar's feet, and take more pairs.",
        CheckCause::Rim => {
            "Turn the wheel by half a turn and take the bar again: the mean is free of the rim. Or measure on the hub, with run-out."
        }
        CheckCause::Floor => swing_advice(Cause::Floor),
        CheckCause::Scatter => "Repeat it more often, the same way each time.",
        CheckCause::GyroNoise => "Go from rest to rest without delay, with the board warm.",
        CheckCause::GyroScale => {
            "Let the boards warm up; a gyro of a better chip, or turn plates, tell large angles better."
        }
        CheckCause::Straight => {
            "Mark straight ahead at the steering wheel and come back to the mark."
        }
        CheckCause::Interpolation => {
            "Take a stop nearer to 20° of the inner wheel, or two about it."
        }
        CheckCause::Typed => "Read to a quarter of a degree, and repeat it.",
        CheckCause::Height => "Measure the heights more closely, always at the same place.",
    }
}

pub(super) fn note_words(note: &Note) -> String {
    match *note {
        Note::NoPlayAbove(least) => {
            format!("No movement above {:.2}° was seen.", least.deg().max(0.01))
        }
        Note::Rocks(count) => format!("{count} rocks were counted."),
        Note::Turned(BarTurn::OtherFace) => {
            "Bar and board were turned to their other face: the board's offset and seat are taken out."
                .to_owned()
        }
        Note::Turned(BarTurn::OtherEnd) => {
            "The bar's ends were swapped: the seat is taken out, the board's offset is not."
                .to_owned()
        }
        Note::Turned(BarTurn::Both) => {
            "The bar was turned over: the board's offset is taken out, the seat is not.".to_owned()
        }
        Note::TakenOut(angle) => format!(
            "Offset and seat came to {:+.2}° together.",
            angle.deg()
        ),
        Note::Return(angle) => format!(
            "The wheels came back to {:+.2}° from where they began.",
            angle.deg()
        ),
        Note::Repeat { side, spread } => format!(
            "Repeated, the {} lock lay within {:.2}°.",
            side_words(side),
            spread.deg()
        ),
        Note::LocksDisagree => {
            "The locks of left and right differ by more than their uncertainty: look whether the steering is centred, and at the stops.".to_owned()
        }
        Note::OneWheelOnly => {
            "One wheel alone does not tell what is off centre: its two locks are an inner and an outer one.".to_owned()
        }
        Note::NoTurnTo(side) => format!(
            "There was no stop near 20° to the {}.",
            side_words(side)
        ),
        Note::LineOnly => {
            "Four different heights are needed for a curve; this is a straight line.".to_owned()
        }
    }
}

fn pair_view(pair: &TurnPair) -> CheckPairView {
    CheckPairView {
        turn: side_view(pair.turn),
        inner_deg: pair.inner.value.deg(),
        inner_standard_deg: pair.inner.standard.deg(),
        outer_deg: pair.outer.value.deg(),
        outer_standard_deg: pair.outer.standard.deg(),
    }
}

fn curve_view(curve: &Curve) -> CheckCurveView {
    let deg = |rad: f64| Angle::from_rad(rad).deg();
    let of = match curve.of {
        Quantity::CamberAtRideHeight => Quantity::CamberSlope,
        of => of,
    };
    CheckCurveView {
        of: quantity_view(of).0,
        reference_mm: curve.reference_mm,
        points: curve
            .points
            .iter()
            .map(|point| CheckPointView {
                height_mm: point.height_mm,
                value_deg: point.value.deg(),
                standard_deg: point.standard.deg(),
                residual_deg: point.residual.deg(),
            })
            .collect(),
        line: curve.line.map(deg),
        quadratic: curve.quadratic.map(|all| all.map(deg)),
    }
}
