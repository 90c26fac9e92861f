//! Frames out of a stream of bytes.

use std::collections::BTreeMap;

use crate::ahrs55::{Ahrs55Stream, TemperatureScale};
use crate::bad_frame::{BadFrame, BadReason, Evidence};
use crate::buffer::Buffer;
use crate::format::WireFormat;
use crate::reading::Reading;
use crate::text::TextStream;

/// Bytes a reader holds at most. Two seconds of the fastest usual line
/// (230 400 baud): whoever leaves more than that untaken is better served by
/// what is new.
pub const BUFFER_BYTES: usize = 64 * 1024;

/// What one stretch of the stream came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Frame {
    /// A sound frame, or the frames of one cycle where a board spreads a reading over several.
    Reading(Reading),
    /// A stretch that gave no reading.
    Bad(BadFrame),
}

/// Frames seen since the reader was made.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FrameCounts {
    /// Readings given.
    pub good: u64,
    /// Bad frames given, by the [`code`](BadReason::code) of their reason.
    pub bad: BTreeMap<&'static str, u64>,
}

impl FrameCounts {
    /// Bad frames of every reason together.
    pub fn bad_total(&self) -> u64 {
        self.bad.values().sum()
    }
}

/// One move of a decoder along the bytes not taken yet.
#[derive(Debug)]
pub(crate) enum Step {
    /// What is there is the beginning of something.
    NeedMore,
    /// This many bytes are done with, and may have given something.
    Took { len: usize, found: Option<Found> },
}

#[derive(Debug)]
pub(crate) enum Found {
    Reading(Reading),
    /// The bytes taken in this step are bad.
    Bad(BadReason),
}

impl Step {
    pub(crate) fn quiet(len: usize) -> Self {
        Self::Took { len, found: None }
    }

    pub(crate) fn bad(len: usize, reason: BadReason) -> Self {
        Self::Took {
            len,
            found: Some(Found::Bad(reason)),
        }
    }

    pub(crate) fn reading(len: usize, reading: Option<Reading>) -> Self {
        Self::Took {
            len,
            found: reading.map(Found::Reading),
        }
    }
}

#[derive(Debug)]
enum Decoder {
    Text(Box<TextStream>),
    Ahrs55(Box<Ahrs55Stream>),
}

/// Makes frames out of bytes that arrive in pieces of any size.
///
/// Push what came, then call [`next`](Self::next) until it gives nothing:
///
/// ```
/// use hubplumb_protocol::{Frame, FrameReader, WireFormat};
///
/// let mut reader = FrameReader::new(&WireFormat::from_name("json-lines", None)?);
/// reader.push(b"{\"ax\":0.0,\"ay\":0.0,");
/// assert_eq!(reader.next(), None); // the line is not whole yet
/// reader.push(b"\"az\":1.0}\r\n");
/// let Some(Frame::Reading(reading)) = reader.next() else { panic!() };
/// assert_eq!(reading.accel_g, Some([0.0, 0.0, 1.0]));
/// # Ok::<(), hubplumb_protocol::UnknownFormat>(())
/// ```
#[derive(Debug)]
pub struct FrameReader {
    buffer: Buffer,
    decoder: Decoder,
    dropped: usize,
    counts: FrameCounts,
}

impl FrameReader {
    /// A reader for a line that was just opened, most likely in the middle of a frame.
    pub fn new(format: &WireFormat) -> Self {
        let decoder = match format {
            WireFormat::Csv(columns) => Decoder::Text(Box::new(TextStream::csv(columns))),
            WireFormat::Labelled(columns) => Decoder::Text(Box::new(TextStream::labelled(columns))),
            WireFormat::JsonLines(columns) => {
                Decoder::Text(Box::new(TextStream::json_lines(columns)))
            }
            WireFormat::Ahrs55 => {
                Decoder::Ahrs55(Box::new(Ahrs55Stream::new(TemperatureScale::Hundredths)))
            }
            WireFormat::Ahrs55SixAxis => {
                Decoder::Ahrs55(Box::new(Ahrs55Stream::new(TemperatureScale::SixAxis)))
            }
        };
        Self {
            buffer: Buffer::new(BUFFER_BYTES),
            decoder,
            dropped: 0,
            counts: FrameCounts::default(),
        }
    }

    /// Takes in what arrived. Never more than [`BUFFER_BYTES`] are held: when
    /// frames are not taken out in time the oldest bytes go, which is told as
    /// [`BadReason::Overrun`].
    pub fn push(&mut self, bytes: &[u8]) {
        let dropped = self.buffer.push(bytes);
        if dropped > 0 {
            self.dropped += dropped;
            match &mut self.decoder {
                Decoder::Text(stream) => stream.lost_place(),
                Decoder::Ahrs55(stream) => stream.lost_place(),
            }
        }
    }

    /// The next frame; none when more bytes are needed.
    #[expect(
        clippy::should_implement_trait,
        reason = "an iterator that ends and goes on after a push would surprise"
    )]
    pub fn next(&mut self) -> Option<Frame> {
        if self.dropped > 0 {
            let dropped = std::mem::take(&mut self.dropped);
            let offset = self.buffer.offset().saturating_sub(dropped as u64);
            let reason = BadReason::Overrun { dropped };
            return Some(self.bad(reason, offset, dropped, Evidence::of(&[])));
        }
        loop {
            let unread = self.buffer.unread();
            let step = match &mut self.decoder {
                Decoder::Text(stream) => stream.step(unread),
                Decoder::Ahrs55(stream) => stream.step(unread),
            };
            let Step::Took { len, found } = step else {
                return None;
            };
            let offset = self.buffer.offset();
            let evidence = Evidence::of(unread.get(..len).unwrap_or(unread));
            self.buffer.take(len);
            match found {
                None => {}
                Some(Found::Bad(reason)) => return Some(self.bad(reason, offset, len, evidence)),
                Some(Found::Reading(reading)) => {
                    self.counts.good += 1;
                    return Some(Frame::Reading(reading));
                }
            }
        }
    }

    /// What was given so far.
    pub fn counts(&self) -> &FrameCounts {
        &self.counts
    }

    /// Bytes that came and belong to no frame given yet.
    pub fn pending_bytes(&self) -> usize {
        self.buffer.unread().len()
    }

    fn bad(&mut self, reason: BadReason, offset: u64, len: usize, evidence: Evidence) -> Frame {
        *self.counts.bad.entry(reason.code()).or_default() += 1;
        Frame::Bad(BadFrame {
            reason,
            offset,
            len,
            evidence,
        })
    }
}
