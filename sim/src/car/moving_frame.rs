//! A frame carried along a chain of joints, with exact velocities and accelerations.

use nalgebra::{Rotation3, Unit, UnitQuaternion, Vector3};

use crate::jet::Jet;

/// Orientation, position and their derivatives of a frame, all in the level frame G
/// (x along the car, y left, z up against gravity).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MovingFrame {
    /// Takes vectors of this frame to G.
    pub to_level: Rotation3<f64>,
    /// Position of the origin, m.
    pub position_m: Vector3<f64>,
    /// Velocity of the origin, m/s.
    pub velocity_mps: Vector3<f64>,
    /// Acceleration of the origin, m/s².
    pub acceleration_mps2: Vector3<f64>,
    /// Angular velocity, rad/s.
    pub omega_radps: Vector3<f64>,
    /// Angular acceleration, rad/s².
    pub alpha_radps2: Vector3<f64>,
}

impl MovingFrame {
    /// The level frame itself, at rest.
    pub fn level() -> Self {
        Self {
            to_level: Rotation3::identity(),
            position_m: Vector3::zeros(),
            velocity_mps: Vector3::zeros(),
            acceleration_mps2: Vector3::zeros(),
            omega_radps: Vector3::zeros(),
            alpha_radps2: Vector3::zeros(),
        }
    }

    /// The frame beyond a hinge along `axis` (given in this frame), turned by `angle` rad.
    #[must_use]
    pub fn hinged(mut self, axis: &Unit<Vector3<f64>>, angle: Jet) -> Self {
        let hinge = self.to_level * axis.as_ref();
        self.alpha_radps2 += hinge * angle.accel + self.omega_radps.cross(&hinge) * angle.rate;
        self.omega_radps += hinge * angle.rate;
        self.to_level *= Rotation3::from_axis_angle(axis, angle.value);
        self
    }

    /// The frame whose origin lies at `offset_m` (given in this frame).
    #[must_use]
    pub fn offset(mut self, offset_m: &Vector3<f64>) -> Self {
        let arm = self.to_level * offset_m;
        self.position_m += arm;
        self.velocity_mps += self.omega_radps.cross(&arm);
        self.acceleration_mps2 +=
            self.alpha_radps2.cross(&arm) + self.omega_radps.cross(&self.omega_radps.cross(&arm));
        self
    }

    /// The frame beyond a slide along `axis` (given in this frame), moved by `travel` m.
    #[must_use]
    pub fn slid(self, axis: &Unit<Vector3<f64>>, travel: Jet) -> Self {
        let direction = self.to_level * axis.as_ref();
        let mut moved = self.offset(&(axis.as_ref() * travel.value));
        moved.velocity_mps += direction * travel.rate;
        moved.acceleration_mps2 +=
            direction * travel.accel + self.omega_radps.cross(&direction) * (2.0 * travel.rate);
        moved
    }

    /// The frame turned once and for all by `rotation` (its vectors to this frame's).
    #[must_use]
    pub fn mounted(mut self, rotation: &Rotation3<f64>) -> Self {
        self.to_level *= rotation;
        self
    }

    /// This frame, at rest, on its way to where `other` is at rest, `t_s` after it began to move.
    #[must_use]
    pub fn towards(self, other: &Self, t_s: f64, over_s: f64) -> Self {
        let back = self.to_level.inverse();
        // By a quaternion: near half a turn the matrix alone does not tell the axis.
        let turn = UnitQuaternion::from_rotation_matrix(&(back * other.to_level)).scaled_axis();
        let shift_m = back * (other.position_m - self.position_m);
        let mut moved = self;
        if let Some(axis) = Unit::try_new(shift_m, 1e-12) {
            let travel = Jet::minimum_jerk(0.0, shift_m.norm(), t_s, over_s);
            moved = moved.slid(&axis, travel);
        }
        if let Some(axis) = Unit::try_new(turn, 1e-12) {
            let angle = Jet::minimum_jerk(0.0, turn.norm(), t_s, over_s);
            moved = moved.hinged(&axis, angle);
        }
        moved
    }

