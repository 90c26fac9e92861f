//! From the terms of a data sheet to one-sigma figures.
//!
//! Parameters have the names of IEEE 2700 (from memory). How a printed figure
//! becomes a standard uncertainty is [`Figure::one_sigma`]; what a calibration
//! in poses leaves of a chip is [`DataSheet::calibrated`]. docs/CHIPS.md tells
//! both in words, with every figure and its source.

use std::f64::consts::PI;

use super::ChipFigures;

/// What a figure of a data sheet is said to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Given {
    /// A typical value.
    Typical,
    /// The most it may be either way.
    Limit,
    /// A typical value, and beside it the most it may be.
    TypicalAndLimit {
        /// The most, in the unit of the figure.
        limit: f64,
    },
    /// The most a value may move between 25 °C and the end of a temperature range,
    /// where a figure per degree is wanted.
    LimitOver {
        /// From 25 °C to the farther end, °C.
        degrees_c: f64,
    },
}

/// One figure with its source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Figure {
    /// As it is printed, in the unit of its place. Of three axes the worst.
    pub value: f64,
    /// What it is said to be.
    pub given: Given,
    /// Document and page, or "from memory".
    pub source: &'static str,
}

impl Figure {
    /// One sigma. A typical value is taken as one sigma (a decision: makers call
    /// typical what two of three chips keep, or the mean of their spread). A limit
    /// ±a of which no more is known is a rectangular distribution: a/√3
    /// (JCGM 100:2008, 4.3.7). Where both are printed, the larger.
    pub fn one_sigma(&self) -> f64 {
        let of_limit = |limit: f64| limit / 3f64.sqrt();
        match self.given {
            Given::Typical => self.value,
            Given::Limit => of_limit(self.value),
            Given::TypicalAndLimit { limit } => self.value.max(of_limit(limit)),
            Given::LimitOver { degrees_c } => of_limit(self.value) / degrees_c,
        }
    }
}

/// The accelerometer of a data sheet. What is none is not stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AccelSheet {
    /// Full scale for which the figures hold, g.
    pub range_g: f64,
    /// Step at that full scale, mg.
    pub step_mg: f64,
    /// Noise density, µg/√Hz.
    pub noise_ug_rthz: Option<Figure>,
    /// Zero-g offset, mg.
    pub offset_mg: Figure,
    /// Zero-g offset over temperature, mg/°C.
    pub tempco_mg_per_c: Option<Figure>,
    /// Sensitivity error, percent.
    pub scale_percent: Option<Figure>,
    /// Sensitivity over temperature, percent per °C.
    pub scale_tempco_percent_per_c: Option<Figure>,
    /// Nonlinearity, percent of full scale.
    pub nonlinearity_percent_fs: Option<Figure>,
    /// Cross-axis sensitivity, percent.
    pub cross_percent: Option<Figure>,
}

/// The gyro of a data sheet. What is none is not stated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GyroSheet {
    /// Full scale for which the figures hold, °/s.
    pub range_dps: f64,
    /// Noise density, (°/s)/√Hz.
    pub noise_dps_rthz: Option<Figure>,
    /// Zero-rate offset over temperature, (°/s)/°C.
    pub tempco_dps_per_c: Option<Figure>,
    /// Sensitivity error, percent.
    pub scale_percent: Option<Figure>,
    /// Sensitivity over temperature, percent per °C.
    pub scale_tempco_percent_per_c: Option<Figure>,
    /// Cross-axis sensitivity, percent.
    pub cross_percent: Option<Figure>,
}

/// What a chip was made for. It decides what no data sheet states; the figures are
/// those of the classes [`ChipFigures::CHEAP`], [`GOOD`](ChipFigures::GOOD) and
/// [`INCLINOMETER`](ChipFigures::INCLINOMETER).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grade {
    /// Phones and toys.
    Consumer,
    /// Consumer chips of the quiet sort.
    Quiet,
    /// Tilt and machines.
    Tilt,
}

impl Grade {
    /// Its name in docs/CHIPS.md.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Consumer => "consumer",
            Self::Quiet => "quiet",
            Self::Tilt => "tilt",
        }
    }

    const fn class(self) -> ChipFigures {
        match self {
            Self::Consumer => ChipFigures::CHEAP,
            Self::Quiet => ChipFigures::GOOD,
            Self::Tilt => ChipFigures::INCLINOMETER,
        }
    }
}

/// A chip as its maker describes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DataSheet {
    /// Name in a configuration: small letters and digits.
    pub name: &'static str,
    /// Name on the chip.
    pub printed: &'static str,
    /// What it was made for.
    pub grade: Grade,
    /// Its accelerometer.
    pub accel: AccelSheet,
    /// Its gyro, if it has one.
    pub gyro: Option<GyroSheet>,
}

const DEG: f64 = PI / 180.0;
const PERCENT: f64 = 1e-2;
const MILLI: f64 = 1e-3;
const MICRO: f64 = 1e-6;

/// Slow wander of the offset at rest, which no averaging takes out, g: the floor of the
/// Allan deviation in the ADXL345 data sheet.
const WANDER_G: f64 = 100e-6;
/// How far the chip's temperature moves while poses are taken, one sigma, °C: judgement, no source.
const POSES_WARM_C: f64 = 1.0;
/// Slow wander of a gyro as a share of its noise at 1 s: judgement, no source. `hubplumb allan`
/// measures it.
const GYRO_WANDER_RTHZ: f64 = 0.3;
/// How far a warmed-up chip's temperature moves within a minute, one sigma, °C: judgement, no source.
const MINUTE_WARM_C: f64 = 0.03;

