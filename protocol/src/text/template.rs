//! Lines that look alike but for their numbers.
//!
//! A board says the same labels or keys in every line. Once a line was read the long way, its looks
//! are remembered: what stands between the numbers, and what each number is. A line that looks the
//! same means the same, and only its numbers are read; any other is read the long way again.

use crate::reading::Reading;

use super::plain::behind_blanks;
use super::quantity::{Draft, Field, Quantity};

/// More numbers than this are in no line of a sensor.
const MOST_SLOTS: usize = 32;

/// Reads a number at the front of a text; gives what follows it.
pub(crate) type ReadNumber = fn(&[u8]) -> Option<(f64, &[u8])>;

/// Where a number stands in a line, and what it is; none where it is passed over.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slot {
    pub(crate) from: usize,
    pub(crate) to: usize,
    pub(crate) goes: Option<(Quantity, Field)>,
}

/// What stands before a number, without the blanks right before it, and what the number is.
type Known = (Box<[u8]>, Option<(Quantity, Field)>);

/// The looks of a line.
#[derive(Debug, Clone, PartialEq)]
struct Looks {
    slots: Vec<Known>,
    tail: Box<[u8]>,
}

/// The looks of the lines of one board.
#[derive(Debug, Default)]
pub(crate) struct Template {
    looks: Option<Looks>,
    /// Lines in a row that looked otherwise.
    misses: u32,
}

impl Template {
    /// The reading of a line that looks as before.
    pub(crate) fn read(&mut self, line: &[u8], number: ReadNumber) -> Option<Reading> {
        let reading = self.looks.as_ref()?.read(line, number)?;
        self.misses = 0;
        Some(reading)
    }

    /// A line was read the long way. Is it worth learning its looks? Not a single line among
    /// others, and less and less often where each looks different.
    pub(crate) fn missed(&mut self) -> bool {
        self.misses = self.misses.saturating_add(1);
        self.misses > 1 && self.misses.is_power_of_two()
    }

    /// Remembers a line by its numbers, in the order in which they stand there. Where two say the
    /// same quantity, which of them counts is not for the looks to say.
    pub(crate) fn learn(&mut self, line: &str, slots: &[Slot]) {
        self.looks = Looks::of(line.as_bytes(), slots);
    }
}

impl Looks {
    fn of(line: &[u8], slots: &[Slot]) -> Option<Self> {
        if slots.is_empty() || slots.len() > MOST_SLOTS {
            return None;
        }
        let mut known: Vec<Known> = Vec::new();
        let mut end = 0;
        for slot in slots {
            let before = line.get(end..slot.from)?.trim_ascii_end();
            if let Some((quantity, _)) = slot.goes {
                let said_before = known
                    .iter()
                    .filter_map(|(_, goes)| *goes)
                    .any(|(other, _)| other == quantity);
                if said_before {
                    return None;
                }
            }
            known.push((before.into(), slot.goes));
            end = slot.to;
        }
        Some(Self {
            slots: known,
            tail: line.get(end..)?.into(),
        })
    }

    fn read(&self, line: &[u8], number: ReadNumber) -> Option<Reading> {
        let mut draft = Draft::default();
        let mut rest = line;
        for (before, goes) in &self.slots {
            let (value, after) = number(behind_blanks(rest.strip_prefix(&**before)?))?;
            if let Some((quantity, field)) = goes {
                draft.set(*quantity, *field, value).ok()?;
            }
            rest = after;
        }
        if rest == &*self.tail {
            draft.finish()
        } else {
            None
        }
    }
}
