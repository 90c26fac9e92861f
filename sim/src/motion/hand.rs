//! A board that turns against what it is strapped to: by a slip, or in somebody's hand.

use nalgebra::{Rotation3, Unit, Vector3};

use crate::car::{Mount, MovingFrame};
use crate::jet::Jet;

/// One turn of a board about an axis of its own, from rest to rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HandTurn {
    pub(super) at_s: f64,
    pub(super) over_s: f64,
    pub(super) mount: Mount,
    axis: Unit<Vector3<f64>>,
    angle_rad: f64,
}

impl HandTurn {
    /// A turn by a rotation vector, rad; none where there is nothing to turn.
    pub(super) fn by(mount: Mount, turn_rad: Vector3<f64>, at_s: f64, over_s: f64) -> Option<Self> {
        Some(Self {
            at_s,
            over_s,
            mount,
            axis: Unit::try_new(turn_rad, 1e-12)?,
            angle_rad: turn_rad.norm(),
        })
    }

    pub(super) fn end_s(&self) -> f64 {
        self.at_s + self.over_s
    }

    /// The board's frame beyond this turn.
    pub(super) fn beyond(&self, frame: MovingFrame, t_s: f64) -> MovingFrame {
        let turn = Jet::minimum_jerk(0.0, self.angle_rad, t_s - self.at_s, self.over_s);
        frame.hinged(&self.axis, turn)
    }

    fn rotation(&self) -> Rotation3<f64> {
        Rotation3::from_axis_angle(&self.axis, self.angle_rad)
    }
}

/// The turn, as a rotation vector of the board, that brings `wanted` to where `up` is: both in
/// the board's own axes, before the turn. Where they are opposite the board goes over the side
/// that lies most level.
pub(super) fn turn_to_lay(up: &Vector3<f64>, wanted: &Vector3<f64>) -> Vector3<f64> {
    // The board turns by R, so what was `up` in its axes is seen as Rᵀ up: R wanted = up.
    if let Some(rotation) = Rotation3::rotation_between(wanted, up)
        && rotation.angle() < std::f64::consts::PI - 1e-6
    {
        return rotation.scaled_axis();
    }
    let level = [Vector3::x(), Vector3::y(), Vector3::z()]
        .into_iter()
        .map(|axis| axis.cross(up))
        .max_by(|a, b| a.norm().total_cmp(&b.norm()))
        .unwrap_or_else(Vector3::x);
    level.normalize() * std::f64::consts::PI
}

/// The turn that undoes all turns of a mount's board so far.
pub(super) fn turn_back<'a>(turns: impl Iterator<Item = &'a HandTurn>) -> Vector3<f64> {
    turns
        .fold(Rotation3::identity(), |all, turn| all * turn.rotation())
        .inverse()
        .scaled_axis()
}
