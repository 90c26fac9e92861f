//! What stands in one field of a line.

use super::plain::plain;

/// One field of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Value {
    Empty,
    Number(f64),
    /// A number the board could not print: `nan`, `inf`, or `ovf` as Arduino prints what is too large.
    NotFinite,
    Word,
}

impl Value {
    pub(crate) fn read(field: &str) -> Self {
        if let Some((number, [])) = plain(field.as_bytes()) {
            return Self::Number(number);
        }
        let field = field.trim();
        if field.is_empty() {
            return Self::Empty;
        }
        match field.parse::<f64>() {
            Ok(number) if number.is_finite() => Self::Number(number),
            Ok(_) => Self::NotFinite,
            Err(_) => {
                let word = field.trim_start_matches(['-', '+']).to_ascii_lowercase();
                if word == "ovf" || word.starts_with("nan(") {
                    Self::NotFinite
                } else {
                    Self::Word
                }
            }
        }
    }

    /// A number whose fraction may follow a comma, as in a line whose columns part at semicolons.
    pub(crate) fn read_with_decimal_comma(field: &str) -> Self {
        match Self::read(field) {
            Self::Word if field.matches(',').count() == 1 && !field.contains('.') => {
                Self::read(&field.replace(',', "."))
            }
            value => value,
        }
    }
}

/// Cuts what is kept of a text as evidence.
pub(crate) fn cut(text: &str) -> String {
    const MOST_CHARACTERS: usize = 48;
    text.trim().chars().take(MOST_CHARACTERS).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fields_are_told_apart() {
        let cases = [
            ("", Value::Empty),
            ("  ", Value::Empty),
            ("1", Value::Number(1.0)),
            (" -1.5e2 ", Value::Number(-150.0)),
            ("+0.5", Value::Number(0.5)),
            (".5", Value::Number(0.5)),
            ("1e999", Value::NotFinite),
            ("nan", Value::NotFinite),
            ("-inf", Value::NotFinite),
            ("NaN", Value::NotFinite),
            ("-nan(ind)", Value::NotFinite),
            ("ovf", Value::NotFinite),
            ("0x10", Value::Word),
            ("1,5", Value::Word),
            ("ax", Value::Word),
        ];
        for (field, value) in cases {
            assert_eq!(Value::read(field), value, "`{field}`");
        }
        assert_eq!(Value::read_with_decimal_comma("-1,5"), Value::Number(-1.5));
        assert_eq!(Value::read_with_decimal_comma("1,5,2"), Value::Word);
    }
}
