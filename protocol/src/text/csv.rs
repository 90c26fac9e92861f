//! Lines of numbers in columns.

use memchr::{memchr, memchr2};

use crate::bad_frame::BadReason;
use crate::reading::Reading;

use super::column_map::{AssumedUnits, ColumnMap, Columns};
use super::line::Line;
use super::number::{Value, cut};
use super::plain::{behind_blanks, plain};
use super::quantity::{Draft, Subject};

/// Parts the columns: at semicolons, else at commas, else at tabs, else at
/// spaces. Only spaces may be repeated without meaning an empty column.
pub(crate) fn split(line: &str) -> Vec<&str> {
    match separator(line) {
        Some(separator) => line.split(separator).map(str::trim).collect(),
        None => line.split_whitespace().collect(),
    }
}

fn separator(line: &str) -> Option<char> {
    let bytes = line.as_bytes();
    if memchr(b';', bytes).is_some() {
        return Some(';');
    }
    let first = bytes.get(memchr2(b',', b'\t', bytes)?..)?;
    let has_comma = memchr(b',', first).is_some();
    Some(if has_comma { ',' } else { '\t' })
}

fn values(line: &str, fields: &[&str]) -> Vec<Value> {
    let read = if separator(line) == Some(';') {
        Value::read_with_decimal_comma
    } else {
        Value::read
    };
    fields.iter().map(|field| read(field)).collect()
}

/// A line taken apart.
#[derive(Debug)]
pub(crate) enum Taken<'a> {
    Header(Vec<&'a str>),
    Numbers(Vec<&'a str>, Vec<Value>),
    Words,
}

/// Tells headers, numbers and words apart.
pub(crate) fn take(line: &str) -> Taken<'_> {
    let fields = split(line);
    let values = values(line, &fields);
    let count = |wanted: fn(&Value) -> bool| values.iter().filter(|value| wanted(value)).count();
    let words = count(|value| *value == Value::Word);
    let numbers = count(|value| matches!(value, Value::Number(_) | Value::NotFinite));
    if words > 0 && numbers == 0 && is_header(line, &fields) {
        Taken::Header(fields)
    } else if words > numbers {
        Taken::Words
    } else {
        Taken::Numbers(fields, values)
    }
}

/// Do the names make a usable map? A sentence may hold `time` or `x` as well,
/// so names parted by spaces have to be understood one and all.
fn is_header(line: &str, fields: &[&str]) -> bool {
    let Ok(map) = ColumnMap::from_names(fields, ANY_UNITS) else {
        return false;
    };
    separator(line).is_some() || map.columns().iter().all(|column| column.field.is_some())
}

/// Units under which every name that is understood makes a column; only used to tell a header.
const ANY_UNITS: AssumedUnits = AssumedUnits {
    accel: super::unit::Unit::Gravity,
    rate: super::unit::Unit::DegPerSecond,
    time: Some(super::unit::Unit::Microsecond),
};

/// Lines of one stream; what a header said holds for the lines after it.
#[derive(Debug)]
pub(crate) struct CsvLines {
    /// Units of header names that tell none; none where the map was given and headers change nothing.
    units: Option<AssumedUnits>,
    map: Option<ColumnMap>,
    /// What parts the columns of lines that were read; none where blanks do.
    separator: Option<u8>,
    /// A header that does not agree with the given map; its lines cannot be read by it.
    disagreeing: Option<String>,
}

impl CsvLines {
    pub(crate) fn new(columns: &Columns) -> Self {
        let (units, map) = match columns {
            Columns::Named(units) => (Some(*units), None),
            Columns::Mapped(map) => (None, Some(map.clone())),
        };
        Self {
            units,
            map,
            separator: Some(b','),
            disagreeing: None,
        }
    }

    /// Is it a header of which every name is understood? The tail of one has its first name cut.
    pub(crate) fn is_whole_header(line: &str) -> bool {
        let Taken::Header(names) = take(line) else {
            return false;
        };
        ColumnMap::from_names(&names, ANY_UNITS)
            .is_ok_and(|map| map.columns().iter().all(|column| column.field.is_some()))
    }

