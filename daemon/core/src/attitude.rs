//! How a hub stands over the floor, and what its angles are called.
//!
//! Vectors here are *mirrored*: (forward, outboard, up) in the floor's axes, so
//! that every angle means the same on the left and on the right wheel. With
//! toe τ (+ toe-in), camber γ (+ top out) and hub pitch θ (+ front up):
//!
//! - spindle, outboard: n = (cos γ sin τ, cos γ cos τ, −sin γ)
//! - hub forward, with heading ψ (+ toe-in): f = (cos θ cos ψ, −cos θ sin ψ, sin θ)
//! - steering axis, up: k ∝ (−tan C, −tan S, 1), caster C + top rearward, SAI S + top inboard
//!
//! Camber and toe are those of ISO 8855:2011 (7.1.6 toe; camber from memory)
//! with the workshop's mirror between left and right.

use crate::angle::Angle;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir, Floor, Rot, Vec3};
use crate::live::WheelSetup;
use crate::mounting::Mounting;
use crate::side::Side;

/// A mirrored vector: forward, outboard, up.
pub type Mirrored = [f64; 3];

/// Scalar product of mirrored vectors.
pub(crate) fn dot(a: &Mirrored, b: &Mirrored) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// How a hub stands over the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stance {
    /// Camber against the floor, + top out.
    pub camber: Angle,
    /// Hub pitch against the floor, + front up.
    pub hub_pitch: Angle,
    /// Spindle, outboard.
    pub spindle: Mirrored,
    /// Hub forward.
    pub forward: Mirrored,
}

/// Spindle from toe and camber.
pub(crate) fn spindle_at(toe: Angle, camber: Angle) -> Mirrored {
    [
        camber.cos() * toe.sin(),
        camber.cos() * toe.cos(),
        -camber.sin(),
    ]
}

/// Camber against the floor of a spindle with the heading `toe` that makes this
/// cosine with the direction against `gravity`; none when the geometry cannot be.
pub(crate) fn camber_at(gravity: &Mirrored, along_spindle: f64, toe: Angle) -> Option<Angle> {
    // n·g is the same in every frame: A cos γ − g_z sin γ = n·g.
    let level = gravity[0] * toe.sin() + gravity[1] * toe.cos();
    let reach = level.hypot(gravity[2]);
    let ratio = along_spindle / reach;
    (ratio.abs() < 1.0).then(|| Angle::from_rad(ratio.acos() - gravity[2].atan2(level)))
}

/// The direction against gravity in mirrored axes.
pub(crate) fn mirrored_up(side: Side, floor_up: Dir<Floor>) -> Mirrored {
    [
        floor_up.vec().x(),
        side.outboard(&floor_up.vec()),
        floor_up.vec().z(),
    ]
}

impl Stance {
    /// The stance of a wheel that points straight ahead, from the specific
    /// force its board reads at rest; none when that is no direction.
    pub fn of(wheel: &WheelSetup, accel_g: &Vec3<Board>) -> Option<Self> {
        Self::at_heading(
            wheel.side,
            &wheel.mounting,
            wheel.floor.up(),
            Dir::along(*accel_g)?,
            Angle::ZERO,
        )
    }

    /// The stance of a wheel whose spindle has the heading `toe` (+ toe-in) in
    /// the floor plane, `up` being the direction against gravity in the
    /// board's axes and `floor_up` the same in the floor's.
    ///
    /// Gravity fixes the hub to within a turn about the vertical; the heading
    /// fixes that turn. None when the geometry cannot be: a spindle along
    /// gravity.
    pub fn at_heading(
        side: Side,
        mounting: &Mounting,
        floor_up: Dir<Floor>,
        up: Dir<Board>,
        toe: Angle,
    ) -> Option<Self> {
        let gravity = mirrored_up(side, floor_up);
        let (spindle_board, forward_board) = (mounting.spindle(side), mounting.forward());
        let along_spindle = spindle_board.dot(&up);
        let camber = camber_at(&gravity, along_spindle, toe)?;
        let spindle = spindle_at(toe, camber);
        // f = α n + β g + δ (n × g) with f·n = 0, f·g known, |f| = 1, and the
        // root that points forward.
        let across = 1.0 - along_spindle * along_spindle;
        let beta = forward_board.dot(&up) / across;
        let alpha = -along_spindle * beta;
        let rest = 1.0 - alpha * alpha - beta * beta - 2.0 * alpha * beta * along_spindle;
        let delta = (rest.max(0.0) / across).sqrt();
        let turned = [
            spindle[1] * gravity[2] - spindle[2] * gravity[1],
            spindle[2] * gravity[0] - spindle[0] * gravity[2],
            spindle[0] * gravity[1] - spindle[1] * gravity[0],
        ];
        let mut forward = [0.0; 3];
        for (axis, component) in forward.iter_mut().enumerate() {
            *component = alpha * spindle[axis] + beta * gravity[axis] + delta * turned[axis];
        }
        let hub_pitch = Angle::from_rad(forward[2].clamp(-1.0, 1.0).asin());
        Some(Self {
            camber,
            hub_pitch,
            spindle,
            forward,
        })
    }

