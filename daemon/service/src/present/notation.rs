//! What is wrong with a figure that somebody typed, in words.

use axum::http::StatusCode;
use hubplumb_core::notation::{Accepted, NotationError, Problem as Wrong};

use crate::http::problem::Problem;

/// A figure that is not understood: which one, where, and what would be.
pub(super) fn figure_problem(field: &str, text: &str, error: NotationError) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "figure_not_understood",
        "A figure is not understood",
        format!(
            "{field}: {text:?}, character {}: {}",
            error.at + 1,
            wrong(error.problem)
        ),
        "Write it like 2.5, 2,5 mm, 3/32 in, 1 1/8\", 0.25°, 15' or -0°12'. No thousands separators.",
    )
}

fn wrong(problem: Wrong) -> String {
    match problem {
        Wrong::Empty => "nothing was typed".to_owned(),
        Wrong::Unexpected { found, accepted } => {
            let found = found.map_or_else(|| "the end".to_owned(), |found| format!("{found:?}"));
            let accepted: Vec<&str> = accepted.iter().map(|one| accepted_words(*one)).collect();
            format!("{found} stands there; {} would do", accepted.join(", "))
        }
        Wrong::ThousandsOrDecimal => {
            "it may be thousands as well as decimals: leave the separator out, or write another number of decimals".to_owned()
        }
        Wrong::DecimalsOrMinutes => {
            "it may be decimals of a degree as well as minutes: add °, or write minutes after a space".to_owned()
        }
        Wrong::MinutesTooMany => "minutes go to 59".to_owned(),
        Wrong::MinutesAfterDecimals => "minutes follow a broken number of degrees".to_owned(),
        Wrong::ZeroDenominator => "nothing can be divided into no parts".to_owned(),
        Wrong::FractionNotOfInches => "a fraction is of inches only".to_owned(),
        Wrong::TooManyDigits => "more digits than any measured figure has".to_owned(),
        Wrong::DiameterMissing => "a length says nothing without the diameter it was measured at".to_owned(),
        Wrong::BeyondDiameter => "it is more than the wheel is wide at that diameter".to_owned(),
    }
}

const fn accepted_words(accepted: Accepted) -> &'static str {
    match accepted {
        Accepted::Sign => "a sign",
        Accepted::Digit => "a digit",
        Accepted::DecimalMark => "a point or comma",
        Accepted::DegreeMark => "°",
        Accepted::MinuteMark => "'",
        Accepted::Minutes => "minutes",
        Accepted::FractionBar => "/",
        Accepted::LengthUnit => "mm, cm, m or in",
        Accepted::SlopeUnit => "m/km, mm/m or ft/mile",
        Accepted::End => "the end",
    }
}
