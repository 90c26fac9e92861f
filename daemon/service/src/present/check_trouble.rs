//! Why a check gave no result: what happened, what it means, what to do.

use hubplumb_core::check::{BarTurn, CheckRefusal, Kind};

use super::{refusal_trouble, side_words, trouble};
use crate::checking::CheckNow;
use crate::http::views::TroubleView;
use crate::text;
use crate::text::{Text, number};

const fn turn_words(turn: BarTurn) -> Text {
    match turn {
        BarTurn::OtherFace => text!("to the other face, the same end up"),
        BarTurn::OtherEnd => text!("to the other end, the same face at the rim"),
        BarTurn::Both => text!("over, to the other end and the other face"),
    }
}

/// A refusal for a person.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with three sentences for every refusal"
)]
pub(super) fn check_trouble(current: &CheckNow, refusal: &CheckRefusal) -> TroubleView {
    match *refusal {
        CheckRefusal::NotStill { seconds, limit } => trouble(
            "not_still",
            text!(
                "Nothing came to rest for {seconds} s ({limit} s is the limit).",
                seconds,
                limit
            ),
            text!("Gravity is measured at rest; there was none."),
            text!("Keep hands and wind off the car, let it settle, and start again."),
        ),
        CheckRefusal::NoCamber => trouble(
            "no_camber",
            text!("Gravity and the spindle, as the board sits, fix no camber."),
            text!("The board sits otherwise than was said, or reads nonsense."),
            text!("See how the board is mounted, calibrate it, and start again."),
        ),
        CheckRefusal::NotTurned { found } => trouble(
            "not_turned",
            text!(
                "Bar and board were taken off and came back turned by {found}° only.",
                found = number(found.deg(), 0)
            ),
            text!("Without the half turn, offset and seat would stay in the camber."),
            text!("Start again and turn bar and board by half a turn between the takes."),
        ),
        CheckRefusal::NoHalfTurn { found, off } => trouble(
            "no_half_turn",
            text!(
                "Bar and board were turned by {found}°, {off}° from the nearest axis of the bar.",
                found = number(found.deg(), 0),
                off = number(off.deg(), 0)
            ),
            text!("Which way the board faces now is not sure, or it moved on the bar."),
            text!(
                "Fix the board firmly on the bar, start again, and turn both together by half a turn."
            ),
        ),
        CheckRefusal::OtherTurn { asked, found } => trouble(
            "turned_otherwise",
            text!("The bar was turned {found}.", found = turn_words(found)),
            text!(
                "It was to be turned {asked}; another turn takes out something else.",
                asked = turn_words(asked)
            ),
            text!("Start again and turn it as the page says, or start with `turn` set to `any`."),
        ),
        CheckRefusal::TurnUnclear => trouble(
            "turn_unclear",
            text!("Gyro and gravity do not agree on which end of the bar is up."),
            text!("The board moved on the bar, or the gyro lost the turn."),
            text!("Fix the board firmly on the bar, turn both calmly, and start again."),
        ),
        CheckRefusal::TurnUnseen => trouble(
            "turn_unseen",
            text!("The board has no gyro, and gravity does not show this turn."),
            text!("Whether the bar was turned is not sure."),
            text!("Swap the ends of the bar (`other_end`), or put a board with a gyro on it."),
        ),
        CheckRefusal::TooFew { found, least } => trouble(
            "too_few",
            text!("{found} were taken, {least} are the least.", found, least),
            text!("From so few there is no result that could be trusted."),
            if current.kind == Kind::Play {
                text!(
                    "Start again and rock the wheel once a second until the page says that it is enough."
                )
            } else {
                text!("Start again and take more before you finish.")
            },
        ),
        CheckRefusal::NoGyro => trouble(
            "no_gyro",
            text!("The board has no gyro, or sends no rates."),
            text!("This check follows turns that gravity does not show."),
            text!(
                "Put a board with a gyro on the wheel; locks and turns can be typed from turn plates instead."
            ),
        ),
        CheckRefusal::Gap { gap_ms } => trouble(
            "gap",
            text!("No reading came for {gap_ms} ms while it moved.", gap_ms),
            text!("How far it turned meanwhile nobody saw."),
            text!("Look at the board's cable or radio, and start again."),
        ),
        CheckRefusal::TooLong { seconds, limit } => trouble(
            "too_long",
            text!(
                "{seconds} s lay between two stops ({limit} s is the limit).",
                seconds,
                limit
            ),
            text!("Over so long a time the gyro drifts too far."),
            text!("Start again and go from stop to stop without delay."),
        ),
        CheckRefusal::NotRocked { ratio, least } => trouble(
            "not_rocked",
            text!(
                "While the wheel was to be rocked its readings scattered {ratio} times as much as at rest ({least} is the least).",
                ratio = number(ratio, 1),
                least = number(least, 1)
            ),
            text!("Nobody shook it, so nothing can be said of play."),
            text!("Start again and rock the wheel with both hands as soon as the page says so."),
        ),
        CheckRefusal::NotBack { found, limit } => trouble(
            "not_back",
            text!(
                "It ended {found}° from where it began (at most {limit}° is allowed).",
                found = number(found.deg(), 1),
                limit = number(limit.deg(), 0)
            ),
            text!("The board slipped, the car moved, or straight ahead was not found again."),
            text!("See that board, car and stands are firm, and start again; end where you began."),
        ),
        CheckRefusal::NoLock { side, found, least } => trouble(
            "no_lock",
            text!(
                "To the {side} the steering went {found}° only.",
                side = side_words(side),
                found = number(found.deg(), 0)
            ),
            text!("A lock lies farther out; this was a pause on the way."),
            text!(
                "Steer on to the stop, at least {least}°, and start again.",
                least = number(least.deg(), 0)
            ),
        ),
        CheckRefusal::LocksVary { side, found, limit } => trouble(
            "locks_vary",
            text!(
                "Repeated, the {side} lock differed by {found}° (at most {limit}° is allowed).",
                side = side_words(side),
                found = number(found.deg(), 1),
                limit = number(limit.deg(), 1)
            ),
            text!("Not every time was the stop reached."),
            text!("Start again and steer to the stop each time, with the same force."),
        ),
        CheckRefusal::FarFromTwenty { found, limit } => trouble(
            "far_from_twenty",
            text!(
                "The nearest stop stands at {found}° of the inner wheel.",
                found = number(found.deg(), 1)
            ),
            text!(
                "It must lie within {limit}° of 20°, or the result would be a guess.",
                limit = number(limit.deg(), 0)
            ),
            text!("Start again and stop where the inner wheel stands at about 20°."),
        ),
        CheckRefusal::SpanTooSmall { found_mm, least_mm } => trouble(
            "span_too_small",
            text!(
                "The heights span {found_mm} mm.",
                found_mm = number(found_mm, 0)
            ),
            text!(
                "From less than {least_mm} mm a slope would be a guess.",
                least_mm = number(least_mm, 0)
            ),
            text!("Start again with heights farther apart, as far as the suspension is used."),
        ),
        CheckRefusal::OffCurve { point, .. } => trouble(
            "off_curve",
            text!(
                "The point number {point} lies far off the curve of the others.",
                point = point + 1
            ),
            text!("A height was typed wrong, or the board or the car moved meanwhile."),
            text!("Look at the heights, see that the board sits firm, and start again."),
        ),
        CheckRefusal::Evidence => trouble(
            "evidence_incomplete",
            text!("What was gathered is not complete."),
            text!("Nothing can be worked out of it."),
            text!("Start again."),
        ),
        CheckRefusal::Carried(ref passes) => super::carried::carried_trouble(passes),
        CheckRefusal::Wheel(ref of_wheel) => refusal_trouble(of_wheel),
        CheckRefusal::Saturated => trouble(
            "saturated",
            text!("The board read the end of its range while it moved."),
            text!("How far it turned meanwhile nobody saw."),
            text!("Start again and move it more gently."),
        ),
        CheckRefusal::BoardLost => trouble(
            "board_lost",
            text!("The board went away."),
            text!("What it would have shown is missing."),
            text!("Look at its cable or battery, and start again."),
        ),
        CheckRefusal::Cancelled => trouble(
            "cancelled",
            text!("The check was given up."),
            text!("There is no result."),
            text!("Start it again when you like."),
        ),
    }
}
