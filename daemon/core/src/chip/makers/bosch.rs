//! Bosch Sensortec.

use super::{FROM_MEMORY, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade, GyroSheet};

const BMI270_SHEET: &str = "BST-BMI270-DS000-07";

pub(super) const BMI270: DataSheet = DataSheet {
    name: "bmi270",
    printed: "BMI270",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 1000.0 / 16384.0,
        noise_ug_rthz: Some(typical(160.0, BMI270_SHEET)),
        offset_mg: typical(20.0, FROM_MEMORY),
        tempco_mg_per_c: Some(typical(0.25, FROM_MEMORY)),
        scale_percent: Some(typical(0.4, FROM_MEMORY)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: Some(GyroSheet {
        range_dps: 250.0,
        noise_dps_rthz: Some(typical(0.007, BMI270_SHEET)),
        tempco_dps_per_c: Some(typical(0.02, FROM_MEMORY)),
        scale_percent: Some(typical(2.0, FROM_MEMORY)),
        scale_tempco_percent_per_c: None,
        cross_percent: None,
    }),
};

pub(super) const BNO055: DataSheet = DataSheet {
    name: "bno055",
    printed: "BNO055",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 4.0,
        step_mg: 1.0,
        noise_ug_rthz: Some(typical(150.0, FROM_MEMORY)),
        offset_mg: typical(80.0, FROM_MEMORY),
        tempco_mg_per_c: Some(typical(1.0, FROM_MEMORY)),
        scale_percent: Some(typical(1.0, FROM_MEMORY)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: Some(typical(0.5, FROM_MEMORY)),
        cross_percent: Some(typical(1.0, FROM_MEMORY)),
    },
    gyro: Some(GyroSheet {
        range_dps: 2000.0,
        noise_dps_rthz: Some(typical(0.014, FROM_MEMORY)),
        tempco_dps_per_c: Some(typical(0.015, FROM_MEMORY)),
        scale_percent: Some(typical(1.0, FROM_MEMORY)),
        scale_tempco_percent_per_c: None,
        cross_percent: Some(typical(1.0, FROM_MEMORY)),
    }),
};
