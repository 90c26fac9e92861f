//! Frames out of a stream of bytes, and readings out of frames.

use std::collections::VecDeque;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Step};
use crate::reading::Reading;
use crate::resync::{Next, Resync};

use super::cycle::{Cycle, Ended};
use super::frame::{FRAME_BYTES, Kind, RawFrame, TemperatureScale, candidate};

/// Frames and cycles of a stream.
#[derive(Debug)]
pub(crate) struct Ahrs55Stream {
    cycle: Cycle,
    resync: Resync,
    /// Found, and not given yet: a frame may end one cycle and complete another.
    waiting: VecDeque<Result<Reading, BadReason>>,
}

impl Ahrs55Stream {
    pub(crate) fn new(temperature_scale: TemperatureScale) -> Self {
        Self {
            cycle: Cycle::new(temperature_scale),
            resync: Resync::default(),
            waiting: VecDeque::new(),
        }
    }

    /// A run of bytes that belong to no frame.
    fn skipped(&mut self, len: usize, reason: BadReason) -> Step {
        // Exactly one frame's worth: the frames around it are of one cycle, or
        // their types tell that they are not.
        let ended = if len == FRAME_BYTES && matches!(reason, BadReason::Checksum { .. }) {
            self.cycle.frame_lost();
            Ended::default()
        } else {
            self.cycle.place_lost()
        };
        self.wait(&ended);
        Step::bad(len, reason)
    }

    fn frame(&mut self, frame: RawFrame) -> Step {
        let Some(kind) = Kind::of(frame.kind) else {
            return Step::bad(FRAME_BYTES, BadReason::UnknownType { kind: frame.kind });
        };
        let ended = self.cycle.frame(kind, frame);
        self.wait(&ended);
        Step::quiet(FRAME_BYTES)
    }

    fn wait(&mut self, ended: &Ended) {
        let readings = ended.readings.iter().flatten().copied();
        self.waiting.extend(readings.map(Ok));
        if ended.unusable {
            self.waiting.push_back(Err(BadReason::NothingUsable));
        }
    }
}

impl Decode for Ahrs55Stream {
    fn lost_place(&mut self) {
        self.resync.lost_place();
        let ended = self.cycle.place_lost();
        self.wait(&ended);
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        match self.waiting.pop_front() {
            Some(Ok(reading)) => return Step::reading(0, Some(reading)),
            Some(Err(reason)) => return Step::bad(0, reason),
            None => {}
        }
        match self.resync.next(unread, candidate) {
            Next::Frame { frame, .. } => self.frame(frame),
            Next::Skipped { len, reason } => self.skipped(len, reason),
            Next::NeedMore => Step::NeedMore,
        }
    }
}
