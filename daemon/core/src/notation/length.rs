//! Lengths: millimetres, centimetres, metres, inches and their fractions.

use crate::length::Length;

use super::number::{Decimal, Scan, written};
use super::{Accepted, NotationError, Problem};

/// A unit of length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LengthUnit {
    /// Millimetres.
    Millimetre,
    /// Centimetres.
    Centimetre,
    /// Metres.
    Metre,
    /// Inches of 25.4 mm; these may be fractions.
    Inch,
}

impl LengthUnit {
    const fn times(self, value: f64) -> Length {
        match self {
            Self::Millimetre => Length::from_mm(value),
            Self::Centimetre => Length::from_mm(value * 10.0),
            Self::Metre => Length::from_m(value),
            Self::Inch => Length::from_inch(value),
        }
    }

    const fn of(self, length: Length) -> f64 {
        match self {
            Self::Millimetre => length.mm(),
            Self::Centimetre => length.mm() / 10.0,
            Self::Metre => length.m(),
            Self::Inch => length.inch(),
        }
    }

    const fn symbol(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Metre => "m",
            Self::Inch => "in",
        }
    }

    /// Takes a unit, if there is one.
    pub(super) fn scanned(scan: &mut Scan) -> Option<Self> {
        if scan.take(&['"', '″', '”']) {
            return Some(Self::Inch);
        }
        [
            ("mm", Self::Millimetre),
            ("cm", Self::Centimetre),
            ("m", Self::Metre),
            ("in", Self::Inch),
            ("inch", Self::Inch),
            ("inches", Self::Inch),
        ]
        .into_iter()
        .find(|(word, _)| scan.word(word))
        .map(|(_, unit)| unit)
    }
}

/// What stands before the unit.
enum Written {
    Decimal(Decimal),
    /// A fraction, with where its bar stands.
    Fraction(f64, usize),
}

/// Reads a length; a number without a unit is in `bare`.
///
/// In millimetres `2.600` and `2,600` are refused: they may be 2.6 as well as
/// 2600. Elsewhere only the comma may part thousands.
pub fn read_length(text: &str, bare: LengthUnit) -> Result<Length, NotationError> {
    let mut scan = Scan::new(text)?;
    let negative = scan.sign();
    let number = number(&mut scan)?;
    scan.spaces();
    let unit = LengthUnit::scanned(&mut scan).unwrap_or(bare);
    scan.spaces();
    scan.end(match number {
        Written::Decimal(_) => &[Accepted::LengthUnit, Accepted::FractionBar, Accepted::End],
        Written::Fraction(..) => &[Accepted::LengthUnit, Accepted::End],
    })?;
    let value = match number {
        Written::Decimal(decimal) => decimal.settled(unit == LengthUnit::Millimetre)?.value,
        Written::Fraction(value, _) if unit == LengthUnit::Inch => value,
        Written::Fraction(_, at) => {
            let problem = Problem::FractionNotOfInches;
            return Err(NotationError { at, problem });
        }
    };
    Ok(unit.times(if negative { -value } else { value }))
}

/// `1.5`, `1/16` or `1 1/8`.
fn number(scan: &mut Scan) -> Result<Written, NotationError> {
    let first = scan.decimal(&[Accepted::Sign, Accepted::Digit])?;
    if first.mark.is_some() {
        return Ok(Written::Decimal(first));
    }
    if scan.peek() == Some('/') {
        return fraction(scan, 0.0, first.value);
    }
    let spaced = scan.spaces();
    if !(spaced && scan.peek().is_some_and(|c| c.is_ascii_digit())) {
        return Ok(Written::Decimal(first));
    }
    let numerator = scan.whole()?;
    if scan.peek() != Some('/') {
        return Err(scan.unexpected(&[Accepted::FractionBar]));
    }
    fraction(scan, first.value, numerator)
}

fn fraction(scan: &mut Scan, whole: f64, numerator: f64) -> Result<Written, NotationError> {
    let bar = scan.at();
    scan.take(&['/']);
    let at = scan.at();
    let denominator = scan.whole()?;
    if denominator == 0.0 {
        let problem = Problem::ZeroDenominator;
        return Err(NotationError { at, problem });
    }
    Ok(Written::Fraction(whole + numerator / denominator, bar))
}

/// Prints a length with so many decimals, six at most; in millimetres two, as
/// three could be taken for thousands.
pub fn write_length(length: Length, unit: LengthUnit, decimals: usize) -> String {
    let most = if unit == LengthUnit::Millimetre { 2 } else { 6 };
    let number = written(unit.of(length), decimals.min(most));
    format!("{number} {}", unit.symbol())
}

/// Prints inches to the nearest of so many parts of an inch, in lowest terms:
/// `1 1/8 in`. `parts` of nothing counts as whole inches.
pub fn write_inch_fraction(length: Length, parts: u32) -> String {
    let parts = f64::from(parts.max(1));
    let count = (length.inch().abs() * parts).round();
    let sign = if length.m() < 0.0 && count > 0.0 {
        "\u{2212}"
    } else {
        ""
    };
    let (whole, rest) = ((count / parts).floor(), count % parts);
    let shared = greatest_divisor(rest, parts);
    let (top, bottom) = (rest / shared, parts / shared);
    if rest == 0.0 {
        format!("{sign}{whole:.0} in")
    } else if whole == 0.0 {
        format!("{sign}{top:.0}/{bottom:.0} in")
    } else {
        format!("{sign}{whole:.0} {top:.0}/{bottom:.0} in")
    }
}

/// Greatest common divisor of whole numbers.
fn greatest_divisor(a: f64, b: f64) -> f64 {
    if b == 0.0 {
        a
    } else {
        greatest_divisor(b, a % b)
    }
}
