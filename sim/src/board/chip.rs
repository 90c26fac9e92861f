//! What a chip gets wrong.
//!
//! Model of one triad, x being the true quantity in board axes:
//!
//! `reading = quantised(clipped(M x + b + k (T − 25 °C) + Γ f + walk + flicker + noise))`
//!
//! M is the identity plus a scale error on the diagonal and cross-axis errors beside it. What is
//! drawn once per chip (M, b, k) is normal with the standard deviations of its figures; noise is
//! white, the walk is a random walk; flicker (1/f) and what the force f does to a gyro (Γ) are there only
//! where a scenario asks for them. The terms and the figures of the presets are those of the
//! independent reference cases (`inputs.datasheet`), whose units are µg/√Hz, mg, µg/√s, ppm, mrad,
//! mg/°C and g; for the gyro °/s stands in place of g, mg and µg.

use nalgebra::{Matrix3, Vector3};
use rand::Rng;
use rand_distr::{Distribution, StandardNormal};
use serde::{Deserialize, Serialize};

/// A ready set of chip figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Preset {
    /// No errors at all.
    Ideal,
    /// A good six-axis chip, calibrated in six poses.
    Good,
    /// The cheapest six-axis chip, calibrated in six poses.
    Cheap,
    /// A good inclinometer chip, calibrated; no gyro.
    Inclinometer,
    /// The cheapest six-axis chip as it comes out of the bag.
    RawCheap,
}

impl Preset {
    /// Every preset.
    pub const ALL: [Self; 5] = [
        Self::Ideal,
        Self::Good,
        Self::Cheap,
        Self::Inclinometer,
        Self::RawCheap,
    ];
}

/// Figures of one triad. Units: g or rad/s for the quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SensorFigures {
    /// One-sided noise density, unit/√Hz.
    pub noise_density: f64,
    /// Standard deviation of the bias, unit.
    pub bias: f64,
    /// Random walk of the bias, unit/√s.
    pub walk: f64,
    /// Standard deviation of the scale errors, fraction.
    pub scale: f64,
    /// Standard deviation of the cross-axis errors, fraction (rad).
    pub cross_axis: f64,
    /// Standard deviation of the drift with temperature, unit/°C.
    pub tempco: f64,
    /// Flicker of the bias: the floor it gives the Allan deviation, unit.
    pub flicker: f64,
    /// Standard deviation of what one g does to the bias, each axis by each, unit; gyro only.
    pub per_g: f64,
    /// Largest reading, unit; infinite where there is none.
    pub range: f64,
    /// Step of the digits, unit; 0 where there is none.
    pub lsb: f64,
}

/// Figures of a whole chip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChipFigures {
    /// Accelerometer, g.
    pub accel: SensorFigures,
    /// Gyro, rad/s; none in an inclinometer.
    pub gyro: Option<SensorFigures>,
}

/// Figures in the units of data sheets, in the order of [`SensorFigures`].
type Sheet = [f64; 8];

fn accel(sheet: Sheet) -> SensorFigures {
    let [
        noise_ug,
        bias_mg,
        walk_ug,
        scale_ppm,
        cross_mrad,
        tempco_mg,
        range,
        lsb,
    ] = sheet;
    SensorFigures {
        noise_density: noise_ug * 1e-6,
        bias: bias_mg * 1e-3,
        walk: walk_ug * 1e-6,
        scale: scale_ppm * 1e-6,
        cross_axis: cross_mrad * 1e-3,
        tempco: tempco_mg * 1e-3,
        flicker: 0.0,
        per_g: 0.0,
        range,
        lsb,
    }
}

