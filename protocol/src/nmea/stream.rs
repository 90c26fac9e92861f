//! Sentences out of a stream of bytes, readings out of sentences, and back.

use std::fmt::Write as _;

use memchr::memchr2;

use crate::bad_frame::BadReason;
use crate::frame_reader::{Decode, Packing, Step};
use crate::reading::Reading;
use crate::text::number::{Value, cut};
use crate::text::quantity::{Axis, Draft, Quantity, Triple, value_of};
use crate::text::unit::Unit;

use super::sentence::{self, Sentence};
use super::sentences::{Meant, Place, Sentences};

/// A sentence has 82 characters at most (NMEA 0183); boards with many numbers
/// in one go beyond that, so twice as many are read.
const MOST_SENTENCE_BYTES: usize = 164;

/// Longest run of skipped bytes told as one.
const MOST_SKIPPED: usize = 64;

/// Sentences of one board.
#[derive(Debug)]
pub(crate) struct SentenceStream {
    sentences: Sentences,
    draft: Draft,
    /// What the draft holds so far.
    held: Vec<Quantity>,
    /// Numbers of the sentence at hand; kept, so that a sentence allocates nothing.
    numbers: Vec<Found>,
    /// The quantity with which a board that spreads a reading over several
    /// sentences was first heard to begin.
    opener: Option<Quantity>,
}

/// A number found in a sentence.
type Found = (Meant, f64);

impl SentenceStream {
    pub(crate) fn new(sentences: &Sentences) -> Self {
        Self {
            sentences: sentences.clone(),
            draft: Draft::default(),
            held: Vec::new(),
            numbers: Vec::new(),
            opener: None,
        }
    }

    /// Judges a line from its `$` on; `len` is its length with what ended it.
    fn line(&mut self, line: &[u8], len: usize) -> Step {
        let read = std::str::from_utf8(line.get(1..).unwrap_or_default())
            .map_err(|error| BadReason::NotUtf8 {
                valid_up_to: 1 + error.valid_up_to(),
            })
            .and_then(|text| sentence::read(text.trim_end(), self.sentences.sum_required))
            .and_then(|sentence| self.read(&sentence));
        match read {
            Ok(reading) => Step::reading(len, reading),
            Err(reason) => {
                // The reading before was given up by the sentence that begins the next.
                if reason != BadReason::NothingUsable {
                    self.forget();
                }
                Step::bad(len, reason)
            }
        }
    }

    fn read(&mut self, sentence: &Sentence<'_>) -> Result<Option<Reading>, BadReason> {
        let mut numbers = std::mem::take(&mut self.numbers);
        numbers.clear();
        let read = self.find(sentence, &mut numbers);
        let taken = read.and_then(|()| self.take(&numbers));
        self.numbers = numbers;
        taken
    }

    fn find(&self, sentence: &Sentence<'_>, numbers: &mut Vec<Found>) -> Result<(), BadReason> {
        if let Some(told) = self.sentences.places(sentence.address) {
            return told_numbers(&told.fields, sentence, numbers);
        }
        match sentence.address {
            // Pitch, roll and heading, or roll, pitch and heading (jamesp/node-nmea).
            "PRDID" => Err(BadReason::UntoldSentence {
                sentence: sentence.address.to_owned(),
            }),
            address if address.len() == 5 && address.ends_with("XDR") => {
                self.measured(sentence, numbers)
            }
            _ => Ok(()),
        }
    }

    /// Numbers of an `XDR` sentence: type, number, unit, name, and again.
    fn measured(&self, sentence: &Sentence<'_>, numbers: &mut Vec<Found>) -> Result<(), BadReason> {
        let mut fields = sentence.fields();
        while let (Some(kind), Some(number), Some(unit), Some(id)) =
            (fields.next(), fields.next(), fields.next(), fields.next())
        {
            let Some(mut meant) = self.sentences.id(id.trim()) else {
                continue;
            };
            let is_angle = matches!(meant.quantity, Quantity::Axis(Triple::Attitude, _));
            if is_angle && kind.trim() == "A" {
                match unit.trim() {
                    "D" => meant.field.unit = Unit::Degree,
                    "R" => meant.field.unit = Unit::Radian,
                    _ => {}
                }
            }
            numbers.extend(number_of(id, number)?.map(|number| (meant, number)));
        }
        Ok(())
    }

