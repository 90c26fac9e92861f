//! The gaps ahead of and behind an axle.

use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::gum::Uncertainty;
use hubplumb_core::length::Length;
use hubplumb_core::toe::{Marks, Trammel};

use super::{Worked, angle, cannot_be, read, wanting};
use crate::car::CarRecord;
use crate::http::problem::Problem;
use crate::http::visit_views::EnteredFigures;
use crate::text;
use crate::text::Text;
use crate::visit::{Place, Procedure, Quantity};

pub(super) fn worked(figures: &EnteredFigures, car: &CarRecord) -> Result<Worked, Problem> {
    let EnteredFigures::Gap {
        front,
        diameter,
        below_hub,
        pairs,
        carried_round,
        reading_standard,
        run_out,
    } = figures
    else {
        return Err(wanting(text!("No gaps."), text!("Enter them.")));
    };
    let record = if *front { &car.front } else { &car.rear };
    let diameter = read::diameter(text!("diameter"), diameter.as_ref(), record)?;
    let standard = read::length_or(
        text!("uncertainty of a gap"),
        reading_standard.as_ref(),
        read::RULE,
    )?;
    let below = read::length_or(text!("below the hub"), below_hub.as_ref(), Length::ZERO)?;
    let gaps = |name: fn(usize) -> Text, text: fn(&crate::http::visit_views::GapPair) -> &str| {
        let read: Vec<Length> = pairs
            .iter()
            .enumerate()
            .map(|(index, pair)| read::length(name(index + 1), text(pair)))
            .collect::<Result<_, _>>()?;
        mean(&read, standard)
    };
    let run_out = read::run_out(run_out.as_ref(), &diameter)?;
    let total = Trammel {
        front_gap: gaps(
            |number| text!("front gap {number}", number),
            |pair| &pair.ahead,
        )?,
        rear_gap: gaps(
            |number| text!("rear gap {number}", number),
            |pair| &pair.behind,
        )?,
        diameter,
        below_hub: Entered::new(below, standard, Source::GaugingHeight),
        marks: if *carried_round {
            Marks::CarriedRound
        } else {
            Marks::Standing {
                left: run_out,
                right: run_out,
            }
        },
    }
    .total()
    .map_err(cannot_be)?;
    let place = if *front { Place::Front } else { Place::Rear };
    Ok(Worked {
        procedure: Procedure::ToeGap,
        method: if *carried_round {
            text!(
                "Gap ahead of the axle and behind it, {count} of each, between the same marks rolled on half a turn.",
                count = pairs.len()
            )
        } else {
            text!(
                "Gap ahead of the axle and behind it, {count} of each, the wheels standing, run-out left in.",
                count = pairs.len()
            )
        },
        findings: vec![angle(Quantity::TotalToe, place, &total)],
        covariance: Vec::new(),
    })
}

/// The mean of readings that are each uncertain by `standard`: their scatter is too
/// small a number of them to go by.
pub(super) fn mean(read: &[Length], standard: Length) -> Result<Entered<Length>, Problem> {
    if read.is_empty() {
        return Err(wanting(
            text!("There is no reading."),
            text!("Enter at least one."),
        ));
    }
    let count = read.len() as f64;
    let sum: f64 = read.iter().map(|length| length.m()).sum();
    let uncertainty = Uncertainty::certain(standard.m() / count.sqrt());
    Ok(Entered::with(
        Length::from_m(sum / count),
        uncertainty,
        Source::TapeReading,
    ))
}
