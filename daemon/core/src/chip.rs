//! What a chip can be trusted for: one-sigma figures used as priors.
//!
//! Parameter names follow IEEE 2700 (from memory). The classes are levels of
//! quality, not makes: `cheap` is what a consumer six-axis chip shows after a
//! six-pose calibration, `raw` the same chip out of the bag (data-sheet zero-g
//! offset and sensitivity limits), `good` a quieter chip after calibration,
//! `inclinometer` an accelerometer-only module, `angles` one that tells roll and
//! pitch only, `ideal` a chip without error.
//!
//! Beside the classes, chips go by their own names ([`Chip`]), with figures from
//! their data sheets ([`data_sheet`]).
//!
//! Ageing: Łuczak et al., Sensors 2022, 22, 1504, saw temperature and time move
//! the tilt of consumer chips by up to 0.4°, which is 7 mg. Half of it is taken
//! as one sigma after a year for `cheap`; the other classes are scaled by
//! judgement, no source. That it grows with the root of the time, as a random
//! walk does, is common practice, no source.

pub mod data_sheet;
mod makers;
mod named;

use crate::frames::{Board, Dir, Vec3};

pub use named::Chip;

/// One direction of a board along which its error is known better than along
/// the others, because the board was turned end for end
/// ([`Reversal`](crate::calibrate::Reversal)).
///
/// What the turn shows is not the offset alone: the part of gravity along the
/// axis of the turn stays, and leaks into the direction by the cross-axis error.
/// Offset and leak together are settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SettledAxis {
    /// The direction, in the board's axes.
    pub along: Dir<Board>,
    /// What the board felt in both places alike, g: gravity along the axis of the turn.
    pub felt_g: Vec3<Board>,
    /// One sigma of the error that is left along the direction for that force, g.
    pub offset_g: f64,
}

/// One-sigma figures of one board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChipFigures {
    /// Accelerometer noise density, g/√Hz, one-sided.
    pub accel_noise_g_rthz: f64,
    /// Accelerometer offset that calibration leaves, g, per axis.
    pub accel_offset_g: f64,
    /// Where the offset is known better than that, if the board was turned end for end.
    pub accel_settled: Option<SettledAxis>,
    /// Accelerometer scale error that calibration leaves, ratio, per axis.
    pub accel_scale: f64,
    /// Accelerometer cross-axis sensitivity that calibration leaves, rad.
    pub accel_cross_rad: f64,
    /// Does the board tell angles only, so that the length of what it felt is unknown?
    pub angles_only: bool,
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
    /// Accelerometer offset per degree away from the temperature of the calibration, g/°C.
    pub accel_tempco_g_per_c: f64,
    /// Accelerometer scale per degree, 1/°C.
    pub accel_scale_tempco_per_c: f64,
    /// Accelerometer offset after a year, g; it grows with the root of the time.
    pub accel_ageing_g_rtyear: f64,
    /// Gyro rest offset per degree, (rad/s)/°C.
    pub gyro_tempco_radps_per_c: f64,
    /// Gyro scale per degree, 1/°C.
    pub gyro_scale_tempco_per_c: f64,
}

const DEG: f64 = std::f64::consts::PI / 180.0;
const DAYS_PER_YEAR: f64 = 365.25;

impl ChipFigures {
    /// Names that [`Self::named`] knows.
    pub const NAMES: [&'static str; 6] =
        ["good", "cheap", "raw", "inclinometer", "angles", "ideal"];

    /// Figures of a class by its name.
    pub fn named(name: &str) -> Option<Self> {
        Self::class(name).copied()
    }

    fn class(name: &str) -> Option<&'static Self> {
        match name {
            "good" => Some(&Self::GOOD),
            "cheap" => Some(&Self::CHEAP),
            "raw" => Some(&Self::RAW),
            "inclinometer" => Some(&Self::INCLINOMETER),
            "angles" => Some(&Self::ANGLES),
            "ideal" => Some(&Self::IDEAL),
            _ => None,
        }
    }

