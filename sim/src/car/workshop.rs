//! What a workshop finds on a car and changes: joints, adjusters, damage, ride height, locks, rims.

use nalgebra::{Unit, Vector3};

use super::Car;
use super::adjuster::{Adjuster, Stand};
use super::body::BodyMotion;
use super::corner::Corner;
use super::names::Wheel;
use super::suspension::{Moves, Suspension};
use crate::jet::Jet;

/// How camber and toe of a wheel against the body change with the ride height of its corner: first
/// and second power of the height, + body higher.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BumpCurve {
    /// Camber, rad/m and rad/m².
    pub camber: [f64; 2],
    /// Toe, rad/m and rad/m².
    pub toe: [f64; 2],
}

/// Play of a wheel from one end to the other, rad.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Play {
    /// Rocked at the top and the bottom.
    pub top_bottom_rad: f64,
    /// Rocked at the front and the rear.
    pub front_rear_rad: f64,
}

/// How true a rim runs.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rim {
    /// Angle between the rim's plane and that square to the spindle, rad.
    pub tilt_rad: f64,
    /// Where the rim stands furthest out: from the top towards the front, rad, as the wheel stands
    /// at the start.
    pub high_rad: f64,
}

/// Between steering wheel and front wheels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SteeringGear {
    /// Turn of the steering wheel over mean turn of the front wheels.
    pub ratio: f64,
    /// What the steering wheel shows, + left, when the axle is steered straight ahead, rad.
    pub off_centre_rad: f64,
    /// Furthest mean steer angle to the left and to the right, rad, both positive.
    pub locks_rad: Option<[f64; 2]>,
}

impl Default for SteeringGear {
    fn default() -> Self {
        Self {
            ratio: 16.0,
            off_centre_rad: 0.0,
            locks_rad: None,
        }
    }
}

/// The car as it was made, what is wrong with it, and what can be changed.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Workshop {
    /// Corners and body before damage and adjustment; none: they are as they stand in the car.
    pub as_made: Option<([Corner; 4], BodyMotion)>,
    /// Joints of each corner.
    pub suspension: [Suspension; 4],
    /// Damage of each corner.
    pub damage: [Moves; 4],
    /// Bend of the front steering arms (left, right), rad: + steers the wheel further when it is
    /// steered in, less when out.
    pub arm_bend_rad: [f64; 2],
    /// Bump curves.
    pub bump: [BumpCurve; 4],
    /// Play.
    pub play: [Play; 4],
    /// Rims.
    pub rims: [Rim; 4],
    /// Steering gear.
    pub gear: SteeringGear,
    /// Adjusters.
    pub adjusters: Vec<Adjuster>,
    /// Ride height of each corner over that of the car as made, m, as it is now.
    pub heights_m: [f64; 4],
}

/// How everything that can be changed stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Setting {
    stands: Vec<Stand>,
    /// Ride height of each corner over that of the car as made, m.
    pub heights_m: [f64; 4],
    /// Corners whose damaged parts were replaced.
    pub mended: [bool; 4],
}

impl Setting {
    /// As a scenario begins.
    pub fn new(workshop: &Workshop) -> Self {
        Self {
            stands: vec![Stand::default(); workshop.adjusters.len()],
            heights_m: workshop.heights_m,
            mended: [false; 4],
        }
    }

    /// Turns an adjuster by an amount of its own unit; a contact shim's thick side goes to
    /// `clock_rad`. None where the wheel has no adjuster of that name.
    pub fn turn(
        &mut self,
        workshop: &Workshop,
        wheel: Wheel,
        name: &str,
        by: f64,
        clock_rad: Option<f64>,
    ) -> Option<()> {
        let is_it = |adjuster: &Adjuster| adjuster.wheel == wheel && adjuster.name == name;
        let index = workshop.adjusters.iter().position(is_it)?;
        self.stands
            .get_mut(index)?
            .turn(by, clock_rad, workshop.adjusters[index].backlash);
        Some(())
    }

    /// The car is bounced or rolled: what was changed shows in full.
    pub fn settle(&mut self) {
        self.stands.iter_mut().for_each(Stand::settle);
    }

    /// How far every adjuster is from where it began, in its own unit, in the order of the car's.
    pub fn positions(&self) -> impl Iterator<Item = f64> {
        self.stands.iter().map(|stand| stand.set)
    }
}

