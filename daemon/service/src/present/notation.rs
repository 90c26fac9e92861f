//! What is wrong with a figure that somebody typed, in words.

use axum::http::StatusCode;
use hubplumb_core::notation::{Accepted, NotationError, Problem as Wrong};

use crate::http::problem::Problem;
use crate::text;
use crate::text::Text;

/// A figure that is not understood: which one, where, and what would be.
pub(super) fn figure_problem(field: impl Into<Text>, text: &str, error: NotationError) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "figure_not_understood",
        text!("A figure is not understood"),
        text!(
            "{field}: {typed}, character {place}: {wrong}",
            field = field.into(),
            typed = format!("{text:?}"),
            place = error.at + 1,
            wrong = wrong(error.problem)
        ),
        text!(
            "Write it like 2.5, 2,5 mm, 3/32 in, 1 1/8\", 0.25°, 15' or -0°12'. No thousands separators."
        ),
    )
}

fn wrong(problem: Wrong) -> Text {
    match problem {
        Wrong::Empty => text!("nothing was typed"),
        Wrong::Unexpected { found, accepted } => {
            let accepted = Text::listed(accepted.iter().map(|one| accepted_words(*one)));
            if let Some(found) = found {
                text!(
                    "{found} stands there; {accepted} would do",
                    found = format!("{found:?}"),
                    accepted
                )
            } else {
                text!("the end stands there; {accepted} would do", accepted)
            }
        }
        Wrong::ThousandsOrDecimal => text!(
            "it may be thousands as well as decimals: leave the separator out, or write another number of decimals"
        ),
        Wrong::DecimalsOrMinutes => text!(
            "it may be decimals of a degree as well as minutes: add °, or write minutes after a space"
        ),
        Wrong::MinutesTooMany => text!("minutes go to 59"),
        Wrong::MinutesAfterDecimals => text!("minutes follow a broken number of degrees"),
        Wrong::ZeroDenominator => text!("nothing can be divided into no parts"),
        Wrong::FractionNotOfInches => text!("a fraction is of inches only"),
        Wrong::TooManyDigits => text!("more digits than any measured figure has"),
        Wrong::DiameterMissing => {
            text!("a length says nothing without the diameter it was measured at")
        }
        Wrong::BeyondDiameter => {
            text!("it is more than the wheel is wide at that diameter")
        }
    }
}

const fn accepted_words(accepted: Accepted) -> Text {
    match accepted {
        Accepted::Sign => text!("a sign"),
        Accepted::Digit => text!("a digit"),
        Accepted::DecimalMark => text!("a point or comma"),
        Accepted::DegreeMark => text!("°"),
        Accepted::MinuteMark => text!("'"),
        Accepted::Minutes => text!("minutes"),
        Accepted::FractionBar => text!("/"),
        Accepted::LengthUnit => text!("mm, cm, m or in"),
        Accepted::SlopeUnit => text!("m/km, mm/m or ft/mile"),
        Accepted::End => text!("the end"),
    }
}
