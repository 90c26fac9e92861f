//! What stands in a template.

use std::sync::Arc;

use super::{Language, Text};

/// What stands in a template.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Argument {
    /// Words, told in the language of the whole.
    Words(Text),
    /// A number, with the decimal mark of the language.
    Number(Number),
}

/// A number as it is told in English; other languages write its mark their way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number(pub(super) Arc<str>);

/// A number with that many decimals, and a sign only where it is negative.
pub fn number(value: f64, decimals: usize) -> Number {
    Number(format!("{value:.decimals$}").into())
}

/// A number with that many decimals and always a sign.
pub fn signed(value: f64, decimals: usize) -> Number {
    Number(format!("{value:+.decimals$}").into())
}

/// A number with the decimals that it has and no more.
pub fn plain(value: f64) -> Number {
    Number(value.to_string().into())
}

/// A number that something else has written the English way.
pub fn written(english: &str) -> Number {
    Number(english.into())
}

impl Argument {
    /// A figure as it was told in English; none where it is no figure.
    pub(super) fn figure(told: &str) -> Option<Self> {
        let digits = told.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(told);
        let is_figure = digits.starts_with(|c: char| c.is_ascii_digit())
            && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
            && digits.matches('.').count() <= 1;
        is_figure.then(|| Self::Number(Number(told.into())))
    }

    pub(super) fn tell(&self, language: Language, told: &mut String) {
        match self {
            Self::Words(text) => text.tell(language, told),
            Self::Number(Number(number)) => told.push_str(&language.figure(number)),
        }
    }
}

impl From<Text> for Argument {
    fn from(text: Text) -> Self {
        Self::Words(text)
    }
}

impl From<&Text> for Argument {
    fn from(text: &Text) -> Self {
        Self::Words(text.clone())
    }
}

/// Told as it is: a name, a port, what a system said.
impl From<&&str> for Argument {
    fn from(text: &&str) -> Self {
        Self::from(*text)
    }
}

impl From<&usize> for Argument {
    fn from(number: &usize) -> Self {
        Self::from(*number)
    }
}

impl From<Number> for Argument {
    fn from(number: Number) -> Self {
        Self::Number(number)
    }
}

/// Told as it is: a name, a port, what a system said.
impl From<String> for Argument {
    fn from(text: String) -> Self {
        Self::Words(Text::verbatim(text))
    }
}

/// Told as it is: a name, a port, what a system said.
impl From<&str> for Argument {
    fn from(text: &str) -> Self {
        Self::Words(Text::verbatim(text))
    }
}

/// Told as it is: a name, a port, what a system said.
impl From<&String> for Argument {
    fn from(text: &String) -> Self {
        Self::from(text.as_str())
    }
}

macro_rules! whole_numbers {
    ($($kind:ty),+) => { $(
        impl From<$kind> for Argument {
            fn from(number: $kind) -> Self {
                Self::Number(Number(number.to_string().into()))
            }
        }
    )+ };
}

whole_numbers!(u8, u16, u32, u64, usize, i8, i16, i32, i64);
