//! Adjusters of a car's record, as the core knows them, with what their moves taught.

use hubplumb_core::adjust::{
    Adjuster, BoltPair, BracketSide, Change, Eccentric, Effect, KnobEffect, LearnError, Learner,
    Move as Moved, Named, PerUnit, Place as Sits, PlateShim, RodPlace, StrutSlot,
    Thread as CoreThread, TieRod, UpperArm, WheelAngle,
};
use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::side::Side;

use crate::car::{AdjusterRecord, AdjusterWay, Bracket, Corner, EccentricMoves, RodSide, Thread};
use crate::visit::{Place, Quantity, Visit};

/// What dimensions measured with a rule are worth for the effect, relative, one sigma; judgement.
const GEOMETRY: f64 = 0.1;
/// An effect of which nothing is known is within this per unit, one sigma; judgement.
const BROAD: Angle = Angle::from_deg(1.0);
/// What an amount is moved to, in the adjuster's own unit, one sigma; judgement.
const AMOUNT: f64 = 0.05;

/// The angle of a quantity.
pub(super) const fn quantity_of(angle: WheelAngle) -> Quantity {
    match angle {
        WheelAngle::Camber => Quantity::Camber,
        WheelAngle::Caster => Quantity::Caster,
        WheelAngle::Toe => Quantity::Toe,
    }
}

/// Which angles an adjuster is there to set.
pub(super) fn sets(way: &AdjusterWay) -> Vec<WheelAngle> {
    let one = |moves: EccentricMoves| match moves {
        EccentricMoves::Camber => WheelAngle::Camber,
        EccentricMoves::Caster => WheelAngle::Caster,
        EccentricMoves::Toe => WheelAngle::Toe,
    };
    match way {
        AdjusterWay::TieRod { .. } => vec![WheelAngle::Toe],
        AdjusterWay::ArmShims { .. } => vec![WheelAngle::Camber, WheelAngle::Caster],
        AdjusterWay::Eccentric { moves, .. } | AdjusterWay::Other { moves, .. } => {
            vec![one(*moves)]
        }
        AdjusterWay::ContactShim { .. } => vec![WheelAngle::Camber, WheelAngle::Toe],
        AdjusterWay::StrutBolt { .. } => vec![WheelAngle::Camber],
    }
}

/// Where an adjuster sits.
pub(super) fn sits(way: &AdjusterWay, corner: Corner) -> Sits {
    match way {
        AdjusterWay::TieRod { .. } if corner.is_front() => Sits::TieRod,
        AdjusterWay::ArmShims { .. } => Sits::ControlArm,
        AdjusterWay::Eccentric { moves, .. } => match moves {
            EccentricMoves::Toe if !corner.is_front() => Sits::RearLink,
            _ => Sits::ControlArm,
        },
        AdjusterWay::ContactShim { .. } => Sits::HubFace,
        AdjusterWay::StrutBolt { .. } => Sits::StrutToKnuckle,
        AdjusterWay::TieRod { .. } => Sits::RearLink,
        AdjusterWay::Other { .. } => Sits::Unknown,
    }
}

/// The adjuster with its geometry; none where a length is missing.
pub(super) fn known(record: &AdjusterRecord, corner: Corner) -> Option<Adjuster> {
    let sits = sits(&record.way, corner);
    Some(match &record.way {
        AdjusterWay::TieRod {
            pitch_mm,
            arm_mm,
            thread,
            rod,
        } => Adjuster::TieRod(TieRod {
            pitch_mm: (*pitch_mm)?,
            arm_mm: (*arm_mm)?,
            place: match rod {
                RodSide::Behind => RodPlace::BehindAxle,
                RodSide::Ahead => RodPlace::AheadOfAxle,
            },
            thread: match thread {
                Thread::Single => CoreThread::Single,
                Thread::Sleeve => CoreThread::LeftRightSleeve,
            },
            may_lengthen_turns: None,
            may_shorten_turns: None,
        }),
        AdjusterWay::ArmShims {
            effect_deg_per_mm: Some(effect),
            ..
        } => Adjuster::MeasuredShims(measured(effect)?),
        AdjusterWay::ArmShims {
            joint_height_mm,
            bolt_spacing_mm,
            arm_mm,
            bracket,
            ..
        } => Adjuster::UpperArm(UpperArm {
            height_mm: (*joint_height_mm)?,
            spacing_mm: (*bolt_spacing_mm)?,
            arm_mm: (*arm_mm)?,
            bracket: match bracket {
                Bracket::Inward => BracketSide::ShimMovesIn,
                Bracket::Outward => BracketSide::ShimMovesOut,
            },
        }),
        AdjusterWay::Eccentric {
            throw_mm,
            lever_mm,
            mark_deg,
            ..
        } => {
            let cam = Eccentric {
                sets: *sets(&record.way).first()?,
                throw_mm: (*throw_mm)?,
                lever_mm: (*lever_mm)?,
                // Where the mark stands is not in the record: the middle, where a degree does most.
                mark: Angle::ZERO,
                mark_spacing: mark_deg.map(Angle::from_deg),
            };
            Adjuster::Eccentric(cam, sits)
        }
        AdjusterWay::ContactShim { plate_mm } => Adjuster::PlateShim(PlateShim {
            diameter_mm: (*plate_mm)?,
            side: if corner.is_left() {
                Side::Left
            } else {
                Side::Right
            },
        }),
        AdjusterWay::StrutBolt { lever_mm } => Adjuster::StrutSlot(StrutSlot {
            lever_mm: (*lever_mm)?,
            reach_mm: None,
        }),
        AdjusterWay::Other {
            unit, deg_per_unit, ..
        } => {
            let angle = *sets(&record.way).first()?;
            let named = Named {
                name: record.name.clone(),
                unit: unit.clone(),
                sets: angle,
                effect: PerUnit::mainly(angle, Angle::from_deg((*deg_per_unit)?)),
                reach_units: None,
            };
            Adjuster::Named(named, sits)
        }
    })
}

