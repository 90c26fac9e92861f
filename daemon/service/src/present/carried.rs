//! Toe by a carried board, in words.

use hubplumb_core::carried::{CarriedCause, LeftOut, Place, Refusal};
use hubplumb_core::check::{CarriedNow, Hint};

use super::trouble;
use crate::http::views::{CarriedPlace, CarriedView, TroubleView};
use crate::text;
use crate::text::{Text, number};

/// How far it is, for the page.
pub(super) fn carried_view(now: &CarriedNow, hint: Hint) -> CarriedView {
    CarriedView {
        place: now.place.map(|place| match place {
            Place::FrontLeft => CarriedPlace::FrontLeft,
            Place::FrontRight => CarriedPlace::FrontRight,
            Place::RearLeft => CarriedPlace::RearLeft,
            Place::RearRight => CarriedPlace::RearRight,
            Place::Edge => CarriedPlace::Edge,
        }),
        turned: now.turned,
        turn_now: hint == Hint::TurnBlock,
        left_out: now.left_out,
        last_left_out: now.last_left_out.as_ref().map(left_out_words),
        value_deg: now.so_far.map(|so_far| so_far.value.deg()),
        expanded_deg: now.so_far.map(|so_far| so_far.expanded().deg()),
        asked_deg: now.asked.deg(),
        with_edge: now.with_edge,
    }
}

pub(super) const fn place_words(place: Place) -> Text {
    match place {
        Place::FrontLeft => text!("left front rim"),
        Place::FrontRight => text!("right front rim"),
        Place::RearLeft => text!("left rear rim"),
        Place::RearRight => text!("right rear rim"),
        Place::Edge => text!("straight-edge"),
    }
}

pub(super) fn hint_words(hint: Hint, now: &CarriedNow) -> Text {
    let step = match hint {
        Hint::HoldBlock(start) => text!(
            "Lift the block, set it level against the outside of the {place}, and keep it still.",
            place = place_words(start)
        ),
        Hint::TurnBlock => {
            text!("Taken. Turn the block end for end and hold it against the same rim again.")
        }
        Hint::CarryBlock(Place::Edge) => {
            text!("Taken. Carry it back to the rim where you began, without turning it much.")
        }
        Hint::CarryBlock(place) => text!(
            "Taken. Carry it to the {other} in about six seconds, without turning or leaning it much.",
            other = place_words(place.across().unwrap_or(place))
        ),
        _ => text!("Set it level against the rim and hold it still."),
    };
    match &now.last_left_out {
        Some(why) if !matches!(hint, Hint::SetBlock) => {
            Text::sentences([left_out_words(why), step])
        }
        _ => step,
    }
}

/// Why a pass does not count, as a sentence.
fn left_out_words(why: &LeftOut) -> Text {
    match *why {
        LeftOut::TiltedTooMuch { found, limit } => text!(
            "That pass does not count: the block leaned by {found}°, {limit}° is the limit.",
            found = number(found.deg(), 0),
            limit = number(limit.deg(), 0)
        ),
        LeftOut::TurnedTooMuch { found, limit } => text!(
            "That pass does not count: the block turned aside by {found}°, {limit}° is the limit.",
            found = number(found.deg(), 0),
            limit = number(limit.deg(), 0)
        ),
        LeftOut::RestsTurned { found, limit } => text!(
            "That pass does not count: the block came to rest turned by {found}°, and toe is never more than {limit}°.",
            found = number(found.deg(), 0),
            limit = number(limit.deg(), 0)
        ),
        LeftOut::WayTooWinding { found, limit } => text!(
            "That pass does not count: on so winding a way this board errs by {found}°, {limit}° is the limit.",
            found = number(found.deg(), 2),
            limit = number(limit.deg(), 2)
        ),
        LeftOut::Bumped { peak_g, limit_g } => text!(
            "That pass does not count: the block was hit by {found} g, {limit} g is the limit.",
            found = number(peak_g, 1),
            limit = number(limit_g, 1)
        ),
        LeftOut::TooSlow { seconds, limit } => text!(
            "That pass does not count: it took {found} s, {limit} s is the limit.",
            found = number(seconds, 0),
            limit = number(limit, 0)
        ),
        LeftOut::TooQuick { seconds, limit } => text!(
            "That pass does not count: it took {found} s, and {limit} s is the least.",
            found = number(seconds, 1),
            limit = number(limit, 0)
        ),
        LeftOut::RestNotStill { .. } => {
            text!("That rest does not count: the block crept. Press it to the rim and wait.")
        }
        LeftOut::SeatedOtherwise { found, .. } => text!(
            "That pass does not count: the block leans {found}° otherwise than before at that rim. Clean the rim, and put it to the same place.",
            found = number(found.deg(), 1)
        ),
        LeftOut::Saturated { limit_dps, .. } => text!(
            "That pass does not count: the gyro was at the end of its range, {limit} °/s.",
            limit = number(limit_dps, 0)
        ),
        LeftOut::Gap { gap_ms, .. } => text!(
            "That pass does not count: no reading came for {gap_ms} ms. Look at the cable or the radio.",
            gap_ms
        ),
        LeftOut::TooFewReadings { .. } => text!(
            "That pass does not count: the hand trembled faster than the readings follow. Let the board send more readings a second."
        ),
        LeftOut::DoesNotClose { found, .. } => text!(
            "That pass does not count: gyro and gravity differ by {found}° after it. See that the board sits firm in the block.",
            found = number(found.deg(), 1)
        ),
        LeftOut::NoWheelThere { forward_m, left_m } => text!(
            "That pass does not count: it went {forward} m forward and {left} m to the left, to no other wheel.",
            forward = number(forward_m, 1),
            left = number(left_m, 1)
        ),
    }
}

