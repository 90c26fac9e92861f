//! Why there is no advice: what happened, what it means, what to do.

use hubplumb_core::adjust::{AdjustError, Contradiction, LearnError};

use super::advice::{contradiction_words, dimension_words, wheel_angle_words};
use super::trouble;
use crate::http::views::TroubleView;
use crate::text;
use crate::text::{number, plain, signed};

/// Advice refused, for a person.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with its sentences for every case"
)]
pub fn adjust_trouble(error: &AdjustError) -> TroubleView {
    match *error {
        AdjustError::Dimension { dimension, found } => trouble(
            "adjuster_dimension",
            text!(
                "The {dimension} is given as {found}.",
                dimension = dimension_words(dimension),
                found = plain(found)
            ),
            text!("No advice can be worked out from it."),
            text!("Measure it and enter it as a number above zero."),
        ),
        AdjustError::NotFinite => trouble(
            "adjuster_not_a_number",
            text!("A wanted change or an amount is not a number."),
            text!("No advice can be worked out from it."),
            text!("Enter it again."),
        ),
        AdjustError::DoesNotSet { angle, .. } => trouble(
            "adjuster_does_not_set",
            text!(
                "A change of {angle} is wanted from an adjuster that is not for it.",
                angle = wheel_angle_words(angle)
            ),
            text!("It would be set by what only goes along with something else."),
            text!("Choose the adjuster that sets this angle."),
        ),
        AdjustError::BeyondThread {
            needed_turns,
            left_turns,
        } => trouble(
            "beyond_thread",
            text!(
                "{needed} turns are needed and the thread has {left} left.",
                needed = number(needed_turns.abs(), 1),
                left = number(left_turns, 1)
            ),
            text!("Beyond that the rod would hold by too few threads, or have none left."),
            text!(
                "Do not turn further. Share the change between both sides if the steering wheel allows, and look for what is bent or worn."
            ),
        ),
        AdjustError::NegativePack {
            at_front,
            present_mm,
            change_mm,
        } => trouble(
            "too_few_shims",
            {
                let (change, present) = (number(change_mm.abs(), 1), number(present_mm, 1));
                if at_front {
                    text!(
                        "{change} mm would have to come out at the front bolt, where {present} mm is in.",
                        change,
                        present
                    )
                } else {
                    text!(
                        "{change} mm would have to come out at the rear bolt, where {present} mm is in.",
                        change,
                        present
                    )
                }
            },
            text!("There are not enough shims to take out."),
            text!("Set as much as the pack allows, and look for what is bent, worn or low."),
        ),
        AdjustError::PackTooThick {
            at_front,
            wanted_mm,
            most_mm,
        } => trouble(
            "too_many_shims",
            {
                let (wanted, most) = (number(wanted_mm, 1), number(most_mm, 1));
                if at_front {
                    text!(
                        "The front bolt would carry {wanted} mm; {most} mm is the most.",
                        wanted,
                        most
                    )
                } else {
                    text!(
                        "The rear bolt would carry {wanted} mm; {most} mm is the most.",
                        wanted,
                        most
                    )
                }
            },
            text!("The bolt would hold by too few threads."),
            text!("Stay within the maker's limit, and look for what is bent, worn or low."),
        ),
        AdjustError::NotSeparable { apart_deg } => trouble(
            "bolts_alike",
            text!(
                "The two bolts change camber and caster in nearly the same way ({apart}° apart).",
                apart = number(apart_deg, 1)
            ),
            text!("One cannot be set without the other by these figures."),
            text!("Measure again what each bolt does, with a larger move, one bolt at a time."),
        ),
        AdjustError::BeyondReach { needed, reach } => trouble(
            "beyond_reach",
            text!(
                "A move of {needed} is needed and {left} is left in that direction.",
                needed = number(needed.abs(), 2),
                left = number(reach.abs(), 2)
            ),
            text!("The adjuster ends before the angle is reached."),
            text!("Set it as near as it goes, and look for what is bent, worn or low."),
        ),
        AdjustError::EffectUnknown { .. } => trouble(
            "effect_unknown",
            text!("What a unit of this adjuster does is not known well enough."),
            text!("Even the direction would be a guess."),
            text!("Measure, make one small move, and measure again: the move tells the effect."),
        ),
        AdjustError::Stock { found, most } => trouble(
            "shim_stock",
            text!(
                "The stock lists {found} thicknesses; 1 to {most} can be used.",
                found,
                most
            ),
            text!("No pack can be put together from it."),
            text!("List the thicknesses you have."),
        ),
    }
}

/// A move that taught nothing, for a person.
pub fn learn_trouble(error: &LearnError) -> TroubleView {
    match error {
        LearnError::Contradiction(found) => contradiction_trouble(found),
        LearnError::Shape { found, needed } => trouble(
            "move_shape",
            text!(
                "{found} figures were given where {needed} belong.",
                found = *found,
                needed = *needed
            ),
            text!("The move cannot be compared with what was expected."),
            text!("Measure the same angles before and after, and enter every amount."),
        ),
        LearnError::Readings(_) => trouble(
            "move_readings",
            text!("The readings before and after the move cannot be compared."),
            text!("A value or its uncertainty is not a number."),
            text!("Measure again."),
        ),
    }
}

fn contradiction_trouble(found: &Contradiction) -> TroubleView {
    let [what, remedy] = contradiction_words(found.kind);
    let angle = wheel_angle_words(found.angle);
    trouble(
        "move_contradicts",
        text!(
            "{what} A change of {angle} by {expected}° was expected and {seen}° ± {doubt}° was seen.",
            what,
            angle,
            expected = signed(found.expected.value.deg(), 2),
            seen = signed(found.seen.value.deg(), 2),
            doubt = number(found.seen.expanded().deg(), 2)
        ),
        text!(
            "That is {sigmas} times the uncertainty off, so the next advice would be wrong too.",
            sigmas = number(found.sigmas.abs(), 0)
        ),
        remedy,
    )
}
