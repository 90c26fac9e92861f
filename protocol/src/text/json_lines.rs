//! One JSON object a line.

use serde_json::error::Category;
use serde_json::{Map, Value};

use crate::bad_frame::BadReason;
use crate::reading::Reading;

use super::column_map::Names;
use super::line::Line;
use super::number::cut;
use super::plain::plain_of_json;
use super::quantity::{Axis, Draft, Field, OutOfRange, Quantity, Subject, Triple};
use super::template::{Slot, Template};

/// Objects within objects that are looked into: `{"imu":{"accel":{"x":…}}}`.
const MOST_DEPTH: usize = 3;

/// Is it an object from its first brace to its last?
pub(crate) fn is_object(line: &str) -> bool {
    line.starts_with('{') && serde_json::from_str::<Map<String, Value>>(line).is_ok()
}

/// Lines of one stream.
#[derive(Debug)]
pub(crate) struct JsonLines {
    names: Names,
    template: Template,
}

impl JsonLines {
    pub(crate) fn new(names: Names) -> Self {
        Self {
            names,
            template: Template::default(),
        }
    }

    /// A line that looks as the ones before.
    pub(crate) fn read_plain(&mut self, line: &[u8]) -> Option<Reading> {
        self.template.read(line, plain_of_json)
    }

    pub(crate) fn read(&mut self, line: &str) -> Line {
        if !line.starts_with('{') {
            return Line::Bad(BadReason::InformationalText { text: cut(line) });
        }
        let read = self.long_way(line);
        if read.is_ok() && self.template.missed() {
            let slots = slots(line, &mut self.names).unwrap_or_default();
            self.template.learn(line, &slots);
        }
        read.unwrap_or_else(Line::Bad)
    }

    fn long_way(&mut self, line: &str) -> Result<Line, BadReason> {
        let draft = fill(line, &mut self.names, Draft::default())?;
        let reading = draft.finish().ok_or(BadReason::NothingUsable)?;
        Ok(Line::Reading(reading))
    }
}

/// What takes the numbers of a line.
trait Sink {
    fn set(&mut self, quantity: Quantity, field: Field, number: f64) -> Result<(), OutOfRange>;
}

impl Sink for Draft {
    fn set(&mut self, quantity: Quantity, field: Field, number: f64) -> Result<(), OutOfRange> {
        Self::set(self, quantity, field, number)
    }
}

impl Sink for Vec<(Quantity, Field, f64)> {
    fn set(&mut self, quantity: Quantity, field: Field, number: f64) -> Result<(), OutOfRange> {
        self.push((quantity, field, number));
        Ok(())
    }
}

fn fill<S: Sink>(line: &str, names: &mut Names, sink: S) -> Result<S, BadReason> {
    let object: Map<String, Value> =
        serde_json::from_str(line).map_err(|error| bad_json(&error))?;
    let mut filler = Filler { sink, names };
    filler.object("", &object, MOST_DEPTH)?;
    Ok(filler.sink)
}

/// The numbers of a line that was read. What each of them is shows when the line is read with their
/// places in their stead; none where they cannot be told so.
fn slots(line: &str, names: &mut Names) -> Option<Vec<Slot>> {
    let mut slots = numbers(line);
    let mut told = String::with_capacity(line.len());
    let mut end = 0;
    for (place, slot) in slots.iter().enumerate() {
        told.push_str(line.get(end..slot.from)?);
        told.push_str(&place.to_string());
        end = slot.to;
    }
    told.push_str(line.get(end..)?);
    for (quantity, field, place) in fill(&told, names, Vec::new()).ok()? {
        let (_, slot) = (0_u32..)
            .zip(&mut slots)
            .find(|(number, _)| f64::from(*number) == place)?;
        // One number for two quantities is none that has a place.
        if slot.goes.replace((quantity, field)).is_some() {
            return None;
        }
    }
    Some(slots)
}

