//! Frames out of a stream of bytes.

use std::collections::BTreeMap;
use std::fmt::Debug;

use crate::ahrs55::{Ahrs55Stream, TemperatureScale};
use crate::ahrs55_radio::Ahrs55RadioStream;
use crate::bad_frame::{BadFrame, BadReason, Evidence};
use crate::bno055::Bno055Stream;
use crate::buffer::Buffer;
use crate::compact::CompactStream;
use crate::format::WireFormat;
use crate::iio_scan::Records;
use crate::mavlink::MavlinkStream;
use crate::modbus::AnswerStream;
use crate::nmea::SentenceStream;
use crate::reading::Reading;
use crate::rvc::RvcStream;
use crate::text::TextStream;
use crate::values::ValueStream;
use crate::xbus::XbusStream;

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

/// How a link cuts what it carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Packing {
    /// Anywhere: a serial line, a TCP connection.
    Stream,
    /// Into pieces of a size set by the link, which may hold part of a frame or
    /// several: Bluetooth notifications.
    Pieces,
    /// As the board said it, each message whole: UDP datagrams.
    Messages,
}

/// What takes the bytes of one format apart.
pub(crate) trait Decode: Debug + Send {
    /// One move along the bytes not taken yet.
    fn step(&mut self, unread: &[u8]) -> Step;

    /// Bytes are missing before those that come next.
    fn lost_place(&mut self);

    /// A piece or a message of the link ended with `unread`, which [`step`](Self::step)
    /// found to be the beginning of something. Formats whose frames are ended by
    /// the link itself take it here; the others wait for more.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        let _ = (unread, packing);
        Step::NeedMore
    }
}

fn decoder(format: &WireFormat) -> Box<dyn Decode> {
    match format {
        WireFormat::Csv(columns) => Box::new(TextStream::csv(columns)),
        WireFormat::Labelled(columns) => Box::new(TextStream::labelled(columns)),
        WireFormat::JsonLines(columns) => Box::new(TextStream::json_lines(columns)),
        WireFormat::Ahrs55 => Box::new(Ahrs55Stream::new(TemperatureScale::Hundredths)),
        WireFormat::Ahrs55SixAxis => Box::new(Ahrs55Stream::new(TemperatureScale::SixAxis)),
        WireFormat::Nmea(sentences) => Box::new(SentenceStream::new(sentences)),
        WireFormat::Modbus(map) => Box::new(AnswerStream::new(map)),
        WireFormat::Bno055 => Box::new(Bno055Stream::default()),
        WireFormat::Values(layout) => Box::new(ValueStream::new(layout)),
        WireFormat::IioScan(layout) => Box::new(Records::new(layout)),
        WireFormat::Ahrs55Radio => Box::new(Ahrs55RadioStream::default()),
        WireFormat::Rvc => Box::new(RvcStream::default()),
        WireFormat::Xbus => Box::new(XbusStream::default()),
        WireFormat::Mavlink => Box::new(MavlinkStream::default()),
        WireFormat::Compact => Box::new(CompactStream::default()),
    }
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
    decoder: Box<dyn Decode>,
    dropped: usize,
    cut: Option<Packing>,
    counts: FrameCounts,
}

impl FrameReader {
    /// A reader for a line that was just opened, most likely in the middle of a frame.
    pub fn new(format: &WireFormat) -> Self {
        Self {
            buffer: Buffer::new(BUFFER_BYTES),
            decoder: decoder(format),
            dropped: 0,
            cut: None,
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
            self.decoder.lost_place();
        }
    }

    /// Takes in what arrived as one piece of a link that cuts by `packing`. The
    /// frames must be taken out before the next piece comes.
    pub fn push_piece(&mut self, bytes: &[u8], packing: Packing) {
        self.push(bytes);
        self.cut = (packing != Packing::Stream).then_some(packing);
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
            let step = match (self.decoder.step(unread), self.cut) {
                (Step::NeedMore, Some(packing)) if !unread.is_empty() => {
                    self.cut = None;
                    self.decoder.cut(unread, packing)
                }
                (step, _) => step,
            };
            let Step::Took { len, found } = step else {
                return None;
            };
            match found {
                None => self.buffer.take(len),
                Some(Found::Bad(reason)) => {
                    let offset = self.buffer.offset();
                    let evidence = Evidence::of(unread.get(..len).unwrap_or(unread));
                    self.buffer.take(len);
                    return Some(self.bad(reason, offset, len, evidence));
                }
                Some(Found::Reading(reading)) => {
                    self.buffer.take(len);
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