/// Why there is no toe, for a person.
pub(super) fn carried_trouble(refusal: &Refusal) -> TroubleView {
    let again = text!("Start again.");
    match *refusal {
        Refusal::ChipUnknown | Refusal::NoGyro => trouble(
            "no_gyro",
            start_words(refusal),
            text!("Toe by a carried board comes from the gyro alone."),
            text!("Take a board with a gyro that sends its rates; or enter toe by strings."),
        ),
        Refusal::CannotReach { .. } => trouble(
            "out_of_reach",
            start_words(refusal),
            text!("However often it is carried, this chip gets no nearer."),
            text!("Ask for a larger uncertainty, take a better chip, or enter toe by strings."),
        ),
        Refusal::TooFewPasses {
            counted,
            needed,
            left_out,
        } => trouble(
            "too_few_passes",
            text!(
                "{counted} passes count, {needed} are the least; {left_out} were left out.",
                counted,
                needed,
                left_out
            ),
            text!("From so few there is no toe that could be trusted."),
            text!("Start again, and carry the block there and back as the page says."),
        ),
        Refusal::OneWay { there, back } => trouble(
            "one_way",
            text!(
                "{there} passes to the right count and {back} to the left.",
                there,
                back
            ),
            text!("Without one each way the drift of the gyro stays in."),
            again,
        ),
        Refusal::PassesDisagree {
            chi_square,
            freedom,
        } => trouble(
            "passes_disagree",
            text!(
                "The passes differ by more than anything known explains (χ² {chi_square} with {freedom} degrees of freedom).",
                chi_square = number(chi_square, 1),
                freedom
            ),
            text!(
                "The block did not lie alike each time, or the car, its steering or the board moved."
            ),
            text!("Clean the rims, fix the steering wheel and the board, and start again."),
        ),
        Refusal::BoardLost => trouble(
            "board_lost",
            text!("The board went away."),
            text!("What it would have shown is missing."),
            text!("Look at its cable or battery, and start again."),
        ),
        Refusal::Cancelled => trouble(
            "cancelled",
            text!("The check was given up."),
            text!("There is no result."),
            text!("Start it again when you like."),
        ),
    }
}

/// Why it does not begin, as a sentence.
pub(super) fn start_words(refusal: &Refusal) -> Text {
    match *refusal {
        Refusal::ChipUnknown => text!("The chip is not known, so nor are its noise and drift."),
        Refusal::NoGyro => text!("The board has no gyro, or sends no rates."),
        Refusal::CannotReach {
            best,
            passes,
            wanted,
        } => text!(
            "This board gets to ±{best}° after {passes} passes; ±{wanted}° were asked for.",
            best = number(best.deg(), 3),
            passes,
            wanted = number(wanted.deg(), 3)
        ),
        other => Text::verbatim(format!("{other}.")),
    }
}

pub(super) const fn cause_words(cause: CarriedCause) -> Text {
    match cause {
        CarriedCause::GyroNoise => text!("noise of the gyro on the way"),
        CarriedCause::GyroDrift => text!("drift of the gyro on the way"),
        CarriedCause::ScaleAndAxes => text!("scale and axes of the gyro"),
        CarriedCause::ForceOnGyro => text!("what leaning does to the gyro"),
        CarriedCause::EarthRotation => text!("the Earth's rotation"),
        CarriedCause::Seat => text!("how alike the block lies each time"),
        CarriedCause::Faces => text!("faces that are not parallel"),
        CarriedCause::FaceLean => text!("how the board leans in the block"),
        CarriedCause::Floor => text!("the slope of the floor"),
        CarriedCause::AccelOffset => text!("offset of the accelerometer"),
        CarriedCause::Timing => text!("the times of the readings"),
    }
}

pub(super) const fn advice(cause: CarriedCause) -> Text {
    match cause {
        CarriedCause::GyroNoise | CarriedCause::GyroDrift | CarriedCause::EarthRotation => {
            text!(
                "Carry it in six seconds or less, hold it longer at each rim, and make more passes."
            )
        }
        CarriedCause::ScaleAndAxes | CarriedCause::ForceOnGyro => {
            text!("Lean and turn the block less on the way.")
        }
        CarriedCause::Seat => text!(
            "Clean the rims, press the block to the same place each time, and make more passes."
        ),
        CarriedCause::Faces => {
            text!("Make as many passes with the block turned end for end as without.")
        }
        CarriedCause::FaceLean => text!("Hold the block level along the wheel at every rim."),
        CarriedCause::Floor => text!("Survey the floor."),
        CarriedCause::AccelOffset => text!("Calibrate the board by poses."),
        CarriedCause::Timing => text!("Take a board that sends the time of each reading."),
    }
}
