//! Boards that send binary frames of 11 bytes, `55 TT d0..d7 SUM`, and spread a
//! reading over several of them.

mod clock;
mod cycle;
mod encode;
mod frame;
mod stream;

pub(crate) use encode::encode;
pub(crate) use frame::{
    HEAD, TemperatureScale, accel_g, accel_word, angle_rad, angle_word, rate_radps, rate_word,
};
pub(crate) use stream::Ahrs55Stream;
