//! CEVA (Hillcrest): chips with a fusion of their own, read by RVC frames.

use super::{FROM_MEMORY, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Grade};

pub(super) const BNO085: DataSheet = DataSheet {
    name: "bno085",
    printed: "BNO085",
    ..BNO08X
};

pub(super) const BNO086: DataSheet = DataSheet {
    name: "bno086",
    printed: "BNO086",
    ..BNO08X
};

/// RVC frames tell angles and acceleration, no rate. Of the accelerometer no figure is
/// published; a tilt of rest is as wrong as the acceleration it was found from, so the
/// static error of roll and pitch, 1.5°, is taken as the offset: 1 g · 1.5° in radians.
const BNO08X: DataSheet = DataSheet {
    name: "",
    printed: "",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 8.0,
        step_mg: 1.0,
        noise_ug_rthz: None,
        offset_mg: typical(1.5 * 1000.0 * std::f64::consts::PI / 180.0, FROM_MEMORY),
        tempco_mg_per_c: None,
        scale_percent: None,
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: None,
        cross_percent: None,
    },
    gyro: None,
};