fn gyro(sheet: Sheet) -> SensorFigures {
    let [noise, bias, walk, scale_ppm, cross_mrad, tempco, range, lsb] = sheet;
    SensorFigures {
        noise_density: noise.to_radians(),
        bias: bias.to_radians(),
        walk: walk.to_radians(),
        scale: scale_ppm * 1e-6,
        cross_axis: cross_mrad * 1e-3,
        tempco: tempco.to_radians(),
        flicker: 0.0,
        per_g: 0.0,
        range: range.to_radians(),
        lsb: lsb.to_radians(),
    }
}

impl SensorFigures {
    /// A triad without errors.
    pub const IDEAL: Self = Self {
        noise_density: 0.0,
        bias: 0.0,
        walk: 0.0,
        scale: 0.0,
        cross_axis: 0.0,
        tempco: 0.0,
        flicker: 0.0,
        per_g: 0.0,
        range: f64::INFINITY,
        lsb: 0.0,
    };
}

impl From<Preset> for ChipFigures {
    fn from(preset: Preset) -> Self {
        // noise, bias, walk, scale, cross-axis, drift, range, step: see the module's text.
        match preset {
            Preset::Ideal => Self {
                accel: SensorFigures::IDEAL,
                gyro: Some(SensorFigures::IDEAL),
            },
            // 70 µg/√Hz is the data-sheet figure of the ±2 g range (sensor reference §1); the
            // cases draw 62 to 76 about it.
            Preset::Good => Self {
                accel: accel([70.0, 0.3, 2.0, 300.0, 0.2, 0.05, 4.0, 1.0 / 65_536.0]),
                gyro: Some(gyro([
                    0.004,
                    0.2,
                    2e-4,
                    1000.0,
                    0.5,
                    0.005,
                    125.0,
                    125.0 / 262_144.0,
                ])),
            },
            Preset::Cheap => Self {
                accel: accel([400.0, 1.0, 10.0, 1000.0, 0.5, 0.3, 2.0, 1.0 / 16_384.0]),
                gyro: Some(gyro([
                    0.005,
                    0.5,
                    5e-4,
                    3000.0,
                    1.0,
                    0.02,
                    250.0,
                    250.0 / 32_768.0,
                ])),
            },
            Preset::Inclinometer => Self {
                accel: accel([25.0, 0.15, 1.0, 200.0, 0.2, 0.02, 2.0, 1.0 / 262_144.0]),
                gyro: None,
            },
            // Case 13. Its 30 mg and 3 °/s are well inside the ±50 to ±80 mg and ±20 °/s that
            // the data sheet allows (sensor reference §1).
            Preset::RawCheap => Self {
                accel: accel([400.0, 30.0, 10.0, 10_000.0, 5.0, 0.3, 2.0, 1.0 / 16_384.0]),
                gyro: Some(gyro([
                    0.005,
                    3.0,
                    5e-4,
                    30_000.0,
                    10.0,
                    0.2,
                    250.0,
                    250.0 / 32_768.0,
                ])),
            },
        }
    }
}

/// The faults one triad was made with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SensorErrors {
    /// M of the model.
    pub matrix: Matrix3<f64>,
    /// b, unit.
    pub bias: Vector3<f64>,
    /// k, unit/°C.
    pub tempco: Vector3<f64>,
    /// What one g does to the bias, unit/g.
    pub per_g: Matrix3<f64>,
}

impl SensorErrors {
    /// Draws the faults of one triad.
    pub fn drawn(figures: &SensorFigures, making: &mut impl Rng) -> Self {
        let bias = normal3(making) * figures.bias;
        let tempco = normal3(making) * figures.tempco;
        let mut matrix = Matrix3::identity();
        for row in 0..3 {
            for column in 0..3 {
                let spread = if row == column {
                    figures.scale
                } else {
                    figures.cross_axis
                };
                matrix[(row, column)] += normal(making) * spread;
            }
        }
        Self {
            matrix,
            bias,
            tempco,
            per_g: Matrix3::zeros(),
        }
    }