/// Where numbers stand in sound JSON: outside of strings.
fn numbers(line: &str) -> Vec<Slot> {
    let is_of_number = |byte: u8| matches!(byte, b'0'..=b'9' | b'-' | b'+' | b'.' | b'e' | b'E');
    let mut found: Vec<Slot> = Vec::new();
    let (mut in_string, mut escaped) = (false, false);
    for (at, byte) in line.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if in_string => escaped = true,
            b'"' => in_string = !in_string,
            _ if in_string => {}
            // The letter of an exponent is one of `true` and `false` as well.
            _ if is_of_number(byte) => match found.last_mut().filter(|slot| slot.to == at) {
                Some(slot) => slot.to = at + 1,
                None if byte == b'-' || byte.is_ascii_digit() => found.push(Slot {
                    from: at,
                    to: at + 1,
                    goes: None,
                }),
                None => {}
            },
            _ => {}
        }
    }
    found
}

fn bad_json(error: &serde_json::Error) -> BadReason {
    let why = match error.classify() {
        Category::Eof => "the line ends too early",
        Category::Syntax => "a character is out of place",
        Category::Data => "a value is of another kind",
        Category::Io => "it could not be read",
    };
    BadReason::BadJson {
        why,
        column: error.column(),
    }
}

struct Filler<'a, S> {
    sink: S,
    names: &'a mut Names,
}

impl<S: Sink> Filler<'_, S> {
    fn object(
        &mut self,
        within: &str,
        object: &Map<String, Value>,
        depth: usize,
    ) -> Result<(), BadReason> {
        for (key, value) in object {
            let name = if within.is_empty() {
                key.clone()
            } else {
                format!("{within}_{key}")
            };
            let mut field = self.names.field(&name);
            // `accel` within `imu` is what it says; `x` within `mag` is not.
            if field.is_none() && !within.is_empty() && key.len() > 1 {
                field = self.names.field(key);
            }
            match (field, value) {
                (Some(field), value) => self.field(&name, field, value)?,
                (None, Value::Object(inner)) if depth > 1 => {
                    self.object(&name, inner, depth - 1)?;
                }
                (None, _) => {}
            }
        }
        Ok(())
    }

    fn field(&mut self, name: &str, field: Field, value: &Value) -> Result<(), BadReason> {
        match (field.subject, value) {
            (_, Value::Null) => Ok(()),
            (Subject::One(quantity), value) => self.number(name, quantity, field, value),
            (Subject::Three(triple), Value::Array(values)) => {
                if values.len() != 3 {
                    return Err(BadReason::WrongColumnCount {
                        expected: 3,
                        found: values.len(),
                    });
                }
                for (axis, value) in Axis::ALL.into_iter().zip(values) {
                    self.number(name, Quantity::Axis(triple, axis), field, value)?;
                }
                Ok(())
            }
            (Subject::Three(triple), Value::Object(inner)) => {
                for (axis, key) in Axis::ALL.into_iter().zip(axis_keys(triple)) {
                    let value = inner.get(key).unwrap_or(&Value::Null);
                    self.number(name, Quantity::Axis(triple, axis), field, value)?;
                }
                Ok(())
            }
            // One number under such a name is another matter: `"rate":100` tells how often.
            (Subject::Three(_), _) => Ok(()),
        }
    }

    fn number(
        &mut self,
        name: &str,
        quantity: Quantity,
        field: Field,
        value: &Value,
    ) -> Result<(), BadReason> {
        if value.is_null() {
            return Ok(());
        }
        let number = value.as_f64().ok_or_else(|| not_a_number(name, value))?;
        self.sink
            .set(quantity, field, number)
            .map_err(|_| not_a_number(name, value))
    }
}

fn axis_keys(triple: Triple) -> [&'static str; 3] {
    match triple {
        Triple::Accel | Triple::Rate => ["x", "y", "z"],
        Triple::Attitude => ["roll", "pitch", "yaw"],
    }
}

fn not_a_number(name: &str, value: &Value) -> BadReason {
    BadReason::NotANumber {
        column: cut(name),
        text: cut(&value.to_string()),
    }
}
