//! Why a check gave no result: what happened, what it means, what to do.

use hubplumb_core::check::{BarTurn, CheckRefusal, Kind};

use super::{refusal_trouble, side_words, trouble};
use crate::checking::CheckNow;
use crate::http::views::TroubleView;

const fn turn_words(turn: BarTurn) -> &'static str {
    match turn {
        BarTurn::OtherFace => "to the other face, the same end up",
        BarTurn::OtherEnd => "to the other end, the same face at the rim",
        BarTurn::Both => "over, to the other end and the other face",
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
            format!("Nothing came to rest for {seconds} s ({limit} s is the limit)."),
            "Gravity is measured at rest; there was none.",
            "Keep hands and wind off the car, let it settle, and start again.",
        ),
        CheckRefusal::NoCamber => trouble(
            "no_camber",
            "Gravity and the spindle, as the board sits, fix no camber.",
            "The board sits otherwise than was said, or reads nonsense.",
            "See how the board is mounted, calibrate it, and start again.",
        ),
        CheckRefusal::NotTurned { found } => trouble(
            "not_turned",
            format!(
                "Bar and board were taken off and came back turned by {:.0}° only.",
                found.deg()
            ),
            "Without the half turn, offset and seat would stay in the camber.",
            "Start again and turn bar and board by half a turn between the takes.",
        ),
        CheckRefusal::NoHalfTurn { found, off } => trouble(
            "no_half_turn",
            format!(
                "Bar and board were turned by {:.0}°, {:.0}° from the nearest axis of the bar.",
                found.deg(),
                off.deg()
            ),
            "Which way the board faces now is not sure, or it moved on the bar.",
            "Fix the board firmly on the bar, start again, and turn both together by half a turn.",
        ),
        CheckRefusal::OtherTurn { asked, found } => trouble(
            "turned_otherwise",
            format!("The bar was turned {}.", turn_words(found)),
            format!(
                "It was to be turned {}; another turn takes out something else.",
                turn_words(asked)
            ),
            "Start again and turn it as the page says, or start with `turn` set to `any`.",
        ),
        CheckRefusal::TurnUnclear => trouble(
            "turn_unclear",
            "Gyro and gravity do not agree on which end of the bar is up.",
            "The board moved on the bar, or the gyro lost the turn.",
            "Fix the board firmly on the bar, turn both calmly, and start again.",
        ),
        CheckRefusal::TurnUnseen => trouble(
            "turn_unseen",
            "The board has no gyro, and gravity does not show this turn.",
            "Whether the bar was turned is not sure.",
            "Swap the ends of the bar (`other_end`), or put a board with a gyro on it.",
        ),
        CheckRefusal::TooFew { found, least } => trouble(
            "too_few",
            format!("{found} were taken, {least} are the least."),
            "From so few there is no result that could be trusted.",
            match current.kind {
                Kind::Play => {
                    "Start again and rock the wheel once a second until the page says that it is enough."
                }
                _ => "Start again and take more before you finish.",
            },
        ),
        CheckRefusal::NoGyro => trouble(
            "no_gyro",
            "The board has no gyro, or sends no rates.",
            "This check follows turns that gravity does not show.",
            "Put a board with a gyro on the wheel; locks and turns can be typed from turn plates instead.",
        ),
        CheckRefusal::Gap { gap_ms } => trouble(
            "gap",
            format!("No reading came for {gap_ms} ms while it moved."),
            "How far it turned meanwhile nobody saw.",
            "Look at the board's cable or radio, and start again.",
        ),
        CheckRefusal::TooLong { seconds, limit } => trouble(
            "too_long",
            format!("{seconds} s lay between two stops ({limit} s is the limit)."),
            "Over so long a time the gyro drifts too far.",
            "Start again and go from stop to stop without delay.",
        ),
        CheckRefusal::NotRocked { ratio, least } => trouble(
            "not_rocked",
            format!(
                "While the wheel was to be rocked its readings scattered {ratio:.1} times as much as at rest ({least:.1} is the least)."
            ),
            "Nobody shook it, so nothing can be said of play.",
            "Start again and rock the wheel with both hands as soon as the page says so.",
        ),
        CheckRefusal::NotBack { found, limit } => trouble(
            "not_back",
            format!(
                "It ended {:.1}° from where it began (at most {:.0}° is allowed).",
                found.deg(),
                limit.deg()
            ),
            "The board slipped, the car moved, or straight ahead was not found again.",
            "See that board, car and stands are firm, and start again; end where you began.",
        ),
        CheckRefusal::NoLock { side, found, least } => trouble(
            "no_lock",
            format!(
                "To the {} the steering went {:.0}° only.",
                side_words(side),
                found.deg()
            ),
            "A lock lies farther out; this was a pause on the way.",
            format!(
                "Steer on to the stop, at least {:.0}°, and start again.",
                least.deg()
            ),
        ),
        CheckRefusal::LocksVary { side, found, limit } => trouble(
            "locks_vary",
            format!(
                "Repeated, the {} lock differed by {:.1}° (at most {:.1}° is allowed).",
                side_words(side),
                found.deg(),
                limit.deg()
            ),
            "Not every time was the stop reached.",
            "Start again and steer to the stop each time, with the same force.",
        ),
        CheckRefusal::FarFromTwenty { found, limit } => trouble(
            "far_from_twenty",
            format!(
                "The nearest stop stands at {:.1}° of the inner wheel.",
                found.deg()
            ),
            format!(
                "It must lie within {:.0}° of 20°, or the result would be a guess.",
                limit.deg()
            ),
            "Start again and stop where the inner wheel stands at about 20°.",
        ),
        CheckRefusal::SpanTooSmall { found_mm, least_mm } => trouble(
            "span_too_small",
            format!("The heights span {found_mm:.0} mm."),
            format!("From less than {least_mm:.0} mm a slope would be a guess."),
            "Start again with heights farther apart, as far as the suspension is used.",
        ),
        CheckRefusal::OffCurve { point, .. } => trouble(
            "off_curve",
            format!(
                "The point number {} lies far off the curve of the others.",
                point + 1
            ),
            "A height was typed wrong, or the board or the car moved meanwhile.",
            "Look at the heights, see that the board sits firm, and start again.",
        ),
        CheckRefusal::Evidence => trouble(
            "evidence_incomplete",
            "What was gathered is not complete.",
            "Nothing can be worked out of it.",
            "Start again.",
        ),
        CheckRefusal::Wheel(ref of_wheel) => refusal_trouble(of_wheel),
        CheckRefusal::Saturated => trouble(
            "saturated",
            "The board read the end of its range while it moved.",
            "How far it turned meanwhile nobody saw.",
            "Start again and move it more gently.",
        ),
        CheckRefusal::BoardLost => trouble(
            "board_lost",
            "The board went away.",
            "What it would have shown is missing.",
            "Look at its cable or battery, and start again.",
        ),
        CheckRefusal::Cancelled => trouble(
            "cancelled",
            "The check was given up.",
            "There is no result.",
            "Start it again when you like.",
        ),
    }
}
