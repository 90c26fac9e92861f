//! Why a swing gave no finding: what happened, what it means, what to do.

use hubplumb_core::swing::Refusal;

use super::{side_words, trouble};
use crate::http::views::TroubleView;

/// A refusal for a person.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with three sentences for every refusal"
)]
pub fn refusal_trouble(refusal: &Refusal) -> TroubleView {
    match *refusal {
        Refusal::ArcTooShort {
            side,
            left,
            right,
            least,
        } => trouble(
            "arc_too_short",
            format!(
                "The {} wheel was steered {:.1}° to the left and {:.1}° to the right.",
                side_words(side),
                left.deg(),
                right.deg()
            ),
            "From so small an arc the steering axis would be a guess.",
            format!(
                "Steer at least {:.0}° to each side; twenty is better.",
                least.deg()
            ),
        ),
        Refusal::HubRolled { side, found, limit } => trouble(
            "hub_rolled",
            format!(
                "The {} hub came back pitched by {:.2}° (at most {:.2}° is taken for noise).",
                side_words(side),
                found.abs().deg(),
                limit.deg()
            ),
            "The wheel rolled on its hub, so its pitch does not tell the steering axis.",
            "Lock the brake with a pedal prop and start again.",
        ),
        Refusal::BoardSlipped { side, found, limit } => trouble(
            "board_slipped",
            format!(
                "Camber of the {} wheel came back changed by {:.2}° (at most {:.2}° is taken for noise).",
                side_words(side),
                found.abs().deg(),
                limit.deg()
            ),
            "The board moved on its hub, or the suspension has not settled.",
            "Strap the board on tight, bounce the car to settle it, and start again.",
        ),
        Refusal::RestDoesNotFit {
            side,
            rest,
            found_sigmas,
            limit_sigmas,
        } => trouble(
            "rest_does_not_fit",
            format!(
                "Rest {rest} of the {} wheel is off what the others say by {found_sigmas:.0} times its uncertainty (limit {limit_sigmas:.0}).",
                side_words(side)
            ),
            "Something gave way at that rest: a plate stuck, somebody leant on the car, or a joint has play.",
            "Free the plates and start again; if the same rest is off again, look for play in that wheel's joints.",
        ),
        Refusal::Gap { side, gap_ms } => trouble(
            "gap",
            format!(
                "The {} board sent nothing for {gap_ms} ms while the wheels turned.",
                side_words(side)
            ),
            "What the wheel did in that time is unknown.",
            "Check the board's cable and power, and start again.",
        ),
        Refusal::Saturated { side } => trouble(
            "saturated",
            format!(
                "The {} board was at the end of its range while the wheels turned.",
                side_words(side)
            ),
            "The turn is larger than what was read.",
            "Steer more slowly, without knocking the wheel, and start again.",
        ),
        Refusal::BoardLost { side } => trouble(
            "board_lost",
            format!("The {} board went away during the swing.", side_words(side)),
            "Its part of the swing is incomplete.",
            "Put its cable back and start again.",
        ),
        Refusal::TurnTooLong {
            side,
            seconds,
            limit,
        } => trouble(
            "turn_too_long",
            format!(
                "{seconds} s passed between two rests of the {} wheel; {limit} s is the limit.",
                side_words(side)
            ),
            "The gyro's drift would be larger than the angle is worth.",
            "Start again and steer from stop to stop without delay, or choose turn plates for the steer angles.",
        ),
        Refusal::NoGyro { side } => trouble(
            "no_gyro",
            format!("The {} board has no gyro.", side_words(side)),
            "Its steer angles have to come from elsewhere.",
            "Start the swing with turn plates for the steer angles.",
        ),
        Refusal::NoAxis { side } => trouble(
            "no_axis",
            format!(
                "The rests of the {} wheel do not fix a steering axis.",
                side_words(side)
            ),
            "They are too few or too much alike.",
            "Start again with a stop well to each side.",
        ),
        Refusal::Cancelled => trouble(
            "cancelled",
            "The swing was given up.",
            "There are no findings from it.",
            "Start it again when the car is ready.",
        ),
    }
}
