//! What the checks found, in words.

use hubplumb_core::angle::Angle;
use hubplumb_core::check::{
    BarTurn, CheckCause, CheckFinding, Curve, Kind, Note, Quantity, TurnPair, Unit,
};
use hubplumb_core::side::Side;
use hubplumb_core::swing::{AngleKind, Cause};

use super::carried;
use super::check::kind_view;
use super::finding::{advice as swing_advice, cause_words as swing_cause_words};
use super::{mount_view, sense_words, side_words};
use crate::checking::CheckFound;
use crate::http::views::{
    CheckCurveView, CheckFindingView, CheckPairView, CheckPointView, CheckQuantity,
    CheckResultView, CheckUnit, SideView,
};
use crate::mount::Mount;
use crate::text;
use crate::text::{Text, number, signed};

/// A result for the page.
pub(super) fn result_view(found: &CheckFound) -> CheckResultView {
    let result = &found.result;
    let findings: Vec<CheckFindingView> = result
        .findings
        .iter()
        .map(|finding| finding_view(found.mount, finding))
        .collect();
    let notes: Vec<Text> = result.notes.iter().map(note_words).collect();
    CheckResultView {
        run: found.run,
        kind: kind_view(found.kind),
        mount: found.mount.map(mount_view),
        say: headline(found.kind, findings.first(), &notes),
        findings,
        notes: notes.into_iter().collect(),
        pairs: result.pairs.iter().map(pair_view).collect(),
        curves: result.curves.iter().map(curve_view).collect(),
        at_us: found.at_us,
    }
}

fn headline(kind: Kind, main: Option<&CheckFindingView>, notes: &[Text]) -> Text {
    let Some(main) = main else {
        let first = notes.first().cloned();
        return first.unwrap_or_else(|| text!("Nothing was found."));
    };
    match main.unit {
        CheckUnit::Deg if kind == Kind::Play => text!(
            "{name} {value}° ± {expanded}°, as it was rocked by hand.",
            name = &main.name,
            value = number(main.value, 2),
            expanded = number(main.expanded, 2)
        ),
        CheckUnit::Deg => text!(
            "{name} {value}° ± {expanded}°, {sense}.",
            name = &main.name,
            value = signed(main.value, 2),
            expanded = number(main.expanded, 2),
            sense = &main.sense
        ),
        _ => text!(
            "{name} {value}° ± {expanded}° per 10 mm, {sense}.",
            name = &main.name,
            value = signed(10.0 * main.value, 3),
            expanded = number(10.0 * main.expanded, 3),
            sense = &main.sense
        ),
    }
}

fn finding_view(mount: Option<Mount>, finding: &CheckFinding) -> CheckFindingView {
    let largest = finding.largest();
    let (quantity, turn) = quantity_view(finding.quantity);
    let of_wheel = finding
        .side
        .map(|side| mount_view(mount.unwrap_or(wheel(finding.quantity, side))));
    CheckFindingView {
        quantity,
        name: name(finding.quantity),
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
        sense: sense(finding.quantity, finding.estimate.value),
        largest_contributor: largest.map_or(text!("nothing that is known"), |share| {
            cause_words(share.cause)
        }),
        largest_share: largest.map_or(0.0, |share| share.share),
        advice: largest.map_or(text!("There is nothing to make better."), |share| {
            advice(share.cause)
        }),
    }
}

/// A wheel of the axle that the quantity is of; the front one where it says none.
fn wheel(quantity: Quantity, side: Side) -> Mount {
    match (quantity, side) {
        (Quantity::CarriedToe { front: false }, Side::Left) => Mount::RearLeft,
        (Quantity::CarriedToe { front: false }, Side::Right) => Mount::RearRight,
        _ => Mount::steered(side),
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
        Quantity::CarriedTotalToe { .. } => CheckQuantity::CarriedTotalToe,
        Quantity::CarriedToe { .. } => CheckQuantity::CarriedToe,
    };
    (view, None)
}