impl Car {
    /// The car with everything as `setting` says; the wheel whose arm or rod would not reach is the
    /// error.
    pub fn set(&self, setting: &Setting) -> Result<Self, Wheel> {
        let workshop = &self.workshop;
        let (made, body) = workshop.as_made.unwrap_or((self.corners, self.body));
        let mut car = self.clone();
        for wheel in Wheel::ALL {
            let index = wheel.index();
            let height_m = setting.heights_m[index];
            let curve = |[first, second]: [f64; 2]| height_m * (first + second * height_m);
            let bump = Moves {
                lean_rad: curve(workshop.bump[index].camber),
                spindle_toe_rad: curve(workshop.bump[index].toe),
                ..Moves::default()
            };
            let damage = if setting.mended[index] {
                Moves::default()
            } else {
                workshop.damage[index]
            };
            let moves = workshop
                .adjusters
                .iter()
                .zip(&setting.stands)
                .filter(|(adjuster, _)| adjuster.wheel == wheel)
                .fold(damage.plus(&bump), |all, (adjuster, stand)| {
                    all.plus(&adjuster.moves(stand))
                });
            car.corners[index] = made[index]
                .moved(&workshop.suspension[index], &moves)
                .ok_or(wheel)?;
            if let (true, Some(bend_rad)) = (
                setting.mended[index],
                car.workshop.arm_bend_rad.get_mut(index),
            ) {
                *bend_rad = 0.0;
            }
        }
        let [front_left, front_right, rear_left, rear_right] = setting.heights_m;
        let [left, _, rear, _] = made.map(|corner| corner.centre_m);
        let (track_m, wheelbase_m) = (2.0 * left.y, left.x - rear.x);
        let left_higher_m =
            f64::midpoint(front_left, rear_left) - f64::midpoint(front_right, rear_right);
        let front_higher_m =
            f64::midpoint(front_left, front_right) - f64::midpoint(rear_left, rear_right);
        car.body = BodyMotion {
            rest_roll_rad: body.rest_roll_rad + (left_higher_m / track_m).asin(),
            rest_pitch_rad: body.rest_pitch_rad - (front_higher_m / wheelbase_m).asin(),
            ..body
        };
        car.workshop.as_made = Some((made, body));
        car.workshop.heights_m = setting.heights_m;
        Ok(car)
    }

    /// What the steering wheel shows at a mean steer angle of the axle, rad, + left.
    pub fn steering_wheel_rad(&self, steer_rad: f64) -> f64 {
        let gear = &self.workshop.gear;
        gear.off_centre_rad + gear.ratio * steer_rad
    }

    /// Normal of a wheel's rim in hub axes, pointing outboard.
    pub fn rim_normal(&self, wheel: Wheel) -> Unit<Vector3<f64>> {
        let rim = &self.workshop.rims[wheel.index()];
        let s = wheel.side().sign();
        // What stands furthest out leans the normal away from it.
        let high = Vector3::new(rim.high_rad.sin(), 0.0, rim.high_rad.cos());
        let (sin, cos) = rim.tilt_rad.sin_cos();
        Unit::new_normalize(Vector3::y() * (s * cos) - high * sin)
    }

    /// The turn of a wheel by hands that rock it: leaning out, then pointing in, rad.
    pub(super) fn rocking(wheel: Wheel, rocked: [Jet; 2]) -> [Jet; 2] {
        let s = wheel.side().sign();
        rocked.map(|turn| turn * -s)
    }
}

/// The plan-view angle of a wheel with a bent steering arm, rad, + left, from what an arm that is
/// straight gives.
///
/// The rack moves the end of the arm by `a sin η`, η being the turn inward; a bent arm starts from
/// β and not from nothing, so `sin(η' + β) = sin η + sin β`.
pub(super) fn bent(wheel: Wheel, plan: Jet, bend_rad: f64) -> Jet {
    if bend_rad == 0.0 {
        return plan;
    }
    let inward = plan * -wheel.side().sign();
    let (sin, cos) = inward.value.sin_cos();
    let u = sin + bend_rad.sin();
    let w = (1.0 - u * u).max(f64::EPSILON).sqrt();
    let turned = inward.through(
        u.clamp(-1.0, 1.0).asin() - bend_rad,
        cos / w,
        cos * cos * u / (w * w * w) - sin / w,
    );
    turned * -wheel.side().sign()
}
