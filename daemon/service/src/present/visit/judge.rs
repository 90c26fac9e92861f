//! Entries that cannot be.

use axum::http::StatusCode;

use crate::car::{Corner, Corners};
use crate::http::problem::Problem;
use crate::http::visit_views::EntryWanted;
use crate::text;
use crate::text::{Text, plain};
use crate::visit::Conditions;

/// Longest text of an entry, in characters.
const LONGEST_TEXT: usize = 2000;

/// Refuses figures and texts that cannot be.
pub fn judge_entry(wanted: &EntryWanted) -> Result<(), Problem> {
    match wanted {
        EntryWanted::Prepared { note: text, .. }
        | EntryWanted::TakenBack { why: text, .. }
        | EntryWanted::Note { text } => text_within(&text!("the text"), text),
        EntryWanted::Conditions(conditions) => conditions_can_be(conditions),
        EntryWanted::Moved(moved) => {
            for amount in &moved.amount {
                within(&text!("the amount"), Some(*amount), (-1000.0, 1000.0))?;
            }
            within(
                &text!("its uncertainty"),
                moved.amount_standard,
                (0.0, 100.0),
            )?;
            if moved.amount.is_empty() || moved.amount.len() > 2 {
                return Err(cannot_be(text!(
                    "The amount has one figure, or two for front and rear bolt."
                )));
            }
            text_within(&text!("the name of the adjuster"), &moved.adjuster)
        }
        EntryWanted::Stage { .. } => Ok(()),
    }
}

fn conditions_can_be(conditions: &Conditions) -> Result<(), Problem> {
    let corners = |name: Text, figures: &Corners<f64>, range| {
        Corner::ALL.into_iter().try_for_each(|corner| {
            let key = Text::sentences([name.clone(), corner.words()]);
            within(&key, figures.get(corner), range)
        })
    };
    corners(text!("tyre pressure"), &conditions.tyre_kpa, (10.0, 1200.0))?;
    corners(text!("tread"), &conditions.tread_mm, (0.0, 30.0))?;
    corners(
        text!("ride height"),
        &conditions.ride_height_mm,
        (1.0, 2000.0),
    )?;
    within(&text!("the temperature"), conditions.place_c, (-40.0, 60.0))?;
    text_within(&text!("the load"), &conditions.load)
}

fn text_within(name: &Text, text: &str) -> Result<(), Problem> {
    if text.chars().count() > LONGEST_TEXT {
        return Err(cannot_be(text!(
            "At most {most} characters for {name}.",
            most = LONGEST_TEXT,
            name
        )));
    }
    Ok(())
}

fn within(name: &Text, found: Option<f64>, (low, high): (f64, f64)) -> Result<(), Problem> {
    match found {
        Some(found) if !(low..=high).contains(&found) => Err(cannot_be(text!(
            "{name} is {found}; a number from {low} to {high} is wanted.",
            name,
            found = plain(found),
            low = plain(low),
            high = plain(high)
        ))),
        _ => Ok(()),
    }
}

fn cannot_be(detail: Text) -> Problem {
    Problem::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "no_such_entry",
        text!("That cannot be"),
        detail,
        text!("Correct the figure and send it again."),
    )
}