const fn name(quantity: Quantity) -> Text {
    match quantity {
        Quantity::Camber => text!("Camber"),
        Quantity::PlayTopBottom => text!("Movement with the hands at the top and the bottom"),
        Quantity::PlayFrontRear => text!("Movement with the hands in front and behind"),
        Quantity::LockLeft => text!("Left lock"),
        Quantity::LockRight => text!("Right lock"),
        Quantity::OffCentre => text!("Steering off centre by"),
        Quantity::InnerLocksDiffer => text!("Inner locks, left less right"),
        Quantity::OuterLocksDiffer => text!("Outer locks, right wheel less left"),
        Quantity::OuterAtInner20(_) => text!("Outer wheel when the inner stands at 20°"),
        Quantity::InnerAtOuter20(_) => text!("Inner wheel when the outer stands at 20°"),
        Quantity::TurnOut(_) => text!("Toe-out on the turn at 20°"),
        Quantity::CamberAtRideHeight => text!("Camber at ride height"),
        Quantity::CamberSlope => text!("Camber change"),
        Quantity::CamberBend => text!("Bend of the camber curve"),
        Quantity::ToeSlope => text!("Toe change"),
        Quantity::ToeBend => text!("Bend of the toe curve"),
        Quantity::CarriedTotalToe { front: true } => text!("Total toe of the front axle"),
        Quantity::CarriedTotalToe { front: false } => text!("Total toe of the rear axle"),
        Quantity::CarriedToe { .. } => text!("Toe"),
    }
}

/// Below this a direction would be noise.
const SHOWN_AS_ZERO_DEG: f64 = 0.005;

fn sense(quantity: Quantity, value: Angle) -> Text {
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
        Quantity::PlayTopBottom | Quantity::PlayFrontRear => text!("peak to peak"),
        Quantity::LockLeft => text!("to the left"),
        Quantity::LockRight => text!("to the right"),
        Quantity::OffCentre => by_sign(
            SHOWN_AS_ZERO_DEG,
            text!("more lock to the left"),
            text!("more lock to the right"),
            text!("centred"),
        ),
        Quantity::InnerLocksDiffer => by_sign(
            SHOWN_AS_ZERO_DEG,
            text!("the left wheel goes farther in"),
            text!("the right wheel goes farther in"),
            text!("alike"),
        ),
        Quantity::OuterLocksDiffer => by_sign(
            SHOWN_AS_ZERO_DEG,
            text!("the right wheel goes farther out"),
            text!("the left wheel goes farther out"),
            text!("alike"),
        ),
        Quantity::OuterAtInner20(side) | Quantity::InnerAtOuter20(side) => match side {
            Side::Left => text!("turned to the left"),
            Side::Right => text!("turned to the right"),
        },
        Quantity::CarriedTotalToe { .. } | Quantity::CarriedToe { .. } => by_sign(
            SHOWN_AS_ZERO_DEG,
            text!("toe in"),
            text!("toe out"),
            text!("parallel"),
        ),
        Quantity::TurnOut(_) => by_sign(
            SHOWN_AS_ZERO_DEG,
            text!("toes out"),
            text!("toes in"),
            text!("parallel"),
        ),
        Quantity::CamberSlope => by_sign(
            0.0,
            text!("more top out as the body rises"),
            text!("more top in as the body rises"),
            text!("none"),
        ),
        Quantity::ToeSlope => by_sign(
            0.0,
            text!("more toe-in as the body rises"),
            text!("more toe-out as the body rises"),
            text!("none"),
        ),
        Quantity::CamberBend | Quantity::ToeBend => {
            by_sign(0.0, text!("rising"), text!("falling"), text!("straight"))
        }
    }
}

pub(super) const fn cause_words(cause: CheckCause) -> Text {
    match cause {
        CheckCause::TiltNoise => swing_cause_words(Cause::TiltNoise),
        CheckCause::AccelOffset => swing_cause_words(Cause::AccelOffset),
        CheckCause::AccelScale => swing_cause_words(Cause::AccelScale),
        CheckCause::Seat => swing_cause_words(Cause::MountTilt),
        CheckCause::RunOut => swing_cause_words(Cause::RunOut),
        CheckCause::BarSeat => text!("how the board sits on the bar, and the bar's feet"),
        CheckCause::BarFaces => text!("how parallel the bar's faces are"),
        CheckCause::Reseat => text!("how truly bar and rim come together"),
        CheckCause::Rim => text!("how truly the rim runs"),
        CheckCause::Floor => swing_cause_words(Cause::Floor),
        CheckCause::Scatter => text!("scatter of the repetitions"),
        CheckCause::GyroNoise => text!("noise and drift of the gyro"),
        CheckCause::GyroScale => text!("scale of the gyro"),
        CheckCause::Straight => text!("how closely straight ahead was found again"),
        CheckCause::Interpolation => text!("stops away from 20°"),
        CheckCause::Typed => text!("the figures that were typed"),
        CheckCause::Height => text!("the heights that were typed"),
        CheckCause::Carried(cause) => carried::cause_words(cause),
    }
}

