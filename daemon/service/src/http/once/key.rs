//! The key of a command, as the draft has it: one string of a structured field (RFC 9651).

use crate::text;
use axum::http::{HeaderMap, StatusCode};

use crate::http::problem::Problem;

/// Name of the header.
pub(super) const HEADER: &str = "idempotency-key";

/// Longest key: four times a UUID with its dashes, so that a program has room for a name of its own.
const LONGEST: usize = 144;

/// The key in these headers; none where there is none.
pub(super) fn of(headers: &HeaderMap) -> Result<Option<String>, Problem> {
    let mut given = headers.get_all(HEADER).iter();
    let Some(value) = given.next() else {
        return Ok(None);
    };
    let key = value.to_str().ok().and_then(string);
    match key {
        Some(key) if given.next().is_none() => Ok(Some(key)),
        _ => Err(malformed()),
    }
}

/// Reads `"…"` with `\"` and `\\` inside; printable ASCII only, as the RFC has it.
fn string(written: &str) -> Option<String> {
    let inner = written
        .trim_matches(' ')
        .strip_prefix('"')?
        .strip_suffix('"')?;
    let mut key = String::new();
    let mut letters = inner.chars();
    while let Some(letter) = letters.next() {
        key.push(match letter {
            '\\' => letters
                .next()
                .filter(|escaped| matches!(escaped, '"' | '\\'))?,
            '"' => return None,
            ' '..='~' => letter,
            _ => return None,
        });
    }
    (1..=LONGEST).contains(&key.len()).then_some(key)
}

fn malformed() -> Problem {
    Problem::new(
        StatusCode::BAD_REQUEST,
        "idempotency_key_malformed",
        text!("The key of the command is not understood"),
        text!(
            "Idempotency-Key must hold one string of 1 to {LONGEST} printable ASCII letters in quotation marks. The request was not done.",
            LONGEST
        ),
        text!("Write it like this: Idempotency-Key: \"8f14e45f-ceea-4e7c-9f5e-0d2b6f1a7c33\"."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(values: &[&str]) -> Result<Option<String>, Problem> {
        let mut headers = HeaderMap::new();
        for value in values {
            headers.append(HEADER, value.parse().unwrap());
        }
        of(&headers)
    }

    #[test]
    fn a_string_of_a_structured_field_is_a_key() {
        for (written, key) in [
            ("\"a\"", "a"),
            (" \"a b\" ", "a b"),
            (r#""a\"b\\""#, r#"a"b\"#),
        ] {
            assert_eq!(read(&[written]), Ok(Some(key.to_owned())), "{written}");
        }
        assert_eq!(read(&[]), Ok(None));
    }

    #[test]
    fn everything_else_is_refused() {
        let long = format!("\"{}\"", "x".repeat(LONGEST + 1));
        for written in [
            "",
            "a",
            "\"\"",
            "\"a",
            "a\"",
            "\"a\"b\"",
            r#""a\n""#,
            r#""\""#,
            "\"a\", \"b\"",
            &long,
        ] {
            assert_eq!(read(&[written]), Err(malformed()), "{written}");
        }
        assert_eq!(read(&["\"a\"", "\"a\""]), Err(malformed()));
        assert_eq!(read(&["\"\u{e4}\""]), Err(malformed()));
    }
}