    /// Rotation from the board to the floor for this stance, given the same
    /// mounting and gravity it was made from.
    pub(crate) fn board_to_floor(
        &self,
        side: Side,
        mounting: &Mounting,
        floor: &FloorSlope,
        up: Dir<Board>,
    ) -> Option<Rot<Board, Floor>> {
        let spindle = side.direction(self.spindle[0], self.spindle[1], self.spindle[2])?;
        Rot::from_pairs((up, floor.up()), (mounting.spindle(side), spindle))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mounting::{BoardAxis, MountingTrust};
    use proptest::prelude::*;

    const TRUST: MountingTrust = MountingTrust {
        camber: Angle::ZERO,
        pitch: Angle::ZERO,
        heading: Angle::ZERO,
    };

    /// The stance found for a board strapped square to a hub that truly has
    /// these angles; the board's view of gravity is built by plain vectors.
    fn found(side: Side, camber: f64, pitch: f64, toe: f64, roll: f64, slope: f64) -> Stance {
        let deg = Angle::from_deg;
        let floor = crate::floor::up_at(deg(roll), deg(slope));
        let gravity = [
            floor.vec().x(),
            side.outboard(&floor.vec()),
            floor.vec().z(),
        ];
        let n = spindle_at(deg(toe), deg(camber));
        // Forward: square to the spindle, with the wanted pitch.
        let third = |a: [f64; 3], b: [f64; 3]| {
            [
                a[1] * b[2] - a[2] * b[1],
                a[2] * b[0] - a[0] * b[2],
                a[0] * b[1] - a[1] * b[0],
            ]
        };
        let flat = third(n, [0.0, 0.0, 1.0]);
        let norm = dot(&flat, &flat).sqrt();
        let flat = flat.map(|c| c / norm);
        let upward = third(flat, n);
        // sin θ = upward_z sin(turn): pick the turn about the spindle that gives the pitch.
        let turn = (deg(pitch).sin() / upward[2]).asin();
        let f: Vec<f64> = (0..3)
            .map(|i| flat[i] * turn.cos() + upward[i] * turn.sin())
            .collect();
        let u: Vec<f64> = (0..3)
            .map(|i| upward[i] * turn.cos() - flat[i] * turn.sin())
            .collect();
        let seen = |v: &[f64]| v[0] * gravity[0] + v[1] * gravity[1] + v[2] * gravity[2];
        // Board axes: outboard face +Z, printed Y up; X is what is left over.
        let mounting = Mounting::declared(side, BoardAxis::ZPlus, BoardAxis::YPlus, TRUST).unwrap();
        let x = mounting.forward().vec().x();
        let up = Dir::along(Vec3::new(x * seen(&f), seen(&u), seen(&n))).unwrap();
        Stance::at_heading(side, &mounting, floor, up, deg(toe)).unwrap()
    }

    proptest! {
        #[test]
        fn finds_the_angles_it_was_built_from(
            left: bool, camber in -8.0..8.0, pitch in -15.0..15.0, toe in -35.0..35.0,
            roll in -3.0..3.0, slope in -3.0..3.0,
        ) {
            let side = if left { Side::Left } else { Side::Right };
            let stance = found(side, camber, pitch, toe, roll, slope);
            prop_assert!((stance.camber.deg() - camber).abs() < 1e-9, "{stance:?}");
            prop_assert!((stance.hub_pitch.deg() - pitch).abs() < 1e-9, "{stance:?}");
            prop_assert!(dot(&stance.spindle, &stance.forward).abs() < 1e-12);
            prop_assert!((dot(&stance.forward, &stance.forward) - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn a_spindle_along_gravity_has_no_stance() {
        let mounting =
            Mounting::declared(Side::Left, BoardAxis::ZPlus, BoardAxis::YPlus, TRUST).unwrap();
        assert_eq!(
            Stance::at_heading(
                Side::Left,
                &mounting,
                Dir::z_axis(),
                Dir::z_axis(),
                Angle::ZERO
            ),
            None
        );
    }
}