    /// Puts numbers to those of the sentences before; gives the reading they complete.
    fn take(&mut self, numbers: &[Found]) -> Result<Option<Reading>, BadReason> {
        let Some((first, _)) = numbers.first() else {
            return Ok(None);
        };
        let mut incomplete = false;
        if self.opener == Some(first.quantity) {
            incomplete = !self.held.is_empty();
            self.forget();
        } else if self.held.is_empty() && self.opener.is_some() && !stands_alone(numbers) {
            // The rest of a reading whose beginning was lost.
            return Ok(None);
        }
        for (meant, number) in numbers {
            let set = self.draft.set(meant.quantity, meant.field, *number);
            set.map_err(|_| BadReason::NotANumber {
                column: meant.quantity.name().to_owned(),
                text: number.to_string(),
            })?;
            self.held.push(meant.quantity);
        }
        if let Some(reading) = self.draft.finish() {
            self.forget();
            return Ok(Some(reading));
        }
        self.opener.get_or_insert(first.quantity);
        if incomplete {
            return Err(BadReason::NothingUsable);
        }
        Ok(None)
    }

    fn forget(&mut self) {
        self.draft = Draft::default();
        self.held.clear();
    }
}

fn stands_alone(numbers: &[Found]) -> bool {
    let mut draft = Draft::default();
    for (meant, number) in numbers {
        // What is out of range is told when it is taken.
        let _ = draft.set(meant.quantity, meant.field, *number);
    }
    draft.finish().is_some()
}

fn told_numbers(
    places: &[Place],
    sentence: &Sentence<'_>,
    numbers: &mut Vec<Found>,
) -> Result<(), BadReason> {
    let mut last_is_there = false;
    for (place, text) in places.iter().zip(sentence.fields()) {
        match *place {
            Place::PassedOver => {}
            Place::Number(meant) => {
                let number = number_of(meant.quantity.name(), text)?;
                last_is_there = number.is_some();
                numbers.extend(number.map(|number| (meant, number)));
            }
            Place::Sign { positive, negative } => {
                let letter = text.trim().as_bytes();
                let sign = match letter {
                    _ if !last_is_there => continue,
                    [letter] if *letter == positive => 1.0,
                    [letter] if *letter == negative => -1.0,
                    _ => {
                        return Err(BadReason::NotANumber {
                            column: sentence.address.to_owned(),
                            text: cut(text),
                        });
                    }
                };
                if let Some((_, number)) = numbers.last_mut() {
                    *number *= sign;
                }
            }
        }
    }
    Ok(())
}

fn number_of(column: &str, text: &str) -> Result<Option<f64>, BadReason> {
    match Value::read(text) {
        Value::Empty => Ok(None),
        Value::Number(number) => Ok(Some(number)),
        Value::NotFinite | Value::Word => Err(BadReason::NotANumber {
            column: cut(column),
            text: cut(text),
        }),
    }
}

impl Decode for SentenceStream {
    fn step(&mut self, unread: &[u8]) -> Step {
        match unread.first() {
            None => Step::NeedMore,
            Some(b'\r' | b'\n') => Step::quiet(1),
            Some(b'$') => {
                let within = unread.get(1..).unwrap_or_default();
                let within = within.get(..MOST_SENTENCE_BYTES).unwrap_or(within);
                let end = memchr::memchr3(b'\n', b'\r', b'$', within).map(|at| at + 1);
                match end.and_then(|end| unread.split_at_checked(end)) {
                    // The next sentence begins before this one has ended.
                    Some((line, rest)) if rest.first() == Some(&b'$') => {
                        self.forget();
                        let skipped = line.len();
                        Step::bad(skipped, BadReason::Unsynchronised { skipped })
                    }
                    Some((line, _)) => self.line(line, line.len() + 1),
                    None if within.len() == MOST_SENTENCE_BYTES => {
                        self.forget();
                        let limit = MOST_SENTENCE_BYTES;
                        Step::bad(limit, BadReason::LineTooLong { limit })
                    }
                    None => Step::NeedMore,
                }
            }
            Some(_) => {
                let within = unread.get(..MOST_SKIPPED).unwrap_or(unread);
                let end = memchr2(b'$', b'\n', within);
                let skipped = match end {
                    Some(end) => end,
                    None if within.len() == MOST_SKIPPED => MOST_SKIPPED,
                    None => return Step::NeedMore,
                };
                Step::bad(skipped, BadReason::Unsynchronised { skipped })
            }
        }
    }

