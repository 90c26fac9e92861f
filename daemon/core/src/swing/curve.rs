//! Camber over steer of a swing, for a picture.

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::side::Side;
use crate::swing::exact::{AxisAngles, CurvePoint, SpindlePosition, camber_curve};
use crate::swing::{SwingProcedure, WheelOutcome};

/// The fitted curve goes on by so much beyond the outermost stops.
const BEYOND: Angle = Angle::from_deg(2.0);

/// A rest as it was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stop {
    /// Steer angle, + left.
    pub steer: Angle,
    /// Camber there.
    pub camber: Estimate,
}

/// Camber over steer of one wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingCurve {
    /// Which side.
    pub side: Side,
    /// The rests whose steer angle is known, in the order they were taken.
    pub stops: Vec<Stop>,
    /// What the found axis makes of them; empty where none was found.
    pub fitted: Vec<CurvePoint>,
}

/// The curves of a swing that went through.
pub fn curves(swing: &SwingProcedure) -> Vec<SwingCurve> {
    let rests = swing.rests();
    swing
        .outcome()
        .iter()
        .flatten()
        .map(|wheel| {
            let stops: Vec<Stop> = rests
                .iter()
                .flat_map(|rest| &rest.wheels)
                .filter(|at| at.side == wheel.side)
                .filter_map(|at| {
                    Some(Stop {
                        steer: at.plate.or(at.steer)?,
                        camber: Estimate::new(at.camber, at.camber_standard),
                    })
                })
                .collect();
            SwingCurve {
                side: wheel.side,
                fitted: fitted(swing, wheel, &stops).unwrap_or_default(),
                stops,
            }
        })
        .collect()
}

fn fitted(swing: &SwingProcedure, wheel: &WheelOutcome, stops: &[Stop]) -> Option<Vec<CurvePoint>> {
    let found = wheel.axis.as_ref().ok()?;
    let axis = AxisAngles {
        caster: found.caster.estimate.value,
        sai: found.sai.estimate.value,
    };
    let wheels = &swing.setup().wheels;
    let given = wheels.iter().find(|of| of.wheel.side == wheel.side)?;
    let straight = SpindlePosition {
        heading: given.toe.value,
        camber: wheel.camber.estimate.value,
    };
    let rad = |pick: fn(f64, f64) -> f64| stops.iter().map(|s| s.steer.rad()).fold(0.0, pick);
    let from = Angle::from_rad(rad(f64::min)) - BEYOND;
    let to = Angle::from_rad(rad(f64::max)) + BEYOND;
    Some(camber_curve(wheel.side, axis, straight, from, to))
}
