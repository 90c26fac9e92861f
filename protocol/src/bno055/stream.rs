//! Answers out of a stream of bytes.

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Step};

use super::COUNT;
use super::block::{Block, NAMES};

const ANSWER: u8 = 0xbb;
const ERROR: u8 = 0xee;
const ANSWER_BYTES: usize = 2 + COUNT as usize;
const ERROR_BYTES: usize = 2;

/// Longest run of skipped bytes told as one.
const MOST_SKIPPED: usize = 64;

/// Answers of one chip.
#[derive(Debug, Default)]
pub(crate) struct Bno055Stream {
    /// Bytes at the front that are known to belong to no answer.
    skipped: usize,
}

/// What the bytes at the front are.
enum Front {
    NeedMore,
    Answer,
    Error(u8),
    Nothing,
}

fn judge(bytes: &[u8]) -> Front {
    match bytes {
        [] | [ANSWER | ERROR] => Front::NeedMore,
        [ANSWER, COUNT, data @ ..] if data.iter().zip(NAMES).all(|(byte, name)| *byte == name) => {
            match bytes.get(2..ANSWER_BYTES) {
                None => Front::NeedMore,
                // Cut by lost bytes, so that the next answer began within.
                Some(data) if holds_head(data) || !Block(data).is_whole() => Front::Nothing,
                Some(_) => Front::Answer,
            }
        }
        // The codes of the data sheet; 1 answers a write, and nothing is written.
        [ERROR, code @ 0x02..=0x0a, ..] => Front::Error(*code),
        _ => Front::Nothing,
    }
}

/// Is the whole beginning of an answer in it?
fn holds_head(data: &[u8]) -> bool {
    let [a, b, c, d] = NAMES;
    let head = [ANSWER, COUNT, a, b, c, d];
    data.windows(head.len()).any(|window| window == head)
}

impl Decode for Bno055Stream {
    fn step(&mut self, unread: &[u8]) -> Step {
        loop {
            let here = unread.get(self.skipped..).unwrap_or_default();
            let front = judge(here);
            match front {
                Front::NeedMore => return Step::NeedMore,
                Front::Nothing => {
                    self.skipped += 1;
                    if self.skipped < MOST_SKIPPED {
                        continue;
                    }
                }
                Front::Answer | Front::Error(_) => {}
            }
            if self.skipped > 0 {
                let skipped = std::mem::take(&mut self.skipped);
                return Step::bad(skipped, BadReason::Unsynchronised { skipped });
            }
            if let Front::Error(code) = front {
                return Step::bad(ERROR_BYTES, declined(code));
            }
            let data = here.get(2..ANSWER_BYTES).unwrap_or_default();
            return match Block(data).reading() {
                Some(reading) => Step::reading(ANSWER_BYTES, Some(reading)),
                None => Step::bad(ANSWER_BYTES, BadReason::NothingUsable),
            };
        }
    }

    fn lost_place(&mut self) {
        self.skipped = 0;
    }
}

/// What a code means (BST-BNO055-DS000-14, p. 94).
fn declined(code: u8) -> BadReason {
    let why = match code {
        0x02 => "it could not read its registers",
        0x03 => "it could not write its registers",
        0x04 => "it has no such register",
        0x05 => "writing is switched off",
        0x06 => "the question began with a wrong byte",
        // The chip was busy with its own bus; the next question is answered.
        0x07 => return BadReason::NotReady { code },
        0x08 => "too many registers were asked for",
        0x09 => "too few registers were asked for",
        _ => "the question came too slowly",
    };
    BadReason::Declined { code, why }
}
