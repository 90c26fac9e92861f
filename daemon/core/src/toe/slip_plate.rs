//! Side slip of a wheel driven over a plate that is free to move sideways.

use crate::angle::Angle;
use crate::entered::{Entered, EnteredError, Figure, Figures, Source};

/// Slip angle that camber does the work of, per angle of camber: camber
/// stiffness over cornering stiffness of a radial tyre, from memory.
const CAMBER_THRUST: f64 = 0.1;
/// Camber taken for granted when it is not known, one sigma; judgement.
const UNKNOWN_CAMBER: Angle = Angle::from_deg(1.5);
/// Conicity and plysteer of a tyre as a slip angle, one sigma; judgement.
const TYRE_ITSELF: Angle = Angle::from_deg(0.1);

/// Toe that would move a plate so, were there nothing but toe: `tan τ` is the
/// way sideways over the way forward (5 m/km is 0.005).
pub fn from_side_slip(ratio: f64) -> Angle {
    Angle::from_rad(ratio.atan())
}

/// Way sideways over way forward of a wheel with this toe.
pub fn to_side_slip(toe: Angle) -> f64 {
    toe.tan()
}

/// One wheel over one plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SlipPlate {
    /// Way of the plate over way of the car, + where the plate was pushed
    /// outward, which is what toe-in does.
    pub side_slip: Entered<f64>,
    /// Camber of the wheel, where it is known; + top outboard.
    pub camber: Option<Angle>,
}

/// A figure that shows the way and cannot stand for a measured toe: a plate
/// feels the side forces of camber and of the tyre along with toe.
#[derive(Debug, Clone, PartialEq)]
pub struct Indication {
    /// What toe would have to be, with the doubt about the other side forces.
    pub toe: Figure<Angle>,
}

impl SlipPlate {
    /// Toe as far as a plate can tell.
    ///
    /// Camber thrust is not taken off, as tyres differ too much in it: the whole
    /// of it is doubt.
    pub fn indicated(&self) -> Result<Indication, EnteredError> {
        let camber = self.camber.map_or(UNKNOWN_CAMBER, Angle::abs);
        let doubt = (CAMBER_THRUST * camber.rad()).hypot(TYRE_ITSELF.rad());
        let toe = Figures::entered([self.side_slip])?
            .law(|[ratio]| [ratio.atan()])?
            .also(Source::TyreSideForce, [doubt]);
        let toe = toe.figure(0);
        Ok(Indication { toe })
    }
}
