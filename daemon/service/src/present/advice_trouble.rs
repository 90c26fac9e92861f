//! Why there is no advice: what happened, what it means, what to do.

use hubplumb_core::adjust::{AdjustError, Contradiction, LearnError};

use super::advice::{contradiction_words, dimension_words, wheel_angle_words};
use super::trouble;
use crate::http::views::TroubleView;

const fn bolt(at_front: bool) -> &'static str {
    if at_front { "front" } else { "rear" }
}

/// Advice refused, for a person.
pub fn adjust_trouble(error: &AdjustError) -> TroubleView {
    match *error {
        AdjustError::Dimension { dimension, found } => trouble(
            "adjuster_dimension",
            format!("The {} is given as {found}.", dimension_words(dimension)),
            "No advice can be worked out from it.",
            "Measure it and enter it as a number above zero.",
        ),
        AdjustError::NotFinite => trouble(
            "adjuster_not_a_number",
            "A wanted change or an amount is not a number.",
            "No advice can be worked out from it.",
            "Enter it again.",
        ),
        AdjustError::DoesNotSet { angle, .. } => trouble(
            "adjuster_does_not_set",
            format!(
                "A change of {} is wanted from an adjuster that is not for it.",
                wheel_angle_words(angle)
            ),
            "It would be set by what only goes along with something else.",
            "Choose the adjuster that sets this angle.",
        ),
        AdjustError::BeyondThread {
            needed_turns,
            left_turns,
        } => trouble(
            "beyond_thread",
            format!(
                "{:.1} turns are needed and the thread has {left_turns:.1} left.",
                needed_turns.abs()
            ),
            "Beyond that the rod would hold by too few threads, or have none left.",
            "Do not turn further. Share the change between both sides if the steering wheel allows, and look for what is bent or worn.",
        ),
        AdjustError::NegativePack {
            at_front,
            present_mm,
            change_mm,
        } => trouble(
            "too_few_shims",
            format!(
                "{:.1} mm would have to come out at the {} bolt, where {present_mm:.1} mm is in.",
                change_mm.abs(),
                bolt(at_front)
            ),
            "There are not enough shims to take out.",
            "Set as much as the pack allows, and look for what is bent, worn or low.",
        ),
        AdjustError::PackTooThick {
            at_front,
            wanted_mm,
            most_mm,
        } => trouble(
            "too_many_shims",
            format!(
                "The {} bolt would carry {wanted_mm:.1} mm; {most_mm:.1} mm is the most.",
                bolt(at_front)
            ),
            "The bolt would hold by too few threads.",
            "Stay within the maker's limit, and look for what is bent, worn or low.",
        ),
        AdjustError::NotSeparable { apart_deg } => trouble(
            "bolts_alike",
            format!(
                "The two bolts change camber and caster in nearly the same way ({apart_deg:.1}° apart)."
            ),
            "One cannot be set without the other by these figures.",
            "Measure again what each bolt does, with a larger move, one bolt at a time.",
        ),
        AdjustError::BeyondReach { needed, reach } => trouble(
            "beyond_reach",
            format!(
                "A move of {:.2} is needed and {:.2} is left in that direction.",
                needed.abs(),
                reach.abs()
            ),
            "The adjuster ends before the angle is reached.",
            "Set it as near as it goes, and look for what is bent, worn or low.",
        ),
        AdjustError::EffectUnknown { .. } => trouble(
            "effect_unknown",
            "What a unit of this adjuster does is not known well enough.",
            "Even the direction would be a guess.",
            "Measure, make one small move, and measure again: the move tells the effect.",
        ),
        AdjustError::Stock { found, most } => trouble(
            "shim_stock",
            format!("The stock lists {found} thicknesses; 1 to {most} can be used."),
            "No pack can be put together from it.",
            "List the thicknesses you have.",
        ),
    }
}

/// A move that taught nothing, for a person.
pub fn learn_trouble(error: &LearnError) -> TroubleView {
    match error {
        LearnError::Contradiction(found) => contradiction_trouble(found),
        LearnError::Shape { found, needed } => trouble(
            "move_shape",
            format!("{found} figures were given where {needed} belong."),
            "The move cannot be compared with what was expected.",
            "Measure the same angles before and after, and enter every amount.",
        ),
        LearnError::Readings(_) => trouble(
            "move_readings",
            "The readings before and after the move cannot be compared.",
            "A value or its uncertainty is not a number.",
            "Measure again.",
        ),
    }
}

fn contradiction_trouble(found: &Contradiction) -> TroubleView {
    let [what, remedy] = contradiction_words(found.kind);
    let angle = wheel_angle_words(found.angle);
    trouble(
        "move_contradicts",
        format!(
            "{what} A change of {angle} by {:+.2}° was expected and {:+.2}° ± {:.2}° was seen.",
            found.expected.value.deg(),
            found.seen.value.deg(),
            found.seen.expanded().deg()
        ),
        format!(
            "That is {:.0} times the uncertainty off, so the next advice would be wrong too.",
            found.sigmas.abs()
        ),
        remedy,
    )
}
