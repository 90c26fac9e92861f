//! Modules that are sold by their protocol rather than by their chip.

use super::typical;
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade, GyroSheet};

const BWT901CL_SHEET: &str = "BWT901CL data sheet v20-0707, p. 7";

/// The 0x55 attitude modules. The sheet states an "accuracy" of 10 mg: it is taken as the
/// offset, and as much at 1 g as the error of the scale and of the axes.
pub(super) const AHRS55: DataSheet = DataSheet {
    name: "ahrs55",
    printed: "0x55 modules",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 16.0,
        step_mg: 16_000.0 / 32_768.0,
        noise_ug_rthz: None,
        offset_mg: typical(10.0, BWT901CL_SHEET),
        tempco_mg_per_c: None,
        scale_percent: Some(typical(1.0, BWT901CL_SHEET)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: Some(typical(1.0, BWT901CL_SHEET)),
    },
    gyro: Some(GyroSheet {
        range_dps: 2000.0,
        noise_dps_rthz: None,
        tempco_dps_per_c: None,
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        cross_percent: None,
    }),
};
