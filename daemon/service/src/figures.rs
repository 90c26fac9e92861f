//! Figures of one's own chip, as a person writes them into a configuration or
//! a session file.
//!
//! Every key is one figure of [`ChipFigures`] in the unit of data sheets; what
//! is left out stays as the chip's class has it.

use hubplumb_core::chip::{ChipFigures, SettledAxis};
use hubplumb_core::frames::{Dir, Vec3};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One-sigma figures of one chip. What is left out is the class's.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct Figures {
    /// Accelerometer noise density, µg/√Hz, one-sided.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_noise_ug_rthz: Option<f64>,
    /// Accelerometer offset that calibration leaves, mg, per axis.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_offset_mg: Option<f64>,
    /// Accelerometer scale error that calibration leaves, ppm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_scale_ppm: Option<f64>,
    /// Accelerometer cross-axis sensitivity that calibration leaves, mrad.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_cross_mrad: Option<f64>,
    /// Accelerometer full scale, g.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_range_g: Option<f64>,
    /// Accelerometer step, mg.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_step_mg: Option<f64>,
    /// Gyro noise density, (°/s)/√Hz, one-sided.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_noise_dps_rthz: Option<f64>,
    /// Drift of the gyro's rest offset over a minute, °/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_drift_dps: Option<f64>,
    /// Gyro scale error, ppm.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_scale_ppm: Option<f64>,
    /// Gyro cross-axis sensitivity, mrad.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_cross_mrad: Option<f64>,
    /// Gyro full scale, °/s.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_range_dps: Option<f64>,
    /// Accelerometer offset per degree, mg/°C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_tempco_mg_per_c: Option<f64>,
    /// Accelerometer scale per degree, ppm/°C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_scale_tempco_ppm_per_c: Option<f64>,
    /// Accelerometer offset after a year, mg; it grows with the root of the time.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_ageing_mg_rtyear: Option<f64>,
    /// Gyro rest offset per degree, (°/s)/°C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_tempco_dps_per_c: Option<f64>,
    /// Gyro scale per degree, ppm/°C.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gyro_scale_tempco_ppm_per_c: Option<f64>,
    /// Does the board tell angles only, so that the length of what it felt is unknown?
    #[serde(skip_serializing_if = "Option::is_none")]
    pub angles_only: Option<bool>,
    /// A direction along which the accelerometer offset is known better, from turning the board end for end.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub accel_settled: Option<Settled>,
}

/// A direction along which the accelerometer offset is known better.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Settled {
    /// The direction, in the board's axes.
    pub along: [f64; 3],
    /// What the board felt in both places alike, g: nothing where it was turned top to bottom.
    #[serde(default)]
    pub felt_g: [f64; 3],
    /// Offset that is left along it, mg.
    pub offset_mg: f64,
}

/// A figure that cannot be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BadFigure {
    /// Its key.
    pub key: &'static str,
    /// What was written.
    pub found: f64,
}

/// Larger than this no figure is, in any of the units above.
const LIMIT: f64 = 1e7;

