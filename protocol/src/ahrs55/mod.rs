//! Boards that send binary frames of 11 bytes, `55 TT d0..d7 SUM`, and spread a
//! reading over several of them.

mod clock;
mod cycle;
mod encode;
mod frame;
mod stream;

pub(crate) use encode::encode;
pub(crate) use frame::TemperatureScale;
pub(crate) use stream::Ahrs55Stream;