fn sigma_or(figure: Option<Figure>, unit: f64, otherwise: f64) -> f64 {
    figure.map_or(otherwise, |figure| figure.one_sigma() * unit)
}

impl DataSheet {
    /// The chip as it comes out of the bag. What its sheet does not state is that of
    /// [`ChipFigures::RAW`]; ageing is that of its grade's class.
    pub fn raw(&self) -> ChipFigures {
        let class = ChipFigures::RAW;
        let accel = &self.accel;
        let figures = ChipFigures {
            accel_noise_g_rthz: sigma_or(accel.noise_ug_rthz, MICRO, class.accel_noise_g_rthz),
            accel_offset_g: accel.offset_mg.one_sigma() * MILLI,
            accel_scale: sigma_or(accel.scale_percent, PERCENT, class.accel_scale),
            accel_cross_rad: sigma_or(accel.cross_percent, PERCENT, class.accel_cross_rad),
            accel_range_g: accel.range_g,
            accel_step_g: accel.step_mg * MILLI,
            accel_tempco_g_per_c: sigma_or(
                accel.tempco_mg_per_c,
                MILLI,
                class.accel_tempco_g_per_c,
            ),
            accel_scale_tempco_per_c: sigma_or(
                accel.scale_tempco_percent_per_c,
                PERCENT,
                class.accel_scale_tempco_per_c,
            ),
            accel_ageing_g_rtyear: self.grade.class().accel_ageing_g_rtyear,
            ..class
        };
        match &self.gyro {
            Some(gyro) => gyro.figures(&figures),
            None => without_gyro(figures),
        }
    }

    /// The chip after a calibration in six poses or more, at its temperature.
    ///
    /// The gyro's figures stay as they are: a rest shows its offset, which is taken
    /// anew all the time, and poses show nothing of its scale.
    pub fn calibrated(&self) -> ChipFigures {
        let raw = self.raw();
        let by_heat = raw.accel_tempco_g_per_c * POSES_WARM_C;
        let left_g = self.curvature_g().hypot(WANDER_G).hypot(by_heat);
        ChipFigures {
            accel_offset_g: left_g,
            // A curve that bends an offset bends the scale by as much at 1 g.
            accel_scale: left_g.hypot(raw.accel_scale_tempco_per_c * POSES_WARM_C),
            // Where the poses lie between two axes, each has √½ of it.
            accel_cross_rad: left_g * std::f64::consts::FRAC_1_SQRT_2,
            ..raw
        }
    }

    /// What is left within ±1 g when a straight line was laid through poses, g, one sigma.
    ///
    /// The nonlinearity is stated for the full scale F. If the curve is a cubic, which
    /// is the lowest that poses on both sides cannot show, its share at 1 g is (1/F)³.
    fn curvature_g(&self) -> f64 {
        let full_g = self.accel.range_g;
        self.accel.nonlinearity_percent_fs.map_or_else(
            || self.grade.class().accel_offset_g,
            |stated| {
                let at_full_g = stated.value * PERCENT * full_g;
                at_full_g / full_g.powi(3) / 3f64.sqrt()
            },
        )
    }
}

impl GyroSheet {
    fn figures(&self, chip: &ChipFigures) -> ChipFigures {
        let noise = sigma_or(self.noise_dps_rthz, DEG, chip.gyro_noise_radps_rthz);
        let tempco = sigma_or(self.tempco_dps_per_c, DEG, chip.gyro_tempco_radps_per_c);
        ChipFigures {
            gyro_noise_radps_rthz: noise,
            gyro_drift_radps: (GYRO_WANDER_RTHZ * noise).hypot(tempco * MINUTE_WARM_C),
            gyro_scale: sigma_or(self.scale_percent, PERCENT, chip.gyro_scale),
            gyro_cross_rad: sigma_or(self.cross_percent, PERCENT, chip.gyro_cross_rad),
            gyro_range_radps: self.range_dps * DEG,
            gyro_tempco_radps_per_c: tempco,
            gyro_scale_tempco_per_c: sigma_or(
                self.scale_tempco_percent_per_c,
                PERCENT,
                chip.gyro_scale_tempco_per_c,
            ),
            ..*chip
        }
    }
}

const fn without_gyro(chip: ChipFigures) -> ChipFigures {
    let none = ChipFigures::INCLINOMETER;
    ChipFigures {
        gyro_noise_radps_rthz: none.gyro_noise_radps_rthz,
        gyro_drift_radps: none.gyro_drift_radps,
        gyro_scale: none.gyro_scale,
        gyro_cross_rad: none.gyro_cross_rad,
        gyro_range_radps: none.gyro_range_radps,
        gyro_tempco_radps_per_c: none.gyro_tempco_radps_per_c,
        gyro_scale_tempco_per_c: none.gyro_scale_tempco_per_c,
        ..chip
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printed_figure_becomes_one_sigma_by_its_kind() {
        let check = |value: f64, given: Given, expected: f64| {
            let found = Figure {
                value,
                given,
                source: "made up",
            }
            .one_sigma();
            assert!((found - expected).abs() < 1e-9, "{given:?}: {found}");
        };
        check(20.0, Given::Typical, 20.0);
        // GUM 4.3.7: a half-width of 1 is a standard uncertainty of 0.577 350 269.
        check(1.0, Given::Limit, 0.577_350_269);
        check(25.0, Given::TypicalAndLimit { limit: 75.0 }, 43.301_270_189);
        check(25.0, Given::TypicalAndLimit { limit: 30.0 }, 25.0);
        check(35.0, Given::LimitOver { degrees_c: 45.0 }, 0.449_050_209);
    }
}
