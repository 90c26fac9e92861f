//! How a knuckle hangs in its arms, and where it goes when a joint is moved.
//!
//! Points and distances only: a rigid knuckle with three points (lower joint, upper joint, end of
//! the steering arm), an upper arm that turns about its shaft, a tie rod that keeps its length.
//! Nothing here knows a formula for an angle.
//!
//! Every wheel is worked out as if it were a left one (x forward, y outboard, z up): the right
//! side is mirrored, which changes no distance.

use nalgebra::{Rotation3, Unit, Vector3};

use super::corner::{Corner, SteeringAxis, wrapped};

/// By what the upper end of the knuckle is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Layout {
    /// An upper arm with its shaft along the car, held by a front and a rear bolt.
    Wishbone {
        /// From the shaft to the upper joint, m.
        arm_m: f64,
        /// From bolt to bolt, m.
        bolts_m: f64,
        /// Upper joint ahead of the middle between the bolts, m.
        joint_ahead_m: f64,
    },
    /// A strut that slides in itself up to its top mount.
    Strut,
}

/// The joints of one corner, m; of a wheel that does not steer only the height matters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspension {
    /// What holds the upper end.
    pub layout: Layout,
    /// From the lower to the upper joint along the steering axis.
    pub joint_height_m: f64,
    /// Lower joint below the wheel centre.
    pub lower_below_m: f64,
    /// From the steering axis to the joint of the tie rod; + ahead of the axle, − behind it.
    pub steering_arm_m: f64,
    /// Length of the tie rod.
    pub tie_rod_m: f64,
}

impl Default for Suspension {
    /// A small wishbone car (common practice, no source).
    fn default() -> Self {
        Self {
            layout: Layout::Wishbone {
                arm_m: 0.24,
                bolts_m: 0.2,
                joint_ahead_m: 0.0,
            },
            joint_height_m: 0.23,
            lower_below_m: 0.1,
            steering_arm_m: -0.12,
            tie_rod_m: 0.35,
        }
    }
}

/// What has been moved at a corner against the car as it was made: lengths in m with x forward,
/// y outboard, z up, angles in rad.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Moves {
    /// The lower joint.
    pub lower_m: Vector3<f64>,
    /// The shaft of the upper arm, or the top mount of a strut.
    pub upper_m: Vector3<f64>,
    /// The front and the rear bolt of the upper arm's shaft, outward.
    pub bolts_m: [f64; 2],
    /// The tie rod is so much longer.
    pub tie_rod_m: f64,
    /// The knuckle leans out at the top against its strut, about the lower joint.
    pub strut_rad: f64,
    /// The spindle alone leans out at the top against the knuckle.
    pub spindle_camber_rad: f64,
    /// The spindle alone is turned in at the front against the knuckle.
    pub spindle_toe_rad: f64,
    /// Spindle and steering axis together lean out at the top.
    pub lean_rad: f64,
    /// The whole corner.
    pub corner_m: Vector3<f64>,
}

impl Moves {
    /// Both at once.
    #[must_use]
    pub fn plus(self, other: &Self) -> Self {
        Self {
            lower_m: self.lower_m + other.lower_m,
            upper_m: self.upper_m + other.upper_m,
            bolts_m: [0, 1].map(|bolt| self.bolts_m[bolt] + other.bolts_m[bolt]),
            tie_rod_m: self.tie_rod_m + other.tie_rod_m,
            strut_rad: self.strut_rad + other.strut_rad,
            spindle_camber_rad: self.spindle_camber_rad + other.spindle_camber_rad,
            spindle_toe_rad: self.spindle_toe_rad + other.spindle_toe_rad,
            lean_rad: self.lean_rad + other.lean_rad,
            corner_m: self.corner_m + other.corner_m,
        }
    }
}

/// A turn that leans a left wheel out at the top.
fn leaning_out(angle_rad: f64) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Vector3::x_axis(), -angle_rad)
}

/// A turn that points a left wheel in at the front.
fn pointing_in(angle_rad: f64) -> Rotation3<f64> {
    Rotation3::from_axis_angle(&Vector3::z_axis(), -angle_rad)
}

/// A straight line.
struct Line {
    point_m: Vector3<f64>,
    direction: Unit<Vector3<f64>>,
}

impl Line {
    /// Where `point_m` goes when it is carried round this line until it is `distance_m` from
    /// `target_m`, the shorter way, and the turn it takes, rad; none where it never comes so near.
    fn carried(
        &self,
        point_m: &Vector3<f64>,
        target_m: &Vector3<f64>,
        distance_m: f64,
    ) -> Option<(Vector3<f64>, f64)> {
        let arm = point_m - self.point_m;
        let along = self.direction.as_ref() * self.direction.dot(&arm);
        let across = arm - along;
        let sideways = self.direction.cross(&across);
        // |along + across cos + sideways sin − t|² = d² is A cos + B sin = D.
        let t = target_m - self.point_m - along;
        let (a, b) = (across.dot(&t), sideways.dot(&t));
        let d = 0.5 * (across.norm_squared() + t.norm_squared() - distance_m * distance_m);
        let reach = d / a.hypot(b);
        if !(-1.0..=1.0).contains(&reach) {
            return None;
        }
        let (phase, half) = (b.atan2(a), reach.acos());
        let turn = [phase + half, phase - half]
            .map(wrapped)
            .into_iter()
            .min_by(|one, other| one.abs().total_cmp(&other.abs()))?;
        let carried = Rotation3::from_axis_angle(&self.direction, turn) * arm;
        Some((self.point_m + carried, turn))
    }
}

