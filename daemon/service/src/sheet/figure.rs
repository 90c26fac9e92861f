//! Figures and times as they are printed.

use crate::text;
use crate::text::Language;
use crate::visit::Unit;

/// The true minus sign: as wide as a figure, unlike the hyphen.
const MINUS: char = '\u{2212}';

/// How angles are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Angles {
    /// Degrees and hundredths.
    #[default]
    Decimal,
    /// Degrees and minutes.
    Minutes,
}

impl Angles {
    /// Degrees and minutes, if they are wanted.
    pub const fn minutes(wanted: bool) -> Self {
        if wanted { Self::Minutes } else { Self::Decimal }
    }
}

/// Places behind the point: what is known decides, the usual places of the unit are the least.
fn places(expanded: Option<f64>, unit: Unit) -> usize {
    let usual: usize = match unit {
        Unit::Deg => 2,
        Unit::Mm => 1,
        Unit::Percent => 0,
        Unit::DegPerMm => 4,
    };
    let last = step(usual);
    usual + usize::from(expanded.is_some_and(|expanded| expanded < last))
}

fn step(places: usize) -> f64 {
    (0..places).fold(1.0, |step, _| step / 10.0)
}

/// A value with its sign and unit, at the places that its half width asks for.
pub(super) fn value(value: f64, expanded: f64, unit: Unit, angles: Angles) -> String {
    signed(value, Some(expanded), unit, angles)
}

/// A limit or a target with its sign and unit.
pub(super) fn limit(value: f64, unit: Unit, angles: Angles) -> String {
    signed(value, None, unit, angles)
}

fn signed(value: f64, expanded: Option<f64>, unit: Unit, angles: Angles) -> String {
    if !value.is_finite() {
        return text!("not known").to_string();
    }
    let text = if unit == Unit::Deg && angles == Angles::Minutes {
        let places = usize::from(expanded.is_some_and(|expanded| expanded * 60.0 < 1.0));
        minutes(
            (value.abs() * 60.0 / step(places)).round() * step(places),
            places,
        )
    } else {
        format!("{:.*}{}", places(expanded, unit), value.abs(), unit.sign())
    };
    let text = Language::at_hand().figure(&text);
    // A number that rounds to nothing carries no sign.
    let is_nothing = !text.chars().any(|letter| ('1'..='9').contains(&letter));
    match (is_nothing, value < 0.0) {
        (true, _) => text,
        (false, true) => format!("{MINUS}{text}"),
        (false, false) => format!("+{text}"),
    }
}

fn minutes(all: f64, places: usize) -> String {
    let whole = (all / 60.0).floor();
    let width = if places == 0 { 2 } else { places + 3 };
    format!("{whole:.0}° {:0width$.places$}′", all - whole * 60.0)
}

/// A half width of a 95 % interval, rounded up: what is known is never claimed to be known better.
pub(super) fn expanded(expanded: f64, unit: Unit, angles: Angles) -> String {
    // The nudge keeps 0.07 from becoming 0.08 through its binary form.
    let up = |value: f64, places: usize| ((value / step(places)) - 1e-6).ceil() * step(places);
    if !expanded.is_finite() {
        return text!("± not known").to_string();
    }
    if unit == Unit::Deg && angles == Angles::Minutes {
        let places = usize::from(expanded * 60.0 < 1.0);
        let all = up(expanded * 60.0, places);
        return Language::at_hand().figure(&if all < 60.0 {
            format!("± {all:.places$}′")
        } else {
            format!("± {}", minutes(all, places))
        });
    }
    let places = places(Some(expanded), unit);
    Language::at_hand().figure(&format!(
        "± {:.places$}{}",
        up(expanded, places),
        unit.sign()
    ))
}

/// Day and time of a moment written after RFC 3339 in UTC.
pub(super) fn time(at: &str) -> String {
    match (at.get(..10), at.get(10..11), at.get(11..16)) {
        (Some(day), Some("T"), Some(time)) => format!("{day} {time} UTC"),
        _ => at.to_owned(),
    }
}

/// The day of it.
pub(super) fn day(at: &str) -> &str {
    at.get(..10).unwrap_or(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_written_to_what_is_known() {
        use Angles::{Decimal, Minutes};
        for (number, half, unit, angles, shown, doubt) in [
            (-0.516, 0.061, Unit::Deg, Decimal, "−0.52°", "± 0.07°"),
            (4.5, 0.07, Unit::Deg, Decimal, "+4.50°", "± 0.07°"),
            (0.1234, 0.004, Unit::Deg, Decimal, "+0.123°", "± 0.004°"),
            (-0.001, 0.02, Unit::Deg, Decimal, "0.00°", "± 0.02°"),
            (-0.516, 0.061, Unit::Deg, Minutes, "−0° 31′", "± 4′"),
            (1.999, 0.05, Unit::Deg, Minutes, "+2° 00′", "± 3′"),
            (0.11, 0.01, Unit::Deg, Minutes, "+0° 06.6′", "± 0.6′"),
            (1.0, 1.25, Unit::Deg, Minutes, "+1° 00′", "± 1° 15′"),
            (-3.06, 1.2, Unit::Mm, Decimal, "−3.1 mm", "± 1.2 mm"),
            (-3.06, 1.2, Unit::Mm, Minutes, "−3.1 mm", "± 1.2 mm"),
            (62.0, 8.4, Unit::Percent, Decimal, "+62 %", "± 9 %"),
            (
                -0.0123,
                0.002,
                Unit::DegPerMm,
                Minutes,
                "−0.0123°/mm",
                "± 0.0020°/mm",
            ),
            (
                f64::NAN,
                f64::INFINITY,
                Unit::Deg,
                Decimal,
                "not known",
                "± not known",
            ),
        ] {
            assert_eq!(value(number, half, unit, angles), shown);
            assert_eq!(expanded(half, unit, angles), doubt);
        }
        assert_eq!(limit(-0.5, Unit::Deg, Minutes), "−0° 30′");
    }

    #[test]
    fn moments_are_shown_to_the_minute() {
        assert_eq!(time("2026-05-30T14:03:22Z"), "2026-05-30 14:03 UTC");
        assert_eq!(day("2026-05-30T14:03:22Z"), "2026-05-30");
        assert_eq!(time("some day"), "some day");
    }
}
