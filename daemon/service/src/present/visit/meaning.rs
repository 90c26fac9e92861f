//! What the findings of a car as it came may mean.

use hubplumb_core::angle::Angle;
use hubplumb_core::causes::{
    Against, Candidate, Cause, Causes, Checked, Clue, Distinction, Evidence, Kind, Looked, Seen,
    Strength, Suspension,
};
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::estimate::Estimate;
use hubplumb_core::gum::{Uncertainty, difference};
use hubplumb_core::length::Length;
use hubplumb_core::side::Side;
use hubplumb_core::toe::setback;

use super::finding::limits_of;
use crate::car::{CarRecord, Limits, SuspensionWay};
use crate::http::visit_views::{CandidateView, MeaningView};
use crate::present::causes::{
    against_words, cause_words, checked_words, clue_words, distinction_words, next_check_words,
    note_words, strength_words,
};
use crate::text;
use crate::text::{Text, number, signed};
use crate::visit::{Place, Point, Quantity, Stage, Standing, Visit};

/// A candidate that leaves more than this of its figure's deviation unexplained is not helped by it.
const SPOKEN_FOR: f64 = 0.5;

/// A deviation with the finding that it comes from, where it is of one.
struct Found<'a> {
    seen: Seen,
    from: Option<(Standing<'a>, f64)>,
}

/// The meaning of the findings before; of what there is, where nothing was measured before.
pub(super) fn meaning(visit: &Visit<'_>, heights: Checked) -> MeaningView {
    let stage = if visit.all_standing(Stage::Before).is_empty() {
        visit.stage
    } else {
        Stage::Before
    };
    let found = deviations(visit, stage);
    let seen: Vec<Seen> = found.iter().map(|found| found.seen).collect();
    let looked = Looked {
        play: joints(visit),
        height: heights,
    };
    let suspension = match visit.car.front.suspension {
        Some(SuspensionWay::Wishbones) => Suspension::Wishbones,
        Some(SuspensionWay::Strut) => Suspension::Strut,
        Some(SuspensionWay::RigidAxle) => Suspension::SolidAxle,
        Some(SuspensionWay::Other) | None => Suspension::Unknown,
    };
    let correlation = |one: usize, other: usize| correlation(&found[one], &found[other]);
    match Causes::of(&seen, correlation, suspension, looked) {
        Ok(causes) => view(&causes),
        // Nothing to judge is nothing to say.
        Err(_) => MeaningView::default(),
    }
}

fn joints(visit: &Visit<'_>) -> Checked {
    let seen_to = |point| visit.prepared.contains_key(&point);
    if seen_to(Point::Bearings) && seen_to(Point::Joints) {
        Checked::Sound
    } else {
        Checked::NotYet
    }
}

fn deviations<'a>(visit: &'a Visit<'a>, stage: Stage) -> Vec<Found<'a>> {
    let mut found = Vec::new();
    for (kind, quantity) in [
        (Kind::Camber, Quantity::Camber),
        (Kind::Caster, Quantity::Caster),
        (Kind::Sai, Quantity::Sai),
        (Kind::IncludedAngle, Quantity::IncludedAngle),
    ] {
        wheels(visit, stage, kind, quantity, &mut found);
    }
    turning(visit, stage, &mut found);
    let whole = |quantity, place| visit.standing(stage, quantity, place);
    if let Some(thrust) = whole(Quantity::Thrust, Place::Car) {
        let limits = visit.car.targets.thrust_deg;
        found.extend(against(Clue::Thrust, thrust, &limits, 1.0));
    }
    if let Some(middle) = whole(Quantity::LockMiddle, Place::Front) {
        found.extend(against(Clue::Centring, middle, &ZERO, 1.0));
    }
    found.extend(setback_of(visit.car, stage, visit));
    found
}

/// A sound car has none of it.
const ZERO: Limits = Limits {
    target: Some(0.0),
    low: None,
    high: None,
};

fn wheels<'a>(
    visit: &'a Visit<'a>,
    stage: Stage,
    kind: Kind,
    quantity: Quantity,
    found: &mut Vec<Found<'a>>,
) {
    let places = [
        (Place::FrontLeft, Side::Left),
        (Place::FrontRight, Side::Right),
    ];
    let before = found.len();
    for (place, side) in places {
        if let (Some(standing), Some(limits)) = (
            visit.standing(stage, quantity, place),
            limits_of(&visit.car.targets, quantity, place),
        ) {
            found.extend(against(Clue::Wheel(kind, side), standing, &limits, 1.0));
        }
    }
    let [left, right] = places.map(|(place, _)| visit.standing(stage, quantity, place));
    if let (true, Some(left), Some(right)) = (found.len() == before, left, right) {
        found.extend(across(kind, &left, &right));
    }
}

fn across<'a>(kind: Kind, left: &Standing<'_>, right: &Standing<'_>) -> Option<Found<'a>> {
    let estimate = |of: &Standing<'_>| Estimate::from_deg(of.finding.value, of.finding.standard);
    let spread = left.finding.standard * right.finding.standard;
    let shared = (left.covariance(right) / spread).clamp(-1.0, 1.0);
    let deviation = difference(&estimate(left), &estimate(right), shared).ok()?;
    Some(Found {
        seen: Seen {
            clue: Clue::Across(kind),
            deviation,
            against: Against::OtherSide,
        },
        from: None,
    })
}

/// By how much an inner wheel turns farther than the other: its angle less the outer one's.
fn turning<'a>(visit: &'a Visit<'a>, stage: Stage, found: &mut Vec<Found<'a>>) {
    let limits = visit.car.targets.turns.outer_deg;
    for (place, side) in [
        (Place::LeftTurn, Side::Left),
        (Place::RightTurn, Side::Right),
    ] {
        if let Some(outer) = visit.standing(stage, Quantity::TurnOuter, place) {
            let clue = Clue::Wheel(Kind::TurningOut, side);
            found.extend(against(clue, outer, &limits, -1.0));
        }
    }
}