impl Corner {
    /// The corner with what `moves` says moved; none where a rod or arm does not reach.
    pub fn moved(&self, suspension: &Suspension, moves: &Moves) -> Option<Self> {
        // Exactly as made when nothing is moved: no rounding by the way there and back.
        if *moves == Moves::default() {
            return Some(*self);
        }
        let s = self.wheel.side().sign();
        let mirrored = |v: &Vector3<f64>| Vector3::new(v.x, s * v.y, v.z);
        let spindle = mirrored(&self.spindle);
        let mut hub = Hub {
            centre_m: mirrored(&self.centre_m),
            spindle: pointing_in(moves.spindle_toe_rad)
                * (leaning_out(moves.spindle_camber_rad) * spindle),
        };
        let mut axis = None;
        if let Some(steering) = self.steering {
            let made = Line {
                point_m: mirrored(&(self.centre_m - steering.to_centre_m)),
                direction: Unit::new_unchecked(mirrored(&steering.direction)),
            };
            let (posed, direction, through_m) = pose(hub, &made, suspension, moves)?;
            hub = posed;
            axis = Some((direction, through_m));
        }
        let lean = leaning_out(moves.lean_rad);
        let centre_m = hub.centre_m + moves.corner_m;
        let steering = axis.map(|(direction, through_m)| {
            let direction = lean * direction.as_ref();
            let to_centre = lean * (hub.centre_m - through_m);
            // The axis point at the height of the wheel centre.
            let to_centre_m = to_centre - direction * (to_centre.z / direction.z);
            SteeringAxis {
                direction: Unit::new_normalize(mirrored(&direction)),
                to_centre_m: mirrored(&to_centre_m),
            }
        });
        Some(Self {
            wheel: self.wheel,
            centre_m: mirrored(&centre_m),
            spindle: Unit::new_normalize(mirrored(&(lean * hub.spindle))),
            steering,
            radius_m: self.radius_m,
        })
    }
}

/// Where a wheel is held.
#[derive(Debug, Clone, Copy)]
struct Hub {
    centre_m: Vector3<f64>,
    spindle: Vector3<f64>,
}

/// The hub with the steering axis's new direction and a point on it.
type Posed = (Hub, Unit<Vector3<f64>>, Vector3<f64>);

/// Where the knuckle goes when its joints and its tie rod are moved.
fn pose(hub: Hub, made: &Line, suspension: &Suspension, moves: &Moves) -> Option<Posed> {
    let up = made.direction.as_ref();
    let lower_m = made.point_m - up * (suspension.lower_below_m / up.z);
    let upper_m = lower_m + up * suspension.joint_height_m;
    let arm_end_m = made.point_m + Vector3::x() * suspension.steering_arm_m;
    let rack_m = arm_end_m - Vector3::y() * suspension.tie_rod_m;

    // What the knuckle carries besides its joints, after it was turned against its strut.
    let against_strut = leaning_out(moves.strut_rad);
    let carried = |point_m: &Vector3<f64>| against_strut * (point_m - lower_m);
    let (centre, arm_end) = (carried(&hub.centre_m), carried(&arm_end_m));
    let spindle = against_strut * hub.spindle;

    let new_lower_m = lower_m + moves.lower_m;
    let new_upper_m = match suspension.layout {
        Layout::Strut => upper_m + moves.upper_m,
        Layout::Wishbone {
            arm_m,
            bolts_m,
            joint_ahead_m,
        } => {
            let [front_m, rear_m] = moves.bolts_m;
            let sine = (front_m - rear_m) / bolts_m;
            if !(-0.99..=0.99).contains(&sine) {
                return None;
            }
            let turn = Rotation3::from_axis_angle(&Vector3::z_axis(), sine.asin());
            let middle_m = upper_m - Vector3::new(joint_ahead_m, arm_m, 0.0);
            let shaft = Line {
                point_m: middle_m + moves.upper_m + Vector3::y() * f64::midpoint(front_m, rear_m),
                direction: turn * Vector3::x_axis(),
            };
            let joint_m = shaft.point_m + turn * (upper_m - middle_m);
            shaft
                .carried(&joint_m, &new_lower_m, suspension.joint_height_m)?
                .0
        }
    };

    let direction = Unit::new_normalize(new_upper_m - new_lower_m);
    // No road car's axis turns half round.
    let tilted = Rotation3::rotation_between(up, &direction)?;
    let axis = Line {
        point_m: new_lower_m,
        direction,
    };
    let (_, turn) = axis.carried(
        &(new_lower_m + tilted * arm_end),
        &rack_m,
        suspension.tie_rod_m + moves.tie_rod_m,
    )?;
    let turned = Rotation3::from_axis_angle(&direction, turn) * tilted;
    let hub = Hub {
        centre_m: new_lower_m + turned * centre,
        spindle: turned * spindle,
    };
    Some((hub, direction, new_lower_m))
}
