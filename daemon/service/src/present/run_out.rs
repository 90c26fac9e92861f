//! Why a run-out gave no result: what happened, what it means, what to do.

use hubplumb_core::levelling::{DirectionUnknown, RunOutRefusal};

use super::trouble;
use crate::http::views::TroubleView;
use crate::mount::Mount;

/// A refusal for a person.
pub(super) fn run_out_trouble(mount: Mount, refusal: &RunOutRefusal) -> TroubleView {
    let wheel = mount.words();
    match *refusal {
        RunOutRefusal::ShortArc { found, least } => trouble(
            "short_arc",
            format!("The {wheel} wheel was turned through {:.0}°.", found.deg()),
            "From so small an arc its spin axis would be a guess.",
            format!(
                "Turn it through {:.0}° at least; four quarter turns are best.",
                least.deg()
            ),
        ),
        RunOutRefusal::TooFewStops { found, least } => trouble(
            "too_few_stops",
            format!("The {wheel} wheel rested {found} times."),
            format!("An axis needs {least} stops, or one slow whole turn."),
            "Start again and let the wheel rest at each quarter.",
        ),
        RunOutRefusal::Wobbled { found, limit } => trouble(
            "wobbled",
            format!(
                "A stop of the {wheel} wheel lies {:.2}° off the cone of the others (at most {:.2}° is taken for play).",
                found.deg(),
                limit.deg()
            ),
            "The jack or the car moved between the stops, or the bearing has play.",
            "See that the car stands firm and the chocks hold, then start again; if it comes back, look at the wheel bearing.",
        ),
        RunOutRefusal::CornerMoved { found } => trouble(
            "corner_moved",
            format!(
                "The {wheel} corner leant by {:.2}° between two stops without a turn of the wheel.",
                found.deg()
            ),
            "The stops before and after do not belong together.",
            "Leave jack and car alone while the wheel is being turned, and start again.",
        ),
        RunOutRefusal::NotStill { seconds, limit } => trouble(
            "not_still",
            format!("The {wheel} wheel did not rest for {seconds} s; {limit} s is the limit."),
            "Only a wheel at rest shows where gravity points.",
            "Hold the wheel at each quarter until it is taken, and start again.",
        ),
        RunOutRefusal::Saturated => trouble(
            "saturated",
            format!("The {wheel} board was at the end of its range while the wheel turned."),
            "The turn is larger than what was read.",
            "Turn the wheel slowly by hand, without knocking it, and start again.",
        ),
        RunOutRefusal::Gap { gap_ms } => trouble(
            "gap",
            format!("The {wheel} board sent nothing for {gap_ms} ms while the wheel turned."),
            "What the wheel did in that time is unknown.",
            "Check the board's cable, which must follow the wheel round, and start again.",
        ),
        RunOutRefusal::BoardLost => trouble(
            "board_lost",
            format!("The {wheel} board went away while the wheel was being turned."),
            "Its stops are incomplete.",
            "Put its cable back, with slack enough to follow the wheel round, and start again.",
        ),
        RunOutRefusal::OffDeclared { found, limit } => trouble(
            "off_declared",
            format!(
                "The spin axis of the {wheel} wheel is {:.0}° from the side that was declared outboard; {:.0}° is the limit.",
                found.deg(),
                limit.deg()
            ),
            "The board does not sit as the configuration says, or it is another wheel's board.",
            "Look which axis of the board points away from the car and correct it, or see which board is on which wheel.",
        ),
        RunOutRefusal::DirectionUnknown(why) => trouble(
            "direction_unknown",
            match why {
                DirectionUnknown::NoGyro => {
                    format!("The {wheel} board has no gyro to tell which way its wheel turned.")
                }
                DirectionUnknown::BothWays { net_deg, gross_deg } => format!(
                    "The {wheel} wheel was turned both ways: {net_deg}° one way, of {gross_deg}° in all."
                ),
            },
            "Which end of the axis is outboard is not known, and with it the sign of every angle.",
            "Turn the wheel only the way it rolls forward, or write `mounting = { away = \"+z\" }` with the axis of the board that points away from the car.",
        ),
        RunOutRefusal::NoAxis => trouble(
            "no_axis",
            format!("The stops of the {wheel} wheel fix no axis."),
            "They are too much alike.",
            "Start again and turn the wheel by a quarter between the stops.",
        ),
        RunOutRefusal::Cancelled => trouble(
            "cancelled",
            format!("The run-out of the {wheel} wheel was given up."),
            "How its board sits is known no better than before.",
            "Start it again when the wheel turns freely.",
        ),
    }
}
