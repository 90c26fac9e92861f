//! How far to move an adjuster, in words and figures.

use hubplumb_core::adjust::{AdjustError, Advice, Change, PackAdvice};
use hubplumb_core::angle::Angle;

use super::super::adjuster::Taught;
use super::super::view::amounts_words;
use crate::car::{AdjusterRecord, AdjusterWay};
use crate::present::advice::{way_command, way_words};
use crate::present::advice_trouble::adjust_trouble;
use crate::text;
use crate::text::{Text, number, plain};

/// How far to move an adjuster.
pub(super) struct Advised {
    pub(super) say: Text,
    pub(super) amount: Vec<[f64; 2]>,
    pub(super) known_from: Text,
}

fn refused(error: &AdjustError, known_from: Text) -> Advised {
    let trouble = adjust_trouble(error);
    Advised {
        say: Text::sentences([trouble.what, trouble.remedy]),
        amount: Vec::new(),
        known_from,
    }
}

/// From the lengths of the car's record.
pub(super) fn by_geometry(advice: Result<Advice, AdjustError>, taught: &Taught) -> Advised {
    let known_from = text!("the lengths in the car's record");
    let advice = match advice {
        Ok(advice) => advice,
        // Shims would have to come out: how many are in is not in the record.
        Err(error) => return refused(&error, known_from),
    };
    let (say, amounts) = match &advice {
        Advice::Turns(turns) => {
            let sign = if turns.longer_mm < 0.0 { -1.0 } else { 1.0 };
            (
                text!(
                    "{way}: {turns} turns, about {flats} flats of the hexagon.",
                    way = way_command(turns.way),
                    turns = number(turns.turns, 2),
                    flats = number(turns.whole_flats, 0)
                ),
                vec![sign * turns.turns],
            )
        }
        Advice::Shims(shims) => (
            text!(
                "Front bolt: {front}. Rear bolt: {rear}.",
                front = pack(&shims.front),
                rear = pack(&shims.rear)
            ),
            vec![shims.front.change_mm, shims.rear.change_mm],
        ),
        Advice::Cam(cam) => {
            let (way, turn) = (way_command(cam.way), number(cam.turn.deg(), 0));
            (
                if let Some(marks) = cam.marks {
                    text!(
                        "{way}: {turn}° of the bolt, about {marks} marks, if it stands in its middle now.",
                        way,
                        turn,
                        marks = number(marks, 0)
                    )
                } else {
                    text!(
                        "{way}: {turn}° of the bolt, if it stands in its middle now.",
                        way,
                        turn
                    )
                },
                vec![cam.turn.deg() * if cam.shift_mm < 0.0 { -1.0 } else { 1.0 }],
            )
        }
        Advice::Plate(plate) => (
            if let Some(clock) = plate.thick_edge_clock {
                text!(
                    "A plate {thickness} mm thicker at one edge, that edge at {clock} o'clock seen from outside.",
                    thickness = number(plate.thickness_mm, 2),
                    clock = number(clock, 1)
                )
            } else {
                text!(
                    "A plate {thickness} mm thicker at one edge.",
                    thickness = number(plate.thickness_mm, 2)
                )
            },
            vec![plate.thickness_mm],
        ),
        Advice::Amount(amount) => {
            let minus = matches!(
                amount.way,
                hubplumb_core::adjust::Way::TopIn | hubplumb_core::adjust::Way::OwnMinus
            );
            (
                text!(
                    "{way}: {amount}.",
                    way = way_command(amount.way),
                    amount = number(amount.units, 2)
                ),
                vec![amount.units * if minus { -1.0 } else { 1.0 }],
            )
        }
    };
    Advised {
        say,
        amount: with_doubt(&amounts, taught),
        known_from,
    }
}

fn pack(pack: &PackAdvice) -> Text {
    let (way, change) = (way_words(pack.way), number(pack.change_mm.abs(), 2));
    if pack.pieces_mm.is_empty() {
        return text!("{way} by {change} mm", way, change);
    }
    let pieces = pack.pieces_mm.iter().map(|mm| Text::from(plain(*mm)));
    text!(
        "{way} by {change} mm ({pieces} mm)",
        way,
        change,
        pieces = Text::joined(pieces, " + ")
    )
}

/// From what its moves so far taught.
pub(super) fn by_moves(taught: &Taught, wanted: &Change, record: &AdjusterRecord) -> Advised {
    let known_from = match taught.moves {
        0 => text!("nothing yet"),
        1 => text!("one move"),
        count => text!("{count} moves", count),
    };
    let angles: Vec<Angle> = taught
        .angles
        .iter()
        .map(|angle| wanted.of(*angle))
        .collect();
    let amounts = match taught.learner.next(&angles) {
        Ok(amounts) => amounts,
        Err(error) => return refused(&error, known_from),
    };
    let unit = unit_words(&record.way);
    let written = amounts_words(&amounts);
    Advised {
        say: if amounts.len() == 2 {
            text!(
                "Move it by {amount} {unit} (front and rear bolt), as its moves so far taught.",
                amount = written,
                unit
            )
        } else {
            text!(
                "Move it by {amount} {unit}, as its moves so far taught.",
                amount = written,
                unit
            )
        },
        amount: with_doubt(&amounts, taught),
        known_from,
    }
}

/// Amounts with the half width that the doubt about the effect gives them.
fn with_doubt(amounts: &[f64], taught: &Taught) -> Vec<[f64; 2]> {
    amounts
        .iter()
        .enumerate()
        .map(|(knob, amount)| {
            let relative = (0..taught.angles.len())
                .map(|angle| taught.learner.effect(angle, knob))
                .filter(|effect| effect.value.rad() != 0.0)
                .map(|effect| (effect.expanded().rad() / effect.value.rad()).abs())
                .fold(f64::INFINITY, f64::min);
            let doubt = if relative.is_finite() {
                relative * amount.abs()
            } else {
                0.0
            };
            [*amount, doubt]
        })
        .collect()
}

/// What an adjuster is counted in.
pub(in crate::present::visit) fn unit_words(way: &AdjusterWay) -> Text {
    match way {
        AdjusterWay::TieRod { .. } => text!("turns, + longer"),
        AdjusterWay::ArmShims { .. } => text!("mm of shims, + added"),
        AdjusterWay::Eccentric { .. } => text!("degrees of the bolt"),
        AdjusterWay::ContactShim { .. } => text!("mm across the plate"),
        AdjusterWay::StrutBolt { .. } => text!("mm, + top out"),
        AdjusterWay::Other { unit, .. } => Text::from(unit.as_str()),
    }
}
