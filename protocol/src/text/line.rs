//! Lines out of a stream of bytes.

use memchr::memchr;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Found, Packing, Step};
use crate::reading::Reading;

use super::column_map::{Columns, Names};
use super::csv::CsvLines;
use super::json_lines::{self, JsonLines};
use super::labelled::LabelledLines;

/// Longest line that is read, without its end. The longest sound line, a JSON
/// object with every quantity spelled out, stays below half of it.
pub const MOST_LINE_BYTES: usize = 512;

/// What a line came to.
#[derive(Debug, PartialEq)]
pub(crate) enum Line {
    Reading(Reading),
    Bad(BadReason),
    /// Sound, and holding no reading: a header, or nothing at all.
    Quiet,
}

#[derive(Debug)]
enum Language {
    Csv(CsvLines),
    Labelled(LabelledLines),
    JsonLines(JsonLines),
}

impl Language {
    /// A line of which nothing has to be told apart, without what ends it. None says nothing.
    fn read_plain(&mut self, line: &[u8]) -> Option<Reading> {
        match self {
            Self::Csv(lines) => lines.plain_numbers(line),
            Self::Labelled(lines) => lines.read_plain(line),
            Self::JsonLines(lines) => lines.read_plain(line),
        }
    }

    fn read(&mut self, line: &str) -> Line {
        match self {
            Self::Csv(lines) => lines.read(line),
            Self::Labelled(lines) => lines.read(line),
            Self::JsonLines(lines) => lines.read(line),
        }
    }

    /// Can the line not be the tail of a longer one? The tail of a line of
    /// numbers looks sound and is not: its first number lost digits.
    fn is_whole(&self, line: &str) -> bool {
        match self {
            Self::Csv(_) => CsvLines::is_whole_header(line),
            Self::Labelled(_) => false,
            Self::JsonLines(_) => json_lines::is_object(line),
        }
    }
}

/// Where the stream stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Place {
    /// Somewhere in a line.
    Unknown,
    /// At the beginning of a line.
    LineStart,
    /// In a line that is given up.
    TooLong,
}

/// Lines of one language.
#[derive(Debug)]
pub(crate) struct TextStream {
    language: Language,
    place: Place,
}

impl TextStream {
    pub(crate) fn csv(columns: &Columns) -> Self {
        Self::new(Language::Csv(CsvLines::new(columns)))
    }

    pub(crate) fn labelled(columns: &Columns) -> Self {
        Self::new(Language::Labelled(LabelledLines::new(Names::new(columns))))
    }

    pub(crate) fn json_lines(columns: &Columns) -> Self {
        Self::new(Language::JsonLines(JsonLines::new(Names::new(columns))))
    }

    fn new(language: Language) -> Self {
        Self {
            language,
            place: Place::Unknown,
        }
    }

    fn skip_to_line_end(&mut self, unread: &[u8]) -> Step {
        match memchr(b'\n', unread) {
            Some(end) => {
                self.place = Place::LineStart;
                Step::quiet(end + 1)
            }
            None if unread.is_empty() => Step::NeedMore,
            None => Step::quiet(unread.len()),
        }
    }

    /// Judges a line; `whole` is its length with what ended it.
    fn line(&mut self, bytes: &[u8], whole: usize) -> Step {
        if self.place == Place::LineStart
            && let Some(reading) = self.language.read_plain(bytes.trim_ascii())
        {
            return Step::reading(whole, Some(reading));
        }
        let noise = leading_noise(bytes);
        let sound = bytes.get(noise..).unwrap_or_default();
        let text = std::str::from_utf8(sound).map(str::trim);
        if self.place == Place::Unknown {
            let begins_here =
                matches!(text, Ok(text) if text.is_empty() || self.language.is_whole(text));
            if !begins_here || sound.is_empty() && noise > 0 {
                self.place = Place::LineStart;
                return Step::bad(whole, BadReason::Unsynchronised { skipped: whole });
            }
        }
        if noise > 0 {
            return Step::bad(noise, BadReason::Unsynchronised { skipped: noise });
        }
        self.place = Place::LineStart;
        let line = match text {
            Ok("") => Line::Quiet,
            Ok(text) => self.language.read(text),
            Err(error) => Line::Bad(BadReason::NotUtf8 {
                valid_up_to: error.valid_up_to(),
            }),
        };
        let found = match line {
            Line::Reading(reading) => Some(Found::Reading(reading)),
            Line::Bad(reason) => Some(Found::Bad(reason)),
            Line::Quiet => None,
        };
        Step::Took { len: whole, found }
    }
}

impl Decode for TextStream {
    fn lost_place(&mut self) {
        self.place = Place::Unknown;
    }

    fn step(&mut self, unread: &[u8]) -> Step {
        if self.place == Place::TooLong {
            return self.skip_to_line_end(unread);
        }
        let end = memchr(b'\n', unread.get(..=MOST_LINE_BYTES).unwrap_or(unread));
        match end.and_then(|end| unread.split_at_checked(end)) {
            Some((line, _)) => self.line(line, line.len() + 1),
            None if unread.len() > MOST_LINE_BYTES => {
                self.place = Place::TooLong;
                let limit = MOST_LINE_BYTES;
                Step::bad(limit, BadReason::LineTooLong { limit })
            }
            None => Step::NeedMore,
        }
    }

    /// A datagram is whole, whether or not the sketch ended its line.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        match packing {
            Packing::Messages => self.line(unread, unread.len()),
            Packing::Stream | Packing::Pieces => Step::NeedMore,
        }
    }
}

/// An idle, broken or freshly opened line reads as zeros or ones, which are no
/// text and run into the line that follows.
fn leading_noise(bytes: &[u8]) -> usize {
    bytes
        .iter()
        .take_while(|byte| matches!(byte, 0x00 | 0xff))
        .count()
}