    pub(crate) fn read(&mut self, line: &str) -> Line {
        match take(line) {
            Taken::Words => Line::Bad(BadReason::InformationalText { text: cut(line) }),
            Taken::Header(names) => self.header(line, &names),
            Taken::Numbers(fields, values) => {
                let read = self.numbers(&fields, &values);
                if read.is_ok() {
                    self.separator = separator(line).and_then(|parts| u8::try_from(parts).ok());
                }
                read.unwrap_or_else(Line::Bad)
            }
        }
    }

    /// A line of which nothing has to be told apart: as many plain numbers as there are columns,
    /// parted as in the lines before. None of any other, which is then read the long way with the
    /// same outcome: beside such numbers and their separator there is nothing else in the line.
    pub(crate) fn plain_numbers(&self, line: &[u8]) -> Option<Reading> {
        let map = self.map.as_ref().filter(|_| self.disagreeing.is_none())?;
        let mut draft = Draft::default();
        let mut rest = line;
        for column in map.columns() {
            let (number, after) = plain(behind_blanks(rest))?;
            if let Some(field) = column.field
                && let Subject::One(quantity) = field.subject
            {
                draft.set(quantity, field, number).ok()?;
            }
            let behind = behind_blanks(after);
            rest = match (self.separator, behind) {
                (_, []) => behind,
                (Some(separator), [byte, next @ ..]) if *byte == separator => next,
                (None, next) if next.len() < after.len() => next,
                _ => return None,
            };
        }
        // What is left of the last column, or of an empty one behind it, is nothing.
        if rest.is_empty() {
            draft.finish()
        } else {
            None
        }
    }

    fn header(&mut self, line: &str, names: &[&str]) -> Line {
        if let Some(units) = self.units {
            // A header that names nothing usable would leave the old map for other columns.
            return match ColumnMap::from_names(names, units) {
                Ok(map) => {
                    self.map = Some(map);
                    Line::Quiet
                }
                Err(_) => Line::Bad(BadReason::InformationalText { text: cut(line) }),
            };
        }
        if self.map.as_ref().is_none_or(|map| map.agrees_with(names)) {
            self.disagreeing = None;
            return Line::Quiet;
        }
        let header = cut(line);
        self.disagreeing = Some(header.clone());
        Line::Bad(BadReason::HeaderDisagrees { header })
    }

    fn numbers(&self, fields: &[&str], values: &[Value]) -> Result<Line, BadReason> {
        if let Some(header) = &self.disagreeing {
            return Err(BadReason::HeaderDisagrees {
                header: header.clone(),
            });
        }
        let Some(map) = &self.map else {
            return Err(BadReason::NoHeader {
                columns: values.len(),
            });
        };
        let expected = map.columns().len();
        // Sketches that print in a loop leave a separator at the end.
        let ends_empty = values.len() == expected + 1 && values.last() == Some(&Value::Empty);
        if values.len() != expected && !ends_empty {
            return Err(BadReason::WrongColumnCount {
                expected,
                found: values.len(),
            });
        }
        let mut draft = Draft::default();
        for (index, ((column, text), value)) in
            map.columns().iter().zip(fields).zip(values).enumerate()
        {
            let Some(field) = column.field else { continue };
            let Subject::One(quantity) = field.subject else {
                continue;
            };
            let stored = match value {
                Value::Empty => continue,
                Value::Number(number) => draft.set(quantity, field, *number).is_ok(),
                Value::NotFinite | Value::Word => false,
            };
            if !stored {
                let number = (index + 1).to_string();
                return Err(BadReason::NotANumber {
                    column: column.label.clone().unwrap_or(number),
                    text: cut(text),
                });
            }
        }
        let reading = draft.finish().ok_or(BadReason::NothingUsable)?;
        Ok(Line::Reading(reading))
    }
}