    fn lost_place(&mut self) {
        self.forget();
    }

    /// A datagram is whole, whether or not its sentence has an end.
    fn cut(&mut self, unread: &[u8], packing: Packing) -> Step {
        match packing {
            Packing::Messages if unread.first() == Some(&b'$') => self.line(unread, unread.len()),
            Packing::Messages => {
                let skipped = unread.len();
                Step::bad(skipped, BadReason::Unsynchronised { skipped })
            }
            Packing::Stream | Packing::Pieces => Step::NeedMore,
        }
    }
}

/// Appends the sentences of a reading: those a person told, else `XDR` with the first name of each quantity.
pub(crate) fn encode(sentences: &Sentences, reading: &Reading, out: &mut Vec<u8>) {
    let mut say = |body: &str| {
        let sentence = format!("${body}*{:02X}\r\n", sentence::sum(body));
        out.extend_from_slice(sentence.as_bytes());
    };
    let mut by_person = sentences
        .told
        .iter()
        .filter(|told| told.by_person)
        .peekable();
    if by_person.peek().is_some() {
        for told in by_person {
            say(&told_body(&told.name, &told.fields, reading));
        }
        return;
    }
    // Angles in one sentence, each other triple in one of its own, to stay short.
    let attitude = Axis::ALL.map(|axis| Quantity::Axis(Triple::Attitude, axis));
    let of = |triple| Axis::ALL.map(|axis| Quantity::Axis(triple, axis));
    for quantities in [attitude, of(Triple::Accel), of(Triple::Rate)] {
        let mut body = String::from("HCXDR");
        for quantity in quantities {
            let id = sentences
                .ids
                .iter()
                .find(|(_, meant)| meant.quantity == quantity);
            if let Some((id, meant)) = id
                && let Some(number) = written(meant, reading)
            {
                let is_angle = matches!(quantity, Quantity::Axis(Triple::Attitude, _));
                let (kind, unit) = if is_angle { ("A", "D") } else { ("G", "") };
                // Writing to a string cannot fail.
                let _ = write!(body, ",{kind},{number},{unit},{id}");
            }
        }
        if body.contains(',') {
            say(&body);
        }
    }
}

/// A number as it goes out; none where the reading has none.
fn written(meant: &Meant, reading: &Reading) -> Option<String> {
    let value = value_of(reading, meant.quantity).filter(|value| value.is_finite())?;
    let decimals = meant.field.unit.decimals();
    Some(format!("{:.decimals$}", meant.field.to_wire(value)))
}

fn told_body(name: &str, places: &[Place], reading: &Reading) -> String {
    // Three letters stand behind those of a talker.
    let mut body = if name.len() == 3 {
        format!("HC{name}")
    } else {
        name.to_owned()
    };
    let mut negative_last = false;
    for (index, place) in places.iter().enumerate() {
        body.push(',');
        match place {
            Place::PassedOver => {}
            Place::Number(meant) => {
                let number = written(meant, reading).unwrap_or_default();
                let letter_follows = matches!(places.get(index + 1), Some(Place::Sign { .. }));
                negative_last = number.starts_with('-');
                body.push_str(if letter_follows {
                    number.trim_start_matches('-')
                } else {
                    &number
                });
            }
            Place::Sign { positive, negative } => body.push(char::from(if negative_last {
                *negative
            } else {
                *positive
            })),
        }
    }
    body
}
