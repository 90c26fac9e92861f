//! Why a swing gave no finding: what happened, what it means, what to do.

use hubplumb_core::swing::Refusal;

use super::{side_words, trouble};
use crate::http::views::TroubleView;
use crate::text;
use crate::text::number;

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
            text!(
                "The {side} wheel was steered {left}° to the left and {right}° to the right.",
                side = side_words(side),
                left = number(left.deg(), 1),
                right = number(right.deg(), 1)
            ),
            text!("From so small an arc the steering axis would be a guess."),
            text!(
                "Steer at least {least}° to each side; twenty is better.",
                least = number(least.deg(), 0)
            ),
        ),
        Refusal::HubRolled { side, found, limit } => trouble(
            "hub_rolled",
            text!(
                "The {side} hub came back pitched by {found}° (at most {limit}° is taken for noise).",
                side = side_words(side),
                found = number(found.abs().deg(), 2),
                limit = number(limit.deg(), 2)
            ),
            text!("The wheel rolled on its hub, so its pitch does not tell the steering axis."),
            text!("Lock the brake with a pedal prop and start again."),
        ),
        Refusal::BoardSlipped { side, found, limit } => trouble(
            "board_slipped",
            text!(
                "Camber of the {side} wheel came back changed by {found}° (at most {limit}° is taken for noise).",
                side = side_words(side),
                found = number(found.abs().deg(), 2),
                limit = number(limit.deg(), 2)
            ),
            text!("The board moved on its hub, or the suspension has not settled."),
            text!("Strap the board on tight, bounce the car to settle it, and start again."),
        ),
        Refusal::RestDoesNotFit {
            side,
            rest,
            found_sigmas,
            limit_sigmas,
        } => trouble(
            "rest_does_not_fit",
            text!(
                "Rest {rest} of the {side} wheel is off what the others say by {found_sigmas} times its uncertainty (limit {limit_sigmas}).",
                rest,
                side = side_words(side),
                found_sigmas = number(found_sigmas, 0),
                limit_sigmas = number(limit_sigmas, 0)
            ),
            text!(
                "Something gave way at that rest: a plate stuck, somebody leant on the car, or a joint has play."
            ),
            text!(
                "Free the plates and start again; if the same rest is off again, look for play in that wheel's joints."
            ),
        ),
        Refusal::Gap { side, gap_ms } => trouble(
            "gap",
            text!(
                "The {side} board sent nothing for {gap_ms} ms while the wheels turned.",
                side = side_words(side),
                gap_ms
            ),
            text!("What the wheel did in that time is unknown."),
            text!("Check the board's cable and power, and start again."),
        ),
        Refusal::Saturated { side } => trouble(
            "saturated",
            text!(
                "The {side} board was at the end of its range while the wheels turned.",
                side = side_words(side)
            ),
            text!("The turn is larger than what was read."),
            text!("Steer more slowly, without knocking the wheel, and start again."),
        ),
        Refusal::BoardLost { side } => trouble(
            "board_lost",
            text!(
                "The {side} board went away during the swing.",
                side = side_words(side)
            ),
            text!("Its part of the swing is incomplete."),
            text!("Put its cable back and start again."),
        ),
        Refusal::Stuck { side } => trouble(
            "stuck",
            text!(
                "An axis of the {side} board said the same number again and again.",
                side = side_words(side)
            ),
            text!("Its chip hangs, so what it says may be long past."),
            text!(
                "Take the board's power away and give it back, then start again; if it comes again, use another board."
            ),
        ),
        Refusal::Torn { side } => trouble(
            "torn",
            text!(
                "The clock of the {side} board jumped to and fro.",
                side = side_words(side)
            ),
            text!("Two boards talk on its line under one name, or its bytes arrive wrong."),
            text!(
                "See that each board has a line or an address of its own, look at the cable, and start again."
            ),
        ),
        Refusal::Garbled { side } => trouble(
            "garbled",
            text!(
                "Numbers of the {side} board changed on the way.",
                side = side_words(side)
            ),
            text!("Its format has no check sum, so nobody knows which of them are right."),
            text!(
                "Look at its cable and plugs and lay it away from ignition leads, or use a format with a check sum; then start again."
            ),
        ),
        Refusal::SidesSwapped { left, right } => trouble(
            "sides_swapped",
            text!(
                "Caster came out as {left}° on the left and {right}° on the right.",
                left = number(left.deg(), 1),
                right = number(right.deg(), 1)
            ),
            text!(
                "So it looks when the boards are on the wrong sides: then every angle is that of the other wheel."
            ),
            text!(
                "Tilt each board and see on the page which one answers; put it where its name says, and start again."
            ),
        ),
        Refusal::TurnTooLong {
            side,
            seconds,
            limit,
        } => trouble(
            "turn_too_long",
            text!(
                "{seconds} s passed between two rests of the {side} wheel; {limit} s is the limit.",
                seconds,
                side = side_words(side),
                limit
            ),
            text!("The gyro's drift would be larger than the angle is worth."),
            text!(
                "Start again and steer from stop to stop without delay, or choose turn plates for the steer angles."
            ),
        ),
        Refusal::NoGyro { side } => trouble(
            "no_gyro",
            text!("The {side} board has no gyro.", side = side_words(side)),
            text!("Its steer angles have to come from elsewhere."),
            text!("Start the swing with turn plates for the steer angles."),
        ),
        Refusal::NoAxis { side } => trouble(
            "no_axis",
            text!(
                "The rests of the {side} wheel do not fix a steering axis.",
                side = side_words(side)
            ),
            text!("They are too few or too much alike."),
            text!("Start again with a stop well to each side."),
        ),
        Refusal::Cancelled => trouble(
            "cancelled",
            text!("The swing was given up."),
            text!("There are no findings from it."),
            text!("Start it again when the car is ready."),
        ),
    }
}
