//! One car, one hand, one chip.

use hubplumb_core::carried::{CarriedCause, CarriedSetup, CarriedToe, LeftOut, Refusal, Solved};
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::reading::Sample;
use hubplumb_core::time::HostTime;
use hubplumb_sim::{Recording, Scenario, render};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha12Rng;

/// Which chip.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// As an LSM6DSO, calibrated.
    Good,
    /// As an MPU-6050, calibrated.
    Cheap,
}

/// What the simulator gets wrong. The estimation is told the same whatever it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Errors {
    /// All there is.
    All,
    /// The hand's tremble, leaning and turning alone.
    Motion,
    /// That and one more.
    Only(CarriedCause),
}

impl Errors {
    /// `value` where that error is made, else nought.
    fn of(self, cause: CarriedCause, value: f64) -> f64 {
        if self == Self::All || self == Self::Only(cause) {
            value
        } else {
            0.0
        }
    }
}

/// How it is carried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Course {
    /// Passes; the block is turned end for end half way.
    pub passes: usize,
    /// From wheel to wheel, s.
    pub over_s: f64,
    /// Rest at each wheel, s.
    pub rest_s: f64,
    /// Leaning on purpose on every way, degrees.
    pub lean_deg: f64,
    /// A blow half way on every way, g.
    pub bump_g: f64,
    /// Readings per second.
    pub rate_hz: f64,
    /// What is wrong.
    pub errors: Errors,
}

impl Default for Course {
    fn default() -> Self {
        Self {
            passes: 4,
            over_s: 6.0,
            rest_s: 3.2,
            lean_deg: 0.0,
            bump_g: 0.0,
            rate_hz: 200.0,
            errors: Errors::All,
        }
    }
}

/// What came of it.
#[derive(Debug, Clone)]
pub struct Found {
    /// Total toe of the front axle, degrees.
    pub true_deg: f64,
    /// What was found, or why not.
    pub outcome: Result<Solved, Refusal>,
    /// Passes left out.
    pub left_out: Vec<LeftOut>,
    /// Passes that count.
    pub passes: usize,
}

impl Class {
    /// What the core is told.
    pub const fn figures(self) -> ChipFigures {
        match self {
            Self::Good => ChipFigures::GOOD,
            Self::Cheap => ChipFigures::CHEAP,
        }
    }

    /// What the simulator makes: the figures of its presets by cause. Flicker is the floor of the Allan
    /// deviation: 5.4 °/h and 14 °/h, what such chips are measured at (from memory; no sheet states
    /// it); one g does 0.1 °/s (MPU-6050 sheet, typical, from memory) and, by judgement, half of it.
    fn made(self, errors: Errors) -> String {
        let (preset, [noise, walk, tempco, flicker, scale, cross, per_g], accel) = match self {
            Self::Good => (
                "good",
                [0.004, 2e-4, 0.005, 0.0015, 1000.0, 0.5, 0.05],
                [70.0, 0.3, 2.0, 300.0, 0.2, 0.05],
            ),
            Self::Cheap => (
                "cheap",
                [0.005, 5e-4, 0.02, 0.004, 3000.0, 1.0, 0.1],
                [400.0, 1.0, 10.0, 1000.0, 0.5, 0.3],
            ),
        };
        let drift = |value| errors.of(CarriedCause::GyroDrift, value);
        let matrix = |value| errors.of(CarriedCause::ScaleAndAxes, value);
        let [a_noise, a_bias, a_walk, a_scale, a_cross, a_drift] =
            accel.map(|value| errors.of(CarriedCause::AccelOffset, value));
        [
            format!("preset = \"{preset}\""),
            format!(
                "gyro_noise_dps_per_rthz = {}",
                errors.of(CarriedCause::GyroNoise, noise)
            ),
            format!("gyro_walk_dps_per_rts = {}", drift(walk)),
            format!("gyro_drift_dps_per_c = {}", drift(tempco)),
            format!("gyro_flicker_dps = {}", drift(flicker)),
            format!("gyro_scale_ppm = {}", matrix(scale)),
            format!("gyro_cross_axis_mrad = {}", matrix(cross)),
            format!(
                "gyro_per_g_dps = {}",
                errors.of(CarriedCause::ForceOnGyro, per_g)
            ),
            format!("accel_noise_ug_per_rthz = {a_noise}"),
            format!("accel_bias_sigma_mg = {a_bias}"),
            format!("accel_walk_ug_per_rts = {a_walk}"),
            format!("accel_scale_ppm = {a_scale}"),
            format!("accel_cross_axis_mrad = {a_cross}"),
            format!("accel_drift_mg_per_c = {a_drift}"),
        ]
        .join(", ")
    }
}

/// Uncertainty of the surveyed floor, degrees, one sigma.
const FLOOR_DEG: f64 = 0.1;

