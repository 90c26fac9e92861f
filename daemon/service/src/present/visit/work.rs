//! What to adjust, in order, and by how much.

pub(super) mod amount;

use hubplumb_core::adjust::{
    Available, Axle, Change, Corner as CoreCorner, Deviation, How, Plan, ShimStock, Step, StepKind,
    WheelAngle, cross_effects, straight_ahead, work_plan,
};
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;

use amount::{Advised, by_geometry, by_moves, unit_words};

use super::adjuster::{known, quantity_of, sets, sits, taught};
use super::finding::{expanded, limits_of};
use super::verdict::{Judged, verdict};
use crate::car::{AdjusterRecord, AdjusterWay, Corner};
use crate::http::visit_views::{VerdictWord, WorkStepView};
use crate::present::advice::{caution_words, figure_words, how_words, reason_words, step_words};
use crate::present::advice_trouble::learn_trouble;
use crate::text::Text;
use crate::visit::{Place, Quantity, Standing, Unit, Visit};

/// Below this a finding and its aim are one, degrees: no adjuster is finer.
const NOTHING_DEG: f64 = 1e-3;

/// An angle of a wheel that is off, with where it should be.
struct Off<'a> {
    corner: Corner,
    angle: WheelAngle,
    standing: Standing<'a>,
    aim_deg: f64,
}

/// The steps of adjusting; none where nothing is off.
pub(super) fn work(visit: &Visit<'_>) -> Vec<WorkStepView> {
    let off = all_off(visit);
    let deviations: Vec<Deviation> = off
        .iter()
        .map(|off| Deviation {
            corner: core_corner(off.corner),
            angle: off.angle,
            wanted: Estimate::from_deg(
                off.aim_deg - off.standing.finding.value,
                off.standing.finding.standard,
            ),
        })
        .collect();
    let available: Vec<Available> = visit
        .car
        .adjusters
        .iter()
        .flat_map(|record| record.at.iter().map(move |corner| (record, *corner)))
        .flat_map(|(record, corner)| {
            sets(&record.way).into_iter().map(move |angle| Available {
                corner: core_corner(corner),
                sets: angle,
                place: sits(&record.way, corner),
            })
        })
        .collect();
    let plan = work_plan(&deviations, &available);
    let after = after(&plan);
    let mut steps = Vec::new();
    for step in &plan.steps {
        let wanted = match step.kind {
            StepKind::Set { corner, angle, .. } | StepKind::FindCause { corner, angle } => {
                (corner, angle)
            }
            _ => continue,
        };
        let of = |off: &&Off<'_>| (core_corner(off.corner), off.angle) == wanted;
        if let Some(off_here) = off.iter().find(of) {
            let order = u32::try_from(steps.len() + 1).unwrap_or(u32::MAX);
            steps.push(step_view(visit, &off, off_here, step, order, &after));
        }
    }
    steps
}

/// What follows every setting, in words.
fn after(plan: &Plan) -> Vec<Text> {
    plan.steps
        .iter()
        .filter(|step| {
            matches!(
                step.kind,
                StepKind::Lock
                    | StepKind::Settle
                    | StepKind::MeasureAgain
                    | StepKind::ResetSteeringSensor
            )
        })
        .map(|step| step_words(step.kind))
        .collect()
}

const fn core_corner(corner: Corner) -> CoreCorner {
    CoreCorner {
        axle: if corner.is_front() {
            Axle::Front
        } else {
            Axle::Rear
        },
        side: if corner.is_left() {
            Side::Left
        } else {
            Side::Right
        },
    }
}

fn all_off<'a>(visit: &'a Visit<'a>) -> Vec<Off<'a>> {
    let mut off = Vec::new();
    for corner in Corner::ALL {
        for angle in [WheelAngle::Camber, WheelAngle::Caster] {
            let place = Place::wheel(corner);
            let quantity = quantity_of(angle);
            let Some(standing) = visit.newest(quantity, place) else {
                continue;
            };
            let aim = limits_of(&visit.car.targets, quantity, place).and_then(|l| l.aim());
            if let Some(aim_deg) = aim
                && !is_inside(visit, quantity, place)
            {
                off.push(Off {
                    corner,
                    angle,
                    standing,
                    aim_deg,
                });
            }
        }
    }
    let rear = toe_off(visit, false, 0.0);
    // The rear is set first, alike on both sides: the thrust line is the centreline then.
    let thrust = visit
        .newest(Quantity::Thrust, Place::Car)
        .filter(|_| rear.is_empty())
        .map_or(0.0, |thrust| thrust.finding.value);
    off.extend(toe_off(visit, true, thrust));
    off.extend(rear);
    off
}

fn is_inside(visit: &Visit<'_>, quantity: Quantity, place: Place) -> bool {
    let Some(standing) = visit.newest(quantity, place) else {
        return false;
    };
    let judged = Judged {
        value: standing.finding.value,
        standard: standing.finding.standard,
        degrees_of_freedom: standing.finding.degrees_of_freedom,
        unit: quantity.unit(),
        advice: "",
    };
    limits_of(&visit.car.targets, quantity, place)
        .and_then(|limits| verdict(&judged, &limits))
        .is_some_and(|verdict| verdict.verdict == VerdictWord::Inside)
}

