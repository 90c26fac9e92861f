//! Lines of `label:value` or `label=value`.

use crate::bad_frame::BadReason;
use crate::reading::Reading;

use super::column_map::Names;
use super::line::Line;
use super::number::{Value, cut};
use super::plain::plain;
use super::quantity::{Draft, Subject};
use super::template::{Slot, Template};

/// Labels and values of a line, in order. A label without value, as the Serial
/// Plotter allows, has an empty one.
pub(crate) fn pairs(line: &str) -> impl Iterator<Item = (&str, &str)> {
    line.split([',', ';', '\t']).flat_map(pairs_of_part)
}

/// Labels may hold spaces (`Accel X: 0.1`); values end at one (`ax:0.1 ay:0.2`).
fn pairs_of_part(part: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = part;
    std::iter::from_fn(move || {
        let (label, after) = rest.split_once([':', '='])?;
        let after = after.trim_start();
        let (value, next) = match after.split_once(char::is_whitespace) {
            Some((value, next)) => (value, next),
            None => (after, ""),
        };
        // `ax: ay:0.2`: what follows is the next label already.
        let (value, next) = if value.contains([':', '=']) {
            ("", after)
        } else {
            (value, next)
        };
        rest = next;
        Some((label.trim(), value))
    })
}

/// Lines of one stream.
#[derive(Debug)]
pub(crate) struct LabelledLines {
    names: Names,
    template: Template,
}

impl LabelledLines {
    pub(crate) fn new(names: Names) -> Self {
        Self {
            names,
            template: Template::default(),
        }
    }

    /// A line that looks as the ones before.
    pub(crate) fn read_plain(&mut self, line: &[u8]) -> Option<Reading> {
        self.template.read(line, plain)
    }

    pub(crate) fn read(&mut self, line: &str) -> Line {
        let read = fill(line, &mut self.names);
        if read.is_ok() && self.template.missed() {
            self.template.learn(line, &slots(line, &mut self.names));
        }
        read.unwrap_or_else(Line::Bad)
    }
}

/// The plain numbers of a line that was read.
fn slots(line: &str, names: &mut Names) -> Vec<Slot> {
    let numbers = pairs(line).filter_map(|(label, value)| {
        let value = value.trim();
        plain(value.as_bytes()).filter(|(_, rest)| rest.is_empty())?;
        // Both are parts of one text.
        let from = (value.as_ptr() as usize).checked_sub(line.as_ptr() as usize)?;
        let goes = names.field(label).and_then(|field| match field.subject {
            Subject::One(quantity) => Some((quantity, field)),
            Subject::Three(_) => None,
        });
        let to = from + value.len();
        Some(Slot { from, to, goes })
    });
    numbers.collect()
}

fn fill(line: &str, names: &mut Names) -> Result<Line, BadReason> {
    let mut draft = Draft::default();
    let mut understood = false;
    for (label, value) in pairs(line) {
        let Some(field) = names.field(label) else {
            continue;
        };
        let Subject::One(quantity) = field.subject else {
            continue;
        };
        let stored = match Value::read(value) {
            Value::Empty => true,
            Value::Number(number) => draft.set(quantity, field, number).is_ok(),
            // A word after a word that happens to name a quantity: `Time: now`.
            Value::Word if !understood => continue,
            Value::NotFinite | Value::Word => false,
        };
        understood = true;
        if !stored {
            return Err(BadReason::NotANumber {
                column: cut(label),
                text: cut(value),
            });
        }
    }
    if !understood {
        return Err(BadReason::InformationalText { text: cut(line) });
    }
    let reading = draft.finish().ok_or(BadReason::NothingUsable)?;
    Ok(Line::Reading(reading))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, expected: &[(&str, &str)]) {
        assert_eq!(pairs(line).collect::<Vec<_>>(), expected, "`{line}`");
    }

    #[test]
    fn labels_and_values_are_told_apart() {
        check("ax:1,ay:2", &[("ax", "1"), ("ay", "2")]);
        check("ax:1\tay:2\taz:", &[("ax", "1"), ("ay", "2"), ("az", "")]);
        check("ax:1 ay:2", &[("ax", "1"), ("ay", "2")]);
        check("ax=1, ay = 2", &[("ax", "1"), ("ay", "2")]);
        check("ax: 1 ay: 2", &[("ax", "1"), ("ay", "2")]);
        check("ax: ay:2", &[("ax", ""), ("ay", "2")]);
        check(
            "Accel X: 1; Accel Y: -2",
            &[("Accel X", "1"), ("Accel Y", "-2")],
        );
        check("0.1,0.2", &[]);
        check("", &[]);
        check(":", &[("", "")]);
    }
}
