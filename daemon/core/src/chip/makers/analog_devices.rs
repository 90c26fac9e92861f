//! Analog Devices.

use super::{FROM_MEMORY, limit, typical};
use crate::chip::data_sheet::{AccelSheet, DataSheet, Figure, Given, Grade};

const ADXL345_SHEET: &str = "ADXL345 data sheet, p. 33";
const ADXL345_LISTING: &str = "230 to 282 LSB/g in a distributor's listing";
const ADXL355_NOTE: &str = "EngineerZone post on the ADXL355's noise";
const ADXL355_DOCUMENT: &str = "limit: ADI documentation; typical: from memory";

pub(super) const ADXL345: DataSheet = DataSheet {
    name: "adxl345",
    printed: "ADXL345",
    grade: Grade::Consumer,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 3.9,
        // z axis.
        noise_ug_rthz: Some(typical(430.0, ADXL345_SHEET)),
        offset_mg: typical(40.0, FROM_MEMORY),
        tempco_mg_per_c: Some(typical(1.2, FROM_MEMORY)),
        scale_percent: Some(limit(10.0, ADXL345_LISTING)),
        scale_tempco_percent_per_c: None,
        nonlinearity_percent_fs: Some(typical(0.5, FROM_MEMORY)),
        cross_percent: Some(typical(1.0, FROM_MEMORY)),
    },
    gyro: None,
};

pub(super) const ADXL355: DataSheet = DataSheet {
    name: "adxl355",
    printed: "ADXL355",
    grade: Grade::Tilt,
    accel: AccelSheet {
        range_g: 2.0,
        step_mg: 1000.0 / 256_000.0,
        noise_ug_rthz: Some(typical(22.5, ADXL355_NOTE)),
        offset_mg: Figure {
            value: 25.0,
            given: Given::TypicalAndLimit { limit: 75.0 },
            source: FROM_MEMORY,
        },
        tempco_mg_per_c: Some(Figure {
            value: 0.02,
            given: Given::TypicalAndLimit { limit: 0.15 },
            source: ADXL355_DOCUMENT,
        }),
        scale_percent: Some(limit(8.0, FROM_MEMORY)),
        scale_tempco_percent_per_c: Some(typical(0.01, FROM_MEMORY)),
        nonlinearity_percent_fs: Some(typical(0.1, FROM_MEMORY)),
        cross_percent: Some(typical(1.0, FROM_MEMORY)),
    },
    gyro: None,
};
