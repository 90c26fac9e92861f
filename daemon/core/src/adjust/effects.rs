//! What a change at one place does to the other figures.

use super::adjuster::Place;
use super::change::WheelAngle;
use super::plan::Axle;
use super::refusal::{AdjustError, Dimension, positive};
use super::tie_rod::RodPlace;
use crate::angle::Angle;

/// A figure that a change can take along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Figure {
    /// Camber of the wheel.
    Camber,
    /// Caster of the wheel.
    Caster,
    /// Toe of the wheel.
    Toe,
    /// Steering axis inclination.
    Sai,
    /// Included angle.
    IncludedAngle,
    /// The thrust line.
    Thrust,
    /// Where the steering wheel stands when the car runs straight.
    SteeringWheel,
    /// How far the steering goes to each side, and toe-out on turns.
    Turning,
}

impl Figure {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Camber,
        Self::Caster,
        Self::Toe,
        Self::Sai,
        Self::IncludedAngle,
        Self::Thrust,
        Self::SteeringWheel,
        Self::Turning,
    ];
}

/// How a figure goes along.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum How {
    /// It stays.
    Stays,
    /// It changes by the same amount, the same way.
    WithIt,
    /// It changes by the same amount, the other way.
    AgainstIt,
    /// It changes by half the amount.
    ByHalf,
    /// A little, by caster.
    ALittle,
    /// It changes; measure it again.
    MeasureAgain,
}

impl How {
    /// All of them.
    pub const ALL: [Self; 6] = [
        Self::Stays,
        Self::WithIt,
        Self::AgainstIt,
        Self::ByHalf,
        Self::ALittle,
        Self::MeasureAgain,
    ];
}

/// One figure and how it goes along.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CrossEffect {
    /// Which figure.
    pub on: Figure,
    /// How.
    pub how: How,
}

/// What else changes when `set` is changed at `place` on `axle`: whatever follows
/// from the geometry, derived; the rest is to be measured again.
///
/// An arm or a strut top moves wheel and steering axis together: camber and SAI
/// by opposite amounts, their sum not at all. A strut's bolt or a plate tilts the
/// wheel alone: the sum changes with camber. A tie rod turns the wheel about the
/// steering axis, which stays. One rear wheel's toe takes half of itself to the
/// thrust line, and the front's straight-ahead follows that.
pub fn cross_effects(set: WheelAngle, place: Place, axle: Axle) -> Vec<CrossEffect> {
    let mut effects = Vec::new();
    let mut add = |on, how| effects.push(CrossEffect { on, how });
    match set {
        WheelAngle::Toe => {
            add(
                Figure::Camber,
                match (place, axle) {
                    (Place::TieRod, Axle::Front) => How::ALittle,
                    (Place::HubFace, _) => How::Stays,
                    _ => How::MeasureAgain,
                },
            );
            if axle == Axle::Front {
                add(Figure::Caster, How::Stays);
                add(Figure::Sai, How::Stays);
                add(Figure::SteeringWheel, How::MeasureAgain);
                add(Figure::Turning, How::MeasureAgain);
            }
        }
        WheelAngle::Camber => {
            let (sai, included) = match place {
                Place::ControlArm | Place::StrutTop => (How::AgainstIt, How::Stays),
                Place::StrutToKnuckle | Place::HubFace => (How::Stays, How::WithIt),
                Place::TieRod | Place::RearLink | Place::Unknown => {
                    (How::MeasureAgain, How::MeasureAgain)
                }
            };
            if axle == Axle::Front {
                add(
                    Figure::Caster,
                    match place {
                        Place::StrutToKnuckle | Place::HubFace => How::Stays,
                        _ => How::MeasureAgain,
                    },
                );
                add(Figure::Sai, sai);
                add(Figure::IncludedAngle, included);
                add(Figure::SteeringWheel, How::MeasureAgain);
            }
            add(
                Figure::Toe,
                if place == Place::HubFace {
                    How::Stays
                } else {
                    How::MeasureAgain
                },
            );
        }
        WheelAngle::Caster => {
            add(Figure::Camber, How::MeasureAgain);
            add(Figure::Toe, How::MeasureAgain);
            add(Figure::IncludedAngle, How::Stays);
            add(Figure::SteeringWheel, How::MeasureAgain);
        }
    }
    if axle == Axle::Rear {
        let thrust = match (set, place) {
            (WheelAngle::Toe, _) => How::ByHalf,
            (_, Place::HubFace) => How::Stays,
            _ => How::MeasureAgain,
        };
        add(Figure::Thrust, thrust);
        if thrust != How::Stays {
            add(Figure::SteeringWheel, How::MeasureAgain);
        }
    }
    effects
}

/// Toe that a change of camber brings by the steering arm.
///
/// The knuckle tilts about its lower joint; the rod's outer end is `above_mm`
/// over that joint and the rod holds it from going sideways, so the knuckle turns
/// by −height × camber / arm with the rod behind the axle, + ahead of it (derived).
pub fn toe_from_camber(
    camber: Angle,
    above_mm: f64,
    arm_mm: f64,
    place: RodPlace,
) -> Result<Angle, AdjustError> {
    let arm = positive(Dimension::SteeringArm, arm_mm)?;
    if !above_mm.is_finite() || !camber.rad().is_finite() {
        return Err(AdjustError::NotFinite);
    }
    Ok(camber * (-place.sign() * above_mm / arm))
}
