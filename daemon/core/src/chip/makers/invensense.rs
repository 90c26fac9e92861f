//! `InvenSense` (TDK).

use super::{limit_over, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade, GyroSheet};

const PS_6000: &str = "PS-MPU-6000A r3.4, p. 12-13";
const PS_9250: &str = "PS-MPU-9250A r1.0, p. 8-9";
const DS_20948: &str = "DS-000189 v1.3";

pub(super) const MPU6050: DataSheet = DataSheet {
    name: "mpu6050",
    printed: "MPU-6050",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 1000.0 / 16384.0,
        noise_ug_rthz: Some(typical(400.0, PS_6000)),
        offset_mg: typical(80.0, PS_6000),
        // 0 to 70 °C, z axis.
        tempco_mg_per_c: Some(limit_over(60.0, 45.0, PS_6000)),
        scale_percent: Some(typical(3.0, PS_6000)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: Some(typical(0.5, PS_6000)),
        cross_percent: Some(typical(2.0, PS_6000)),
    },
    gyro: Some(GyroSheet {
        range_dps: 250.0,
        noise_dps_rthz: Some(typical(0.005, PS_6000)),
        // -40 to 85 °C.
        tempco_dps_per_c: Some(limit_over(20.0, 65.0, PS_6000)),
        scale_percent: Some(typical(3.0, PS_6000)),
        scale_tempco_percent_per_c: None,
        cross_percent: Some(typical(2.0, PS_6000)),
    }),
};

pub(super) const MPU9250: DataSheet = DataSheet {
    name: "mpu9250",
    printed: "MPU-9250",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 1000.0 / 16384.0,
        noise_ug_rthz: Some(typical(300.0, PS_9250)),
        offset_mg: typical(80.0, PS_9250),
        tempco_mg_per_c: Some(typical(1.5, PS_9250)),
        scale_percent: Some(typical(3.0, PS_9250)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: Some(typical(0.5, PS_9250)),
        cross_percent: Some(typical(2.0, PS_9250)),
    },
    gyro: Some(GyroSheet {
        range_dps: 250.0,
        noise_dps_rthz: Some(typical(0.01, PS_9250)),
        // -40 to 85 °C.
        tempco_dps_per_c: Some(limit_over(30.0, 65.0, PS_9250)),
        scale_percent: Some(typical(3.0, PS_9250)),
        scale_tempco_percent_per_c: None,
        cross_percent: Some(typical(2.0, PS_9250)),
    }),
};

pub(super) const ICM20948: DataSheet = DataSheet {
    name: "icm20948",
    printed: "ICM-20948",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 1000.0 / 16384.0,
        noise_ug_rthz: Some(typical(230.0, DS_20948)),
        // Soldered to a board; the chip alone has 25.
        offset_mg: typical(50.0, DS_20948),
        tempco_mg_per_c: Some(typical(0.8, DS_20948)),
        scale_percent: Some(typical(0.5, DS_20948)),
        scale_tempco_percent_per_c: Some(typical(0.026, DS_20948)),
        nonlinearity_percent_fs: Some(typical(0.5, DS_20948)),
        cross_percent: Some(typical(2.0, DS_20948)),
    },
    gyro: Some(GyroSheet {
        range_dps: 250.0,
        noise_dps_rthz: Some(typical(0.015, DS_20948)),
        tempco_dps_per_c: Some(typical(0.05, DS_20948)),
        scale_percent: Some(typical(1.5, DS_20948)),
        scale_tempco_percent_per_c: None,
        cross_percent: Some(typical(2.0, DS_20948)),
    }),
};
