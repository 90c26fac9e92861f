//! Inclinometers and AHRS boards that are read by Modbus RTU.
//!
//! A board answers and never talks by itself. Which register holds what differs
//! from make to make, so a person tells it. Frames and their sums are those of
//! the crate `rmodbus`; here registers become readings. Only functions 3 and 4,
//! which read, are ever used.

mod registers;
mod stream;

pub use registers::RegisterMap;
pub(crate) use stream::{AnswerStream, encode};