fn setback_of<'a>(car: &CarRecord, stage: Stage, visit: &Visit<'_>) -> Option<Found<'a>> {
    let standing = visit.standing(stage, Quantity::Setback, Place::Front)?;
    let of_mm = |mm: f64, standard: f64, source| {
        Entered::new(Length::from_mm(mm), Length::from_mm(standard), source)
    };
    let angle = setback(
        of_mm(
            standing.finding.value,
            standing.finding.standard,
            Source::TapeReading,
        ),
        Entered::exact(Length::ZERO, Source::TapeReading),
        of_mm(car.front.track_mm?, 3.0, Source::Width),
    )
    .ok()?;
    Some(Found {
        seen: Seen::from_data(Clue::Setback, angle.estimate()),
        from: None,
    })
}

/// A finding less its target. Sound cars lie anywhere within the limits, so their
/// width counts as doubt (JCGM 100:2008, 4.3.7).
fn against<'a>(
    clue: Clue,
    standing: Standing<'a>,
    limits: &Limits,
    sign: f64,
) -> Option<Found<'a>> {
    let aim = limits.aim()?;
    let half = |low: f64, high: f64| 0.5 * (high - low);
    let width = limits
        .low
        .zip(limits.high)
        .map_or(0.0, |(low, high)| half(low, high));
    let allowed = Uncertainty::rectangular(width);
    let measured = Uncertainty::certain(standing.finding.standard);
    let both = Uncertainty::combined(&[allowed, measured]).standard;
    Some(Found {
        seen: Seen::from_data(
            clue,
            Estimate::new(
                Angle::from_deg(sign * (standing.finding.value - aim)),
                Angle::from_deg(both),
            ),
        ),
        from: Some((standing, sign)),
    })
}

fn correlation(one: &Found<'_>, other: &Found<'_>) -> f64 {
    let (Some((a, sign_a)), Some((b, sign_b))) = (&one.from, &other.from) else {
        return 0.0;
    };
    let spread = one.seen.deviation.standard.deg() * other.seen.deviation.standard.deg();
    (sign_a * sign_b * a.covariance(b) / spread).clamp(-1.0, 1.0)
}

fn view(causes: &Causes) -> MeaningView {
    let mut heed: Vec<Text> = causes
        .notes()
        .iter()
        .map(|note| note_words(*note))
        .collect();
    if !matches!(causes.distinction(), Distinction::FirstLeads) {
        heed.insert(0, distinction_words(causes.distinction()));
    }
    MeaningView {
        rule_out_first: causes
            .rule_out()
            .iter()
            .map(|first| {
                text!(
                    "{candidate} ({looked}): {check}",
                    candidate = cause_words(first.cause),
                    looked = checked_words(first.checked),
                    check = next_check_words(first.next_check())
                )
            })
            .collect(),
        candidates: causes.candidates().iter().map(candidate).collect(),
        heed,
    }
}

fn candidate(candidate: &Candidate) -> CandidateView {
    let cause = candidate.cause();
    CandidateView {
        code: code(&format!("{cause:?}")),
        place: place(cause),
        title: cause_words(cause),
        fit: fit(candidate.strength(), candidate.share()),
        evidence: candidate
            .evidence()
            .iter()
            .filter(|evidence| evidence.seen.counts() || evidence.is_left_over())
            .map(evidence)
            .collect(),
        next: next_check_words(candidate.next_check()),
    }
}

const fn place(cause: Cause) -> Place {
    match cause {
        Cause::Knuckle(side)
        | Cause::PivotMoved(_, side)
        | Cause::PivotAndKnuckle(_, side)
        | Cause::LowerPivotRearward(side)
        | Cause::SteeringArm(side) => match side {
            Side::Left => Place::FrontLeft,
            Side::Right => Place::FrontRight,
        },
        Cause::CradleShifted | Cause::SteeringOffCentre => Place::Front,
        Cause::RearAxle => Place::Rear,
        Cause::WornJoint | Cause::RideHeight => Place::Car,
    }
}

fn fit(strength: Strength, share: f64) -> Text {
    text!(
        "{strength}; {share} % of the likelihood of all that is named here",
        strength = strength_words(strength),
        share = number(share * 100.0, 0)
    )
}

fn evidence(evidence: &Evidence) -> Text {
    let seen = &evidence.seen;
    let left = (seen.deviation.value - evidence.explained).abs();
    let spoken_for = left.rad() < SPOKEN_FOR * seen.deviation.value.abs().rad();
    let figure = clue_words(seen.clue);
    let off = signed(seen.deviation.value.deg(), 2);
    let doubt = number(seen.deviation.expanded().deg(), 2);
    let against = against_words(seen.against);
    if spoken_for {
        text!(
            "{figure} is off by {off}° ±{doubt}° {against}, which this explains",
            figure,
            off,
            doubt,
            against
        )
    } else {
        text!(
            "{figure} is off by {off}° ±{doubt}° {against}, which this does not explain",
            figure,
            off,
            doubt,
            against
        )
    }
}

/// `PivotMoved(UpperArm, Left)` → `pivot_moved_upper_arm_left`.
fn code(debug: &str) -> String {
    let mut code = String::new();
    for letter in debug.chars() {
        if letter.is_ascii_uppercase() {
            if !code.is_empty() && !code.ends_with('_') {
                code.push('_');
            }
            code.push(letter.to_ascii_lowercase());
        } else if letter.is_ascii_alphanumeric() {
            code.push(letter);
        }
    }
    code
}
