//! Frames out of a stream of bytes.
//!
//! 0x55 stands inside frames as well, so a frame is believed by head, type and
//! sum together. A place that fails gives up one byte, not eleven, or a sound
//! frame behind it would go too. Skipped bytes are told as one bad frame per
//! run, with the sum that failed where the run began with one.

use std::collections::VecDeque;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Step};
use crate::reading::Reading;

use super::cycle::{Cycle, Ended};
use super::frame::{Candidate, FRAME_BYTES, Kind, RawFrame, TemperatureScale, candidate};

/// Longest run of skipped bytes told as one. At a wrong speed nothing but such
/// runs come, and somebody waits to hear of them.
const MOST_SKIPPED: usize = 64;

/// Frames and cycles of a stream.
#[derive(Debug)]
pub(crate) struct Ahrs55Stream {
    cycle: Cycle,
    /// The bytes taken last were a frame, so that the next ones should be.
    in_step: bool,
    /// Bytes at the front that are known to belong to no frame.
    skipped: usize,
    /// The sum that failed at the beginning of the run.
    failed_sum: Option<BadReason>,
    /// Found, and not given yet: a frame may end one cycle and complete another.
    waiting: VecDeque<Result<Reading, BadReason>>,
}

impl Ahrs55Stream {
    pub(crate) fn new(temperature_scale: TemperatureScale) -> Self {
        Self {
            cycle: Cycle::new(temperature_scale),
            in_step: false,
            skipped: 0,
            failed_sum: None,
            waiting: VecDeque::new(),
        }
    }

    /// Tells the run of skipped bytes.
    fn run_over(&mut self) -> Step {
        let skipped = std::mem::take(&mut self.skipped);
        // Exactly one frame's worth: the frames around it are of one cycle, or
        // their types tell that they are not.
        let ended = if skipped == FRAME_BYTES && self.failed_sum.is_some() {
            self.cycle.frame_lost();
            Ended::default()
        } else {
            self.cycle.place_lost()
        };
        self.wait(&ended);
        let reason = self
            .failed_sum
            .take()
            .unwrap_or(BadReason::Unsynchronised { skipped });
        Step::bad(skipped, reason)
    }

    fn frame(&mut self, frame: RawFrame) -> Step {
        self.in_step = true;
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

    /// Judges the bytes at the front. Out of step a chance frame may lie across
    /// the beginning of a sound one; of two that overlap, the one that a
    /// further frame follows is believed.
    fn judge(&self, bytes: &[u8]) -> Candidate {
        let first = candidate(bytes);
        if self.in_step || !matches!(first, Candidate::Frame(_)) {
            return first;
        }
        let mut rival = false;
        for start in 1..FRAME_BYTES {
            match candidate(bytes.get(start..).unwrap_or_default()) {
                Candidate::Frame(_) => rival = true,
                Candidate::NeedMore => return Candidate::NeedMore,
                Candidate::WrongSum { .. } | Candidate::Nothing => {}
            }
        }
        if !rival {
            return first;
        }
        match candidate(bytes.get(FRAME_BYTES..).unwrap_or_default()) {
            Candidate::Frame(_) => first,
            Candidate::NeedMore => Candidate::NeedMore,
            Candidate::WrongSum { .. } | Candidate::Nothing => Candidate::Nothing,
        }
    }
}

impl Decode for Ahrs55Stream {
    fn lost_place(&mut self) {
        self.in_step = false;
        self.skipped = 0;
        self.failed_sum = None;
        let ended = self.cycle.place_lost();
        self.wait(&ended);
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        match self.waiting.pop_front() {
            Some(Ok(reading)) => return Step::reading(0, Some(reading)),
            Some(Err(reason)) => return Step::bad(0, reason),
            None => {}
        }
        loop {
            let here = unread.get(self.skipped..).unwrap_or_default();
            match self.judge(here) {
                Candidate::Frame(frame) if self.skipped == 0 => return self.frame(frame),
                Candidate::Frame(_) => return self.run_over(),
                Candidate::NeedMore => return Step::NeedMore,
                Candidate::WrongSum { expected, found } if self.in_step => {
                    self.failed_sum = Some(BadReason::Checksum {
                        expected: expected.into(),
                        found: found.into(),
                    });
                }
                Candidate::WrongSum { .. } | Candidate::Nothing => {}
            }
            self.in_step = false;
            self.skipped += 1;
            if self.skipped == MOST_SKIPPED {
                return self.run_over();
            }
        }
    }
}
