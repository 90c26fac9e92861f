//! Chip figures: a preset and what the file says differently.

use super::build::within;
use super::error::ScenarioError;
use super::file::ChipFile;
use crate::board::ChipFigures;
use crate::car::Mount;

#[expect(clippy::too_many_lines, reason = "a line for each key of the file")]
pub(super) fn figures(mount: Mount, file: &ChipFile) -> Result<ChipFigures, ScenarioError> {
    let mut chip = ChipFigures::from(file.preset);
    let set = |name: &str, value: Option<f64>, factor: f64, figure: &mut f64| {
        if let Some(value) = value {
            let key = format!("board {mount}: chip.{name}");
            *figure = within(&key, value, 0.0..=1e9)? * factor;
        }
        Ok::<(), ScenarioError>(())
    };
    let a = &mut chip.accel;
    set(
        "accel_noise_ug_per_rthz",
        file.accel_noise_ug_per_rthz,
        1e-6,
        &mut a.noise_density,
    )?;
    set(
        "accel_bias_sigma_mg",
        file.accel_bias_sigma_mg,
        1e-3,
        &mut a.bias,
    )?;
    set(
        "accel_walk_ug_per_rts",
        file.accel_walk_ug_per_rts,
        1e-6,
        &mut a.walk,
    )?;
    set("accel_scale_ppm", file.accel_scale_ppm, 1e-6, &mut a.scale)?;
    set(
        "accel_cross_axis_mrad",
        file.accel_cross_axis_mrad,
        1e-3,
        &mut a.cross_axis,
    )?;
    set(
        "accel_drift_mg_per_c",
        file.accel_drift_mg_per_c,
        1e-3,
        &mut a.tempco,
    )?;
    set("accel_range_g", file.accel_range_g, 1.0, &mut a.range)?;
    set("accel_lsb_mg", file.accel_lsb_mg, 1e-3, &mut a.lsb)?;
    let gyro_keys = [
        file.gyro_noise_dps_per_rthz,
        file.gyro_bias_sigma_dps,
        file.gyro_walk_dps_per_rts,
        file.gyro_scale_ppm,
        file.gyro_cross_axis_mrad,
        file.gyro_drift_dps_per_c,
        file.gyro_range_dps,
        file.gyro_lsb_mdps,
        file.gyro_flicker_dps,
        file.gyro_per_g_dps,
    ];
    let Some(g) = chip.gyro.as_mut() else {
        if gyro_keys.iter().any(Option::is_some) || file.gyro_bias_dps.is_some() {
            return Err(ScenarioError::value(
                format!("board {mount}: chip"),
                "gyro figures for a chip without gyro",
                "take the gyro_ keys out or choose another preset",
            ));
        }
        return Ok(chip);
    };
    let dps = 1.0_f64.to_radians();
    set(
        "gyro_noise_dps_per_rthz",
        file.gyro_noise_dps_per_rthz,
        dps,
        &mut g.noise_density,
    )?;
    set(
        "gyro_bias_sigma_dps",
        file.gyro_bias_sigma_dps,
        dps,
        &mut g.bias,
    )?;
    set(
        "gyro_walk_dps_per_rts",
        file.gyro_walk_dps_per_rts,
        dps,
        &mut g.walk,
    )?;
    set("gyro_scale_ppm", file.gyro_scale_ppm, 1e-6, &mut g.scale)?;
    set(
        "gyro_cross_axis_mrad",
        file.gyro_cross_axis_mrad,
        1e-3,
        &mut g.cross_axis,
    )?;
    set(
        "gyro_drift_dps_per_c",
        file.gyro_drift_dps_per_c,
        dps,
        &mut g.tempco,
    )?;
    set("gyro_range_dps", file.gyro_range_dps, dps, &mut g.range)?;
    set(
        "gyro_flicker_dps",
        file.gyro_flicker_dps,
        dps,
        &mut g.flicker,
    )?;
    set("gyro_per_g_dps", file.gyro_per_g_dps, dps, &mut g.per_g)?;
    set("gyro_lsb_mdps", file.gyro_lsb_mdps, dps * 1e-3, &mut g.lsb)?;
    Ok(chip)
}
