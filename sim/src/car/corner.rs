//! One wheel with its spindle and, in front, its steering axis.
//!
//! All angles are given in the chassis frame (x forward, y left, z up), wheels straight ahead,
//! as projections: caster in the side view, SAI in the front view, toe in the plan view.

use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

use super::names::Wheel;
use crate::jet::Jet;

/// Angles of a spindle and, where there is one, a steering axis, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelAngles {
    /// Camber, + top outward.
    pub camber_rad: f64,
    /// Toe, + toe-in.
    pub toe_rad: f64,
    /// Caster (+ top rearward) and SAI (+ top inboard); none at a wheel that does not steer.
    pub steering: Option<AxisAngles>,
}

/// Angles of a steering axis, rad.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxisAngles {
    /// Caster, + top rearward.
    pub caster_rad: f64,
    /// Steering axis inclination, + top inboard.
    pub sai_rad: f64,
}

/// A steering axis in space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteeringAxis {
    /// Direction, pointing up, chassis frame.
    pub direction: Unit<Vector3<f64>>,
    /// From the axis point at wheel-centre height to the wheel centre, straight ahead, m.
    pub to_centre_m: Vector3<f64>,
}

/// One wheel's place and joints, chassis frame, wheels straight ahead, body not moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Which wheel.
    pub wheel: Wheel,
    /// Wheel centre from the chassis origin (mid front axle, wheel-centre height), m.
    pub centre_m: Vector3<f64>,
    /// Spindle, pointing outward.
    pub spindle: Unit<Vector3<f64>>,
    /// Steering axis of a front wheel.
    pub steering: Option<SteeringAxis>,
    /// Rolling radius, m.
    pub radius_m: f64,
}

/// Where a steering axis meets the ground, seen from the tyre contact point, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundOffsets {
    /// + contact point outboard of the axis (`r_k` of ISO 8855).
    pub steering_offset_m: f64,
    /// + contact point behind the axis (`n_k` of ISO 8855).
    pub caster_trail_m: f64,
    /// The axis point on the ground, chassis frame, m.
    pub axis_point_m: Vector3<f64>,
}

/// Unit vector along a spindle, pointing outward.
pub fn spindle_direction(wheel: Wheel, camber_rad: f64, toe_rad: f64) -> Unit<Vector3<f64>> {
    let s = wheel.side().sign();
    Unit::new_normalize(Vector3::new(
        camber_rad.cos() * toe_rad.sin(),
        s * camber_rad.cos() * toe_rad.cos(),
        -camber_rad.sin(),
    ))
}

/// Unit vector along a steering axis, pointing up.
pub fn axis_direction(wheel: Wheel, angles: AxisAngles) -> Unit<Vector3<f64>> {
    let s = wheel.side().sign();
    Unit::new_normalize(Vector3::new(
        -angles.caster_rad.tan(),
        -s * angles.sai_rad.tan(),
        1.0,
    ))
}

/// Heading of a wheel plane in the plan view, rad, + to the left, from its outward spindle.
pub fn heading_rad(wheel: Wheel, spindle: &Vector3<f64>) -> f64 {
    let s = wheel.side().sign();
    (-s * spindle.x).atan2(s * spindle.y)
}

impl Corner {
    /// The corner's angles as they appear in another frame (`to_frame` takes chassis vectors there).
    pub fn angles_in(&self, to_frame: &Rotation3<f64>) -> WheelAngles {
        let s = self.wheel.side().sign();
        let n = to_frame * self.spindle.as_ref();
        WheelAngles {
            camber_rad: (-n.z).clamp(-1.0, 1.0).asin(),
            toe_rad: n.x.atan2(s * n.y),
            steering: self.steering.map(|steering| {
                let u = to_frame * steering.direction.as_ref();
                AxisAngles {
                    caster_rad: (-u.x).atan2(u.z),
                    sai_rad: (-s * u.y).atan2(u.z),
                }
            }),
        }
    }

    /// Hub axes to chassis axes, wheels straight ahead: hub y along the spindle to the left, x
    /// forward in the wheel plane and parallel to the chassis floor, z up.
    pub fn hub_axes(&self) -> Rotation3<f64> {
        let y = self.spindle.as_ref() * self.wheel.side().sign();
        let x = y.cross(&Vector3::z()).normalize();
        let z = x.cross(&y);
        Rotation3::from_matrix_unchecked(Matrix3::from_columns(&[x, y, z]))
    }

    /// The turn about the steering axis that gives the plan-view steer angle `plan` (rad, + left,
    /// zero straight ahead), measured on the floor (`to_floor` takes chassis vectors there).
    ///
    /// The spindle turned by δ is `n∥ + n⊥ cos δ + (u × n) sin δ`; asking that its plan view be
    /// square to the wanted heading gives `A cos δ + B sin δ + C = 0`, which is solved in closed
    /// form. The derivatives follow from those of the heading. Zero at a wheel without steering.
    pub fn axis_turn(&self, plan: Jet, to_floor: &Rotation3<f64>) -> Jet {
        let Some(steering) = self.steering else {
            return Jet::default();
        };
        let u = to_floor * steering.direction.as_ref();
        let n = to_floor * self.spindle.as_ref();
        let along = u * u.dot(&n);
        let across = n - along;
        let sideways = u.cross(&n);

        let wanted = heading_rad(self.wheel, &n) + plan.value;
        let forward = Vector3::new(wanted.cos(), wanted.sin(), 0.0);
        let (a, b, c) = (
            forward.dot(&across),
            forward.dot(&sideways),
            forward.dot(&along),
        );
        let phase = b.atan2(a);
        let half = (-c / a.hypot(b)).clamp(-1.0, 1.0).acos();
        let nearest = |angle: f64| wrapped(angle - plan.value) + plan.value;
        let (one, other) = (nearest(phase + half), nearest(phase - half));
        let turn = if (one - plan.value).abs() < (other - plan.value).abs() {
            one
        } else {
            other
        };

        // Heading against turn: with p = (nx, ny), heading' = (p × p')/|p|².
        let (sin, cos) = turn.sin_cos();
        let p = along + across * cos + sideways * sin;
        let dp = sideways * cos - across * sin;
        let ddp = -(across * cos + sideways * sin);
        let numerator = p.x * dp.y - p.y * dp.x;
        let numerator_rate = p.x * ddp.y - p.y * ddp.x;
        let square = p.x * p.x + p.y * p.y;
        let square_rate = 2.0 * (p.x * dp.x + p.y * dp.y);
        let heading_rate = numerator / square;
        let heading_curve = (numerator_rate * square - numerator * square_rate) / (square * square);
        plan.through(
            turn,
            1.0 / heading_rate,
            -heading_curve / heading_rate.powi(3),
        )
    }

    /// Scrub and trail on a ground plane normal to chassis z under the tyre.
    ///
    /// None at a wheel without steering.
    pub fn ground_offsets(&self) -> Option<GroundOffsets> {
        let steering = self.steering?;
        let s = self.wheel.side().sign();
        let n = self.spindle.as_ref();
        let down = (n * n.z - Vector3::z()).normalize();
        let contact = self.centre_m + down * self.radius_m;
        let start = self.centre_m - steering.to_centre_m;
        let u = steering.direction.as_ref();
        let axis_point_m = start + u * ((contact.z - start.z) / u.z);
        let arm = contact - axis_point_m;
        Some(GroundOffsets {
            steering_offset_m: s * arm.y,
            caster_trail_m: -arm.x,
            axis_point_m,
        })
    }
}

/// An angle brought into −π..π.
pub(super) fn wrapped(angle_rad: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    angle_rad - turn * (angle_rad / turn).round()
}