    /// What a perfect accelerometer in this frame reads, m/s²: acceleration minus gravity, in its
    /// own axes. At rest it is gravity's strength, pointing up.
    pub fn specific_force_mps2(&self, gravity_mps2: f64) -> Vector3<f64> {
        self.to_level
            .inverse_transform_vector(&(self.acceleration_mps2 + Vector3::z() * gravity_mps2))
    }

    /// What a perfect gyro in this frame reads, rad/s, in its own axes.
    pub fn body_rate_radps(&self) -> Vector3<f64> {
        self.to_level.inverse_transform_vector(&self.omega_radps)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chain that uses every kind of joint at once, two hinges deep.
    fn chain(t_s: f64) -> MovingFrame {
        let swing = Jet::minimum_jerk(-0.4, 0.9, t_s, 1.0);
        let spin = Jet::minimum_jerk(0.2, -1.1, t_s, 1.0).sin();
        let travel = Jet::minimum_jerk(0.0, 0.7, t_s, 1.0);
        MovingFrame::level()
            .hinged(&Vector3::y_axis(), swing)
            .slid(&Vector3::x_axis(), travel)
            .offset(&Vector3::new(0.1, -0.3, 0.2))
            .hinged(&Unit::new_normalize(Vector3::new(0.1, 0.9, -0.4)), spin)
            .offset(&Vector3::new(-0.2, 0.05, 0.3))
    }

    #[test]
    fn rates_and_accelerations_agree_with_differences_of_positions() {
        let h = 1e-4;
        for step in 1..10 {
            let t = f64::from(step) * 0.1;
            let (before, now, after) = (chain(t - h), chain(t), chain(t + h));
            let velocity = (after.position_m - before.position_m) / (2.0 * h);
            let acceleration = (after.velocity_mps - before.velocity_mps) / (2.0 * h);
            let turned = after.to_level * before.to_level.inverse();
            let omega = turned.scaled_axis() / (2.0 * h);
            let alpha = (after.omega_radps - before.omega_radps) / (2.0 * h);
            // Central differences of step h are off by about h² times the third derivative.
            assert!(
                (velocity - now.velocity_mps).norm() < 1e-6,
                "velocity at {t}"
            );
            assert!(
                (acceleration - now.acceleration_mps2).norm() < 1e-5,
                "acceleration at {t}"
            );
            assert!((omega - now.omega_radps).norm() < 1e-6, "rate at {t}");
            assert!(
                (alpha - now.alpha_radps2).norm() < 1e-5,
                "angular acceleration at {t}"
            );
        }
    }

    #[test]
    fn half_a_turn_goes_about_its_own_axis() {
        for axis in [[0.0, 0.0, 1.0], [0.02, -0.01, 1.0], [1.0, 0.3, 0.0]] {
            let axis = Unit::new_normalize(Vector3::from(axis));
            let from = MovingFrame::level().hinged(&Vector3::y_axis(), Jet::constant(0.01));
            let to = from.hinged(&axis, Jet::constant(std::f64::consts::PI));
            let half = from.towards(&to, 0.5, 1.0);
            let turned = (from.to_level.inverse() * half.to_level).scaled_axis();
            let off = turned.cross(&axis).norm();
            assert!(off < 1e-6, "{axis:?}: {turned}");
            let end = from.towards(&to, 1.0, 1.0);
            assert!(end.to_level.angle_to(&to.to_level) < 1e-6);
        }
    }

    #[test]
    fn a_frame_at_rest_reads_gravity_upwards() {
        let tilted = MovingFrame::level().hinged(&Vector3::x_axis(), Jet::constant(0.3));
        let force = tilted.specific_force_mps2(9.81);
        assert!((force.norm() - 9.81).abs() < 1e-12);
        assert!((tilted.to_level * force - Vector3::z() * 9.81).norm() < 1e-12);
    }
}
