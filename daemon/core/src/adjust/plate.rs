//! Camber and toe by a wedge between hub and knuckle or axle.

use super::change::{Change, Effect, PerUnit, WheelAngle};
use super::refusal::{AdjustError, Dimension, positive, sets_only};
use crate::angle::Angle;
use crate::side::Side;

/// Hours on a clock face.
const HOURS: f64 = 12.0;

/// A tapered plate that bears on its whole face. Its unit is a millimetre of
/// thickness across the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateShim {
    /// Diameter of the face, mm.
    pub diameter_mm: f64,
    /// Side of the car it goes on.
    pub side: Side,
}

/// Which plate, and how to put it in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlateAdvice {
    /// Difference in thickness from edge to edge, mm.
    pub thickness_mm: f64,
    /// The tilt of the hub by it.
    pub tilt: Angle,
    /// Where the thick edge points, in hours of a clock face, over 0 to 12, seen
    /// from outside the car facing the wheel; 12 is up. None for a plate of no thickness.
    pub thick_edge_clock: Option<f64>,
    /// The same from straight up towards the rear of the car, −180° to 180°.
    pub thick_edge_from_top: Angle,
}

impl PlateShim {
    /// What a millimetre with the thick edge up (camber) or to the rear (toe) does.
    pub fn effect(&self) -> Result<PerUnit, AdjustError> {
        let diameter = positive(Dimension::PlateDiameter, self.diameter_mm)?;
        let per_mm = Angle::from_rad(1.0 / diameter);
        Ok(PerUnit {
            camber: Effect::Known(per_mm),
            caster: Effect::NONE,
            toe: Effect::Known(per_mm),
        })
    }

    /// Which plate for a change of camber and toe.
    ///
    /// Behind the hub, thickness at the top tips the top out (camber +), thickness
    /// at the rear pushes the rear of the wheel out (toe-in). The face's normal is
    /// the spindle, so the slopes are tan toe rearward and tan camber / cos toe
    /// upward; for one angle alone the thickness is diameter × tan angle (derived).
    pub fn advise(&self, wanted: &Change) -> Result<PlateAdvice, AdjustError> {
        sets_only(wanted, &[WheelAngle::Camber, WheelAngle::Toe])?;
        let diameter = positive(Dimension::PlateDiameter, self.diameter_mm)?;
        let rearward = wanted.toe.tan();
        let upward = wanted.camber.tan() / wanted.toe.cos();
        let slope = rearward.hypot(upward);
        let from_top = Angle::from_rad(rearward.atan2(upward));
        // From outside, the rear of a left wheel is on the right, clockwise from the top.
        let clockwise = from_top.deg() * self.side.sign();
        let hours = (clockwise / 360.0 * HOURS).rem_euclid(HOURS);
        Ok(PlateAdvice {
            thickness_mm: diameter * slope,
            tilt: Angle::from_rad(slope.atan()),
            thick_edge_clock: (slope > 0.0).then_some(if hours == 0.0 { HOURS } else { hours }),
            thick_edge_from_top: from_top,
        })
    }
}