    /// The same with what one g does to it, drawn last so that all else stays as it was.
    pub(super) fn with_force(mut self, figures: &SensorFigures, making: &mut impl Rng) -> Self {
        if figures.per_g > 0.0 {
            self.per_g = Matrix3::from_fn(|_, _| normal(making) * figures.per_g);
        }
        self
    }
}

/// Flicker as a sum of processes an octave apart, each forgetting in its own time.
#[derive(Debug, Clone)]
struct Flicker<R> {
    draws: R,
    states: Vec<Vector3<f64>>,
}

/// The shortest memory and the number of octaves, up to 27 minutes.
const SHORTEST_S: f64 = 0.05;
const OCTAVES: i32 = 16;

impl<R: Rng> Flicker<R> {
    fn new(mut draws: R) -> Self {
        let states = (0..OCTAVES).map(|_| normal3(&mut draws)).collect();
        Self { draws, states }
    }

    /// Flicker with a floor of one in the Allan deviation: the floor squared is 2 ln 2 times h of
    /// the spectrum h/f, and an octave of it has the variance h ln 2.
    fn after(&mut self, period_s: f64) -> Vector3<f64> {
        let mut memory_s = SHORTEST_S;
        let mut all = Vector3::zeros();
        for state in &mut self.states {
            let kept = (-period_s / memory_s).exp();
            *state = *state * kept + normal3(&mut self.draws) * (1.0 - kept * kept).sqrt();
            all += *state;
            memory_s *= 2.0;
        }
        all * std::f64::consts::FRAC_1_SQRT_2
    }
}

/// One triad at work.
#[derive(Debug, Clone)]
pub(super) struct Triad<R> {
    figures: SensorFigures,
    errors: SensorErrors,
    noise: R,
    walk: R,
    walked: Vector3<f64>,
    flicker: Option<Flicker<R>>,
}

/// Temperature at which the drift with temperature is zero, °C.
const REFERENCE_C: f64 = 25.0;

impl<R: Rng> Triad<R> {
    pub(super) fn new(
        figures: SensorFigures,
        errors: SensorErrors,
        [noise, walk, flicker]: [R; 3],
    ) -> Self {
        Self {
            figures,
            errors,
            noise,
            walk,
            walked: Vector3::zeros(),
            flicker: (figures.flicker > 0.0).then(|| Flicker::new(flicker)),
        }
    }

    /// One reading of the true quantity under a force in g, `period_s` after the last one.
    pub(super) fn read(
        &mut self,
        truth: &Vector3<f64>,
        force_g: &Vector3<f64>,
        temperature_c: f64,
        period_s: f64,
    ) -> Vector3<f64> {
        // One-sided density over the band 0..fs/2: σ² = ND² fs/2.
        let sigma = self.figures.noise_density * (0.5 / period_s).sqrt();
        self.walked += normal3(&mut self.walk) * (self.figures.walk * period_s.sqrt());
        let flicker = self
            .flicker
            .as_mut()
            .map_or_else(Vector3::zeros, |flicker| {
                flicker.after(period_s) * self.figures.flicker
            });
        let wrong = self.errors.matrix * truth
            + self.errors.per_g * force_g
            + flicker
            + self.errors.bias
            + self.errors.tempco * (temperature_c - REFERENCE_C)
            + self.walked
            + normal3(&mut self.noise) * sigma;
        let (range, lsb) = (self.figures.range, self.figures.lsb);
        wrong.map(|component| {
            let clipped = component.clamp(-range, range);
            if lsb > 0.0 {
                (clipped / lsb).round() * lsb
            } else {
                clipped
            }
        })
    }
}

/// A draw of the standard normal distribution.
pub(crate) fn normal(rng: &mut impl Rng) -> f64 {
    StandardNormal.sample(rng)
}

fn normal3(rng: &mut impl Rng) -> Vector3<f64> {
    // Field order fixes the order of the draws.
    let (x, y, z) = (normal(rng), normal(rng), normal(rng));
    Vector3::new(x, y, z)
}
