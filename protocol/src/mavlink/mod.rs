//! `MAVLink`, as autopilots and their sensor boards speak it: versions 1 and 2.
//!
//! Check bytes and layouts of the messages come from the crate `mavlink`, which
//! is generated from the published message definitions.

mod encode;
mod frame;
mod messages;

use mavlink::dialects::common::MavMessage;
use mavlink::{MavlinkVersion, Message};

use crate::frame_reader::{Decode, Step};
use crate::reading::Reading;
use crate::resync::{Next, Resync};
use crate::unwrap_count::Unwrap;

pub(crate) use encode::encode;

use frame::{Head, Span, candidate};
use messages::Measured;

/// Attitudes in a row without an acceleration after which they go out by
/// themselves: boards that send both send one of them a few times more often.
const MOST_WAITING_ATTITUDES: u32 = 20;

/// Readings of others in a row after which the speaker is taken to be gone.
const MOST_OF_OTHERS: u32 = 100;

const US_PER_MS: f64 = 1000.0;

/// Frames of a stream.
#[derive(Debug, Default)]
pub(crate) struct MavlinkStream {
    resync: Resync,
    clock: Unwrap,
    /// System and component whose readings are taken: the first that had one.
    speaker: Option<(u8, u8)>,
    others_in_a_row: u32,
    /// The better of two messages that say the same comes.
    has_high_resolution: bool,
    /// Waits for the next acceleration.
    attitude_rad: Option<[f64; 3]>,
    attitudes_alone: u32,
}

impl MavlinkStream {
    /// A sound frame of a known message.
    fn message(&mut self, head: Head, payload: &[u8]) -> Option<Reading> {
        let speaker = (head.system, head.component);
        let measured = messages::measured(head.version, head.message, payload)?;
        if self.speaker.is_some_and(|known| known != speaker) {
            self.others_in_a_row += 1;
            if self.others_in_a_row <= MOST_OF_OTHERS {
                return None;
            }
            *self = Self {
                resync: std::mem::take(&mut self.resync),
                ..Self::default()
            };
        }
        self.others_in_a_row = 0;
        let reading = match measured {
            Measured::HighResolution(reading) => {
                self.has_high_resolution = true;
                self.with_attitude(reading)
            }
            Measured::Scaled { .. } if self.has_high_resolution => return None,
            Measured::Scaled { ms, reading } => {
                let time_us = self.clock.count(ms) * US_PER_MS;
                self.with_attitude(at(time_us, reading))
            }
            Measured::Attitude { ms, reading } => {
                self.attitudes_alone = self.attitudes_alone.saturating_add(1);
                if self.attitudes_alone <= MOST_WAITING_ATTITUDES {
                    self.attitude_rad = reading.attitude_rad;
                    return None;
                }
                self.attitude_rad = None;
                at(self.clock.count(ms) * US_PER_MS, reading)
            }
        };
        self.speaker = Some(speaker);
        Some(reading)
    }

    fn with_attitude(&mut self, reading: Reading) -> Reading {
        self.attitudes_alone = 0;
        Reading {
            attitude_rad: self.attitude_rad.take(),
            ..reading
        }
    }
}

fn at(time_us: f64, reading: Reading) -> Reading {
    Reading {
        device_time_us: Some(time_us),
        ..reading
    }
}

impl Decode for MavlinkStream {
    fn lost_place(&mut self) {
        self.resync.lost_place();
        self.attitude_rad = None;
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        match self.resync.next(unread, candidate) {
            Next::Frame { len, frame } => {
                let Span { head, payload } = frame;
                let payload = unread.get(payload.0..payload.1).unwrap_or_default();
                Step::reading(len, self.message(head, payload))
            }
            Next::Step(step) => step,
        }
    }
}

/// What is added to the check of a message, so that both ends mean the same
/// layout; none of messages that are not among the common ones.
fn extra(message: u32) -> Option<u8> {
    Some(MavMessage::extra_crc(message)).filter(|&extra| extra != 0)
}

fn parse(version: MavlinkVersion, message: u32, payload: &[u8]) -> Option<MavMessage> {
    MavMessage::parse(version, message, payload).ok()
}

#[cfg(test)]
mod tests;