/// Draws a car, a hand and a chip, and carries.
///
/// # Panics
/// When the simulator refuses its own scenario.
pub fn trial(seed: u64, class: Class, course: &Course) -> Found {
    let mut rng = ChaCha12Rng::seed_from_u64(seed ^ 0x7065_2065_6f74);
    let mut within = |low: f64, high: f64| rng.random_range(low..high);
    let errors = course.errors;
    let floor_deg = [within(-1.0, 1.0), within(-1.0, 1.0)];
    let toes_deg = [within(-0.4, 0.6), within(-0.4, 0.6)];
    let cambers_deg = [within(-2.5, 0.5), within(-2.5, 0.5)];
    let faces_deg = errors.of(CarriedCause::Faces, within(-0.08, 0.08));
    let (mean_deg, half_deg) = (within(-1.7, 1.7), within(-0.17, 0.17));
    let lean_deg = [mean_deg - half_deg, mean_deg + half_deg]
        .map(|lean| errors.of(CarriedCause::FaceLean, lean));
    let rise_c = within(0.0, 2.0);
    let measured_deg = floor_deg.map(|slope| {
        // Uniform within √3 sigma, which is one sigma of what is stated.
        slope
            + errors.of(
                CarriedCause::Floor,
                within(-1.0, 1.0) * 3f64.sqrt() * FLOOR_DEG,
            )
    });
    let scenario = format!(
        r#"
name = "carried"
seed = {seed}
script = [{script}]
[floor]
roll_deg = {}
pitch_deg = {}
[block]
faces_deg = {faces_deg}
lean_deg = [{}, {}]
[hand]
seat_deg = {seat}
seat_lean_deg = {seat_lean}
[car]
name = "Belva 1400"
track_mm = 1480
wheelbase_mm = 2540
wheel_radius_mm = 300
front_left = {{ caster_deg = 4, sai_deg = 12, camber_deg = {}, toe_deg = {} }}
front_right = {{ caster_deg = 4, sai_deg = 12, camber_deg = {}, toe_deg = {} }}
[[board]]
mount = "body"
mounting = {{ x = "forward", z = "up" }}
rate_hz = {rate}
wire = "csv"
chip = {{ {chip} }}
clock = {{ rate_ppm = 60, jitter_us = {jitter}, stamp_error_us = {stamp} }}
temperature = {{ start_c = 24, rise_c = {rise_c}, settle_s = 120 }}
"#,
        floor_deg[0],
        floor_deg[1],
        lean_deg[0],
        lean_deg[1],
        cambers_deg[0],
        toes_deg[0],
        cambers_deg[1],
        toes_deg[1],
        script = script(course),
        rate = course.rate_hz,
        chip = class.made(errors),
        jitter = errors.of(CarriedCause::Timing, 100.0),
        stamp = errors.of(CarriedCause::Timing, 30.0),
        seat = errors.of(CarriedCause::Seat, 0.01),
        seat_lean = errors.of(CarriedCause::FaceLean, 0.05),
    );
    let scenario = Scenario::from_toml(&scenario).expect("a scenario");
    let recordings = render(&scenario).expect("a script that can be done");
    let mut carried = CarriedToe::new(setup(class.figures(), measured_deg)).expect("a gyro");
    for sample in samples_of(&recordings[0]) {
        carried.observe(&sample);
    }
    Found {
        true_deg: toes_deg.iter().sum(),
        outcome: carried.finish(),
        left_out: carried.left_out().to_vec(),
        passes: carried.carries().len(),
    }
}

/// What the core is told beforehand.
pub fn setup(chip: ChipFigures, floor_deg: [f64; 2]) -> CarriedSetup {
    let slope = |deg: f64| Estimate::from_deg(deg, FLOOR_DEG);
    let floor = FloorSlope {
        roll: slope(floor_deg[0]),
        pitch: slope(floor_deg[1]),
    };
    CarriedSetup::usual(chip, Dir::y_axis(), floor)
}

/// A recording by the board's own clock, as the core takes it.
pub fn samples_of(recording: &Recording) -> impl Iterator<Item = Sample> {
    recording.readings.iter().map(|(at_us, reading)| {
        #[expect(clippy::cast_possible_truncation, reason = "a session lasts minutes")]
        let own_us = reading
            .device_time_us
            .map_or(*at_us, |us| us.round() as i64);
        Sample {
            at: HostTime::from_us(own_us),
            accel_g: Vec3::from_array(reading.accel_g.unwrap_or([0.0; 3])),
            rate_radps: reading.rate_radps.map(Vec3::from_array),
            temperature_c: reading.temperature_c,
        }
    })
}

fn script(course: &Course) -> String {
    let rest = format!("{{ rest_s = {} }}", course.rest_s);
    let carry = |to: &str, reversed: bool, over_s: f64, more: &str| {
        format!(
            "{{ carry_block = \"body\", wheel = \"{to}\", reversed = {reversed}, over_s = {over_s}{more} }}"
        )
    };
    let more = format!(
        ", lean_deg = {}, bump_g = {}",
        course.lean_deg, course.bump_g
    );
    let mut at_left = true;
    let mut reversed = false;
    let mut steps = vec![
        "{ rest_s = 1 }".to_owned(),
        carry("front_left", false, 4.0, ""),
        rest.clone(),
    ];
    let name = |left: bool| if left { "front_left" } else { "front_right" };
    for pass in 0..course.passes {
        if pass > 0 && pass == course.passes / 2 {
            reversed = true;
            steps.push(carry(name(at_left), reversed, 5.0, ""));
            steps.push(rest.clone());
        }
        at_left = !at_left;
        steps.push(carry(name(at_left), reversed, course.over_s, &more));
        steps.push(rest.clone());
    }
    steps.join(",")
}
