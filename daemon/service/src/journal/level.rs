//! What a journal says of the wishes of floor, toe and run-outs.

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::levelling::survey::{Line, PadHeights};
use hubplumb_core::side::Side;
use serde::{Deserialize, Serialize};

use super::entry::side;
use crate::axis::AxisName;
use crate::board::{Seat, Sits};
use crate::levelling::{Earlier, LevelWish, Standing, ToeTold};
use crate::mount::Mount;

#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde hands it so")]
const fn is_so_not(so: &bool) -> bool {
    !*so
}

/// A wish of floor, toe and run-outs. Angles are in radians.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
#[expect(missing_docs, reason = "each is the wish of the same name")]
pub enum LevelNote {
    Start {
        mount: String,
        jacked: bool,
    },
    Cancel(String),
    Finish(String),
    Forget(String),
    Heights {
        heights_mm: [f64; 4],
        standard_mm: [f64; 4],
        track_front_mm: f64,
        track_rear_mm: f64,
        wheelbase_mm: f64,
    },
    LineRest {
        line: LineNote,
        board: String,
        along: AxisName,
        turned: bool,
    },
    ForgetFloor,
    /// Of what was measured and whether the wheel was moved since; written before a move was
    /// noted, it says what was measured alone.
    Toe {
        left: bool,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        value_rad: Option<f64>,
        #[serde(default, skip_serializing_if = "Option::is_none")]
        standard_rad: Option<f64>,
        #[serde(default, skip_serializing_if = "is_so_not")]
        moved: bool,
    },
    Forward(Option<(AxisName, f64)>),
    Earlier {
        at: String,
        standing: Box<Standing>,
    },
    GoOn,
    LeaveEarlier,
    Seat {
        board: String,
        mount: Option<String>,
        outboard: Option<AxisName>,
        up: Option<AxisName>,
    },
}

/// A line of the floor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LineNote {
    /// Between the front pads.
    Front,
    /// Between the rear pads.
    Rear,
    /// Along the left side.
    Left,
    /// Along the right side.
    Right,
}

impl From<Line> for LineNote {
    fn from(line: Line) -> Self {
        match line {
            Line::Front => Self::Front,
            Line::Rear => Self::Rear,
            Line::Left => Self::Left,
            Line::Right => Self::Right,
        }
    }
}

impl From<LineNote> for Line {
    fn from(note: LineNote) -> Self {
        match note {
            LineNote::Front => Self::Front,
            LineNote::Rear => Self::Rear,
            LineNote::Left => Self::Left,
            LineNote::Right => Self::Right,
        }
    }
}

impl From<&LevelWish> for LevelNote {
    fn from(wish: &LevelWish) -> Self {
        let named = |mount: &Mount| mount.name().to_owned();
        match wish {
            LevelWish::Start { mount, jacked } => Self::Start {
                mount: named(mount),
                jacked: *jacked,
            },
            LevelWish::Cancel(mount) => Self::Cancel(named(mount)),
            LevelWish::Finish(mount) => Self::Finish(named(mount)),
            LevelWish::Forget(mount) => Self::Forget(named(mount)),
            LevelWish::Heights(pads) => Self::Heights {
                heights_mm: pads.heights_mm,
                standard_mm: pads.standard_mm,
                track_front_mm: pads.track_front_mm,
                track_rear_mm: pads.track_rear_mm,
                wheelbase_mm: pads.wheelbase_mm,
            },
            LevelWish::LineRest {
                line,
                board,
                along,
                turned,
            } => Self::LineRest {
                line: (*line).into(),
                board: board.clone(),
                along: (*along).into(),
                turned: *turned,
            },
            LevelWish::ForgetFloor => Self::ForgetFloor,
            LevelWish::Toe { side, told } => Self::Toe {
                left: *side == Side::Left,
                value_rad: told.measured.map(|toe| toe.value.rad()),
                standard_rad: told.measured.map(|toe| toe.standard.rad()),
                moved: told.moved,
            },
            LevelWish::Forward(forward) => {
                Self::Forward(forward.map(|(axis, standard)| (axis.into(), standard.rad())))
            }
            LevelWish::Earlier(earlier) => Self::Earlier {
                at: earlier.at.clone(),
                standing: Box::new(earlier.standing.clone()),
            },
            LevelWish::GoOn => Self::GoOn,
            LevelWish::LeaveEarlier => Self::LeaveEarlier,
            LevelWish::Seat { board, seat } => {
                // An axis away from the car without one that points up is no more than that.
                let (outboard, up) = match seat.sits() {
                    Some(Sits::Face { outboard, up }) => (Some(outboard), Some(up)),
                    Some(Sits::Away(away)) => (Some(away), None),
                    None => (None, None),
                };
                Self::Seat {
                    board: board.clone(),
                    mount: seat.mount().as_ref().map(named),
                    outboard: outboard.map(AxisName::from),
                    up: up.map(AxisName::from),
                }
            }
        }
    }
}

impl LevelNote {
    /// The wish; none where it names a mount that there is not, or a seat that cannot be.
    pub fn wish(self) -> Option<LevelWish> {
        let mount = |name: String| Mount::named(&name);
        Some(match self {
            Self::Start {
                mount: name,
                jacked,
            } => LevelWish::Start {
                mount: mount(name)?,
                jacked,
            },
            Self::Cancel(name) => LevelWish::Cancel(mount(name)?),
            Self::Finish(name) => LevelWish::Finish(mount(name)?),
            Self::Forget(name) => LevelWish::Forget(mount(name)?),
            Self::Heights {
                heights_mm,
                standard_mm,
                track_front_mm,
                track_rear_mm,
                wheelbase_mm,
            } => LevelWish::Heights(PadHeights {
                heights_mm,
                standard_mm,
                track_front_mm,
                track_rear_mm,
                wheelbase_mm,
            }),
            Self::LineRest {
                line,
                board,
                along,
                turned,
            } => LevelWish::LineRest {
                line: line.into(),
                board,
                along: along.into(),
                turned,
            },
            Self::ForgetFloor => LevelWish::ForgetFloor,
            Self::Toe {
                left,
                value_rad,
                standard_rad,
                moved,
            } => LevelWish::Toe {
                side: side(left),
                told: ToeTold {
                    measured: value_rad.zip(standard_rad).map(|(value, standard)| {
                        Estimate::new(Angle::from_rad(value), Angle::from_rad(standard))
                    }),
                    moved,
                },
            },
            Self::Forward(forward) => LevelWish::Forward(
                forward.map(|(axis, standard_rad)| (axis.into(), Angle::from_rad(standard_rad))),
            ),
            Self::Earlier { at, standing } => LevelWish::Earlier(Earlier {
                at,
                standing: *standing,
            }),
            Self::GoOn => LevelWish::GoOn,
            Self::LeaveEarlier => LevelWish::LeaveEarlier,
            Self::Seat {
                board,
                mount: name,
                outboard,
                up,
            } => {
                let mount = match name {
                    Some(name) => Some(mount(name)?),
                    None => None,
                };
                let sits = outboard.map(|outboard| Sits::of(outboard.into(), up.map(Into::into)));
                let seat = Seat::new(mount, sits).ok()?;
                LevelWish::Seat { board, seat }
            }
        })
    }
}
