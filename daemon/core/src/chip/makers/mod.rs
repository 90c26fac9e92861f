//! The figures of chips that builders own, one file a maker.
//!
//! "from memory" is said where no document was at hand. Typical figures hold at
//! 25 °C; of three axes the worst is kept.

mod analog_devices;
mod bosch;
mod ceva;
mod invensense;
mod modules;
mod murata;
mod st;

use super::data_sheet::{DataSheet, Figure, Given};

const FROM_MEMORY: &str = "from memory";

const fn typical(value: f64, source: &'static str) -> Figure {
    Figure {
        value,
        given: Given::Typical,
        source,
    }
}

const fn limit(value: f64, source: &'static str) -> Figure {
    Figure {
        value,
        given: Given::Limit,
        source,
    }
}

const fn limit_over(value: f64, degrees_c: f64, source: &'static str) -> Figure {
    Figure {
        value,
        given: Given::LimitOver { degrees_c },
        source,
    }
}

/// Every chip that has a name of its own, in the order of docs/CHIPS.md.
pub(super) const ALL: [&DataSheet; 17] = [
    &invensense::MPU6050,
    &invensense::MPU9250,
    &invensense::ICM20948,
    &st::LSM6DS3,
    &st::LSM6DSO,
    &st::LSM6DSOX,
    &st::LSM6DSV16X,
    &st::LIS3DH,
    &bosch::BMI270,
    &bosch::BNO055,
    &ceva::BNO085,
    &ceva::BNO086,
    &analog_devices::ADXL345,
    &analog_devices::ADXL355,
    &murata::SCA3300,
    &murata::SCL3300,
    &modules::AHRS55,
];