impl Figures {
    /// Each figure with its key, its place in [`ChipFigures`] and one of its unit in the core's.
    fn table(
        &self,
        chip: &mut ChipFigures,
        mut each: impl FnMut(&'static str, Option<f64>, &mut f64, f64),
    ) {
        const DEG: f64 = std::f64::consts::PI / 180.0;
        let mut row = |key, written, place: &mut f64, unit| each(key, written, place, unit);
        row(
            "accel_noise_ug_rthz",
            self.accel_noise_ug_rthz,
            &mut chip.accel_noise_g_rthz,
            1e-6,
        );
        row(
            "accel_offset_mg",
            self.accel_offset_mg,
            &mut chip.accel_offset_g,
            1e-3,
        );
        row(
            "accel_scale_ppm",
            self.accel_scale_ppm,
            &mut chip.accel_scale,
            1e-6,
        );
        row(
            "accel_cross_mrad",
            self.accel_cross_mrad,
            &mut chip.accel_cross_rad,
            1e-3,
        );
        row(
            "accel_range_g",
            self.accel_range_g,
            &mut chip.accel_range_g,
            1.0,
        );
        row(
            "accel_step_mg",
            self.accel_step_mg,
            &mut chip.accel_step_g,
            1e-3,
        );
        row(
            "gyro_noise_dps_rthz",
            self.gyro_noise_dps_rthz,
            &mut chip.gyro_noise_radps_rthz,
            DEG,
        );
        row(
            "gyro_drift_dps",
            self.gyro_drift_dps,
            &mut chip.gyro_drift_radps,
            DEG,
        );
        row(
            "gyro_scale_ppm",
            self.gyro_scale_ppm,
            &mut chip.gyro_scale,
            1e-6,
        );
        row(
            "gyro_cross_mrad",
            self.gyro_cross_mrad,
            &mut chip.gyro_cross_rad,
            1e-3,
        );
        row(
            "gyro_range_dps",
            self.gyro_range_dps,
            &mut chip.gyro_range_radps,
            DEG,
        );
        row(
            "accel_tempco_mg_per_c",
            self.accel_tempco_mg_per_c,
            &mut chip.accel_tempco_g_per_c,
            1e-3,
        );
        row(
            "accel_scale_tempco_ppm_per_c",
            self.accel_scale_tempco_ppm_per_c,
            &mut chip.accel_scale_tempco_per_c,
            1e-6,
        );
        row(
            "accel_ageing_mg_rtyear",
            self.accel_ageing_mg_rtyear,
            &mut chip.accel_ageing_g_rtyear,
            1e-3,
        );
        row(
            "gyro_tempco_dps_per_c",
            self.gyro_tempco_dps_per_c,
            &mut chip.gyro_tempco_radps_per_c,
            DEG,
        );
        row(
            "gyro_scale_tempco_ppm_per_c",
            self.gyro_scale_tempco_ppm_per_c,
            &mut chip.gyro_scale_tempco_per_c,
            1e-6,
        );
    }

    /// A class with these figures in place of its own, or everything that cannot be.
    pub fn over(&self, class: ChipFigures) -> Result<ChipFigures, Vec<BadFigure>> {
        let mut chip = class;
        let mut bad = Vec::new();
        self.table(&mut chip, |key, written, place, unit| {
            let Some(found) = written else { return };
            // NaN, which TOML allows, is outside.
            if (0.0..=LIMIT).contains(&found) {
                *place = found * unit;
            } else {
                bad.push(BadFigure { key, found });
            }
        });
        chip.angles_only = self.angles_only.unwrap_or(class.angles_only);
        if let Some(settled) = self.accel_settled {
            match Dir::along(Vec3::from_array(settled.along)) {
                Some(along)
                    if (0.0..=LIMIT).contains(&settled.offset_mg)
                        && settled.felt_g.iter().all(|part| part.abs() <= 2.0) =>
                {
                    chip.accel_settled = Some(SettledAxis {
                        along,
                        felt_g: Vec3::from_array(settled.felt_g),
                        offset_g: settled.offset_mg * 1e-3,
                    });
                }
                _ => bad.push(BadFigure {
                    key: "accel_settled",
                    found: settled.offset_mg,
                }),
            }
        }
        if bad.is_empty() { Ok(chip) } else { Err(bad) }
    }

    /// All figures of a chip written out; a range without end is left out.
    pub fn of(chip: &ChipFigures) -> Self {
        let mut figures = Self::default();
        let mut written = Vec::new();
        figures.table(&mut chip.clone(), |_, _, place, unit| {
            written.push((*place < f64::MAX).then(|| tidied(*place / unit)));
        });
        let mut written = written.into_iter();
        let mut next = || written.next().flatten();
        figures.accel_noise_ug_rthz = next();
        figures.accel_offset_mg = next();
        figures.accel_scale_ppm = next();
        figures.accel_cross_mrad = next();
        figures.accel_range_g = next();
        figures.accel_step_mg = next();
        figures.gyro_noise_dps_rthz = next();
        figures.gyro_drift_dps = next();
        figures.gyro_scale_ppm = next();
        figures.gyro_cross_mrad = next();
        figures.gyro_range_dps = next();
        figures.accel_tempco_mg_per_c = next();
        figures.accel_scale_tempco_ppm_per_c = next();
        figures.accel_ageing_mg_rtyear = next();
        figures.gyro_tempco_dps_per_c = next();
        figures.gyro_scale_tempco_ppm_per_c = next();
        figures.angles_only = chip.angles_only.then_some(true);
        figures.accel_settled = chip.accel_settled.map(|axis| Settled {
            along: axis.along.vec().to_array(),
            felt_g: axis.felt_g.to_array(),
            offset_mg: axis.offset_g * 1e3,
        });
        figures
    }
}

/// A figure without the last digits that a change of units leaves behind.
fn tidied(figure: f64) -> f64 {
    format!("{figure:.12e}").parse().unwrap_or(figure)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_comes_back_from_its_written_figures() {
        for name in ChipFigures::NAMES {
            let chip = ChipFigures::named(name).unwrap();
            let again = Figures::of(&chip).over(ChipFigures::IDEAL).unwrap();
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-12 * b.abs();
            let mut pairs = Vec::new();
            Figures::default().table(&mut chip.clone(), |key, _, place, _| {
                pairs.push((key, *place));
            });
            let mut found = Vec::new();
            Figures::default().table(&mut again.clone(), |_, _, place, _| found.push(*place));
            for ((key, is), should) in pairs.iter().zip(&found) {
                assert!(close(*should, *is), "{name}: {key}: {should} for {is}");
            }
        }
    }

    #[test]
    fn units_are_those_of_the_keys() {
        let figures = Figures {
            accel_noise_ug_rthz: Some(120.0),
            gyro_drift_dps: Some(180.0),
            ..Figures::default()
        };
        let chip = figures.over(ChipFigures::CHEAP).unwrap();
        assert!((chip.accel_noise_g_rthz - 120e-6).abs() < 1e-18);
        assert!((chip.gyro_drift_radps - std::f64::consts::PI).abs() < 1e-12);
        assert_eq!(chip.accel_scale, ChipFigures::CHEAP.accel_scale);
    }

    #[test]
    fn a_figure_that_cannot_be_is_named() {
        for (found, bad) in [(-1.0, true), (f64::NAN, true), (1e9, true), (0.0, false)] {
            let figures = Figures {
                accel_offset_mg: Some(found),
                ..Figures::default()
            };
            let judged = figures.over(ChipFigures::CHEAP);
            assert_eq!(judged.is_err(), bad, "{found}");
            assert!(
                judged
                    .err()
                    .is_none_or(|bad| bad[0].key == "accel_offset_mg")
            );
        }
    }
}
