//! What is true: the file that findings are judged by.
//!
//! Angles in degrees, against the floor, wheels straight ahead and the body not moved, with the
//! signs of the workshop: camber + top out, toe + toe-in, caster + top rearward, SAI + top inboard.

use nalgebra::UnitQuaternion;
use rand_chacha::ChaCha12Rng;
use serde::{Deserialize, Serialize};

use crate::board::{BoardSpec, Purpose, SensorErrors, normal, stream};
use crate::car::{Car, CarState, Mount, Wheel};
use crate::jet::Jet;
use crate::motion::Timeline;
use crate::scenario::Scenario;
use crate::stance::Stance;

/// Everything that is true about a run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Truth {
    /// Name of the scenario.
    pub scenario: String,
    /// Invented make and model of the car.
    pub car: String,
    /// Seed of the randomness.
    pub seed: u64,
    /// The wheels.
    pub wheels: Vec<WheelTruth>,
    /// The car as a whole.
    #[serde(default)]
    pub stance: Stance,
    /// Slope of the floor against level.
    pub floor: FloorTruth,
    /// The boards.
    pub boards: Vec<BoardTruth>,
    /// The rests of the script, when it is driven from the start of the run.
    pub rests: Vec<RestTruth>,
}

/// Angles of one wheel, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct WheelTruth {
    /// Which wheel.
    pub mount: Wheel,
    /// Camber.
    pub camber_deg: f64,
    /// Toe of this wheel.
    pub toe_deg: f64,
    /// Caster; none at a wheel that does not steer.
    pub caster_deg: Option<f64>,
    /// Steering axis inclination; none at a wheel that does not steer.
    pub sai_deg: Option<f64>,
    /// SAI plus camber; none at a wheel that does not steer.
    pub included_deg: Option<f64>,
}

/// Slope of the floor, degrees: roll + left side higher, pitch + front lower.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FloorTruth {
    /// Roll.
    pub roll_deg: f64,
    /// Pitch.
    pub pitch_deg: f64,
    /// Gravity, m/s².
    pub gravity_mps2: f64,
}

/// How a board sits and what its chip gets wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoardTruth {
    /// Where it is strapped.
    pub mount: Mount,
    /// Takes board vectors to hub (or chassis) axes.
    pub quaternion_wxyz: [f64; 4],
    /// Place of the chip, hub (or chassis) axes, mm.
    pub lever_mm: [f64; 3],
    /// Accelerometer bias, mg.
    pub accel_bias_mg: [f64; 3],
    /// Accelerometer matrix, rows.
    pub accel_matrix: [[f64; 3]; 3],
    /// Accelerometer drift, mg/°C.
    pub accel_drift_mg_per_c: [f64; 3],
    /// Gyro bias, °/s; none without gyro.
    pub gyro_bias_dps: Option<[f64; 3]>,
    /// Gyro matrix, rows; none without gyro.
    pub gyro_matrix: Option<[[f64; 3]; 3]>,
    /// Gyro drift, °/s/°C; none without gyro.
    pub gyro_drift_dps_per_c: Option<[f64; 3]>,
    /// What its clock shows at the start, s.
    pub clock_offset_s: f64,
    /// How much faster its clock runs, ppm.
    pub clock_rate_ppm: f64,
}

/// One rest of the script.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RestTruth {
    /// Its label in the script.
    pub label: Option<String>,
    /// Begin, s since the start of the run.
    pub from_s: f64,
    /// End, s.
    pub to_s: f64,
    /// Mean plan-view steer angle of the front axle, degrees, + left.
    pub steer_deg: f64,
    /// Roll of the body since straight ahead, degrees.
    pub body_roll_deg: f64,
    /// Pitch of the body since straight ahead, degrees.
    pub body_pitch_deg: f64,
    /// The front wheels.
    pub wheels: Vec<RestWheelTruth>,
    /// All wheels straight ahead, where something of the car was changed since the start.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changed: Vec<WheelTruth>,
}

/// One front wheel at one rest, degrees.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct RestWheelTruth {
    /// Which wheel.
    pub mount: Wheel,
    /// What a perfect turn plate shows, + left, zero straight ahead.
    pub plate_deg: f64,
    /// What the operator reads off it.
    pub plate_read_deg: f64,
    /// Camber against the floor.
    pub camber_deg: f64,
}

impl Truth {
    pub(crate) fn of(scenario: &Scenario) -> Self {
        let car = scenario.car();
        let mut timeline = scenario.timeline();
        // A script that cannot be done has no rests; whoever drives it is told why.
        let _ = timeline.extend(scenario.script(), 0.0);
        let mut plates = PlateReader::new(scenario);
        Self {
            scenario: scenario.name().to_owned(),
            car: car.name.clone(),
            seed: scenario.seed(),
            wheels: wheels(car),
            stance: Stance::of(car, &CarState::default()),
            floor: FloorTruth {
                roll_deg: car.floor.roll_rad.to_degrees(),
                pitch_deg: car.floor.pitch_rad.to_degrees(),
                gravity_mps2: car.gravity_mps2,
            },
            boards: scenario
                .boards()
                .iter()
                .map(|board| board_truth(board, scenario.seed()))
                .collect(),
            rests: rests(&timeline, &mut plates),
        }
    }

