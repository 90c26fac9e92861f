//! Where in a TOML text a key stands.

use std::fmt::Write as _;
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One step down into a TOML document.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Step {
    /// Into a table.
    Key(&'static str),
    /// Into an array.
    Index(usize),
}

/// The name a person knows a key by: `board[0].baud`.
pub(super) fn key_name(path: &[Step]) -> String {
    let mut name = String::new();
    for step in path {
        match step {
            Step::Key(key) if name.is_empty() => name.push_str(key),
            Step::Key(key) => {
                let _ = write!(name, ".{key}");
            }
            Step::Index(index) => {
                let _ = write!(name, "[{index}]");
            }
        }
    }
    name
}

/// Line, from 1, on which `offset` lies.
pub(super) fn line_of(text: &str, offset: usize) -> usize {
    1 + text
        .bytes()
        .take(offset)
        .filter(|byte| *byte == b'\n')
        .count()
}

/// Line of the key at `path`, or of the nearest table above it that is there.
pub(super) fn line_of_path(text: &str, path: &[Step]) -> usize {
    let Ok(document) = DeTable::parse(text) else {
        return 1;
    };
    let mut line = 1;
    let mut place = Place::Table(document.get_ref());
    for step in path {
        let next = match (place, step) {
            (Place::Table(table), Step::Key(key)) => table
                .iter()
                .find(|(name, _)| name.get_ref() == *key)
                .map(|(name, value)| (name.span().start, value)),
            (Place::Value(DeValue::Array(array)), Step::Index(index)) => {
                array.get(*index).map(|value| (value.span().start, value))
            }
            _ => None,
        };
        let Some((offset, value)) = next else {
            return line;
        };
        line = line_of(text, offset);
        place = match value.get_ref() {
            DeValue::Table(table) => Place::Table(table),
            value => Place::Value(value),
        };
    }
    line
}

#[derive(Clone, Copy)]
enum Place<'a> {
    Table(&'a DeTable<'a>),
    Value(&'a DeValue<'a>),
}

/// Name of the innermost key whose text, key or value, holds `offset`.
pub(super) fn key_at(text: &str, offset: usize) -> String {
    let mut best: Option<(usize, String)> = None;
    if let Ok(document) = DeTable::parse(text) {
        search_table(document.get_ref(), "", offset, &mut best);
    }
    best.map(|(_, name)| name).unwrap_or_default()
}

fn search_table(
    table: &DeTable<'_>,
    above: &str,
    offset: usize,
    best: &mut Option<(usize, String)>,
) {
    for (key, value) in table {
        let name = if above.is_empty() {
            key.get_ref().to_string()
        } else {
            format!("{above}.{}", key.get_ref())
        };
        // The span of a table begins anew under each of its headers; that of a plain entry does not.
        if !matches!(value.get_ref(), DeValue::Table(_) | DeValue::Array(_))
            || key.span().contains(&offset)
        {
            offer(
                key.span().start..value.span().end.max(key.span().end),
                &name,
                offset,
                best,
            );
        }
        search_value(value, &name, offset, best);
    }
}

fn search_value(
    value: &Spanned<DeValue<'_>>,
    name: &str,
    offset: usize,
    best: &mut Option<(usize, String)>,
) {
    offer(value.span(), name, offset, best);
    match value.get_ref() {
        DeValue::Table(table) => search_table(table, name, offset, best),
        DeValue::Array(array) => {
            for (index, item) in array.iter().enumerate() {
                search_value(item, &format!("{name}[{index}]"), offset, best);
            }
        }
        _ => {}
    }
}

fn offer(span: Range<usize>, name: &str, offset: usize, best: &mut Option<(usize, String)>) {
    if span.contains(&offset)
        && best
            .as_ref()
            .is_none_or(|(length, _)| span.len() <= *length)
    {
        *best = Some((span.len(), name.to_owned()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[http]\nlisten = \"x\"\n\n[[board]]\nname = \"a\"\n\n[[board]]\nname = \"b\"\nmounting = { up = \"+z\" }\n[board.calibration]\nfile = \"c\"\n";

    #[test]
    fn finds_the_line_of_a_path() {
        let check = |path: &[Step], line| assert_eq!(line_of_path(TEXT, path), line, "{path:?}");
        check(&[Step::Key("http"), Step::Key("listen")], 2);
        check(&[Step::Key("board"), Step::Index(0), Step::Key("name")], 5);
        check(&[Step::Key("board"), Step::Index(1), Step::Key("name")], 8);
        check(
            &[
                Step::Key("board"),
                Step::Index(1),
                Step::Key("mounting"),
                Step::Key("up"),
            ],
            9,
        );
        check(
            &[
                Step::Key("board"),
                Step::Index(1),
                Step::Key("calibration"),
                Step::Key("file"),
            ],
            11,
        );
        // A key that is missing is sought where it should stand.
        check(&[Step::Key("board"), Step::Index(1), Step::Key("baud")], 7);
        check(&[Step::Key("floor"), Step::Key("roll_deg")], 1);
    }

    #[test]
    fn finds_the_key_at_an_offset() {
        let check = |needle: &str, key| {
            assert_eq!(key_at(TEXT, TEXT.find(needle).unwrap()), key, "{needle}");
        };
        check("listen", "http.listen");
        check("\"x\"", "http.listen");
        check("\"a\"", "board[0].name");
        check("\"b\"", "board[1].name");
        check("up =", "board[1].mounting.up");
        check("\"+z\"", "board[1].mounting.up");
        check("file", "board[1].calibration.file");
    }

    #[test]
    fn names_keys_as_a_person_would() {
        assert_eq!(
            key_name(&[Step::Key("board"), Step::Index(2), Step::Key("baud")]),
            "board[2].baud"
        );
    }
}
