//! Why there is no advice.

use thiserror::Error;

use super::change::WheelAngle;
use crate::angle::Angle;

/// A dimension of an adjuster.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dimension {
    /// Thread pitch, mm.
    Pitch,
    /// Length of the steering arm, mm.
    SteeringArm,
    /// Height from joint to joint, mm.
    JointHeight,
    /// Spacing of the bolts, mm.
    BoltSpacing,
    /// Length of the control arm, mm.
    ControlArm,
    /// Throw of an eccentric, mm.
    Throw,
    /// Lever an eccentric or slot works on, mm.
    Lever,
    /// Diameter of a plate, mm.
    PlateDiameter,
    /// Thickness of a shim, mm.
    Shim,
    /// Turn from mark to mark, degrees.
    MarkSpacing,
}

impl Dimension {
    /// All of them.
    pub const ALL: [Self; 10] = [
        Self::Pitch,
        Self::SteeringArm,
        Self::JointHeight,
        Self::BoltSpacing,
        Self::ControlArm,
        Self::Throw,
        Self::Lever,
        Self::PlateDiameter,
        Self::Shim,
        Self::MarkSpacing,
    ];
}

/// Why there is no advice, with the evidence.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum AdjustError {
    /// A dimension that cannot be.
    #[error("{dimension:?} of {found} is not a positive number")]
    Dimension {
        /// Which.
        dimension: Dimension,
        /// What was given.
        found: f64,
    },
    /// A wanted change or an amount that is not a number.
    #[error("a wanted change or an amount is not a number")]
    NotFinite,
    /// The adjuster does not move this angle on purpose.
    #[error("the adjuster does not set {angle:?}, of which {wanted_rad} rad is wanted")]
    DoesNotSet {
        /// Which angle.
        angle: WheelAngle,
        /// The change wanted, rad.
        wanted_rad: f64,
    },
    /// More turns than the thread has left.
    #[error("{needed_turns} turns are needed and the thread has {left_turns} left")]
    BeyondThread {
        /// Turns needed, + lengthening.
        needed_turns: f64,
        /// Turns left in that direction, as the owner states.
        left_turns: f64,
    },
    /// More shims would have to come out than are in.
    #[error("{change_mm} mm at a pack of {present_mm} mm")]
    NegativePack {
        /// Front bolt, or the rear one.
        at_front: bool,
        /// Pack there now, mm.
        present_mm: f64,
        /// Change wanted, mm.
        change_mm: f64,
    },
    /// The bolt is too short for the pack.
    #[error("a pack of {wanted_mm} mm where {most_mm} mm is the most")]
    PackTooThick {
        /// Front bolt, or the rear one.
        at_front: bool,
        /// Pack wanted, mm.
        wanted_mm: f64,
        /// The most, mm.
        most_mm: f64,
    },
    /// The two bolts do nearly the same, so camber and caster cannot be parted.
    #[error("the effects of the two bolts are only {apart_deg}° apart in direction")]
    NotSeparable {
        /// Angle between the two effects in the plane of camber and caster.
        apart_deg: f64,
    },
    /// The eccentric, slot or owner's adjuster cannot move so far.
    #[error("{needed} is needed and {reach} is left, in mm or the owner's unit")]
    BeyondReach {
        /// Move needed from here, signed, in mm or in the owner's unit.
        needed: f64,
        /// What is left in that direction, likewise.
        reach: f64,
    },
    /// What the adjuster does is not known well enough even for its direction.
    #[error("the effect per unit is {found_rad} ± {standard_rad} rad (one sigma)")]
    EffectUnknown {
        /// Best estimate, rad per unit.
        found_rad: f64,
        /// Its standard uncertainty, rad per unit.
        standard_rad: f64,
    },
    /// A list of shims that is empty, or longer than can be searched.
    #[error("{found} thicknesses in stock, 1 to {most} can be used")]
    Stock {
        /// Thicknesses given.
        found: usize,
        /// Most that are searched.
        most: usize,
    },
}

/// A dimension that has to be positive.
pub(super) fn positive(dimension: Dimension, found: f64) -> Result<f64, AdjustError> {
    if found > 0.0 && found.is_finite() {
        Ok(found)
    } else {
        Err(AdjustError::Dimension { dimension, found })
    }
}

/// A change of the angles that an adjuster is not for, refused.
pub(super) fn sets_only(
    wanted: &super::change::Change,
    set: &[WheelAngle],
) -> Result<(), AdjustError> {
    if !wanted.is_finite() {
        return Err(AdjustError::NotFinite);
    }
    let stray = WheelAngle::ALL
        .into_iter()
        .find(|angle| !set.contains(angle) && wanted.of(*angle) != Angle::ZERO);
    stray.map_or(Ok(()), |angle| {
        Err(AdjustError::DoesNotSet {
            angle,
            wanted_rad: wanted.of(angle).rad(),
        })
    })
}
