//! Lines of numbers, with a header or without one.

use std::collections::VecDeque;

use memchr::memchr;

use crate::format::WireFormat;
use crate::text::csv::{CsvLines, Taken, split, take};
use crate::text::line::Line;
use crate::text::quantity::{Axis, Quantity, Triple};
use crate::text::unit::Unit;
use crate::text::{ColumnMap, Columns, MOST_LINE_BYTES};

use super::reader_ear::GOOD_TO_BAD;
use super::resting::{Resting, TimeOfNames};
use super::{Confidence, Guess};

/// Lines kept to judge by, the latest: 32 KiB at most.
const MOST_LINES: usize = 64;
const LINES_TO_BELIEVE: u64 = 5;

/// Temperatures a chip at work may have, °C: the range the datasheets name (−40 to 85).
const CHIP_TEMPERATURES_C: std::ops::RangeInclusive<f64> = -40.0..=85.0;

/// Lines heard so far.
#[derive(Debug, Default)]
pub(super) struct CsvEar {
    carried: Vec<u8>,
    /// What is carried began with the line, which was not too long either.
    at_line_start: bool,
    header: Option<String>,
    lines: VecDeque<String>,
}

/// How one map fares with the lines.
struct Trial {
    map: ColumnMap,
    good: u64,
    bad: u64,
    resting: Resting,
}

impl CsvEar {
    pub(super) fn hear(&mut self, bytes: &[u8]) {
        let mut rest = bytes;
        while let Some((line, after)) =
            memchr(b'\n', rest).and_then(|end| rest.split_at_checked(end))
        {
            self.carry(line);
            self.line();
            rest = after.get(1..).unwrap_or_default();
        }
        self.carry(rest);
    }

    /// A message is whole, whether or not it ends its line.
    pub(super) fn message_over(&mut self) {
        if !self.carried.is_empty() {
            self.line();
        }
    }

    fn carry(&mut self, bytes: &[u8]) {
        if self.carried.len() + bytes.len() > MOST_LINE_BYTES {
            self.at_line_start = false;
            self.carried.clear();
        } else {
            self.carried.extend_from_slice(bytes);
        }
    }

    fn line(&mut self) {
        let whole = std::mem::replace(&mut self.at_line_start, true);
        let bytes = std::mem::take(&mut self.carried);
        let Ok(line) = std::str::from_utf8(&bytes) else {
            return;
        };
        let line = line.trim();
        match take(line) {
            Taken::Header(_) if whole || CsvLines::is_whole_header(line) => self.header(line),
            Taken::Numbers(..) if whole && !line.is_empty() => {
                if self.lines.len() == MOST_LINES {
                    self.lines.pop_front();
                }
                self.lines.push_back(line.to_owned());
            }
            _ => {}
        }
    }

    /// Lines before another header were of another layout; a board that starts
    /// again says the same one.
    fn header(&mut self, line: &str) {
        if self.header.as_deref() != Some(line) {
            self.lines.clear();
            self.header = Some(line.to_owned());
        }
    }

    pub(super) fn guess(&self) -> Option<Guess> {
        match &self.header {
            Some(header) => self.by_header(header),
            None => self.by_order(),
        }
    }

    fn by_header(&self, header: &str) -> Option<Guess> {
        let names = split(header);
        let heard = self.trial(ColumnMap::from_names(&names, TimeOfNames::UNKNOWN).ok()?);
        let map = ColumnMap::from_names(&names, heard.resting.units()).ok()?;
        let sure = heard.good >= LINES_TO_BELIEVE
            && heard.good > GOOD_TO_BAD * heard.bad
            && heard.resting.accel_unit() == Some(Unit::Gravity);
        let confidence = if sure {
            Confidence::Strong
        } else {
            Confidence::Weak
        };
        let why = format!("the header says {map}; {}", heard.resting.words());
        (heard.good > 0).then(|| heard.guess(map, confidence, &why))
    }

    /// Without a header the order of columns can only be supposed.
    fn by_order(&self) -> Option<Guess> {
        let width = split(self.lines.back()?).len();
        let orders = usual_orders().into_iter();
        let (order, heard) = orders
            .filter(|order| order.len() == width)
            .map(|order| {
                let map = ColumnMap::of_quantities(order.iter().copied(), TimeOfNames::UNKNOWN);
                (order, self.trial(map))
            })
            .find(|(_, heard)| heard.is_plausible())?;
        let map = ColumnMap::of_quantities(order, heard.resting.units());
        let why = format!(
            "no header came; that {width} columns are {map} is supposed from their number; {}",
            heard.resting.words()
        );
        Some(heard.guess(map, Confidence::Weak, &why))
    }

    fn trial(&self, map: ColumnMap) -> Trial {
        let mut lines = CsvLines::new(&Columns::Mapped(map.clone()));
        let mut trial = Trial {
            map,
            good: 0,
            bad: 0,
            resting: Resting::default(),
        };
        for line in &self.lines {
            match lines.read(line) {
                Line::Reading(reading) => {
                    trial.good += 1;
                    trial.resting.hear(&reading);
                }
                Line::Bad(_) => trial.bad += 1,
                Line::Quiet => {}
            }
        }
        trial
    }
}

impl Trial {
    /// Does the order of columns make sense for a board at rest?
    fn is_plausible(&self) -> bool {
        let holds = |quantity| self.map.holds(quantity);
        self.good > 0
            && self.resting.accel_unit().is_some()
            && (!holds(Quantity::Time) || self.resting.clock_runs())
            && (!holds(Quantity::Temperature)
                || self
                    .resting
                    .temperature_c()
                    .is_none_or(|temperature_c| CHIP_TEMPERATURES_C.contains(&temperature_c)))
    }

    fn guess(&self, map: ColumnMap, confidence: Confidence, why: &str) -> Guess {
        Guess {
            format: WireFormat::Csv(Columns::Mapped(map)),
            good: self.good,
            bad: self.bad,
            confidence,
            why: format!("{} lines of numbers, {} bad; {why}", self.good, self.bad),
        }
    }
}

/// Orders in which sketches print (common practice, no source), the canonical one last.
fn usual_orders() -> [Vec<Quantity>; 5] {
    let time = [Quantity::Time].as_slice();
    let temperature = [Quantity::Temperature].as_slice();
    let accel = Axis::ALL.map(|axis| Quantity::Axis(Triple::Accel, axis));
    let rate = Axis::ALL.map(|axis| Quantity::Axis(Triple::Rate, axis));
    [
        accel.to_vec(),
        [accel, rate].concat(),
        [time, &accel, &rate].concat(),
        [accel.as_slice(), &rate, temperature].concat(),
        [time, &accel, &rate, temperature].concat(),
    ]
}