    /// One sigma of the offset along a direction of the board, g: what a reversal
    /// settled counts as far as the direction lies along its axis.
    pub fn accel_offset_along_g(&self, along: &Dir<Board>) -> f64 {
        let Some(settled) = self.accel_settled else {
            return self.accel_offset_g;
        };
        let share = along.dot(&settled.along).powi(2).min(1.0);
        let best_g = settled.offset_g.min(self.accel_offset_g);
        (share * best_g * best_g + (1.0 - share) * self.accel_offset_g.powi(2)).sqrt()
    }

    /// The figures `temperature_difference_c` away from the temperature of the
    /// calibration (either way) and `days` after it. What is unknown about the
    /// growth is independent of what the calibration left.
    ///
    /// The gyro's rest offset does not grow here: it is taken anew at each rest.
    #[must_use]
    pub fn drifted(&self, temperature_difference_c: f64, days: f64) -> Self {
        let years = days.max(0.0) / DAYS_PER_YEAR;
        let by_heat = self.accel_tempco_g_per_c * temperature_difference_c;
        let by_age = self.accel_ageing_g_rtyear * years.sqrt();
        Self {
            accel_offset_g: self.accel_offset_g.hypot(by_heat).hypot(by_age),
            accel_settled: self.accel_settled.map(|axis| SettledAxis {
                offset_g: axis.offset_g.hypot(by_heat).hypot(by_age),
                ..axis
            }),
            accel_scale: self
                .accel_scale
                .hypot(self.accel_scale_tempco_per_c * temperature_difference_c),
            gyro_scale: self
                .gyro_scale
                .hypot(self.gyro_scale_tempco_per_c * temperature_difference_c),
            ..*self
        }
    }

    /// A quiet six-axis chip, calibrated.
    pub const GOOD: Self = Self {
        accel_noise_g_rthz: 80e-6,
        accel_offset_g: 0.3e-3,
        accel_settled: None,
        accel_scale: 300e-6,
        accel_cross_rad: 0.2e-3,
        angles_only: false,
        accel_range_g: 4.0,
        accel_step_g: 0.122e-3,
        gyro_noise_radps_rthz: 0.004 * DEG,
        gyro_drift_radps: 0.0015 * DEG,
        gyro_scale: 1000e-6,
        gyro_cross_rad: 0.5e-3,
        gyro_range_radps: 125.0 * DEG,
        // Offset, scale and gyro: LSM6DSO data sheet DS12140, typical taken as one sigma.
        accel_tempco_g_per_c: 0.1e-3,
        accel_scale_tempco_per_c: 100e-6,
        accel_ageing_g_rtyear: 1.5e-3,
        gyro_tempco_radps_per_c: 0.010 * DEG,
        gyro_scale_tempco_per_c: 70e-6,
    };

    /// A noisy consumer six-axis chip, calibrated.
    pub const CHEAP: Self = Self {
        accel_noise_g_rthz: 400e-6,
        accel_offset_g: 1e-3,
        accel_settled: None,
        accel_scale: 1000e-6,
        accel_cross_rad: 0.5e-3,
        angles_only: false,
        accel_range_g: 2.0,
        accel_step_g: 0.061e-3,
        gyro_noise_radps_rthz: 0.005 * DEG,
        gyro_drift_radps: 0.004 * DEG,
        gyro_scale: 3000e-6,
        gyro_cross_rad: 1e-3,
        gyro_range_radps: 250.0 * DEG,
        // Offset: MPU-6050 data sheet, ±35 mg over 70 °C, a limit, so a √3rd of it is one
        // sigma (JCGM 100:2008, 4.3.7); gyro: the same, 20 °/s over 125 °C;
        // scale: ICM-20948 data sheet; gyro scale: LSM6DS3 data sheet, 1.5 % over 60 °C.
        accel_tempco_g_per_c: 0.3e-3,
        accel_scale_tempco_per_c: 260e-6,
        accel_ageing_g_rtyear: 3.5e-3,
        gyro_tempco_radps_per_c: 0.16 * DEG,
        gyro_scale_tempco_per_c: 250e-6,
    };

