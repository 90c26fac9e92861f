//! Judging by listening which format a board speaks.
//!
//! A [`Detector`] takes the bytes of one line at one speed, tries every format
//! on them and says which explains them best, never more surely than it knows.
//! Whoever does not know the speed either makes one detector per speed and
//! compares their verdicts; where none has one, [`Detector::silence`] says what
//! the bytes look like.

mod csv_ear;
mod reader_ear;
mod resting;

use std::fmt;

use crate::bad_frame::Evidence;
use crate::format::WireFormat;
use crate::frame_reader::Packing;
use crate::text::Columns;

use csv_ear::CsvEar;
use reader_ear::ReaderEar;
use resting::TimeOfNames;

/// Readings below which nothing is said at all.
const FEWEST_READINGS: u64 = 2;

/// Bytes below which a line is not called unexplained: less than two lines or
/// cycles of any format.
const FEWEST_BYTES: u64 = 128;

/// How much a guess is worth. There is no third, certain one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Confidence {
    /// Something had to be assumed that the bytes do not say.
    Weak,
    /// The bytes name or check themselves, and agree with a board at rest where that can be seen.
    Strong,
}

/// A format that explains the bytes, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Guess {
    /// The format, with the column map or the units that were found.
    pub format: WireFormat,
    /// Readings it gave.
    pub good: u64,
    /// Frames that were bad in it; lines of words and the cut first line are not among them.
    pub bad: u64,
    /// How much it is worth.
    pub confidence: Confidence,
    /// The reason, in words.
    pub why: String,
}

/// What is on a line that no format explains.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Silence {
    /// Not a byte.
    Nothing,
    /// Too few bytes to judge.
    TooLittle {
        /// How many.
        bytes: u64,
    },
    /// Hardly anything but 0x00 and 0xFF, as a line gives that is read at a
    /// wrong speed, is broken, or is held down.
    LineNoise {
        /// How many bytes.
        bytes: u64,
        /// How many of them are 0x00 or 0xFF.
        idle: u64,
    },
    /// Lines of text without readings: another program, or columns nobody named.
    Text {
        /// How many bytes.
        bytes: u64,
        /// The first of them.
        sample: Evidence,
    },
    /// Bytes that are no text and no frames: likely a wrong speed, or an unknown board.
    Unexplained {
        /// How many bytes.
        bytes: u64,
        /// The first of them.
        sample: Evidence,
    },
}

impl fmt::Display for Silence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => write!(f, "nothing arrives"),
            Self::TooLittle { bytes } => write!(f, "only {bytes} bytes have arrived"),
            Self::LineNoise { bytes, idle } => write!(
                f,
                "{idle} of {bytes} bytes are 0x00 or 0xFF: the speed is likely wrong, or the wire is loose"
            ),
            Self::Text { bytes, sample } => write!(
                f,
                "{bytes} bytes of text arrived and no readings are in them; they begin with `{sample}`"
            ),
            Self::Unexplained { bytes, sample } => write!(
                f,
                "{bytes} bytes arrived and nothing explains them; the speed may be wrong; they begin with `{sample}`"
            ),
        }
    }
}

/// Tries every format on what is heard. What it keeps is bounded.
#[derive(Debug)]
pub struct Detector {
    readers: Vec<ReaderEar>,
    csv: CsvEar,
    bytes: u64,
    idle: u64,
    text: u64,
    sample: Vec<u8>,
}

impl Default for Detector {
    fn default() -> Self {
        Self::new()
    }
}

impl Detector {
    /// A detector for one line at one speed.
    pub fn new() -> Self {
        let columns = || Columns::Named(TimeOfNames::UNKNOWN);
        Self {
            readers: vec![
                ReaderEar::new(WireFormat::Ahrs55),
                ReaderEar::new(WireFormat::Rvc),
                ReaderEar::new(WireFormat::Xbus),
                ReaderEar::new(WireFormat::Mavlink),
                ReaderEar::new(WireFormat::Compact),
                ReaderEar::new(WireFormat::JsonLines(columns())),
                ReaderEar::new(WireFormat::Labelled(columns())),
                // Last, for it has nothing to check itself by.
                ReaderEar::new(WireFormat::Ahrs55Radio),
            ],
            csv: CsvEar::default(),
            bytes: 0,
            idle: 0,
            text: 0,
            sample: Vec::new(),
        }
    }

    /// Takes in what was heard on a stream.
    pub fn observe(&mut self, bytes: &[u8]) {
        self.observe_piece(bytes, Packing::Stream);
    }

    /// Takes in one piece of a link that cuts by `packing`.
    pub fn observe_piece(&mut self, bytes: &[u8], packing: Packing) {
        let count =
            |wanted: fn(&u8) -> bool| bytes.iter().filter(|byte| wanted(byte)).count() as u64;
        self.bytes += bytes.len() as u64;
        self.idle += count(|byte| matches!(byte, 0x00 | 0xff));
        self.text += count(|byte| matches!(byte, b' '..=b'~' | b'\t' | b'\r' | b'\n'));
        let room = Evidence::MOST_BYTES.saturating_sub(self.sample.len());
        self.sample.extend(bytes.iter().take(room));
        for reader in &mut self.readers {
            reader.hear(bytes, packing);
        }
        self.csv.hear(bytes);
        if packing == Packing::Messages {
            self.csv.message_over();
        }
    }

    /// The format that explains most; none while nothing explains more than it leaves.
    pub fn verdict(&self) -> Option<Guess> {
        let guesses = self.readers.iter().filter_map(ReaderEar::guess);
        guesses
            .chain(self.csv.guess())
            .filter(|guess| guess.good >= FEWEST_READINGS && guess.good > guess.bad)
            // Of equals the first: those that check themselves come before those that do not.
            .reduce(|best, next| if next.good > best.good { next } else { best })
    }

    /// What the bytes look like where no format explains them; none when one does.
    pub fn silence(&self) -> Option<Silence> {
        if self.verdict().is_some() {
            return None;
        }
        let (bytes, idle) = (self.bytes, self.idle);
        let sample = Evidence::of(&self.sample);
        Some(if bytes == 0 {
            Silence::Nothing
        } else if bytes >= FEWEST_BYTES / 8 && idle * 10 >= bytes * 9 {
            Silence::LineNoise { bytes, idle }
        } else if bytes < FEWEST_BYTES {
            Silence::TooLittle { bytes }
        } else if self.text * 100 >= bytes * 95 {
            Silence::Text { bytes, sample }
        } else {
            Silence::Unexplained { bytes, sample }
        })
    }
}

#[cfg(test)]
mod tests;
