//! Xbus frames with `MTData2`, as Xsens/Movella motion trackers send them.
//!
//! Layout: the low-level protocol MT0101P, and documentation and tests of
//! `Scottapotamas/xsens-mti` (Apache-2.0).

mod encode;
mod frame;
mod items;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Step};
use crate::resync::{Next, Resync};
use crate::unwrap_count::Unwrap;

pub(crate) use encode::encode;

use frame::{Span, candidate};

/// Width of the packet counter.
pub(crate) const SEQUENCE_BITS: u8 = 16;

/// The fine sample time counts in steps of 100 µs.
const US_PER_TICK: f64 = 100.0;

/// Frames of a stream.
#[derive(Debug, Default)]
pub(crate) struct XbusStream {
    resync: Resync,
    clock: Unwrap,
}

impl Decode for XbusStream {
    fn lost_place(&mut self) {
        self.resync.lost_place();
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        let (len, Span { kind, data }) = match self.resync.next(unread, candidate) {
            Next::Frame { len, frame } => (len, frame),
            Next::Step(step) => return step,
        };
        if kind != frame::MTDATA2 {
            return Step::bad(len, BadReason::UnknownType { kind });
        }
        let mut taken = items::read(unread.get(data.0..data.1).unwrap_or_default());
        taken.reading.device_time_us = taken
            .ticks
            .map(|ticks| self.clock.count(ticks) * US_PER_TICK);
        let measured = taken.reading;
        let triples = [measured.accel_g, measured.rate_radps, measured.attitude_rad];
        if triples.iter().all(Option::is_none) {
            return Step::bad(len, BadReason::NothingUsable);
        }
        Step::reading(len, Some(measured))
    }
}
