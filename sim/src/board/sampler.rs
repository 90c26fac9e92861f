//! A board at work: from the car's motion to readings.

use hubplumb_protocol::{Reading, STANDARD_GRAVITY_MPS2, WireFormat};
use nalgebra::Vector3;
use rand_chacha::ChaCha12Rng;

use super::chip::{ChipFigures, SensorErrors, Triad, normal};
use super::clock::{Clock, Temperature};
use super::link::LinkSpec;
use super::noise::{Purpose, stream};
use super::placement::Placement;
use crate::car::Mount;
use crate::motion::Timeline;

/// Everything that is fixed about a board.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardSpec {
    /// Where it is strapped.
    pub mount: Mount,
    /// How it sits there.
    pub placement: Placement,
    /// Readings per second of its own clock.
    pub rate_hz: f64,
    /// Chip figures.
    pub chip: ChipFigures,
    /// A bias given outright instead of drawn: accelerometer, g.
    pub accel_bias_g: Option<[f64; 3]>,
    /// A bias given outright instead of drawn: gyro, rad/s.
    pub gyro_bias_radps: Option<[f64; 3]>,
    /// What it speaks.
    pub wire: WireFormat,
    /// By what it is joined to the host.
    pub link: LinkSpec,
    /// Its clock.
    pub clock: Clock,
    /// Its warmth.
    pub temperature: Temperature,
}

/// The faults of a board's chip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoardErrors {
    /// Accelerometer, g.
    pub accel: SensorErrors,
    /// Gyro, rad/s.
    pub gyro: Option<SensorErrors>,
}

impl BoardSpec {
    /// The faults this board's chip has under a seed.
    pub fn errors(&self, seed: u64) -> BoardErrors {
        let mut making = stream(seed, Some(self.mount), Purpose::Making);
        let mut accel = SensorErrors::drawn(&self.chip.accel, &mut making);
        let mut gyro = self.chip.gyro.map(|figures| {
            SensorErrors::drawn(&figures, &mut making).with_force(&figures, &mut making)
        });
        if let Some(bias_g) = self.accel_bias_g {
            accel.bias = bias_g.into();
        }
        if let (Some(gyro), Some(bias_radps)) = (gyro.as_mut(), self.gyro_bias_radps) {
            gyro.bias = bias_radps.into();
        }
        BoardErrors { accel, gyro }
    }
}

/// What a perfect chip would feel, in board axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sensed {
    /// Specific force, standard g.
    pub force_g: Vector3<f64>,
    /// Angular rate, rad/s.
    pub rate_radps: Vector3<f64>,
}

/// What a perfect chip in this place feels at an instant.
pub fn sense(timeline: &Timeline, mount: Mount, placement: &Placement, t_s: f64) -> Sensed {
    let frame = timeline.board_frame(mount, placement, t_s);
    let shake = timeline.shake(mount, t_s);
    let to_board = placement.rotation.inverse();
    let gravity_mps2 = timeline.car().gravity_mps2;
    Sensed {
        force_g: frame.specific_force_mps2(gravity_mps2) / STANDARD_GRAVITY_MPS2
            + to_board * shake.accel_g,
        rate_radps: frame.body_rate_radps() + to_board * shake.rate_radps,
    }
}

/// Produces a board's readings one after the other.
#[derive(Debug, Clone)]
pub struct BoardSampler {
    spec: BoardSpec,
    accel: Triad<ChaCha12Rng>,
    gyro: Option<Triad<ChaCha12Rng>>,
    thermometer: ChaCha12Rng,
    timing: ChaCha12Rng,
    switched_on_s: f64,
    clock_at_start_s: f64,
    count: u64,
}

/// Noise and digits of a chip's thermometer, °C; what the reference cases show.
const THERMOMETER_NOISE_C: f64 = 0.03;
const THERMOMETER_LSB_C: f64 = 0.01;

