//! What a chip can be trusted for: one-sigma figures used as priors.
//!
//! Parameter names follow IEEE 2700 (from memory). The classes are levels of
//! quality, not makes: `cheap` is what a consumer six-axis chip shows after a
//! six-pose calibration, `raw` the same chip out of the bag (data-sheet zero-g
//! offset and sensitivity limits), `good` a quieter chip after calibration,
//! `inclinometer` an accelerometer-only module, `ideal` a chip without error.

/// One-sigma figures of one board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChipFigures {
    /// Accelerometer noise density, g/√Hz, one-sided.
    pub accel_noise_g_rthz: f64,
    /// Accelerometer offset that calibration leaves, g, per axis.
    pub accel_offset_g: f64,
    /// Accelerometer scale error that calibration leaves, ratio, per axis.
    pub accel_scale: f64,
    /// Accelerometer cross-axis sensitivity that calibration leaves, rad.
    pub accel_cross_rad: f64,
    /// Accelerometer full scale, g.
    pub accel_range_g: f64,
    /// Accelerometer step, g.
    pub accel_step_g: f64,
    /// Gyro noise density, (rad/s)/√Hz, one-sided.
    pub gyro_noise_radps_rthz: f64,
    /// Gyro rest offset drift over a minute, rad/s: what taking the offset at each rest leaves.
    pub gyro_drift_radps: f64,
    /// Gyro scale error, ratio.
    pub gyro_scale: f64,
    /// Gyro cross-axis sensitivity, rad.
    pub gyro_cross_rad: f64,
    /// Gyro full scale, rad/s.
    pub gyro_range_radps: f64,
}

const DEG: f64 = std::f64::consts::PI / 180.0;

impl ChipFigures {
    /// Names that [`Self::named`] knows.
    pub const NAMES: [&'static str; 5] = ["good", "cheap", "raw", "inclinometer", "ideal"];

    /// Figures of a class by its name.
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "good" => Some(Self::GOOD),
            "cheap" => Some(Self::CHEAP),
            "raw" => Some(Self::RAW),
            "inclinometer" => Some(Self::INCLINOMETER),
            "ideal" => Some(Self::IDEAL),
            _ => None,
        }
    }

    /// A quiet six-axis chip, calibrated.
    pub const GOOD: Self = Self {
        accel_noise_g_rthz: 80e-6,
        accel_offset_g: 0.3e-3,
        accel_scale: 300e-6,
        accel_cross_rad: 0.2e-3,
        accel_range_g: 4.0,
        accel_step_g: 0.122e-3,
        gyro_noise_radps_rthz: 0.004 * DEG,
        gyro_drift_radps: 0.0015 * DEG,
        gyro_scale: 1000e-6,
        gyro_cross_rad: 0.5e-3,
        gyro_range_radps: 125.0 * DEG,
    };

    /// A noisy consumer six-axis chip, calibrated.
    pub const CHEAP: Self = Self {
        accel_noise_g_rthz: 400e-6,
        accel_offset_g: 1e-3,
        accel_scale: 1000e-6,
        accel_cross_rad: 0.5e-3,
        accel_range_g: 2.0,
        accel_step_g: 0.061e-3,
        gyro_noise_radps_rthz: 0.005 * DEG,
        gyro_drift_radps: 0.004 * DEG,
        gyro_scale: 3000e-6,
        gyro_cross_rad: 1e-3,
        gyro_range_radps: 250.0 * DEG,
    };

    /// The same, as it comes out of the bag.
    pub const RAW: Self = Self {
        accel_offset_g: 50e-3,
        accel_scale: 30e-3,
        accel_cross_rad: 20e-3,
        gyro_scale: 30e-3,
        gyro_cross_rad: 20e-3,
        ..Self::CHEAP
    };

    /// An accelerometer-only module made for tilt, calibrated.
    pub const INCLINOMETER: Self = Self {
        accel_noise_g_rthz: 25e-6,
        accel_offset_g: 0.15e-3,
        accel_scale: 200e-6,
        accel_cross_rad: 0.2e-3,
        accel_range_g: 2.0,
        accel_step_g: 0.0038e-3,
        gyro_noise_radps_rthz: 0.0,
        gyro_drift_radps: 0.0,
        gyro_scale: 0.0,
        gyro_cross_rad: 0.0,
        gyro_range_radps: f64::MAX,
    };

    /// A chip without error, for tests of the geometry.
    pub const IDEAL: Self = Self {
        accel_noise_g_rthz: 0.0,
        accel_offset_g: 0.0,
        accel_scale: 0.0,
        accel_cross_rad: 0.0,
        accel_range_g: f64::MAX,
        accel_step_g: 0.0,
        gyro_noise_radps_rthz: 0.0,
        gyro_drift_radps: 0.0,
        gyro_scale: 0.0,
        gyro_cross_rad: 0.0,
        gyro_range_radps: f64::MAX,
    };
}
