//! `STMicroelectronics`.

use super::{FROM_MEMORY, limit_over, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade, GyroSheet};

const LSM6DS3_SHEET: &str = "DocID026899 r4, p. 19";
const LSM6DSO_SHEET: &str = "DS12140 r2, p. 9";
const LSM6DSOX_SHEET: &str = "as LSM6DSO, from memory";
const LSM6DSV_PAGE: &str = "LSM6DSV page of the Luxonis documentation";

pub(super) const LSM6DS3: DataSheet = DataSheet {
    name: "lsm6ds3",
    printed: "LSM6DS3",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 0.061,
        noise_ug_rthz: Some(typical(90.0, LSM6DS3_SHEET)),
        offset_mg: typical(40.0, LSM6DS3_SHEET),
        tempco_mg_per_c: Some(typical(0.5, LSM6DS3_SHEET)),
        scale_percent: None,
        // -40 to 85 °C.
        scale_tempco_percent_per_c: Some(limit_over(1.0, 65.0, LSM6DS3_SHEET)),
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: Some(GyroSheet {
        range_dps: 245.0,
        noise_dps_rthz: Some(typical(0.007, LSM6DS3_SHEET)),
        tempco_dps_per_c: Some(typical(0.05, LSM6DS3_SHEET)),
        scale_percent: None,
        scale_tempco_percent_per_c: Some(limit_over(1.5, 65.0, LSM6DS3_SHEET)),
        cross_percent: None,
    }),
};

pub(super) const LSM6DSO: DataSheet = DataSheet {
    name: "lsm6dso",
    printed: "LSM6DSO",
    ..dso(LSM6DSO_SHEET)
};

pub(super) const LSM6DSOX: DataSheet = DataSheet {
    name: "lsm6dsox",
    printed: "LSM6DSOX",
    ..dso(LSM6DSOX_SHEET)
};

const fn dso(source: &'static str) -> DataSheet {
    DataSheet {
        name: "",
        printed: "",
        grade: Grade::Quiet,
        accel: AccelSheet {
            range_g: 2.0,
            step_mg: 0.061,
            noise_ug_rthz: Some(typical(70.0, source)),
            offset_mg: typical(20.0, source),
            tempco_mg_per_c: Some(typical(0.1, source)),
            scale_percent: None,
            scale_tempco_percent_per_c: Some(typical(0.01, source)),
            nonlinearity_percent_fs: None,
            cross_percent: None,
        },
        gyro: Some(GyroSheet {
            range_dps: 250.0,
            noise_dps_rthz: Some(typical(0.0038, source)),
            tempco_dps_per_c: Some(typical(0.010, source)),
            scale_percent: Some(typical(1.0, source)),
            scale_tempco_percent_per_c: Some(typical(0.007, source)),
            cross_percent: None,
        }),
    }
}

pub(super) const LSM6DSV16X: DataSheet = DataSheet {
    name: "lsm6dsv16x",
    printed: "LSM6DSV16X",
    grade: Grade::Quiet,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 0.061,
        noise_ug_rthz: Some(typical(60.0, LSM6DSV_PAGE)),
        offset_mg: typical(12.0, FROM_MEMORY),
        tempco_mg_per_c: Some(typical(0.1, FROM_MEMORY)),
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: Some(GyroSheet {
        range_dps: 250.0,
        noise_dps_rthz: Some(typical(0.0028, LSM6DSV_PAGE)),
        tempco_dps_per_c: Some(typical(0.005, FROM_MEMORY)),
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        cross_percent: None,
    }),
};

pub(super) const LIS3DH: DataSheet = DataSheet {
    name: "lis3dh",
    printed: "LIS3DH",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        // 12 bits, left-justified.
        step_mg: 1.0,
        noise_ug_rthz: Some(typical(220.0, FROM_MEMORY)),
        offset_mg: typical(40.0, FROM_MEMORY),
        tempco_mg_per_c: Some(typical(0.5, FROM_MEMORY)),
        scale_percent: None,
        scale_tempco_percent_per_c: Some(typical(0.01, FROM_MEMORY)),
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: None,
};