impl BoardSampler {
    /// A board switched on when the simulation starts.
    pub fn new(spec: BoardSpec, seed: u64) -> Self {
        let mount = Some(spec.mount);
        let errors = spec.errors(seed);
        let accel = Triad::new(
            spec.chip.accel,
            errors.accel,
            [
                Purpose::AccelNoise,
                Purpose::AccelWalk,
                Purpose::AccelFlicker,
            ]
            .map(|purpose| stream(seed, mount, purpose)),
        );
        let gyro = spec.chip.gyro.zip(errors.gyro).map(|(figures, errors)| {
            Triad::new(
                figures,
                errors,
                [Purpose::GyroNoise, Purpose::GyroWalk, Purpose::GyroFlicker]
                    .map(|purpose| stream(seed, mount, purpose)),
            )
        });
        Self {
            accel,
            gyro,
            thermometer: stream(seed, mount, Purpose::Thermometer),
            timing: stream(seed, mount, Purpose::Timing),
            switched_on_s: 0.0,
            clock_at_start_s: spec.clock.offset_s,
            count: 0,
            spec,
        }
    }

    /// The board.
    pub fn spec(&self) -> &BoardSpec {
        &self.spec
    }

    /// When the next reading is due, s since the start of the simulation.
    pub fn due_s(&self) -> f64 {
        let clock_s = self.count as f64 / self.spec.rate_hz;
        self.switched_on_s + clock_s / self.spec.clock.rate()
    }

    /// The board lost its power and got it back: its clock starts again from zero.
    pub fn restart(&mut self, at_s: f64) {
        self.switch_on(at_s, 0.0);
    }

    /// Switched on at an instant, with its clock showing so much.
    pub(crate) fn switch_on(&mut self, at_s: f64, shows_s: f64) {
        self.switched_on_s = at_s;
        self.clock_at_start_s = shows_s;
        self.count = 0;
    }

    /// When its clock began, s since the start of the simulation.
    pub fn switched_on_s(&self) -> f64 {
        self.switched_on_s
    }

    /// Takes the reading that is due; with it the true instant of it, µs since the start.
    pub fn read(&mut self, timeline: &Timeline) -> (i64, Reading) {
        let (mount, placement) = (self.spec.mount, self.spec.placement);
        self.read_at(timeline, mount, &placement)
    }

    /// The same, strapped somewhere else.
    pub fn read_at(
        &mut self,
        timeline: &Timeline,
        mount: Mount,
        placement: &Placement,
    ) -> (i64, Reading) {
        let period_s = 1.0 / self.spec.rate_hz;
        let clock = self.spec.clock;
        // Both drawn always, so that switching one off leaves the other's draws alone.
        let (wander, misread) = (normal(&mut self.timing), normal(&mut self.timing));
        // A sample never overtakes its neighbour.
        let jitter_s = (wander * clock.jitter_us * 1e-6).clamp(-0.4 * period_s, 0.4 * period_s);
        let misread_s =
            (misread * clock.stamp_error_us * 1e-6).clamp(-0.05 * period_s, 0.05 * period_s);
        let instant_s = self.due_s() + jitter_s;
        let clock_s = self.clock_at_start_s
            + self.count as f64 * period_s
            + jitter_s * clock.rate()
            + misread_s;
        self.count += 1;

        let sensed = sense(timeline, mount, placement, instant_s);
        let temperature_c = self.spec.temperature.at_c(instant_s);
        let accel_g = self
            .accel
            .read(&sensed.force_g, &sensed.force_g, temperature_c, period_s);
        let rate_radps = self.gyro.as_mut().map(|gyro| {
            gyro.read(&sensed.rate_radps, &sensed.force_g, temperature_c, period_s)
                .into()
        });
        let shown_c = temperature_c + THERMOMETER_NOISE_C * normal(&mut self.thermometer);
        let reading = Reading {
            device_time_us: Some(clock.stamp_us(clock_s)),
            sequence: u32::try_from((self.count - 1) % (1 << 32)).ok(),
            accel_g: Some(accel_g.into()),
            rate_radps,
            tilt_rad: (self.spec.wire.carries_angles()).then(|| tilt_of(&accel_g)),
            temperature_c: Some((shown_c / THERMOMETER_LSB_C).round() * THERMOMETER_LSB_C),
            ..Reading::default()
        };
        (whole_us(instant_s), reading)
    }
}

/// Roll and pitch, rad (Z-Y-X order, z up), that the firmware of an inclinometer makes of what it feels.
pub(crate) fn tilt_of(force_g: &Vector3<f64>) -> [f64; 2] {
    let [x, y, z] = [force_g.x, force_g.y, force_g.z];
    [y.atan2(z), (-x).atan2(y.hypot(z))]
}

/// Seconds in whole microseconds.
#[expect(
    clippy::cast_possible_truncation,
    reason = "a run would need 290 000 years to leave the range"
)]
fn whole_us(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}