    /// The same, as it comes out of the bag.
    pub const RAW: Self = Self {
        accel_offset_g: 50e-3,
        accel_settled: None,
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
        accel_settled: None,
        accel_scale: 200e-6,
        accel_cross_rad: 0.2e-3,
        angles_only: false,
        accel_range_g: 2.0,
        accel_step_g: 0.0038e-3,
        gyro_noise_radps_rthz: 0.0,
        gyro_drift_radps: 0.0,
        gyro_scale: 0.0,
        gyro_cross_rad: 0.0,
        gyro_range_radps: f64::MAX,
        // A third of the ADXL355's limit of 0.15 mg/°C; scale from memory.
        accel_tempco_g_per_c: 0.05e-3,
        accel_scale_tempco_per_c: 100e-6,
        accel_ageing_g_rtyear: 1e-3,
        gyro_tempco_radps_per_c: 0.0,
        gyro_scale_tempco_per_c: 0.0,
    };

    /// A module that tells roll and pitch instead of what it feels. Twice the 0.05°
    /// that a maker of such modules claims (BWT901CL data sheet) is taken as one sigma.
    pub const ANGLES: Self = Self {
        accel_offset_g: 1.75e-3,
        angles_only: true,
        ..Self::CHEAP
    };

    /// A chip without error, for tests of the geometry.
    pub const IDEAL: Self = Self {
        accel_noise_g_rthz: 0.0,
        accel_offset_g: 0.0,
        accel_settled: None,
        accel_scale: 0.0,
        accel_cross_rad: 0.0,
        angles_only: false,
        accel_range_g: f64::MAX,
        accel_step_g: 0.0,
        gyro_noise_radps_rthz: 0.0,
        gyro_drift_radps: 0.0,
        gyro_scale: 0.0,
        gyro_cross_rad: 0.0,
        gyro_range_radps: f64::MAX,
        accel_tempco_g_per_c: 0.0,
        accel_scale_tempco_per_c: 0.0,
        accel_ageing_g_rtyear: 0.0,
        gyro_tempco_radps_per_c: 0.0,
        gyro_scale_tempco_per_c: 0.0,
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Vec3;

    #[test]
    fn an_offset_that_was_settled_counts_along_its_axis_only() {
        let chip = ChipFigures {
            accel_offset_g: 5e-3,
            accel_settled: Some(SettledAxis {
                along: Dir::z_axis(),
                felt_g: Vec3::zero(),
                offset_g: 1e-3,
            }),
            ..ChipFigures::CHEAP
        };
        let check = |along: Dir<Board>, expected_g: f64| {
            let found_g = chip.accel_offset_along_g(&along);
            assert!((found_g - expected_g).abs() < 1e-12, "{along:?} {found_g}");
        };
        check(Dir::z_axis(), 1e-3);
        check(-Dir::z_axis(), 1e-3);
        check(Dir::x_axis(), 5e-3);
        let between = Dir::along(Vec3::new(1.0, 0.0, 1.0)).unwrap();
        check(between, (0.5 * (1e-6 + 25e-6_f64)).sqrt());
        let never = ChipFigures::CHEAP;
        assert_eq!(
            never.accel_offset_along_g(&Dir::z_axis()),
            never.accel_offset_g
        );
    }

    #[test]
    fn drift_grows_with_heat_and_with_the_root_of_age() {
        let check = |degrees_c: f64, days: f64, offset_g: f64, scale: f64| {
            let chip = ChipFigures {
                accel_offset_g: 0.0,
                accel_scale: 0.0,
                ..ChipFigures::GOOD
            };
            let grown = chip.drifted(degrees_c, days);
            assert!((grown.accel_offset_g - offset_g).abs() < 1e-12, "{grown:?}");
            assert!((grown.accel_scale - scale).abs() < 1e-12, "{grown:?}");
            assert_eq!(grown.gyro_drift_radps, chip.gyro_drift_radps);
        };
        check(0.0, 0.0, 0.0, 0.0);
        check(10.0, 0.0, 1e-3, 1e-3);
        check(-10.0, 0.0, 1e-3, 1e-3);
        check(0.0, 365.25, 1.5e-3, 0.0);
        check(0.0, 4.0 * 365.25, 3e-3, 0.0);
        check(20.0, 365.25, 2.5e-3, 2e-3); // 2 and 1.5 mg, square to each other
        check(0.0, -5.0, 0.0, 0.0);
    }
}
