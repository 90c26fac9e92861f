//! How the whole car stands, and what a tape, a trammel and a lamp would show of it.
//!
//! Everything comes from points on the rims in space: where the circle of a rim is cut by the level
//! of its wheel centre, in front and behind. No formula for toe is used.

use nalgebra::{Unit, Vector3};
use rand_chacha::ChaCha12Rng;
use serde::{Deserialize, Serialize};

use crate::board::{Purpose, normal, stream};
use crate::car::{Car, CarState, Wheel};
use crate::scenario::Scenario;

/// Rim diameter the angles of the truth are taken at, m; a true rim gives the same at any.
const ANY_DIAMETER_M: f64 = 0.4;

/// The whole car on the floor, wheels straight ahead unless said otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Stance {
    /// Sum of the toe of both front wheels, degrees, + toe-in.
    pub front_total_toe_deg: f64,
    /// The same of the rear wheels.
    pub rear_total_toe_deg: f64,
    /// Where the rear axle drives the car, degrees from its own lengthways axis, + right.
    pub thrust_deg: f64,
    /// Line from mid rear to mid front track, degrees from the car's lengthways axis, + right.
    pub centreline_deg: f64,
    /// Front left wheel ahead of the right one, degrees from square to the lengthways axis.
    pub front_setback_deg: f64,
    /// The same of the rear wheels.
    pub rear_setback_deg: f64,
    /// What the steering wheel shows now, degrees, + left.
    pub steering_wheel_deg: f64,
    /// What it shows in the middle between both locks, degrees; none of a car without locks.
    pub mid_lock_wheel_deg: Option<f64>,
    /// Ride heights over those of the car as made, in the order of the wheels, mm.
    pub heights_mm: [f64; 4],
}

/// What a tape shows at one wheel, from a string beside it, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct StringReading {
    /// Which wheel.
    pub mount: Wheel,
    /// From the string to the rim's front and rear edge, as it is.
    pub true_mm: [f64; 2],
    /// The same as somebody reads it.
    pub read_mm: [f64; 2],
}

/// What a trammel shows across an axle, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrammelReading {
    /// From rim to rim in front and behind, as it is.
    pub true_mm: [f64; 2],
    /// Rear less front as somebody reads it; + is toe-in.
    pub gap_read_mm: f64,
}

/// Front and rear point of a rim, floor frame, m.
#[derive(Debug, Clone, Copy)]
struct Chord {
    front_m: Vector3<f64>,
    rear_m: Vector3<f64>,
}

impl Chord {
    /// Direction in the plan view, rad, + to the left.
    fn heading_rad(&self) -> f64 {
        let along = self.front_m - self.rear_m;
        along.y.atan2(along.x)
    }
}

/// Both ends of a rim's level diameter; with its run-out, or as a rim that runs true.
fn chord(car: &Car, wheel: Wheel, state: &CarState, diameter_m: f64, runs_true: bool) -> Chord {
    let back = car.floor.rotation().inverse();
    let hub = car.hub_frame(wheel, state);
    let centre_m = back * hub.position_m;
    let normal = if runs_true {
        car.spindle_on_floor(wheel, state)
    } else {
        back * (hub.to_level * car.rim_normal(wheel))
    };
    let outboard = wheel.side().sign();
    let forward = normal.cross(&Vector3::z()).normalize() * outboard;
    let half_m = forward * (0.5 * diameter_m);
    Chord {
        front_m: centre_m + half_m,
        rear_m: centre_m - half_m,
    }
}

fn centre_m(car: &Car, wheel: Wheel, state: &CarState) -> Vector3<f64> {
    car.floor.rotation().inverse() * car.hub_frame(wheel, state).position_m
}

/// Mid rear track to mid front track, in the plan view: where it begins, and its direction.
fn centreline(car: &Car, state: &CarState) -> (Vector3<f64>, Unit<Vector3<f64>>) {
    let at = |wheel| centre_m(car, wheel, state);
    let front = (at(Wheel::FrontLeft) + at(Wheel::FrontRight)) * 0.5;
    let rear = (at(Wheel::RearLeft) + at(Wheel::RearRight)) * 0.5;
    let along = front - rear;
    (
        rear,
        Unit::new_normalize(Vector3::new(along.x, along.y, 0.0)),
    )
}

