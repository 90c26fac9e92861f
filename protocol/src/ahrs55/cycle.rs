//! One reading out of the frames of one cycle.
//!
//! A board sends what it was told to send in ascending order of types, cycle
//! after cycle, and marks neither beginning nor end. A type that is not above
//! the last one begins a new cycle. Once a whole cycle was seen its content is
//! known, and the next one gives its reading with its last frame instead of
//! waiting for the cycle after. When a running board is told to send more, the
//! added part of one reading is lost while the new content is learned.

use crate::quaternion;
use crate::reading::Reading;
use crate::text::quantity::is_usable;

use super::clock;
use super::frame::{
    Kind, RawFrame, TemperatureScale, accel_g, angle_rad, quaternion_part, rate_radps, words,
};

/// Kinds of frames, as a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Kinds(u16);

impl Kinds {
    fn with(self, kind: Kind) -> Self {
        Self(self.0 | 1 << (kind.byte() & 0x0f))
    }
}

/// What a frame or a gap brought to an end.
#[derive(Debug, Default, PartialEq)]
pub(crate) struct Ended {
    /// Readings, oldest first: one of a cycle that the frame showed to be over, one that it completed.
    pub(crate) readings: [Option<Reading>; 2],
    /// A cycle was over that held nothing to measure by.
    pub(crate) unusable: bool,
}

/// The frames of the cycle at hand.
#[derive(Debug, Default)]
pub(crate) struct Cycle {
    temperature_scale: TemperatureScale,
    reading: Reading,
    attitude_of_quaternion_rad: Option<[f64; 3]>,
    seen: Kinds,
    last: Option<Kind>,
    /// The reading of this cycle was given.
    given: bool,
    /// The cycle's beginning was seen and no frame of it was lost.
    whole: bool,
    /// The frame before the next one was lost.
    just_lost: bool,
    /// Content of a whole cycle.
    learned: Option<Kinds>,
}

impl Cycle {
    pub(crate) fn new(temperature_scale: TemperatureScale) -> Self {
        Self {
            temperature_scale,
            ..Self::default()
        }
    }

    /// Takes in a sound frame.
    pub(crate) fn frame(&mut self, kind: Kind, frame: RawFrame) -> Ended {
        let mut ended = Ended::default();
        let nothing_lost = !std::mem::take(&mut self.just_lost);
        if self.last.is_some_and(|last| kind <= last) {
            ended = self.over();
            self.whole = nothing_lost;
        }
        self.last = Some(kind);
        if kind == Kind::Magnetic && self.learned != Some(Kinds::default()) {
            // Nothing of it is used, so nothing waits for it.
            return ended;
        }
        self.seen = self.seen.with(kind);
        if self.given {
            // More is sent than the cycle was known to hold: it has to be learned anew.
            self.learned = None;
            return ended;
        }
        self.fill(kind, frame);
        // An incomplete cycle may look like another whole one.
        if self.learned == Some(self.seen) {
            let [_, now] = &mut ended.readings;
            *now = self.finished();
            ended.unusable |= now.is_none();
            self.given = true;
        }
        ended
    }

    /// One frame was lost, of this cycle or the first of the next.
    pub(crate) fn frame_lost(&mut self) {
        self.whole = false;
        self.just_lost = true;
    }

    /// An unknown number of bytes was lost, and with them possibly the beginning of a cycle.
    pub(crate) fn place_lost(&mut self) -> Ended {
        self.whole = false;
        self.over()
    }

    /// Ends the cycle at hand.
    fn over(&mut self) -> Ended {
        let mut ended = Ended::default();
        if self.last.is_some() && !self.given {
            let reading = self.finished();
            ended.unusable = reading.is_none();
            ended.readings = [reading, None];
        }
        *self = Self {
            temperature_scale: self.temperature_scale,
            learned: if self.whole {
                Some(self.seen)
            } else {
                self.learned
            },
            ..Self::default()
        };
        ended
    }

    fn finished(&self) -> Option<Reading> {
        let reading = Reading {
            attitude_rad: self
                .reading
                .attitude_rad
                .or(self.attitude_of_quaternion_rad),
            ..self.reading
        };
        is_usable(&reading).then_some(reading)
    }

    fn fill(&mut self, kind: Kind, frame: RawFrame) {
        let [a, b, c, d] = words(frame.data);
        match kind {
            Kind::Time => self.reading.device_time_us = clock::device_time_us(frame.data),
            Kind::Accel => {
                self.reading.accel_g = Some([a, b, c].map(accel_g));
                self.reading.temperature_c = Some(self.temperature_scale.temperature_c(d));
            }
            // The fourth word is a temperature on some boards and a battery voltage on others.
            Kind::Rate => self.reading.rate_radps = Some([a, b, c].map(rate_radps)),
            Kind::Angle => self.reading.attitude_rad = Some([a, b, c].map(angle_rad)),
            Kind::Quaternion => {
                self.attitude_of_quaternion_rad =
                    quaternion::attitude_rad([a, b, c, d].map(quaternion_part));
            }
            Kind::Magnetic => {}
        }
    }
}

#[cfg(test)]
mod tests;
