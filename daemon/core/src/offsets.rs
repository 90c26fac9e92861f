//! Lengths and angles that follow from camber, caster and SAI: included angle,
//! scrub radius, caster trail, and caster of a level frame.
//!
//! Angles alone give neither scrub radius nor trail: the lengths at hub height
//! come from the maker's data or the tape.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures, Source};
use crate::gum::Correlated;
use crate::length::Length;

/// Camber, caster and SAI of a wheel in rad, with what their errors share.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelAngles(Figures<3>);

impl WheelAngles {
    /// From camber, caster and SAI, in this order, in rad with their covariance.
    pub fn correlated(angles: &Correlated<3>, degrees_of_freedom: f64) -> Self {
        Self(Figures::correlated(
            angles,
            Source::SensedAngles,
            degrees_of_freedom,
        ))
    }

    /// From three angles that have nothing to do with each other.
    pub fn entered(
        camber: Entered<Angle>,
        caster: Entered<Angle>,
        sai: Entered<Angle>,
    ) -> Result<Self, EnteredError> {
        Ok(Self(Figures::entered([camber, caster, sai])?))
    }

    /// Included angle: SAI plus camber, the sum in front view.
    pub fn included(&self) -> Result<Figure<Angle>, EnteredError> {
        Ok(self.0.law(|[camber, _, sai]| [sai + camber])?.figure(0))
    }

    /// Scrub radius and caster trail.
    pub fn offsets(&self, lengths: &AxisLengths) -> Result<Offsets, EnteredError> {
        let lengths = Figures::entered([
            lengths.radius.positive()?,
            lengths.outboard_at_hub,
            lengths.behind_at_hub,
        ])?;
        let all: Figures<6> = self.0.beside(&lengths);
        let found = all.law(|[camber, caster, sai, radius, outboard, behind]| {
            let scrub = outboard - radius * (camber.cos() * sai.tan() + camber.sin());
            let trail = radius * camber.cos() * caster.tan() - behind;
            [scrub, trail, scrub.hypot(trail)]
        })?;
        Ok(Offsets {
            steering_axis_offset: found.figure(0),
            trail: found.figure(1),
            scrub_radius: found.figure(2),
        })
    }
}

/// Lengths of a wheel that no angle tells.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxisLengths {
    /// From hub centre to ground.
    pub radius: Entered<Length>,
    /// Steering-axis offset at the wheel centre (ISO `r_σ`): from the axis outboard
    /// to the wheel centre, at hub height.
    pub outboard_at_hub: Entered<Length>,
    /// How far the axis passes behind the wheel centre at hub height.
    pub behind_at_hub: Entered<Length>,
}

/// Where the steering axis meets the ground.
#[derive(Debug, Clone, PartialEq)]
pub struct Offsets {
    /// What workshops call scrub radius: steering-axis offset at ground (ISO
    /// `r_k`), from the axis outboard to the middle of the tyre's contact. Negative
    /// where the axis meets the ground outboard of that.
    pub steering_axis_offset: Figure<Length>,
    /// Caster trail: castor offset at ground (ISO `n_k`), + where the axis meets the
    /// ground ahead of the contact.
    pub trail: Figure<Length>,
    /// What ISO 8855 calls scrub radius: the distance of both points in the
    /// ground, never negative. Where it is no longer than its own uncertainty it
    /// reads long.
    pub scrub_radius: Figure<Length>,
}

/// Caster with the frame brought level: measured plus frame angle, + where the
/// frame is down in front.
pub fn level_caster(
    measured: Entered<Angle>,
    frame: Entered<Angle>,
) -> Result<Figure<Angle>, EnteredError> {
    let both = Figures::entered([measured, frame])?;
    Ok(both.law(|[measured, frame]| [measured + frame])?.figure(0))
}