/// `deg_per_mm`: rows camber and caster, columns front and rear bolt.
fn measured(deg_per_mm: &[[f64; 2]; 2]) -> Option<BoltPair> {
    let [camber, caster] = deg_per_mm.map(|row| row.map(Angle::from_deg));
    let bolt = |column: usize| Change {
        camber: camber[column],
        caster: caster[column],
        toe: Angle::ZERO,
    };
    BoltPair::measured(1.0, &bolt(0), &bolt(1)).ok()
}

/// What the moves of an adjuster at a corner taught.
pub(super) struct Taught {
    /// What is known now.
    pub(super) learner: Learner,
    /// The angles it is about, in the learner's order.
    pub(super) angles: Vec<WheelAngle>,
    /// Moves that were understood.
    pub(super) moves: usize,
    /// The last move that contradicted what was known.
    pub(super) contradiction: Option<LearnError>,
}

/// Goes through the moves of an adjuster in a visit.
pub(super) fn taught(visit: &Visit<'_>, record: &AdjusterRecord, corner: Corner) -> Taught {
    let angles = sets(&record.way);
    let knobs = if matches!(record.way, AdjusterWay::ArmShims { .. }) {
        2
    } else {
        1
    };
    // One thickness cannot make two angles: of a plate only what it was put in for is learned.
    let angles = if knobs == 1 {
        angles[..1].to_vec()
    } else {
        angles
    };
    let geometry: Option<Vec<KnobEffect>> =
        known(record, corner).and_then(|adjuster| adjuster.effects(None).ok());
    let learner = match &geometry {
        Some(effects) if effects.iter().all(|effect| tells(effect, &angles)) => {
            let per_unit: Vec<PerUnit> = effects.iter().map(|effect| effect.per_unit).collect();
            Learner::from_geometry(&angles, &per_unit, GEOMETRY, BROAD)
        }
        _ => Learner::broad(&angles, knobs, BROAD),
    };
    let mut taught = Taught {
        learner,
        angles,
        moves: 0,
        contradiction: None,
    };
    for (index, moved) in visit.moves.iter().enumerate() {
        let this = moved.what.adjuster == record.name && moved.what.corner == corner;
        if !this || moved.what.amount.len() != knobs {
            continue;
        }
        // What is measured after the next move at this corner shows that one too.
        let until = visit.moves[index + 1..]
            .iter()
            .find(|next| next.what.corner == corner)
            .map_or(u32::MAX, |next| next.number);
        let since = visit.moves[..index]
            .iter()
            .rfind(|last| last.what.corner == corner)
            .map_or(0, |last| last.number);
        let read = |from: u32, to: u32, last: bool| -> Option<Vec<Estimate>> {
            taught
                .angles
                .iter()
                .map(|angle| read_between(visit, *angle, corner, (from, to), last))
                .collect()
        };
        let before = read(since, moved.number, true);
        let (Some(before), Some(after)) = (before, read(moved.number, until, false)) else {
            continue;
        };
        let standard = moved.what.amount_standard.unwrap_or(AMOUNT);
        let seen = Moved {
            amounts: moved.what.amount.clone(),
            amounts_standard: vec![standard; knobs],
            before,
            after,
            correlation: 0.0,
        };
        match taught.learner.learn(&seen) {
            Ok(()) => taught.moves += 1,
            Err(error) => taught.contradiction = Some(error),
        }
    }
    taught
}

fn tells(effect: &KnobEffect, angles: &[WheelAngle]) -> bool {
    angles
        .iter()
        .all(|angle| matches!(effect.per_unit.of(*angle), Effect::Known(_)))
}

/// The last finding, or the first, between two entries.
fn read_between(
    visit: &Visit<'_>,
    angle: WheelAngle,
    corner: Corner,
    (from, to): (u32, u32),
    last: bool,
) -> Option<Estimate> {
    let place = Place::wheel(corner);
    let mut fitting = visit
        .runs
        .iter()
        .filter(|run| run.number > from && run.number < to)
        .flat_map(|run| &run.what.findings)
        .filter(|finding| finding.quantity == quantity_of(angle) && finding.place == place);
    let finding = if last {
        fitting.next_back()
    } else {
        fitting.next()
    }?;
    Some(Estimate::from_deg(finding.value, finding.standard))
}
