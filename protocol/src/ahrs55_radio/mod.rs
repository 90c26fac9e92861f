//! The 20-byte frames that the radio boards of the 0x55 family send by Bluetooth,
//! `55 61` and nine words, and their answers about registers, `55 71`. Neither has a sum.
//!
//! Layout and scales: the maker's published program for the BWT901BLE5.0
//! (`WitBluetooth_BWT901BLE5_0`), and captured frames.

mod frame;

use crate::ahrs55::{accel_word, angle_word, rate_word};
use crate::frame_reader::{Decode, Packing, Step};
use crate::reading::Reading;
use crate::resync::{Next, Resync};

use frame::{FRAME_BYTES, Frame, candidate, plausible};

/// Frames of a stream.
#[derive(Debug, Default)]
pub(crate) struct Ahrs55RadioStream {
    resync: Resync,
    /// Told by an answer, for the next reading.
    temperature_c: Option<f64>,
}

impl Ahrs55RadioStream {
    fn frame(&mut self, frame: Frame) -> Step {
        match frame {
            Frame::Values(reading) => {
                let temperature_c = self.temperature_c.take();
                let reading = Reading {
                    temperature_c,
                    ..reading
                };
                Step::reading(FRAME_BYTES, Some(reading))
            }
            Frame::Registers { temperature_c } => {
                self.temperature_c = temperature_c.or(self.temperature_c);
                Step::quiet(FRAME_BYTES)
            }
        }
    }
}

impl Decode for Ahrs55RadioStream {
    fn lost_place(&mut self) {
        self.resync.lost_place();
        self.temperature_c = None;
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        match self.resync.next(unread, candidate) {
            Next::Frame { frame, .. } => self.frame(frame),
            Next::Step(step) => step,
        }
    }

    /// The end of a message stands for the head that would follow.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        match (packing, plausible(unread)) {
            (Packing::Messages, Some(frame)) if unread.len() == FRAME_BYTES => {
                self.resync.lost_place();
                self.frame(frame)
            }
            _ => Step::NeedMore,
        }
    }
}

/// Appends the frame of one reading; what it does not hold is sent as zero.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    let accel = reading.accel_g.unwrap_or_default().map(accel_word);
    let rate = reading.rate_radps.unwrap_or_default().map(rate_word);
    let angle = reading.attitude_rad.unwrap_or_default().map(angle_word);
    out.extend(frame::VALUES_HEAD);
    let words = [accel, rate, angle].into_iter().flatten();
    out.extend(words.flat_map(i16::to_le_bytes));
}
