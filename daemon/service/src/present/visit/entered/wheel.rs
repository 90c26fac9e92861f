//! A spot of light, a slip plate, setback.

use hubplumb_core::angle::Angle;
use hubplumb_core::entered::{Entered, Source};
use hubplumb_core::length::Length;
use hubplumb_core::notation::{Reference, ToeUnit, Wheels, read_toe};
use hubplumb_core::toe::{Reflection, SlipPlate, Spot, setback_length, to_side_slip};

use super::{Worked, angle, cannot_be, length, read, wanting};
use crate::http::problem::Problem;
use crate::http::visit_views::{EnteredFigures, SpotPlace};
use crate::present::notation::figure_problem;
use crate::text;
use crate::text::Text;
use crate::visit::{Place, Procedure, Quantity};

/// What the middle of a spot is read to, standard; common practice, no source.
const SPOT: Length = Length::from_mm(1.0);
/// What a beam is squared to by a taped line, standard; common practice, no source.
const BEAM: Angle = Angle::from_deg(0.1);
/// How askew a mirror sits that is set on by hand, standard; common practice, no source.
const MIRROR: Angle = Angle::from_deg(0.3);
/// What the distance to the screen is read to, standard.
const DISTANCE: Length = Length::from_mm(5.0);
/// What a slip plate is worth.
const CAVEAT: Text =
    text!("Indicative only: a slip plate feels camber and the tyre along with toe.");
/// What a slip plate is read to, m/km, standard; common practice, no source.
const SLIP: f64 = 0.5e-3;

pub(super) fn spot(figures: &EnteredFigures) -> Result<Worked, Problem> {
    let EnteredFigures::Spot {
        corner,
        distance,
        spot,
        half_turned,
        reading_standard,
        beam_standard,
    } = figures
    else {
        return Err(wanting(text!("No spot."), text!("Enter it.")));
    };
    let standard = read::length_or(
        text!("uncertainty of the spot"),
        reading_standard.as_ref(),
        SPOT,
    )?;
    let beam = read::angle_or(
        text!("uncertainty of the beam"),
        beam_standard.as_ref(),
        BEAM,
    )?;
    let place = |name: Text, place: &SpotPlace| {
        let at = |part: Text, text: &str| {
            read::length(Text::listed([name.clone(), part]), text)
                .map(|length| Entered::new(length, standard, Source::SpotReading))
        };
        Ok::<_, Problem>(Spot {
            forward: at(text!(in "spot"; "forward"), &place.forward)?,
            up: at(text!(in "spot"; "up"), place.up.as_deref().unwrap_or("0"))?,
        })
    };
    let turned = half_turned
        .as_ref()
        .map(|turned| place(text!("spot after half a turn"), turned))
        .transpose()?;
    let toe = Reflection {
        first: place(text!("spot"), spot)?,
        half_turned: turned,
        mirror: if turned.is_some() {
            Entered::exact(Angle::ZERO, Source::RunOut)
        } else {
            Entered::new(Angle::ZERO, MIRROR, Source::RunOut)
        },
        distance: Entered::new(
            read::length(text!("distance"), distance)?,
            DISTANCE,
            Source::MirrorDistance,
        ),
        beam: Entered::new(Angle::ZERO, beam, Source::BeamNotSquare),
    }
    .toe()
    .map_err(cannot_be)?;
    Ok(Worked {
        procedure: Procedure::ToeSpot,
        method: if turned.is_some() {
            text!("Spot of light thrown back by a mirror on the wheel, again after half a turn.")
        } else {
            text!("Spot of light thrown back by a mirror on the wheel, the mirror's seat left in.")
        },
        findings: vec![angle(Quantity::Toe, Place::wheel(*corner), &toe.figure())],
        covariance: Vec::new(),
    })
}

pub(super) fn slip(figures: &EnteredFigures) -> Result<Worked, Problem> {
    let EnteredFigures::Slip { corner, readings } = figures else {
        return Err(wanting(text!("No reading."), text!("Enter it.")));
    };
    let reference = Reference {
        wheels: Wheels::One,
        diameter: None,
    };
    let slips: Vec<f64> = readings
        .iter()
        .enumerate()
        .map(|(index, text)| {
            read_toe(text, ToeUnit::MetresPerKilometre, &reference)
                .map(to_side_slip)
                .map_err(|error| {
                    figure_problem(text!("reading {number}", number = index + 1), text, error)
                })
        })
        .collect::<Result<_, _>>()?;
    if slips.is_empty() {
        return Err(wanting(
            text!("There is no reading."),
            text!("Enter at least one."),
        ));
    }
    let count = slips.len() as f64;
    let mean = slips.iter().sum::<f64>() / count;
    let toe = SlipPlate {
        side_slip: Entered::new(mean, SLIP / count.sqrt(), Source::SlipPlate),
        camber: None,
    }
    .indicated()
    .map_err(cannot_be)?
    .toe;
    let mut finding = angle(Quantity::Toe, Place::wheel(*corner), &toe);
    finding.caveat = CAVEAT.stored();
    Ok(Worked {
        procedure: Procedure::ToeSlip,
        method: text!(
            "Driven over a slip plate, {times} times.",
            times = slips.len()
        ),
        findings: vec![finding],
        covariance: Vec::new(),
    })
}

pub(super) fn setback(figures: &EnteredFigures) -> Result<Worked, Problem> {
    let EnteredFigures::Setback {
        front,
        left,
        right,
        reading_standard,
    } = figures
    else {
        return Err(wanting(text!("No distance."), text!("Enter it.")));
    };
    let standard = read::length_or(
        text!("uncertainty of a distance"),
        reading_standard.as_ref(),
        SPOT,
    )?;
    let side = |name: Text, text: &str| {
        read::length(name, text).map(|at| Entered::new(at, standard, Source::TapeReading))
    };
    let ahead = setback_length(
        side(text!(in "side"; "left"), left)?,
        side(text!(in "side"; "right"), right)?,
    )
    .map_err(cannot_be)?;
    let place = if *front { Place::Front } else { Place::Rear };
    Ok(Worked {
        procedure: Procedure::Setback,
        method: text!("Distances from a common line across the car to both wheel centres."),
        findings: vec![length(Quantity::Setback, place, &ahead)],
        covariance: Vec::new(),
    })
}
