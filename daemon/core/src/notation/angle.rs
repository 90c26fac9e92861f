//! Angles: decimal degrees, degrees and minutes, minutes.

use crate::angle::Angle;

use super::number::{Scan, written};
use super::{Accepted, NotationError, Problem};

const DEGREE_MARKS: [char; 2] = ['°', 'º'];
const MINUTE_MARKS: [char; 4] = ['\'', '′', '’', '´'];

/// How an angle is printed, and what a number without a mark stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AngleForm {
    /// `1.25°`; a bare number is degrees.
    Degrees,
    /// `1°15′`; a bare whole number is degrees, a broken one is refused.
    DegreesMinutes,
    /// `75′`; a bare number is minutes.
    Minutes,
}

/// Reads an angle.
///
/// Marks go before `form`: `1.25°`, `1°15'`, `75'` mean the same in every form,
/// and so do two numbers, which are degrees and minutes. A sign is for the
/// whole: `-0°12'` is negative.
pub fn read_angle(text: &str, form: AngleForm) -> Result<Angle, NotationError> {
    let mut scan = Scan::new(text)?;
    let negative = scan.sign();
    let first = scan
        .decimal(&[Accepted::Sign, Accepted::Digit])?
        .settled(false)?;
    let spaced = scan.spaces();
    let degrees = if scan.degree_mark() {
        scan.spaces();
        first.value + minutes_after(&mut scan, first.mark.is_some())?
    } else if scan.minute_mark() {
        first.value / 60.0
    } else if spaced && scan.peek().is_some_and(|c| c.is_ascii_digit()) {
        first.value + minutes_after(&mut scan, first.mark.is_some())?
    } else {
        match (form, first.mark) {
            (AngleForm::Minutes, _) => first.value / 60.0,
            (AngleForm::DegreesMinutes, Some(at)) if scan.peek().is_none() => {
                let problem = Problem::DecimalsOrMinutes;
                return Err(NotationError { at, problem });
            }
            _ => first.value,
        }
    };
    scan.spaces();
    scan.end(&[
        Accepted::DegreeMark,
        Accepted::MinuteMark,
        Accepted::Minutes,
        Accepted::End,
    ])?;
    Ok(Angle::from_deg(if negative { -degrees } else { degrees }))
}

impl Scan {
    fn degree_mark(&mut self) -> bool {
        self.take(&DEGREE_MARKS) || self.word("deg")
    }

    fn minute_mark(&mut self) -> bool {
        self.take(&MINUTE_MARKS) || self.word("min")
    }

    /// Takes a mark that only angles have.
    pub(super) fn angle_mark(&mut self) -> bool {
        self.degree_mark() || self.minute_mark()
    }
}

/// Minutes behind degrees, in degrees; nothing if there are none.
fn minutes_after(scan: &mut Scan, broken_degrees: bool) -> Result<f64, NotationError> {
    if !scan.peek().is_some_and(|c| c.is_ascii_digit()) {
        return Ok(0.0);
    }
    if broken_degrees {
        return Err(scan.wrong(Problem::MinutesAfterDecimals));
    }
    let at = scan.at();
    let minutes = scan.decimal(&[Accepted::Minutes])?.settled(false)?.value;
    if minutes >= 60.0 {
        let problem = Problem::MinutesTooMany;
        return Err(NotationError { at, problem });
    }
    scan.spaces();
    scan.minute_mark();
    Ok(minutes / 60.0)
}

/// Prints an angle with so many decimals of its smallest unit, six at most.
pub fn write_angle(angle: Angle, form: AngleForm, decimals: usize) -> String {
    let decimals = decimals.min(6);
    match form {
        AngleForm::Degrees => format!("{}°", written(angle.deg(), decimals)),
        AngleForm::Minutes => format!("{}′", written(angle.deg() * 60.0, decimals)),
        AngleForm::DegreesMinutes => {
            // Rounded before it is parted, or 59.96′ would become 60′.
            let scale = 10f64.powi(i32::try_from(decimals).unwrap_or(6));
            let minutes = (angle.deg().abs() * 60.0 * scale).round() / scale;
            let degrees = (minutes / 60.0).floor();
            let rest = (minutes - 60.0 * degrees).max(0.0);
            let sign = if angle.rad() < 0.0 && minutes > 0.0 {
                "\u{2212}"
            } else {
                ""
            };
            let width = if decimals == 0 { 2 } else { decimals + 3 };
            format!("{sign}{degrees:.0}°{rest:0width$.decimals$}′")
        }
    }
}
