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
const CAVEAT: &str = "Indicative only: a slip plate feels camber and the tyre along with toe.";
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
        return Err(wanting("No spot.", "Enter it."));
    };
    let standard = read::length_or("uncertainty of the spot", reading_standard.as_ref(), SPOT)?;
    let beam = read::angle_or("uncertainty of the beam", beam_standard.as_ref(), BEAM)?;
    let place = |name: &str, place: &SpotPlace| {
        let at = |part: &str, text: &str| {
            read::length(&format!("{name}, {part}"), text)
                .map(|length| Entered::new(length, standard, Source::SpotReading))
        };
        Ok::<_, Problem>(Spot {
            forward: at("forward", &place.forward)?,
            up: at("up", place.up.as_deref().unwrap_or("0"))?,
        })
    };
    let turned = half_turned
        .as_ref()
        .map(|turned| place("spot after half a turn", turned))
        .transpose()?;
    let toe = Reflection {
        first: place("spot", spot)?,
        half_turned: turned,
        mirror: if turned.is_some() {
            Entered::exact(Angle::ZERO, Source::RunOut)
        } else {
            Entered::new(Angle::ZERO, MIRROR, Source::RunOut)
        },
        distance: Entered::new(
            read::length("distance", distance)?,
            DISTANCE,
            Source::MirrorDistance,
        ),
        beam: Entered::new(Angle::ZERO, beam, Source::BeamNotSquare),
    }
    .toe()
    .map_err(cannot_be)?;
    Ok(Worked {
        procedure: Procedure::ToeSpot,
        method: format!(
            "Spot of light thrown back by a mirror on the wheel, {}.",
            if turned.is_some() {
                "again after half a turn"
            } else {
                "the mirror's seat left in"
            }
        ),
        findings: vec![angle(Quantity::Toe, Place::wheel(*corner), &toe.figure())],
        covariance: Vec::new(),
    })
}

pub(super) fn slip(figures: &EnteredFigures) -> Result<Worked, Problem> {
    let EnteredFigures::Slip { corner, readings } = figures else {
        return Err(wanting("No reading.", "Enter it."));
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
                .map_err(|error| figure_problem(&format!("reading {}", index + 1), text, error))
        })
        .collect::<Result<_, _>>()?;
    if slips.is_empty() {
        return Err(wanting("There is no reading.", "Enter at least one."));
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
    CAVEAT.clone_into(&mut finding.caveat);
    Ok(Worked {
        procedure: Procedure::ToeSlip,
        method: format!("Driven over a slip plate, {} times.", slips.len()),
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
        return Err(wanting("No distance.", "Enter it."));
    };
    let standard = read::length_or("uncertainty of a distance", reading_standard.as_ref(), SPOT)?;
    let side = |name: &str, text: &str| {
        read::length(name, text).map(|at| Entered::new(at, standard, Source::TapeReading))
    };
    let ahead = setback_length(side("left", left)?, side("right", right)?).map_err(cannot_be)?;
    let place = if *front { Place::Front } else { Place::Rear };
    Ok(Worked {
        procedure: Procedure::Setback,
        method: "Distances from a common line across the car to both wheel centres.".to_owned(),
        findings: vec![length(Quantity::Setback, place, &ahead)],
        covariance: Vec::new(),
    })
}
