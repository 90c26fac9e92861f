//! One JSON object a line.

use serde_json::error::Category;
use serde_json::{Map, Value};

use crate::bad_frame::BadReason;

use super::column_map::Names;
use super::line::Line;
use super::number::cut;
use super::quantity::{Axis, Draft, Field, Quantity, Subject, Triple};

/// Objects within objects that are looked into: `{"imu":{"accel":{"x":…}}}`.
const MOST_DEPTH: usize = 3;

/// Is it an object from its first brace to its last?
pub(crate) fn is_object(line: &str) -> bool {
    line.starts_with('{') && serde_json::from_str::<Map<String, Value>>(line).is_ok()
}

/// Reads one line.
pub(crate) fn read(line: &str, names: &mut Names) -> Line {
    if !line.starts_with('{') {
        return Line::Bad(BadReason::InformationalText { text: cut(line) });
    }
    fill(line, names).unwrap_or_else(Line::Bad)
}

fn fill(line: &str, names: &mut Names) -> Result<Line, BadReason> {
    let object: Map<String, Value> =
        serde_json::from_str(line).map_err(|error| bad_json(&error))?;
    let mut filler = Filler {
        draft: Draft::default(),
        names,
    };
    filler.object("", &object, MOST_DEPTH)?;
    let reading = filler.draft.finish().ok_or(BadReason::NothingUsable)?;
    Ok(Line::Reading(reading))
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

struct Filler<'a> {
    draft: Draft,
    names: &'a mut Names,
}

impl Filler<'_> {
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
        self.draft
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
