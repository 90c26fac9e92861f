//! Figures that a person measured, turned into a run.

mod gap;
mod read;
mod strings;
mod wheel;

use axum::http::StatusCode;
use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{EnteredError, Figure, Quantity as CoreQuantity};
use hubplumb_core::length::Length;

use super::stored;
use crate::car::CarRecord;
use crate::http::problem::Problem;
use crate::http::visit_views::EnteredFigures;
use crate::present::source::{remedy_words, source_words};
use crate::text;
use crate::text::{Text, plain};
use crate::visit::{FindingRecord, Place, Procedure, Quantity, Run, ShareRecord, Stage};

/// What was found out of entered figures.
struct Worked {
    procedure: Procedure,
    method: Text,
    findings: Vec<FindingRecord>,
    covariance: Vec<Vec<f64>>,
}

/// The run of entered figures.
pub fn entered_run(
    figures: &EnteredFigures,
    car: &CarRecord,
    stage: Stage,
) -> Result<Run, Problem> {
    let worked = match figures {
        EnteredFigures::Strings { .. } => strings::worked(figures, car)?,
        EnteredFigures::Gap { .. } => gap::worked(figures, car)?,
        EnteredFigures::Spot { .. } => wheel::spot(figures)?,
        EnteredFigures::Slip { .. } => wheel::slip(figures)?,
        EnteredFigures::Setback { .. } => wheel::setback(figures)?,
    };
    Ok(Run {
        procedure: worked.procedure,
        stage: stage.measured_in(),
        method: worked.method.stored(),
        evidence: serde_json::to_value(figures).unwrap_or_default(),
        findings: worked.findings,
        covariance: worked.covariance,
        boards: Vec::new(),
        software: env!("CARGO_PKG_VERSION").to_owned(),
    })
}

/// A figure as it is stored, in the quantity's unit: `per_si` of it make one of the coherent one.
pub(in crate::present) fn record_figure<Q: CoreQuantity>(
    quantity: Quantity,
    place: Place,
    figure: &Figure<Q>,
    per_si: f64,
) -> FindingRecord {
    FindingRecord {
        quantity,
        place,
        value: figure.value.si() * per_si,
        standard: figure.standard.si() * per_si,
        degrees_of_freedom: figure
            .degrees_of_freedom
            .is_finite()
            .then_some(figure.degrees_of_freedom),
        budget: figure
            .budget
            .iter()
            .map(|share| ShareRecord {
                cause: stored(source_words(share.source)),
                share: share.share,
            })
            .collect(),
        advice: figure
            .largest()
            .map_or_else(String::new, |share| stored(remedy_words(share.source))),
        caveat: String::new(),
    }
}

fn angle(quantity: Quantity, place: Place, figure: &Figure<Angle>) -> FindingRecord {
    record_figure(quantity, place, figure, 1f64.to_degrees())
}

fn length(quantity: Quantity, place: Place, figure: &Figure<Length>) -> FindingRecord {
    record_figure(quantity, place, figure, 1e3)
}

/// Figures that were understood and from which nothing follows.
fn cannot_be(error: EnteredError) -> Problem {
    let detail = match error {
        EnteredError::Gum(error) => text!(
            "No uncertainty follows from them: {error}.",
            error = error.to_string()
        ),
        EnteredError::NotPositive { from, .. } => {
            text!("{figure} must be above zero.", figure = source_words(from))
        }
        EnteredError::BeyondDiameter { .. } => {
            text!("Ahead and behind differ by more than the diameter.")
        }
        EnteredError::BelowRim { .. } => {
            text!("That is farther below the hub than the rim reaches.")
        }
        EnteredError::SteerAngle { found_deg } => {
            text!(
                "A steer angle of {found}° is not between 0 and 90°.",
                found = plain(found_deg)
            )
        }
        EnteredError::NotRead { asked_deg } => {
            text!(
                "No steer angles were read near {asked}°.",
                asked = plain(asked_deg)
            )
        }
    };
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "figures_cannot_be",
        text!("Nothing follows from these figures"),
        detail,
        text!("Look at the figures and their units, and enter them again."),
    )
}

/// A figure that is wanted and is neither told nor in the car's record.
fn wanting(what: Text, remedy: Text) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "figure_missing",
        text!("A figure is missing"),
        what,
        remedy,
    )
}

#[cfg(test)]
mod tests;
