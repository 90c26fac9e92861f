//! Which way bar and board were turned between two takes.

use super::BarTurn;
use crate::angle::Angle;
use crate::check::refusal::CheckRefusal;
use crate::check::still::Moved;
use crate::frames::{Board, Dir};

/// Hands turn a bar by half a turn to within this.
const HALF_TURN_WITHIN: Angle = Angle::from_deg(25.0);
/// And about one of its axes to within this.
const AXIS_WITHIN: Angle = Angle::from_deg(25.0);
/// A bar that came back within this of how it was has not been turned.
const SAME_WITHIN: Angle = Angle::from_deg(30.0);
/// Moved less than this in all it was only nudged.
const NUDGE: Angle = Angle::from_deg(60.0);

/// Axes of the bar in the board's.
pub(super) struct Axes {
    pub(super) outboard: Dir<Board>,
    pub(super) length: Dir<Board>,
}

/// The turn; none where the bar was only nudged. `swapped` is what gravity says of the ends.
pub(super) fn between(
    axes: &Axes,
    moved: Option<Moved>,
    swapped: bool,
    asked: Option<BarTurn>,
) -> Result<Option<BarTurn>, CheckRefusal> {
    let found = match moved {
        Some(Moved::Turned {
            to_before, gross, ..
        }) => {
            let vector = to_before.to_vector();
            let angle = Angle::from_rad(vector.norm());
            if angle < SAME_WITHIN {
                if swapped {
                    return Err(CheckRefusal::TurnUnclear);
                }
                return if gross < NUDGE {
                    Ok(None)
                } else {
                    Err(CheckRefusal::NotTurned { found: angle })
                };
            }
            let across = Dir::along(axes.outboard.vec().cross(&axes.length.vec()));
            let about = Dir::along(vector).zip(across).map(|(axis, across)| {
                [
                    (BarTurn::OtherFace, axes.length),
                    (BarTurn::OtherEnd, axes.outboard),
                    (BarTurn::Both, across),
                ]
                .map(|(turn, of)| {
                    // A half turn is the same both ways round.
                    let off = Angle::from_rad(axis.dot(&of).abs().min(1.0).acos());
                    (turn, off)
                })
            });
            let nearest = about
                .into_iter()
                .flatten()
                .min_by(|a, b| a.1.rad().total_cmp(&b.1.rad()));
            match nearest {
                Some((turn, off))
                    if off < AXIS_WITHIN
                        && (Angle::from_deg(180.0) - angle).abs() < HALF_TURN_WITHIN =>
                {
                    turn
                }
                nearest => {
                    return Err(CheckRefusal::NoHalfTurn {
                        found: angle,
                        off: nearest.map_or(Angle::ZERO, |(_, off)| off),
                    });
                }
            }
        }
        // Gravity alone: the ends show, the faces do not.
        Some(Moved::NoGyro) | None => match (swapped, asked) {
            (true, Some(asked)) if asked.turns_end() => asked,
            (true, Some(asked)) => {
                return Err(CheckRefusal::OtherTurn {
                    asked,
                    found: BarTurn::OtherEnd,
                });
            }
            _ => return Err(CheckRefusal::TurnUnseen),
        },
        Some(Moved::Gap(gap_us)) => {
            return Err(CheckRefusal::Gap {
                gap_ms: gap_us / 1000,
            });
        }
        Some(Moved::TooLong(seconds)) => {
            return Err(CheckRefusal::TooLong {
                seconds,
                limit: crate::check::still::FOLLOW_LIMIT_S,
            });
        }
    };
    if found.turns_end() != swapped {
        return Err(CheckRefusal::TurnUnclear);
    }
    match asked {
        Some(asked) if asked != found => Err(CheckRefusal::OtherTurn { asked, found }),
        _ => Ok(Some(found)),
    }
}
