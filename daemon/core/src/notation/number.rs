//! Going through a text, and the numbers in it.

use super::{Accepted, NotationError, Problem};

/// More digits than this are no reading; all of these a number holds exactly.
const DIGITS_AT_MOST: usize = 15;

/// A text and how far it was read.
pub(super) struct Scan {
    text: Vec<char>,
    at: usize,
}

/// An unsigned decimal number as it was written.
pub(super) struct Decimal {
    pub(super) value: f64,
    /// Where its decimal mark stands, if it has one.
    pub(super) mark: Option<usize>,
    /// Three digits follow the mark and something other than 0 goes before it.
    grouped: bool,
    point: bool,
}

impl Decimal {
    /// Refused where the mark may part thousands. A point may only where figures
    /// reach into the thousands with no decimals of that order, as millimetres do.
    pub(super) fn settled(self, point_too: bool) -> Result<Self, NotationError> {
        match self.mark {
            Some(at) if self.grouped && (point_too || !self.point) => Err(NotationError {
                at,
                problem: Problem::ThousandsOrDecimal,
            }),
            _ => Ok(self),
        }
    }
}

impl Scan {
    pub(super) fn new(text: &str) -> Result<Self, NotationError> {
        let mut scan = Self {
            text: text.chars().collect(),
            at: 0,
        };
        scan.spaces();
        if scan.peek().is_none() {
            return Err(scan.wrong(Problem::Empty));
        }
        Ok(scan)
    }

    pub(super) fn at(&self) -> usize {
        self.at
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.text.get(self.at).copied()
    }

    pub(super) fn wrong(&self, problem: Problem) -> NotationError {
        NotationError {
            at: self.at,
            problem,
        }
    }

    pub(super) fn unexpected(&self, accepted: &'static [Accepted]) -> NotationError {
        self.wrong(Problem::Unexpected {
            found: self.peek(),
            accepted,
        })
    }

    /// Skips spaces; whether there were any.
    pub(super) fn spaces(&mut self) -> bool {
        let before = self.at;
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
        self.at > before
    }

    /// Passes over one character.
    pub(super) fn skip(&mut self) {
        self.at += 1;
    }

    /// Takes one of these characters.
    pub(super) fn take(&mut self, any: &[char]) -> bool {
        let found = self.peek().is_some_and(|c| any.contains(&c));
        self.at += usize::from(found);
        found
    }

    /// Takes a word, whatever its case, if no further letter follows.
    pub(super) fn word(&mut self, word: &str) -> bool {
        let end = self.at + word.chars().count();
        let same = self.text.get(self.at..end).is_some_and(|part| {
            part.iter()
                .zip(word.chars())
                .all(|(a, b)| a.to_lowercase().eq(b.to_lowercase()))
        });
        let ends = !self
            .text
            .get(end)
            .is_some_and(|c| c.is_alphabetic() || *c == '/');
        if same && ends {
            self.at = end;
        }
        same && ends
    }

    /// Sign and spaces behind it: whether the number is negative.
    pub(super) fn sign(&mut self) -> bool {
        // Minus as keyboards, printers and tables write it.
        let negative = self.take(&['-', '\u{2212}', '\u{2013}']);
        if negative || self.take(&['+']) {
            self.spaces();
        }
        negative
    }

    pub(super) fn end(&self, accepted: &'static [Accepted]) -> Result<(), NotationError> {
        match self.peek() {
            None => Ok(()),
            Some(_) => Err(self.unexpected(accepted)),
        }
    }

    fn digits(&mut self) -> String {
        let from = self.at;
        while self.peek().is_some_and(|c| c.is_ascii_digit()) {
            self.at += 1;
        }
        self.text[from..self.at].iter().collect()
    }

    /// A whole number.
    pub(super) fn whole(&mut self) -> Result<f64, NotationError> {
        let start = self.at;
        let digits = self.digits();
        self.value(start, &digits, "")
    }

    /// A number with or without decimals.
    pub(super) fn decimal(
        &mut self,
        accepted: &'static [Accepted],
    ) -> Result<Decimal, NotationError> {
        let start = self.at;
        let before = self.digits();
        let mark = self.at;
        let point = self.peek() == Some('.');
        let after = if self.take(&['.', ',']) {
            let after = self.digits();
            if after.is_empty() {
                return Err(self.unexpected(&[Accepted::Digit]));
            }
            after
        } else {
            String::new()
        };
        if before.is_empty() && after.is_empty() {
            return Err(self.unexpected(accepted));
        }
        // A second mark: at least one of both parts thousands.
        if !after.is_empty() && matches!(self.peek(), Some('.' | ',')) {
            return Err(self.wrong(Problem::ThousandsOrDecimal));
        }
        Ok(Decimal {
            value: self.value(start, &before, &after)?,
            mark: (!after.is_empty()).then_some(mark),
            grouped: after.len() == 3
                && (1..=3).contains(&before.len())
                && !before.starts_with('0'),
            point,
        })
    }

    fn value(&self, start: usize, before: &str, after: &str) -> Result<f64, NotationError> {
        let too_many = NotationError {
            at: start,
            problem: Problem::TooManyDigits,
        };
        if before.len() + after.len() > DIGITS_AT_MOST {
            return Err(too_many);
        }
        if before.is_empty() && after.is_empty() {
            return Err(self.unexpected(&[Accepted::Digit]));
        }
        format!("0{before}.{after}0").parse().map_err(|_| too_many)
    }
}

/// A number for people: a true minus sign, and none before nothing.
pub(super) fn written(value: f64, decimals: usize) -> String {
    let magnitude = format!("{:.decimals$}", value.abs());
    let nothing = magnitude.chars().all(|c| matches!(c, '0' | '.'));
    let sign = if value < 0.0 && !nothing {
        "\u{2212}"
    } else {
        ""
    };
    format!("{sign}{magnitude}")
}
