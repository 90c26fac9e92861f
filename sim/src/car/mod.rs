//! The car: axles, steering axes, linkage, body, and the floor it stands on.
//!
//! Frames, each with x forward, y left, z up (ISO 8855):
//!
//! * **G**, level: z against gravity.
//! * **F**, floor: G turned by `Ry(pitch) Rx(roll)`; roll + left higher, pitch + front lower.
//! * **C**, chassis: F turned the same way by the body's attitude; origin at mid front axle,
//!   wheel-centre height.
//! * **H**, hub: turns with the wheel. Brake locked, straight ahead, y is the spindle (pointing
//!   left on both sides), x lies in the wheel plane.

mod adjuster;
mod body;
mod corner;
mod linkage;
mod moving_frame;
mod names;
mod suspension;
mod workshop;

use nalgebra::{Rotation3, Unit, Vector3};

pub use adjuster::{Adjuster, AdjusterKind, Bolt, Shifted};
pub use body::{Attitude, BodyMotion};
pub use corner::{
    AxisAngles, Corner, GroundOffsets, SteeringAxis, WheelAngles, axis_direction, heading_rad,
    spindle_direction,
};
pub use linkage::Linkage;
pub use moving_frame::MovingFrame;
pub use names::{Mount, Side, Wheel};
pub use suspension::{Layout, Moves, Suspension};
pub use workshop::{BumpCurve, Play, Rim, Setting, SteeringGear, Workshop};

use crate::jet::Jet;

/// A slope, rad: roll + left side higher, pitch + front lower.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slope {
    /// Roll.
    pub roll_rad: f64,
    /// Pitch.
    pub pitch_rad: f64,
}

impl Slope {
    /// Takes vectors of the sloping frame to the frame it slopes in: `Ry(pitch) Rx(roll)`.
    pub fn rotation(self) -> Rotation3<f64> {
        Rotation3::from_axis_angle(&Vector3::y_axis(), self.pitch_rad)
            * Rotation3::from_axis_angle(&Vector3::x_axis(), self.roll_rad)
    }
}

/// A car on a floor.
#[derive(Debug, Clone, PartialEq)]
pub struct Car {
    /// Invented make and model.
    pub name: String,
    /// The wheels, in the order of [`Wheel::index`].
    pub corners: [Corner; 4],
    /// Steering linkage.
    pub linkage: Linkage,
    /// How the body leans.
    pub body: BodyMotion,
    /// Slope of the floor against level.
    pub floor: Slope,
    /// Strength of gravity at the place, m/s².
    pub gravity_mps2: f64,
    /// What a workshop finds and changes.
    pub workshop: Workshop,
}

/// Where every joint of the car is, and how it moves.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CarState {
    /// Mean plan-view steer angle of the front axle, rad, + left.
    pub steer: Jet,
    /// Turn of the two front wheels (left, right) about their steering axes, rad, + left.
    pub axis_turn: [Jet; 2],
    /// Turn of each wheel about its spindle, rad, + as in rolling forward.
    pub rolled: [Jet; 4],
    /// Jack under each corner, 0 down, 1 up.
    pub jacked: [Jet; 4],
    /// Turn of each wheel within its play by hands that rock it: leaning out, pointing in, rad.
    pub rocked: [[Jet; 2]; 4],
    /// Way the car has rolled forward, m.
    pub travel_m: Jet,
}

impl Car {
    /// One of its corners.
    pub fn corner(&self, wheel: Wheel) -> &Corner {
        &self.corners[wheel.index()]
    }

    /// Takes chassis vectors to the floor frame, wheels straight ahead, nothing jacked.
    pub fn rest_to_floor(&self) -> Rotation3<f64> {
        Slope {
            roll_rad: self.body.rest_roll_rad,
            pitch_rad: self.body.rest_pitch_rad,
        }
        .rotation()
    }

    /// Turns about both steering axes for a mean plan-view steer angle of the axle.
    pub fn axis_turns(&self, mean: Jet) -> [Jet; 2] {
        let to_floor = self.rest_to_floor();
        [Wheel::FrontLeft, Wheel::FrontRight].map(|wheel| {
            let plan = self.linkage.wheel_angle(wheel.side(), mean);
            let plan = workshop::bent(wheel, plan, self.workshop.arm_bend_rad[wheel.index()]);
            self.corner(wheel).axis_turn(plan, &to_floor)
        })
    }

    /// The chassis frame.
    pub fn chassis_frame(&self, state: &CarState) -> MovingFrame {
        let attitude = self.body.attitude(state.steer, &state.jacked);
        MovingFrame::level()
            .mounted(&self.floor.rotation())
            .slid(&Vector3::x_axis(), state.travel_m)
            .hinged(&Vector3::y_axis(), attitude.pitch)
            .hinged(&Vector3::x_axis(), attitude.roll)
    }

    /// The knuckle of a wheel: origin at the wheel centre, steered but not rolled, axes those of
    /// the chassis when straight ahead.
    pub fn knuckle_frame(&self, wheel: Wheel, state: &CarState) -> MovingFrame {
        let corner = self.corner(wheel);
        // A hanging wheel leans out at the top, which on the left is a negative turn about x.
        let droop = state.jacked[wheel.index()] * (-wheel.side().sign() * self.body.droop_rad);
        let chassis = self.chassis_frame(state);
        let knuckle = match corner.steering {
            Some(steering) => {
                let turn = state.axis_turn[wheel.index() % 2];
                chassis
                    .offset(&(corner.centre_m - steering.to_centre_m))
                    .hinged(&Vector3::x_axis(), droop)
                    .hinged(&steering.direction, turn)
                    .offset(&steering.to_centre_m)
            }
            None => chassis
                .offset(&corner.centre_m)
                .hinged(&Vector3::x_axis(), droop),
        };
        let [leaning, pointing] = Self::rocking(wheel, state.rocked[wheel.index()]);
        knuckle
            .hinged(&Vector3::x_axis(), leaning)
            .hinged(&Vector3::z_axis(), pointing)
    }

    /// The hub of a wheel: origin at the wheel centre, steered and rolled.
    pub fn hub_frame(&self, wheel: Wheel, state: &CarState) -> MovingFrame {
        let corner = self.corner(wheel);
        let rolled = state.rolled[wheel.index()] * wheel.side().sign();
        self.knuckle_frame(wheel, state)
            .hinged(&corner.spindle, rolled)
            .mounted(&corner.hub_axes())
    }

    /// The frame a board on `mount` is fastened to.
    pub fn mount_frame(&self, mount: Mount, state: &CarState) -> MovingFrame {
        match mount.wheel() {
            Some(wheel) => self.hub_frame(wheel, state),
            None => self.chassis_frame(state),
        }
    }

    /// Spindle of a wheel in the given state, pointing outward, in the floor frame.
    pub fn spindle_on_floor(&self, wheel: Wheel, state: &CarState) -> Unit<Vector3<f64>> {
        let to_level = self.knuckle_frame(wheel, state).to_level;
        let to_floor = self.floor.rotation().inverse() * to_level;
        to_floor * self.corner(wheel).spindle
    }

    /// What a perfect turn plate under the wheel shows, rad: the turn of the line in which the
    /// wheel plane meets the floor, + left, zero straight ahead.
    pub fn plate_rad(&self, wheel: Wheel, state: &CarState) -> f64 {
        let straight = self.rest_to_floor() * self.corner(wheel).spindle;
        heading_rad(wheel, &self.spindle_on_floor(wheel, state)) - heading_rad(wheel, &straight)
    }
}
