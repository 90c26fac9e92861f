//! All kinds of adjusters as one type.

use super::amount::{Amount, Named, StrutSlot};
use super::change::{Change, PerUnit};
use super::eccentric::{CamAdvice, Eccentric};
use super::plate::{PlateAdvice, PlateShim};
use super::refusal::AdjustError;
use super::shims::{BoltPair, PackLimits, ShimAdvice, UpperArm};
use super::stock::ShimStock;
use super::tie_rod::{TieRod, TurnAdvice};
use crate::angle::Angle;

/// Something that is moved to set an angle.
#[derive(Debug, Clone, PartialEq)]
pub enum Adjuster {
    /// A tie rod.
    TieRod(TieRod),
    /// Shims at an upper arm whose dimensions are known.
    UpperArm(UpperArm),
    /// Shims at two bolts whose effects were measured or are printed.
    MeasuredShims(BoltPair),
    /// An eccentric and where it is.
    Eccentric(Eccentric, Place),
    /// A tapered plate behind the hub.
    PlateShim(PlateShim),
    /// The bolts between strut and knuckle.
    StrutSlot(StrutSlot),
    /// The owner's own.
    Named(Named, Place),
}

/// What an adjuster sits on, which tells what it takes along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Place {
    /// Rack or drag link to knuckle.
    TieRod,
    /// Inner end of a control arm: moves a pivot of the steering axis.
    ControlArm,
    /// Upper mount of a strut: moves a pivot of the steering axis.
    StrutTop,
    /// Between strut and knuckle: tilts the wheel against the steering axis.
    StrutToKnuckle,
    /// Between knuckle or axle and hub: tilts the wheel alone.
    HubFace,
    /// A toe link or arm at the rear.
    RearLink,
    /// Not known.
    Unknown,
}

impl Place {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::TieRod,
        Self::ControlArm,
        Self::StrutTop,
        Self::StrutToKnuckle,
        Self::HubFace,
        Self::RearLink,
        Self::Unknown,
    ];
}

/// What is taken hold of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Knob {
    /// The rod or its sleeve.
    Rod,
    /// The front bolt's shims.
    FrontBolt,
    /// The rear bolt's shims.
    RearBolt,
    /// The eccentric.
    Cam,
    /// The plate.
    Plate,
    /// The strut's bolt.
    StrutBolt,
    /// What the owner named.
    Own,
}

impl Knob {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Rod,
        Self::FrontBolt,
        Self::RearBolt,
        Self::Cam,
        Self::Plate,
        Self::StrutBolt,
        Self::Own,
    ];
}

/// What a knob is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Turns, + lengthening.
    Turn,
    /// Millimetres.
    Millimetre,
    /// Degrees of a cam.
    CamDegree,
    /// The owner's own.
    Own,
}

impl Unit {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Turn, Self::Millimetre, Self::CamDegree, Self::Own];
}

/// One column of the matrix of effects.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KnobEffect {
    /// What is moved.
    pub knob: Knob,
    /// What it is counted in.
    pub unit: Unit,
    /// What one unit does.
    pub per_unit: PerUnit,
}

/// What to do, in the adjuster's own unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Advice {
    /// Turn a rod.
    Turns(TurnAdvice),
    /// Shims at two bolts.
    Shims(ShimAdvice),
    /// Turn an eccentric.
    Cam(CamAdvice),
    /// Put a plate in.
    Plate(PlateAdvice),
    /// Move by an amount.
    Amount(Amount),
}

impl Adjuster {
    /// Where it sits.
    pub const fn place(&self) -> Place {
        match self {
            Self::TieRod(_) => Place::TieRod,
            Self::UpperArm(_) | Self::MeasuredShims(_) => Place::ControlArm,
            Self::Eccentric(_, place) | Self::Named(_, place) => *place,
            Self::PlateShim(_) => Place::HubFace,
            Self::StrutSlot(_) => Place::StrutToKnuckle,
        }
    }

    /// The matrix of effects, a column for every knob. With the wheel's caster the
    /// small change of camber by toe is known too.
    pub fn effects(&self, caster: Option<Angle>) -> Result<Vec<KnobEffect>, AdjustError> {
        let one = |knob, unit, per_unit| {
            vec![KnobEffect {
                knob,
                unit,
                per_unit,
            }]
        };
        Ok(match self {
            Self::TieRod(rod) => one(Knob::Rod, Unit::Turn, rod.effect(caster)?),
            Self::UpperArm(arm) => bolts(&arm.pair()?),
            Self::MeasuredShims(pair) => bolts(pair),
            Self::Eccentric(cam, _) => one(Knob::Cam, Unit::CamDegree, cam.effect()?),
            Self::PlateShim(plate) => one(Knob::Plate, Unit::Millimetre, plate.effect()?),
            Self::StrutSlot(slot) => one(Knob::StrutBolt, Unit::Millimetre, slot.effect()?),
            Self::Named(named, _) => one(Knob::Own, Unit::Own, named.effect),
        })
    }

    /// What to do for a wanted change. `packs` and `stock` matter to shims at two
    /// bolts alone; without packs any number may come out of none, which is refused.
    pub fn advise(
        &self,
        wanted: &Change,
        packs: Option<&PackLimits>,
        stock: Option<&ShimStock>,
    ) -> Result<Advice, AdjustError> {
        let empty = PackLimits {
            present_mm: [0.0; 2],
            most_mm: None,
        };
        let packs = packs.unwrap_or(&empty);
        Ok(match self {
            Self::TieRod(rod) => Advice::Turns(rod.advise(wanted)?),
            Self::UpperArm(arm) => Advice::Shims(arm.pair()?.advise(wanted, packs, stock)?),
            Self::MeasuredShims(pair) => Advice::Shims(pair.advise(wanted, packs, stock)?),
            Self::Eccentric(cam, _) => Advice::Cam(cam.advise(wanted)?),
            Self::PlateShim(plate) => Advice::Plate(plate.advise(wanted)?),
            Self::StrutSlot(slot) => Advice::Amount(slot.advise(wanted)?),
            Self::Named(named, _) => Advice::Amount(named.advise(wanted)?),
        })
    }
}

fn bolts(pair: &BoltPair) -> Vec<KnobEffect> {
    [(Knob::FrontBolt, true), (Knob::RearBolt, false)]
        .map(|(knob, at_front)| KnobEffect {
            knob,
            unit: Unit::Millimetre,
            per_unit: pair.effect(at_front),
        })
        .into()
}
