//! The floor's slope against gravity.

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::frames::{Dir, Floor, Vec3};

/// Slope of the plane through the four pads, in the car's directions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloorSlope {
    /// + left side higher.
    pub roll: Estimate,
    /// + front lower.
    pub pitch: Estimate,
}

impl FloorSlope {
    /// A floor presumed level to within a standard uncertainty each way.
    pub const fn presumed_level(standard: Angle) -> Self {
        Self {
            roll: Estimate::new(Angle::ZERO, standard),
            pitch: Estimate::new(Angle::ZERO, standard),
        }
    }

    /// Direction against gravity, in the floor's axes.
    ///
    /// The floor's axes are gravity's turned by the roll about X, then by the
    /// pitch about Y, both ISO 8855 right-handed.
    pub fn up(&self) -> Dir<Floor> {
        up_at(self.roll.value, self.pitch.value)
    }
}

/// See [`FloorSlope::up`].
pub(crate) fn up_at(roll: Angle, pitch: Angle) -> Dir<Floor> {
    let up = Vec3::new(
        -pitch.sin(),
        pitch.cos() * roll.sin(),
        pitch.cos() * roll.cos(),
    );
    // Three products of sines and cosines of two angles: never all zero.
    Dir::along(up).unwrap_or(Dir::z_axis())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slopes_lean_the_up_direction_as_their_names_say() {
        let check = |roll_deg: f64, pitch_deg: f64, forward_deg: f64, left_deg: f64| {
            let up = up_at(Angle::from_deg(roll_deg), Angle::from_deg(pitch_deg)).vec();
            assert!(
                (up.x().asin().to_degrees() - forward_deg).abs() < 1e-9,
                "{up:?}"
            );
            assert!(
                (up.y().asin().to_degrees() - left_deg).abs() < 1e-3,
                "{up:?}"
            );
        };
        check(0.0, 0.0, 0.0, 0.0);
        // Front lower: a plumb bob's string leans to the rear of the floor's normal.
        check(0.0, 1.0, -1.0, 0.0);
        // Left higher: it leans to the left.
        check(1.0, 0.0, 0.0, 1.0);
    }
}
