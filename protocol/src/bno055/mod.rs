//! The BNO055 over its serial port.
//!
//! The chip answers and never talks by itself. One question reads every register
//! that is of use: `AA 01 00 3E` is answered by `BB 3E` and 62 bytes, or by `EE`
//! and a code. Only reads are ever asked; the mode and the units are set
//! beforehand by whoever builds the board. There is no sum, so that the
//! block begins with the registers that name the chip, and an answer is believed
//! by these.
//!
//! Source of the frames and codes: BST-BNO055-DS000-14, p. 94; of the registers'
//! places and scales (§3.6, §4.3): from memory.

mod block;
mod stream;

pub(crate) use block::encode;
pub(crate) use stream::Bno055Stream;

use std::time::Duration;

use crate::question::Question;

/// First register that is read, and how many are.
const FIRST: u8 = 0x00;
const COUNT: u8 = 0x3e;

/// Fused values are made a hundred times a second; asked half as often the chip
/// has time to answer, which it does in a few milliseconds.
const EVERY: Duration = Duration::from_millis(20);
const ANSWER_WITHIN: Duration = Duration::from_millis(100);

/// The question that is asked.
pub(crate) fn question() -> Question {
    Question {
        bytes: vec![0xaa, 0x01, FIRST, COUNT],
        every: EVERY,
        answer_within: ANSWER_WITHIN,
    }
}