    /// The same with the car as it is at an instant of a timeline.
    #[must_use]
    pub(crate) fn at(mut self, timeline: &Timeline, t_s: f64) -> Self {
        let car = timeline.car_at(t_s);
        self.wheels = wheels(car);
        self.stance = Stance::of(car, &timeline.state(t_s));
        self
    }

    /// One of the wheels.
    pub fn wheel(&self, wheel: Wheel) -> Option<&WheelTruth> {
        self.wheels.iter().find(|truth| truth.mount == wheel)
    }
}

fn wheels(car: &Car) -> Vec<WheelTruth> {
    Wheel::ALL.map(|wheel| wheel_truth(car, wheel)).into()
}

fn wheel_truth(car: &Car, wheel: Wheel) -> WheelTruth {
    let angles = car.corner(wheel).angles_in(&car.rest_to_floor());
    let camber_deg = angles.camber_rad.to_degrees();
    let sai_deg = angles.steering.map(|axis| axis.sai_rad.to_degrees());
    WheelTruth {
        mount: wheel,
        camber_deg,
        toe_deg: angles.toe_rad.to_degrees(),
        caster_deg: angles.steering.map(|axis| axis.caster_rad.to_degrees()),
        sai_deg,
        included_deg: sai_deg.map(|sai_deg| sai_deg + camber_deg),
    }
}

fn board_truth(board: &BoardSpec, seed: u64) -> BoardTruth {
    let errors = board.errors(seed);
    let rotation = UnitQuaternion::from_rotation_matrix(&board.placement.rotation);
    let rows = |errors: &SensorErrors| {
        [0, 1, 2].map(|row| [0, 1, 2].map(|column| errors.matrix[(row, column)]))
    };
    let gyro = errors.gyro.as_ref();
    BoardTruth {
        mount: board.mount,
        quaternion_wxyz: [rotation.w, rotation.i, rotation.j, rotation.k],
        lever_mm: (board.placement.lever_m * 1e3).into(),
        accel_bias_mg: (errors.accel.bias * 1e3).into(),
        accel_matrix: rows(&errors.accel),
        accel_drift_mg_per_c: (errors.accel.tempco * 1e3).into(),
        gyro_bias_dps: gyro.map(|gyro| gyro.bias.map(f64::to_degrees).into()),
        gyro_matrix: gyro.map(rows),
        gyro_drift_dps_per_c: gyro.map(|gyro| gyro.tempco.map(f64::to_degrees).into()),
        clock_offset_s: board.clock.offset_s,
        clock_rate_ppm: board.clock.rate_ppm,
    }
}

fn rests(timeline: &Timeline, plates: &mut PlateReader) -> Vec<RestTruth> {
    let begun = timeline.car_at(0.0);
    timeline
        .rests()
        .iter()
        .map(|mark| {
            let middle_s = f64::midpoint(mark.from_s, mark.to_s);
            let (state, car) = (timeline.state(middle_s), timeline.car_at(middle_s));
            let straight = car.body.attitude(Jet::default(), &[Jet::default(); 4]);
            let body = car.body.attitude(state.steer, &state.jacked);
            RestTruth {
                label: mark.label.clone(),
                from_s: mark.from_s,
                to_s: mark.to_s,
                steer_deg: state.steer.value.to_degrees(),
                body_roll_deg: (body.roll - straight.roll).value.to_degrees(),
                body_pitch_deg: (body.pitch - straight.pitch).value.to_degrees(),
                wheels: plates.read(car, &state),
                changed: if car == begun {
                    Vec::new()
                } else {
                    wheels(car)
                },
            }
        })
        .collect()
}

/// The operator who reads the turn plates, rest after rest.
#[derive(Debug, Clone)]
pub struct PlateReader {
    sigma_deg: f64,
    draws: ChaCha12Rng,
}

impl PlateReader {
    /// The same readings come for the same rests in the same order.
    pub fn new(scenario: &Scenario) -> Self {
        Self {
            sigma_deg: scenario.plate_sigma_rad().to_degrees(),
            draws: stream(scenario.seed(), None, Purpose::Plates),
        }
    }

    /// Reads both front plates. Straight ahead they are set to zero, so that reading is exact.
    pub fn read(&mut self, car: &Car, state: &CarState) -> Vec<RestWheelTruth> {
        let straight = state.steer.value == 0.0;
        [Wheel::FrontLeft, Wheel::FrontRight]
            .into_iter()
            .map(|wheel| {
                let plate_deg = car.plate_rad(wheel, state).to_degrees();
                let error_deg = self.sigma_deg * normal(&mut self.draws);
                let spindle = car.spindle_on_floor(wheel, state);
                RestWheelTruth {
                    mount: wheel,
                    plate_deg,
                    plate_read_deg: if straight { 0.0 } else { plate_deg + error_deg },
                    camber_deg: (-spindle.z).clamp(-1.0, 1.0).asin().to_degrees(),
                }
            })
            .collect()
    }
}