pub(super) const fn advice(cause: CheckCause) -> Text {
    match cause {
        CheckCause::TiltNoise => swing_advice(Cause::TiltNoise),
        CheckCause::AccelOffset => {
            text!(
                "Calibrate the board by poses while it is warm; or take camber by the bar, turned to its other face, which takes the offset out."
            )
        }
        CheckCause::AccelScale => swing_advice(Cause::AccelScale),
        CheckCause::Seat => swing_advice(Cause::MountTilt),
        CheckCause::RunOut => swing_advice(Cause::RunOut),
        CheckCause::BarSeat => {
            text!(
                "Turn the bar another way as well: ends swapped and faces swapped both take the seat out."
            )
        }
        CheckCause::BarFaces => {
            text!("Take a bar with parallel faces, or swap its ends instead of its faces.")
        }
        CheckCause::Reseat => {
            text!("Clean the rim flange and the bar's feet, and take more pairs.")
        }
        CheckCause::Rim => {
            text!(
                "Turn the wheel by half a turn and take the bar again: the mean is free of the rim. Or measure on the hub, with run-out."
            )
        }
        CheckCause::Floor => swing_advice(Cause::Floor),
        CheckCause::Scatter => text!("Repeat it more often, the same way each time."),
        CheckCause::GyroNoise => text!("Go from rest to rest without delay, with the board warm."),
        CheckCause::GyroScale => {
            text!(
                "Let the boards warm up; a gyro of a better chip, or turn plates, tell large angles better."
            )
        }
        CheckCause::Straight => {
            text!("Mark straight ahead at the steering wheel and come back to the mark.")
        }
        CheckCause::Interpolation => {
            text!("Take a stop nearer to 20° of the inner wheel, or two about it.")
        }
        CheckCause::Typed => text!("Read to a quarter of a degree, and repeat it."),
        CheckCause::Height => text!("Measure the heights more closely, always at the same place."),
        CheckCause::Carried(cause) => carried::advice(cause),
    }
}

pub(super) fn note_words(note: &Note) -> Text {
    match *note {
        Note::NoPlayAbove(least) => {
            text!("No movement above {max}° was seen.", max = number(least.deg().max(0.01), 2))
        }
        Note::Rocks(count) => text!("{count} rocks were counted.", count),
        Note::Turned(BarTurn::OtherFace) => {
            text!("Bar and board were turned to their other face: the board's offset and seat are taken out.")
                .to_owned()
        }
        Note::Turned(BarTurn::OtherEnd) => {
            text!("The bar's ends were swapped: the seat is taken out, the board's offset is not.")
                .to_owned()
        }
        Note::Turned(BarTurn::Both) => {
            text!("The bar was turned over: the board's offset is taken out, the seat is not.")
        }
        Note::TakenOut(angle) => text!("Offset and seat came to {angle}° together.", angle = signed(angle.deg(), 2)),
        Note::Return(angle) => text!("The wheels came back to {angle}° from where they began.", angle = signed(angle.deg(), 2)),
        Note::Repeat { side, spread } => text!("Repeated, the {side} lock lay within {spread}°.", side = side_words(side), spread = number(spread.deg(), 2)),
        Note::LocksDisagree => {
            text!("The locks of left and right differ by more than their uncertainty: look whether the steering is centred, and at the stops.")
        }
        Note::OneWheelOnly => {
            text!("One wheel alone does not tell what is off centre: its two locks are an inner and an outer one.")
        }
        Note::NoTurnTo(side) => text!("There was no stop near 20° to the {side}.", side = side_words(side)),
        Note::Passes(count) => text!("{count} passes of the carried board count.", count),
        Note::BoardLeans(angle) => text!("The board leans by {angle}° in its block; that is taken out.", angle = signed(angle.deg(), 2)),
        Note::NeverTurned => {
            text!("The block was never turned end for end: what its faces are from parallel is still in the toe.")
        }
        Note::RimsRunOut => {
            text!("The rims' run-out is in it and not in its ±: roll the car on by half a turn of the wheels, measure again, and take the mean.")
        }
        Note::PassesScatter(times) => text!("The passes scatter more than foretold: the interval is {times} times as wide for it.", times = number(times, 1)),
        Note::WiderThanAsked(asked) => text!("Asked for were ±{asked}°.", asked = number(asked.deg(), 3)),
        Note::LineOnly => {
            text!("Four different heights are needed for a curve; this is a straight line.")
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
