//! Why a run-out gave no result: what happened, what it means, what to do.

use hubplumb_core::levelling::{DirectionUnknown, RunOutRefusal};

use super::trouble;
use crate::http::views::TroubleView;
use crate::mount::Mount;
use crate::text;
use crate::text::number;

/// A refusal for a person.
#[expect(
    clippy::too_many_lines,
    reason = "one arm with its sentences for every case"
)]
pub(super) fn run_out_trouble(mount: Mount, refusal: &RunOutRefusal) -> TroubleView {
    let wheel = mount.words();
    match *refusal {
        RunOutRefusal::ShortArc { found, least } => trouble(
            "short_arc",
            text!(
                "The {wheel} wheel was turned through {found}°.",
                wheel,
                found = number(found.deg(), 0)
            ),
            text!("From so small an arc its spin axis would be a guess."),
            text!(
                "Turn it through {least}° at least; four quarter turns are best.",
                least = number(least.deg(), 0)
            ),
        ),
        RunOutRefusal::TooFewStops { found, least } => trouble(
            "too_few_stops",
            text!("The {wheel} wheel rested {found} times.", wheel, found),
            text!(
                "An axis needs {least} stops, or one slow whole turn.",
                least
            ),
            text!("Start again and let the wheel rest at each quarter."),
        ),
        RunOutRefusal::Wobbled { found, limit } => trouble(
            "wobbled",
            text!(
                "A stop of the {wheel} wheel lies {found}° off the cone of the others (at most {limit}° is taken for play).",
                wheel,
                found = number(found.deg(), 2),
                limit = number(limit.deg(), 2)
            ),
            text!("The jack or the car moved between the stops, or the bearing has play."),
            text!(
                "See that the car stands firm and the chocks hold, then start again; if it comes back, look at the wheel bearing."
            ),
        ),
        RunOutRefusal::CornerMoved { found } => trouble(
            "corner_moved",
            text!(
                "The {wheel} corner leant by {found}° between two stops without a turn of the wheel.",
                wheel,
                found = number(found.deg(), 2)
            ),
            text!("The stops before and after do not belong together."),
            text!("Leave jack and car alone while the wheel is being turned, and start again."),
        ),
        RunOutRefusal::NotStill { seconds, limit } => trouble(
            "not_still",
            text!(
                "The {wheel} wheel did not rest for {seconds} s; {limit} s is the limit.",
                wheel,
                seconds,
                limit
            ),
            text!("Only a wheel at rest shows where gravity points."),
            text!("Hold the wheel at each quarter until it is taken, and start again."),
        ),
        RunOutRefusal::Saturated => trouble(
            "saturated",
            text!(
                "The {wheel} board was at the end of its range while the wheel turned.",
                wheel
            ),
            text!("The turn is larger than what was read."),
            text!("Turn the wheel slowly by hand, without knocking it, and start again."),
        ),
        RunOutRefusal::Gap { gap_ms } => trouble(
            "gap",
            text!(
                "The {wheel} board sent nothing for {gap_ms} ms while the wheel turned.",
                wheel,
                gap_ms
            ),
            text!("What the wheel did in that time is unknown."),
            text!("Check the board's cable, which must follow the wheel round, and start again."),
        ),
        RunOutRefusal::BoardLost => trouble(
            "board_lost",
            text!(
                "The {wheel} board went away while the wheel was being turned.",
                wheel
            ),
            text!("Its stops are incomplete."),
            text!(
                "Put its cable back, with slack enough to follow the wheel round, and start again."
            ),
        ),
        RunOutRefusal::OffDeclared { found, limit } => trouble(
            "off_declared",
            text!(
                "The spin axis of the {wheel} wheel is {found}° from the side that was declared outboard; {limit}° is the limit.",
                wheel,
                found = number(found.deg(), 0),
                limit = number(limit.deg(), 0)
            ),
            text!(
                "The board does not sit as the configuration says, or it is another wheel's board."
            ),
            text!(
                "Look which axis of the board points away from the car and correct it, or see which board is on which wheel."
            ),
        ),
        RunOutRefusal::DirectionUnknown(why) => trouble(
            "direction_unknown",
            match why {
                DirectionUnknown::NoGyro => {
                    text!(
                        "The {wheel} board has no gyro to tell which way its wheel turned.",
                        wheel
                    )
                }
                DirectionUnknown::BothWays { net_deg, gross_deg } => text!(
                    "The {wheel} wheel was turned both ways: {net_deg}° one way, of {gross_deg}° in all.",
                    wheel,
                    net_deg,
                    gross_deg
                ),
            },
            text!(
                "Which end of the axis is outboard is not known, and with it the sign of every angle."
            ),
            text!(
                "Turn the wheel only the way it rolls forward, or write `mounting = {{ away = \"+z\" }}` with the axis of the board that points away from the car."
            ),
        ),
        RunOutRefusal::NoAxis => trouble(
            "no_axis",
            text!("The stops of the {wheel} wheel fix no axis.", wheel),
            text!("They are too much alike."),
            text!("Start again and turn the wheel by a quarter between the stops."),
        ),
        RunOutRefusal::Cancelled => trouble(
            "cancelled",
            text!("The run-out of the {wheel} wheel was given up.", wheel),
            text!("How its board sits is known no better than before."),
            text!("Start it again when the wheel turns freely."),
        ),
    }
}
