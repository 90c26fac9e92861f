//! Frames out of a stream of bytes.
//!
//! Frames end with a zero and hold none, so one that is damaged takes no other
//! with it. Where the zero before a frame is missing (garbage runs into it, or
//! the byte was lost) the frame is found at the end of the stretch: by its
//! check, by its version, and by the length that its own first bytes ask for.

use memchr::memchr;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Packing, Step};
use crate::unwrap_count::Unwrap;

use super::contents::{self, is_plausible};
use super::frame::{DELIMITER, MOST_STUFFED_BYTES, NoFrame, unpack};

/// Bytes without a delimiter after which the oldest are given up; as many as a frame may have stay.
const MOST_STRETCH_BYTES: usize = 64;

/// Frames of a stream.
#[derive(Debug, Default)]
pub(crate) struct CompactStream {
    clock: Unwrap,
    /// A delimiter came last, so that the next byte begins a frame.
    at_start: bool,
}

impl CompactStream {
    /// A stretch between delimiters, not empty; `ended` is its length with what ended it.
    fn stretch(&mut self, stretch: &[u8], ended: usize) -> Step {
        let at_start = std::mem::replace(&mut self.at_start, true);
        let no_frame = match unpack(stretch) {
            Ok(payload) => return self.payload(payload.bytes(), ended),
            Err(no_frame) => no_frame,
        };
        if let Some(start) = frame_at_the_end(stretch) {
            return Step::bad(start, BadReason::Unsynchronised { skipped: start });
        }
        let reason = match no_frame {
            NoFrame::WrongCheck { expected, found } if at_start => {
                BadReason::Checksum { expected, found }
            }
            _ => BadReason::Unsynchronised { skipped: ended },
        };
        Step::bad(ended, reason)
    }

    fn payload(&mut self, payload: &[u8], ended: usize) -> Step {
        let contents = match contents::read(payload) {
            Ok(contents) => contents,
            Err(reason) => return Step::bad(ended, reason),
        };
        let mut reading = contents.reading;
        reading.device_time_us = Some(self.clock.count(contents.time_us));
        let measured = [reading.accel_g, reading.rate_radps, reading.attitude_rad];
        if measured.iter().all(Option::is_none) {
            return Step::bad(ended, BadReason::NothingUsable);
        }
        Step::reading(ended, Some(reading))
    }
}

/// Where a frame begins that ends with the stretch and does not begin with it.
fn frame_at_the_end(stretch: &[u8]) -> Option<usize> {
    let first = stretch.len().saturating_sub(MOST_STUFFED_BYTES).max(1);
    (first..stretch.len()).find(|&start| {
        let tail = stretch.get(start..).unwrap_or_default();
        unpack(tail).is_ok_and(|payload| is_plausible(payload.bytes()))
    })
}

impl Decode for CompactStream {
    fn lost_place(&mut self) {
        self.at_start = false;
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        let window = unread.get(..MOST_STRETCH_BYTES).unwrap_or(unread);
        match memchr(DELIMITER, window) {
            // A second delimiter between frames says nothing new.
            Some(0) => {
                self.at_start = true;
                Step::quiet(1)
            }
            Some(end) => self.stretch(window.get(..end).unwrap_or_default(), end + 1),
            None if window.len() == MOST_STRETCH_BYTES => {
                self.at_start = false;
                let skipped = MOST_STRETCH_BYTES - MOST_STUFFED_BYTES;
                Step::bad(skipped, BadReason::Unsynchronised { skipped })
            }
            None => Step::NeedMore,
        }
    }

    /// A datagram is whole, whether or not the sketch ended its frame.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        match packing {
            Packing::Messages => self.stretch(unread, unread.len()),
            Packing::Stream | Packing::Pieces => Step::NeedMore,
        }
    }
}
