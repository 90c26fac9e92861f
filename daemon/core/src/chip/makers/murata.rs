//! Murata.

use super::{FROM_MEMORY, limit_over, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade};

const SCA3300_SHEET: &str = "Doc 3165 r2, p. 1";

/// ±10 mg from -40 to 125 °C.
const HEAT_C: f64 = 100.0;

pub(super) const SCA3300: DataSheet = DataSheet {
    name: "sca3300",
    printed: "SCA3300",
    grade: Grade::Tilt,
    accel: AccelSheet {
        range_g: 3.0,
        step_mg: 1000.0 / 2700.0,
        noise_ug_rthz: Some(typical(37.0, SCA3300_SHEET)),
        offset_mg: typical(20.0, FROM_MEMORY),
        tempco_mg_per_c: Some(limit_over(10.0, HEAT_C, FROM_MEMORY)),
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: None,
};

/// Mode 1.
pub(super) const SCL3300: DataSheet = DataSheet {
    name: "scl3300",
    printed: "SCL3300",
    grade: Grade::Tilt,
    accel: AccelSheet {
        range_g: 1.2,
        step_mg: 1000.0 / 6000.0,
        // 0.001 °/√Hz of tilt, as acceleration.
        noise_ug_rthz: Some(typical(
            0.001 * 1e6 * std::f64::consts::PI / 180.0,
            FROM_MEMORY,
        )),
        offset_mg: typical(20.0, FROM_MEMORY),
        tempco_mg_per_c: Some(limit_over(10.0, HEAT_C, FROM_MEMORY)),
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: None,
};
