//! Random cars.

use std::fmt::Write as _;

use super::draws::Draws;
use super::{Chip, Conditions, Way};

/// How truly a clamp seats a board the second time, about each axis, one
/// sigma, degrees (common practice, no source).
pub(super) const SEAT_DEG: f64 = 0.02;
/// Errors of the operator, one sigma, degrees: those of the reference cases.
pub(super) const FLOOR_DEG: f64 = 0.02;
pub(super) const TOE_DEG: f64 = 0.03;
pub(super) const PLATE_DEG: f64 = 0.25;

/// One car, its operator and its board.
#[derive(Debug, Clone)]
pub struct Vehicle {
    /// What everything is drawn from.
    pub seed: u64,
    /// Is the left wheel measured, or the right one?
    pub left: bool,
    /// Toe as the operator measured it, degrees.
    pub toe_measured_deg: f64,
    /// Floor roll and pitch as measured, degrees.
    pub floor_measured_deg: [f64; 2],
    /// The turn end for end, about the board's own axes.
    pub about: [f64; 3],
    /// Scenario file.
    pub scenario: String,
}

impl Vehicle {
    /// Draws a car: caster −2…12, SAI 4…18, camber −4…3, toe ±1, floor ±2
    /// degrees, any mounting, stops 18 to 22 degrees to either side.
    pub fn drawn(seed: u64, chip: Chip, conditions: Conditions, way: Way) -> Self {
        let mut draws = Draws::new(seed);
        let (caster, sai) = (draws.between(-2.0, 12.0), draws.between(4.0, 18.0));
        let (camber, toe) = (draws.between(-4.0, 3.0), draws.between(-1.0, 1.0));
        let (roll, pitch) = (draws.between(-2.0, 2.0), draws.between(-2.0, 2.0));
        let gravity = draws.between(9.78, 9.83);
        let (to_left, to_right) = (draws.between(18.0, 22.0), draws.between(18.0, 22.0));
        let left = draws.between(0.0, 1.0) < 0.5;
        let lever = [0; 3].map(|_| draws.between(-120.0, 120.0));
        let turns = [0; 3].map(|_| draws.between(86.0, 94.0));
        let quaternion = draws.quaternion();
        let rate_ppm = draws.between(-50.0, 50.0);
        let sigma = if conditions == Conditions::Operator {
            1.0
        } else {
            0.0
        };
        let toe_measured_deg = toe + sigma * TOE_DEG * draws.normal();
        let floor_measured_deg =
            [roll, pitch].map(|true_deg| true_deg + sigma * FLOOR_DEG * draws.normal());
        let about = forward(quaternion);
        let wheel = if left { "front_left" } else { "front_right" };
        let plates_deg = if chip == Chip::Ideal { 0.0 } else { PLATE_DEG };
        let mut script = String::new();
        if way == Way::Reversed {
            let mut turned = |half: f64| {
                let askew = [0; 3].map(|_| SEAT_DEG * draws.normal());
                let by: [f64; 3] = std::array::from_fn(|i| half * about[i] + askew[i]);
                format!("{{ board_slip = \"{wheel}\", by_deg = {by:?} }},\n")
            };
            let _ = write!(
                script,
                "{{ rest_s = 5, label = \"seat_a\" }},\n{}{{ rest_s = 5, label = \"seat_b\" }},\n{}",
                turned(180.0),
                turned(-180.0)
            );
        }
        let _ = writeln!(
            script,
            "{{ brake = \"free\" }},\n{{ jack_up = \"{wheel}\", over_s = 3 }},"
        );
        for (place, turn) in [90, 180, 270].into_iter().zip(turns) {
            let _ = writeln!(
                script,
                "{{ rest_s = 3, label = \"runout_{}\" }},\n{{ spin_deg = {turn}, wheel = \"{wheel}\", over_s = 2 }},",
                place - 90
            );
        }
        let _ = writeln!(
            script,
            "{{ rest_s = 3, label = \"runout_270\" }},\n{{ jack_down = \"{wheel}\", over_s = 3 }},\n\
             {{ brake = \"locked\" }},\n{{ rest_s = 5, label = \"straight\" }},\n{}\
             {{ rest_s = 5, label = \"straight\" }},",
            swing(way, to_left, to_right)
        );
        let front = format!(
            "caster_deg = {caster}\nsai_deg = {sai}\ncamber_deg = {camber}\ntoe_deg = {toe}\naxis_inboard_mm = 70"
        );
        let noise_alone = if conditions == Conditions::Noise {
            let gyro = if chip == Chip::Inclinometer {
                ""
            } else {
                ", gyro_bias_sigma_dps = 0.0, gyro_walk_dps_per_rts = 0.0, gyro_scale_ppm = 0.0, \
                 gyro_cross_axis_mrad = 0.0, gyro_drift_dps_per_c = 0.0"
            };
            format!(
                ", accel_bias_sigma_mg = 0.0, accel_walk_ug_per_rts = 0.0, accel_scale_ppm = 0.0, \
                 accel_cross_axis_mrad = 0.0, accel_drift_mg_per_c = 0.0{gyro}"
            )
        } else {
            String::new()
        };
        let scenario = format!(
            "name = \"drawn\"\nseed = {seed}\nbrake = \"free\"\nscript = [\n{script}]\n\
             [floor]\nroll_deg = {roll}\npitch_deg = {pitch}\ngravity_mps2 = {gravity}\n\
             [plates]\nreading_sigma_deg = {plates_deg}\n\
             [car]\nname = \"Drawn\"\ntrack_mm = 1480\nwheelbase_mm = 2560\nwheel_radius_mm = 310\n\
             [car.front_left]\n{front}\n[car.front_right]\n{front}\n\
             [[board]]\nmount = \"{wheel}\"\nmounting = {{ quaternion_wxyz = {quaternion:?} }}\n\
             lever_mm = {lever:?}\nrate_hz = 100\nwire = \"csv\"\n\
             chip = {{ preset = \"{}\"{noise_alone} }}\n\
             clock = {{ rate_ppm = {rate_ppm}, jitter_us = 15 }}\n",
            chip.preset()
        );
        Self {
            seed,
            left,
            toe_measured_deg,
            floor_measured_deg,
            about,
            scenario,
        }
    }
}

/// From straight ahead to both sides and back.
fn swing(way: Way, to_left: f64, to_right: f64) -> String {
    if way == Way::Swept {
        return format!(
            "{{ sweep_deg = {}, over_s = 14, times = 2 }},\n",
            to_left + 8.0
        );
    }
    format!(
        "{{ steer_to_deg = {to_left}, over_s = 2 }},\n{{ rest_s = 5, label = \"stop_left\" }},\n\
         {{ steer_to_deg = {}, over_s = 4 }},\n{{ rest_s = 5, label = \"stop_right\" }},\n\
         {{ steer_to_deg = 0, over_s = 2 }},\n",
        -to_right
    )
}

/// The hub's forward direction in the axes of a board that sits by this
/// rotation (board to hub): turned about it, top and bottom change places.
fn forward([w, x, y, z]: [f64; 4]) -> [f64; 3] {
    // First row of the rotation matrix.
    [
        1.0 - 2.0 * (y * y + z * z),
        2.0 * (x * y - w * z),
        2.0 * (x * z + w * y),
    ]
}