/// Toe of both wheels of an axle. In front it goes by the thrust line, so that the steering
/// wheel stands straight; at the rear by the car's centreline, which makes the thrust line.
fn toe_off<'a>(visit: &'a Visit<'a>, front: bool, thrust_deg: f64) -> Vec<Off<'a>> {
    let (corners, axle, targets) = if front {
        (
            [Corner::FrontLeft, Corner::FrontRight],
            Place::Front,
            &visit.car.targets.front,
        )
    } else {
        (
            [Corner::RearLeft, Corner::RearRight],
            Place::Rear,
            &visit.car.targets.rear,
        )
    };
    let toes = corners.map(|corner| visit.newest(Quantity::Toe, Place::wheel(corner)));
    let [Some(left), Some(right)] = toes else {
        return Vec::new();
    };
    let total = targets
        .total_toe_deg
        .aim()
        .or_else(|| targets.toe_deg.aim().map(|each| 2.0 * each));
    let Some(total) = total else {
        return Vec::new();
    };
    let straight = if front {
        Quantity::SteeringWheel
    } else {
        Quantity::Thrust
    };
    let told = |quantity, place| limits_of(&visit.car.targets, quantity, place).is_some();
    let well = |quantity, place| !told(quantity, place) || is_inside(visit, quantity, place);
    let wheels_well = corners
        .iter()
        .all(|corner| front || well(Quantity::Toe, Place::wheel(*corner)));
    if wheels_well && well(Quantity::TotalToe, axle) && well(straight, Place::Car) {
        return Vec::new();
    }
    let now = [left.finding.value, right.finding.value];
    let wanted = straight_ahead(
        now.map(Angle::from_deg),
        Angle::from_deg(total),
        Angle::from_deg(thrust_deg),
    );
    [
        (corners[0], left, wanted[0]),
        (corners[1], right, wanted[1]),
    ]
    .into_iter()
    .filter(|(_, _, wanted)| wanted.deg().abs() > NOTHING_DEG)
    .map(|(corner, standing, wanted)| Off {
        corner,
        angle: WheelAngle::Toe,
        aim_deg: standing.finding.value + wanted.deg(),
        standing,
    })
    .collect()
}

fn step_view(
    visit: &Visit<'_>,
    all: &[Off<'_>],
    off: &Off<'_>,
    step: &Step,
    order: u32,
    after: &[Text],
) -> WorkStepView {
    let record =
        visit.car.adjusters.iter().find(|record| {
            record.at.contains(&off.corner) && sets(&record.way).contains(&off.angle)
        });
    let mut say = step_words(step.kind);
    let mut amount = Vec::new();
    let mut amount_unit = Text::empty();
    let mut known_from = Text::empty();
    if let Some(record) = record {
        let advised = advised(visit, all, off, record);
        say = Text::sentences([say, advised.say]);
        amount = advised.amount;
        amount_unit = unit_words(&record.way);
        known_from = advised.known_from;
    }
    if off.angle == WheelAngle::Toe && off.corner.is_front() {
        say = Text::sentences([step_words(StepKind::HoldSteeringWheel), say]);
    }
    WorkStepView {
        order,
        quantity: quantity_of(off.angle),
        place: Place::wheel(off.corner),
        adjuster: record.map(|record| record.name.clone()),
        value: off.standing.finding.value,
        expanded: expanded(off.standing.finding),
        aim: off.aim_deg,
        unit: Unit::Deg,
        say,
        amount,
        amount_unit,
        known_from,
        reason: reason_words(step.reason),
        changes: record.map_or_else(Vec::new, |record| changes(off, record)),
        cautions: step
            .cautions
            .iter()
            .map(|caution| caution_words(*caution))
            .collect(),
        after: if record.is_some() {
            after.to_vec()
        } else {
            Vec::new()
        },
    }
}

fn changes(off: &Off<'_>, record: &AdjusterRecord) -> Vec<Text> {
    let axle = core_corner(off.corner).axle;
    cross_effects(off.angle, sits(&record.way, off.corner), axle)
        .into_iter()
        .filter(|effect| effect.how != How::Stays)
        .map(|effect| Text::sentences([figure_words(effect.on), how_words(effect.how)]))
        .collect()
}

fn advised(visit: &Visit<'_>, all: &[Off<'_>], off: &Off<'_>, record: &AdjusterRecord) -> Advised {
    let taught = taught(visit, record, off.corner);
    // What else the same adjuster sets at this wheel is set with it.
    let mut wanted = Change::default();
    for other in all.iter().filter(|other| other.corner == off.corner) {
        if sets(&record.way).contains(&other.angle) {
            let by = Angle::from_deg(other.aim_deg - other.standing.finding.value);
            match other.angle {
                WheelAngle::Camber => wanted.camber = by,
                WheelAngle::Caster => wanted.caster = by,
                WheelAngle::Toe => wanted.toe = by,
            }
        }
    }
    let geometry = known(record, off.corner);
    let mut advised = if taught.moves == 0
        && let Some(adjuster) = &geometry
    {
        let stock = match &record.way {
            AdjusterWay::ArmShims { stock_mm, .. } if !stock_mm.is_empty() => {
                ShimStock::new(stock_mm).ok()
            }
            _ => None,
        };
        let advice = adjuster.advise(&wanted, None, stock.as_ref());
        by_geometry(advice, &taught)
    } else {
        by_moves(&taught, &wanted, record)
    };
    if let Some(error) = &taught.contradiction {
        let trouble = learn_trouble(error);
        advised.say = Text::sentences([advised.say, trouble.what, trouble.remedy]);
    }
    advised
}

#[cfg(test)]
mod tests;
