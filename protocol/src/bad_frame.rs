//! A frame that could not be read, with the reason and the evidence.

use std::fmt;

use thiserror::Error;

/// Bytes kept as evidence of a bad frame: a whole 0x55 frame, or enough of a
/// line to know it again.
const EVIDENCE_BYTES: usize = 24;

/// The first bytes of a bad frame.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct Evidence {
    bytes: [u8; EVIDENCE_BYTES],
    len: usize,
}

impl Evidence {
    /// How many are kept.
    pub(crate) const MOST_BYTES: usize = EVIDENCE_BYTES;

    pub(crate) fn of(frame: &[u8]) -> Self {
        let mut bytes = [0; EVIDENCE_BYTES];
        for (kept, &byte) in bytes.iter_mut().zip(frame) {
            *kept = byte;
        }
        Self {
            bytes,
            len: frame.len().min(EVIDENCE_BYTES),
        }
    }

    /// The bytes as they came.
    pub fn bytes(&self) -> &[u8] {
        self.bytes.get(..self.len).unwrap_or(&self.bytes)
    }
}

impl fmt::Display for Evidence {
    /// Text as text, anything else escaped as `\xNN`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.bytes().escape_ascii())
    }
}

impl fmt::Debug for Evidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Evidence(\"{self}\")")
    }
}

/// A stretch of the stream that gave no reading.
#[derive(Debug, Clone, PartialEq)]
pub struct BadFrame {
    /// Why not.
    pub reason: BadReason,
    /// Place of its first byte in the stream, counted from 0 at the opening.
    pub offset: u64,
    /// Bytes given up with it.
    pub len: usize,
    /// Its first bytes.
    pub evidence: Evidence,
}

/// Why a stretch of bytes gave no reading.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum BadReason {
    /// The sum or check at the end of a frame is not that of its bytes.
    #[error("checksum is {found:#04x}, that of its bytes is {expected:#04x}")]
    Checksum {
        /// Sum of the bytes that came.
        expected: u16,
        /// Sum the frame carried.
        found: u16,
    },
    /// A frame that is whole and of a type this crate does not know.
    #[error("frames of type {kind:#04x} are not known")]
    UnknownType {
        /// Its type byte.
        kind: u8,
    },
    /// A sound frame of a version of its format that this crate does not know.
    #[error("frames of version {version} are not known")]
    UnknownVersion {
        /// Its version.
        version: u8,
    },
    /// Bytes before a frame begins: the rest of a frame cut off by opening the line, or noise.
    #[error("{skipped} bytes belong to no frame")]
    Unsynchronised {
        /// How many were skipped.
        skipped: usize,
    },
    /// More bytes came than were taken out; the oldest were dropped.
    #[error("{dropped} bytes were dropped because they were not taken in time")]
    Overrun {
        /// How many were dropped.
        dropped: usize,
    },
    /// A line without an end.
    #[error("a line is longer than {limit} bytes")]
    LineTooLong {
        /// Longest line that is read.
        limit: usize,
    },
    /// A line that is no text.
    #[error("a line is no text from byte {valid_up_to} on")]
    NotUtf8 {
        /// Bytes of the line that are text.
        valid_up_to: usize,
    },
    /// A value that has to be a number and is none, or is not finite.
    #[error("`{text}` in `{column}` is no finite number")]
    NotANumber {
        /// Header name, label or key; the column's number where it has no name.
        column: String,
        /// What stood there.
        text: String,
    },
    /// A line with more or fewer columns than the header or the column map has.
    #[error("{found} columns came, {expected} were expected")]
    WrongColumnCount {
        /// Columns of the map.
        expected: usize,
        /// Columns of the line.
        found: usize,
    },
    /// A line of numbers before any header, and no column map to read it by.
    #[error("{columns} numbers came before any header said what they are")]
    NoHeader {
        /// Columns of the line.
        columns: usize,
    },
    /// A header came that names other columns than the map in use was made from.
    #[error("the header names `{header}`, and the columns were known under other names")]
    HeaderDisagrees {
        /// The header, cut to a bounded length.
        header: String,
    },
    /// A line that looks like JSON and is none.
    #[error("no JSON object: {why}, column {column}")]
    BadJson {
        /// What the parser stumbled over.
        why: &'static str,
        /// Where in the line, counted from 1; 0 where unknown.
        column: usize,
    },
    /// Whole and sound, and without acceleration, rate or attitude.
    #[error("neither acceleration nor rate nor attitude is in it")]
    NothingUsable,
    /// A sentence or message without the sum that is demanded.
    #[error("no checksum is there")]
    NoChecksum,
    /// A sentence whose fields mean one thing with one maker and another with another.
    #[error("nobody told in which order `{sentence}` gives its angles")]
    UntoldSentence {
        /// Its name.
        sentence: String,
    },
    /// The board says by an agreed number that it has no value.
    #[error("the board marks its `{quantity}` as invalid")]
    MarkedInvalid {
        /// What it has no value of.
        quantity: &'static str,
    },
    /// A piece or a message that holds no whole number of frames.
    #[error("{found} bytes came, {expected} make a frame")]
    WrongLength {
        /// Bytes of a frame.
        expected: usize,
        /// Bytes that came.
        found: usize,
    },
    /// The board answers that it will not do what it was asked.
    #[error("the board declines, code {code:#04x}: {why}")]
    Declined {
        /// The code it gives.
        code: u8,
        /// What that means.
        why: &'static str,
    },
    /// The board answers that it could not just now; it is asked again.
    #[error("the board was not ready, code {code:#04x}")]
    NotReady {
        /// The code it gives.
        code: u8,
    },
    /// A line of words: a greeting, a warning, a comment.
    #[error("a line of words: `{text}`")]
    InformationalText {
        /// The words, cut to a bounded length.
        text: String,
    },
}

impl BadReason {
    /// Did the board answer a question with it? Then there is nothing more to wait for.
    pub fn is_answer(&self) -> bool {
        matches!(
            self,
            Self::Declined { .. }
                | Self::NotReady { .. }
                | Self::MarkedInvalid { .. }
                | Self::NotANumber { .. }
                | Self::NothingUsable
        )
    }

    /// Short name for counting; it never changes its meaning.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Checksum { .. } => "checksum",
            Self::UnknownType { .. } => "unknown_type",
            Self::UnknownVersion { .. } => "unknown_version",
            Self::Unsynchronised { .. } => "unsynchronised",
            Self::Overrun { .. } => "overrun",
            Self::LineTooLong { .. } => "line_too_long",
            Self::NotUtf8 { .. } => "not_utf8",
            Self::NotANumber { .. } => "not_a_number",
            Self::WrongColumnCount { .. } => "wrong_column_count",
            Self::NoHeader { .. } => "no_header",
            Self::HeaderDisagrees { .. } => "header_disagrees",
            Self::BadJson { .. } => "bad_json",
            Self::NothingUsable => "nothing_usable",
            Self::NoChecksum => "no_checksum",
            Self::UntoldSentence { .. } => "untold_sentence",
            Self::MarkedInvalid { .. } => "marked_invalid",
            Self::WrongLength { .. } => "wrong_length",
            Self::Declined { .. } => "declined",
            Self::NotReady { .. } => "not_ready",
            Self::InformationalText { .. } => "informational_text",
        }
    }
}
