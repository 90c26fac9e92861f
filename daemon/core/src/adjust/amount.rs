//! Adjusters whose effect is one figure per unit.

use super::change::{Change, Effect, PerUnit, Way, WheelAngle};
use super::refusal::{AdjustError, Dimension, positive, sets_only};
use crate::angle::Angle;

/// How far to move, in the adjuster's own unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Amount {
    /// Which way.
    pub way: Way,
    /// How many units, never negative.
    pub units: f64,
}

/// The strut's bolts in their slot. Its unit is a millimetre that the top of the
/// knuckle moves out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrutSlot {
    /// From the bolt that is the pivot to the one that moves, mm.
    pub lever_mm: f64,
    /// How far the bolt can still move the top out and in, mm.
    pub reach_mm: Option<[f64; 2]>,
}

impl StrutSlot {
    /// Camber per mm: one over the lever (derived). It tilts the wheel against the
    /// steering axis, so the included angle changes with it.
    pub fn effect(&self) -> Result<PerUnit, AdjustError> {
        let lever = positive(Dimension::Lever, self.lever_mm)?;
        Ok(PerUnit {
            camber: Effect::Known(Angle::from_rad(1.0 / lever)),
            caster: Effect::NONE,
            toe: Effect::MeasureAgain,
        })
    }

    /// How far to move it for a change of camber.
    pub fn advise(&self, wanted: &Change) -> Result<Amount, AdjustError> {
        sets_only(wanted, &[WheelAngle::Camber])?;
        let lever = positive(Dimension::Lever, self.lever_mm)?;
        let needed_mm = wanted.camber.rad() * lever;
        if let Some([out, inward]) = self.reach_mm {
            let reach = if needed_mm > 0.0 { out } else { inward };
            if needed_mm.abs() > reach {
                return Err(AdjustError::BeyondReach {
                    needed: needed_mm,
                    reach: needed_mm.signum() * reach,
                });
            }
        }
        Ok(Amount {
            way: Way::by_sign(needed_mm, Way::TopOut, Way::TopIn),
            units: needed_mm.abs(),
        })
    }
}

/// An adjuster of the owner's own naming.
#[derive(Debug, Clone, PartialEq)]
pub struct Named {
    /// What the owner calls it.
    pub name: String,
    /// What the owner counts it in.
    pub unit: String,
    /// The angle it is there to set.
    pub sets: WheelAngle,
    /// What one unit does, as far as it is known.
    pub effect: PerUnit,
    /// Units it can still move in the direction counted + and −.
    pub reach_units: Option<[f64; 2]>,
}

impl Named {
    /// How far to move it; refused while its effect is not known.
    pub fn advise(&self, wanted: &Change) -> Result<Amount, AdjustError> {
        sets_only(wanted, &[self.sets])?;
        let per_unit = match self.effect.of(self.sets) {
            Effect::Known(per_unit) if per_unit != Angle::ZERO && per_unit.rad().is_finite() => {
                per_unit
            }
            Effect::Known(_) | Effect::MeasureAgain => {
                return Err(AdjustError::EffectUnknown {
                    found_rad: 0.0,
                    standard_rad: f64::INFINITY,
                });
            }
        };
        let units = wanted.of(self.sets).rad() / per_unit.rad();
        if let Some([plus, minus]) = self.reach_units {
            let reach = if units > 0.0 { plus } else { minus };
            if units.abs() > reach {
                return Err(AdjustError::BeyondReach {
                    needed: units,
                    reach: units.signum() * reach,
                });
            }
        }
        Ok(Amount {
            way: Way::by_sign(units, Way::OwnPlus, Way::OwnMinus),
            units: units.abs(),
        })
    }
}