impl Stance {
    /// Of a car whose wheels are where `state` says; angles are of wheels straight ahead.
    pub fn of(car: &Car, state: &CarState) -> Self {
        let straight = CarState {
            axis_turn: car.axis_turns(crate::Jet::default()),
            ..CarState::default()
        };
        let heading = |wheel| chord(car, wheel, &straight, ANY_DIAMETER_M, true).heading_rad();
        let total = |left, right| (heading(right) - heading(left)).to_degrees();
        let setback = |left, right| {
            let across = centre_m(car, left, &straight) - centre_m(car, right, &straight);
            across.x.atan2(across.y).to_degrees()
        };
        let (_, line) = centreline(car, &straight);
        let locks = car.workshop.gear.locks_rad;
        Self {
            front_total_toe_deg: total(Wheel::FrontLeft, Wheel::FrontRight),
            rear_total_toe_deg: total(Wheel::RearLeft, Wheel::RearRight),
            thrust_deg: -f64::midpoint(heading(Wheel::RearLeft), heading(Wheel::RearRight))
                .to_degrees(),
            centreline_deg: -line.y.atan2(line.x).to_degrees(),
            front_setback_deg: setback(Wheel::FrontLeft, Wheel::FrontRight),
            rear_setback_deg: setback(Wheel::RearLeft, Wheel::RearRight),
            steering_wheel_deg: car.steering_wheel_rad(state.steer.value).to_degrees(),
            mid_lock_wheel_deg: locks
                .map(|[left, right]| car.steering_wheel_rad(0.5 * (left - right)).to_degrees()),
            heights_mm: car.workshop.heights_m.map(|height_m| height_m * 1e3),
        }
    }
}

/// Way of the spot of a lamp on a wheel, shining forward in the wheel's plane at hub height, from
/// where it would be with a wheel parallel to the car's lengthways axis, on a board so far ahead of
/// the wheel centre: + inboard, m.
pub fn light_spot_m(car: &Car, wheel: Wheel, state: &CarState, board_ahead_m: f64) -> f64 {
    let beam = chord(car, wheel, state, ANY_DIAMETER_M, true);
    let along = beam.front_m - beam.rear_m;
    let lamp_m = centre_m(car, wheel, state);
    // The board stands square to the lengthways axis.
    let reach = board_ahead_m / along.x;
    let spot_m = lamp_m + along * reach;
    -wheel.side().sign() * (spot_m.y - lamp_m.y)
}

/// The person who reads a tape, always with the same errors for the same readings in the same order.
#[derive(Debug, Clone)]
pub struct TapeReader {
    sigma_m: f64,
    draws: ChaCha12Rng,
}

impl TapeReader {
    /// With the scenario's reading error and seed.
    pub fn new(scenario: &Scenario) -> Self {
        Self {
            sigma_m: scenario.tape_sigma_m(),
            draws: stream(scenario.seed(), None, Purpose::Tape),
        }
    }

    fn read_mm(&mut self, true_m: f64) -> f64 {
        (true_m + self.sigma_m * normal(&mut self.draws)) * 1e3
    }

    /// Strings on both sides, parallel to the centreline and `string_m` from it, read at the front
    /// and rear edge of every rim at hub height.
    pub fn strings(
        &mut self,
        car: &Car,
        state: &CarState,
        diameter_m: f64,
        string_m: f64,
    ) -> Vec<StringReading> {
        let (start_m, line) = centreline(car, state);
        let to_left = Vector3::z().cross(&line);
        let mut read = |wheel: Wheel| {
            let chord = chord(car, wheel, state, diameter_m, false);
            let from_string_m = |point: Vector3<f64>| {
                string_m - wheel.side().sign() * to_left.dot(&(point - start_m))
            };
            let true_m = [chord.front_m, chord.rear_m].map(from_string_m);
            StringReading {
                mount: wheel,
                true_mm: true_m.map(|m| m * 1e3),
                read_mm: true_m.map(|m| self.read_mm(m)),
            }
        };
        Wheel::ALL.map(&mut read).into()
    }

    /// A trammel from rim to rim of the front axle, or of the rear one, at hub height.
    pub fn trammel(
        &mut self,
        car: &Car,
        state: &CarState,
        front_axle: bool,
        diameter_m: f64,
    ) -> TrammelReading {
        let [left, right] = if front_axle {
            [Wheel::FrontLeft, Wheel::FrontRight]
        } else {
            [Wheel::RearLeft, Wheel::RearRight]
        }
        .map(|wheel| chord(car, wheel, state, diameter_m, false));
        let front_m = (left.front_m - right.front_m).norm();
        let rear_m = (left.rear_m - right.rear_m).norm();
        TrammelReading {
            true_mm: [front_m * 1e3, rear_m * 1e3],
            gap_read_mm: self.read_mm(rear_m) - self.read_mm(front_m),
        }
    }
}
