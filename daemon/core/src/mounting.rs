//! How a board sits on its hub.

use thiserror::Error;

use crate::angle::Angle;
use crate::frames::{Board, Dir, Hub, Rot, Vec3};
use crate::side::Side;

/// One of the six directions printed on a board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoardAxis {
    /// +X.
    XPlus,
    /// −X.
    XMinus,
    /// +Y.
    YPlus,
    /// −Y.
    YMinus,
    /// +Z.
    ZPlus,
    /// −Z.
    ZMinus,
}

impl BoardAxis {
    /// All six.
    pub const ALL: [Self; 6] = [
        Self::XPlus,
        Self::XMinus,
        Self::YPlus,
        Self::YMinus,
        Self::ZPlus,
        Self::ZMinus,
    ];

    /// The printed direction nearest to one.
    pub fn nearest(to: &Dir<Board>) -> Self {
        let mut nearest = Self::XPlus;
        for axis in Self::ALL {
            if axis.dir().dot(to) > nearest.dir().dot(to) {
                nearest = axis;
            }
        }
        nearest
    }

    /// Is it the same printed line as another, the same way or the other?
    pub fn is_in_line_with(self, other: Self) -> bool {
        self.dir().dot(&other.dir()).abs() > 0.5
    }

    /// The direction in the board's frame.
    pub const fn dir(self) -> Dir<Board> {
        let (axis, negative) = match self {
            Self::XPlus => (Dir::x_axis(), false),
            Self::XMinus => (Dir::x_axis(), true),
            Self::YPlus => (Dir::y_axis(), false),
            Self::YMinus => (Dir::y_axis(), true),
            Self::ZPlus => (Dir::z_axis(), false),
            Self::ZMinus => (Dir::z_axis(), true),
        };
        if negative { axis.reversed() } else { axis }
    }
}

/// A wheel leans less than this, rig and floor included: a face that leans more at rest
/// does not lie square on the spindle.
const SQUARE: Angle = Angle::from_deg(12.0);
/// A direction that leans more than this does not point away from the car but up or down.
const UPENDED: Angle = Angle::from_deg(60.0);

/// How a resting board stands on a hub if one of its axes is said to point outboard.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stands {
    /// Square: the axis lies level, as a spindle does.
    Square {
        /// The printed direction nearest to up among those across the axis.
        up: BoardAxis,
    },
    /// Askew: the axis points away from the car and not along the spindle.
    Askew {
        /// How far it leans out of level.
        lean: Angle,
    },
    /// The axis points up or down and cannot be outboard.
    Upended,
}

impl Stands {
    /// By what the board feels at rest; none when that has no direction.
    pub fn with(outboard: BoardAxis, felt_g: &Vec3<Board>) -> Option<Self> {
        let up = Dir::along(*felt_g)?;
        let from_up = outboard.dir().angle_to(&up).rad();
        let lean = Angle::from_rad((std::f64::consts::FRAC_PI_2 - from_up).abs());
        if lean > UPENDED {
            return Some(Self::Upended);
        }
        if lean > SQUARE {
            return Some(Self::Askew { lean });
        }
        let across = BoardAxis::ALL
            .into_iter()
            .filter(|axis| !axis.is_in_line_with(outboard));
        let nearest = across.max_by(|a, b| a.dir().dot(&up).total_cmp(&b.dir().dot(&up)))?;
        Some(Self::Square { up: nearest })
    }
}

/// Why a mounting cannot be.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MountingError {
    /// The outboard and the upward direction are the same line.
    #[error(
        "the outboard and the upward direction of the board are the same line ({outboard:?}, {upward:?})"
    )]
    Parallel {
        /// Given for outboard.
        outboard: [f64; 3],
        /// Given for up.
        upward: [f64; 3],
    },
    /// A spin axis without direction.
    #[error("the spin axis {found:?} has no direction")]
    NoDirection {
        /// What was given.
        found: [f64; 3],
    },
}

/// How far a mounting can be trusted: one-sigma turns about the hub's axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MountingTrust {
    /// About X forward: goes one to one into camber.
    pub camber: Angle,
    /// About Y along the spindle: goes one to one into hub pitch.
    pub pitch: Angle,
    /// About Z up: acts like a wrong toe during the swing.
    pub heading: Angle,
}

/// Rotation from a board to its hub, with its uncertainty.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mounting {
    board_to_hub: Rot<Board, Hub>,
    trust: MountingTrust,
}

impl Mounting {
    /// A board that somebody strapped on with `outboard` pointing away from
    /// the car along the spindle and `upward` pointing up, as well as `trust` says.
    pub fn declared(
        side: Side,
        outboard: BoardAxis,
        upward: BoardAxis,
        trust: MountingTrust,
    ) -> Result<Self, MountingError> {
        Self::from_axes(side, outboard.dir(), upward.dir(), trust)
    }

    /// A board whose spin axis is known in its own axes (from turning the
    /// wheel); `upward` need only be roughly up.
    pub fn with_spin_axis(
        side: Side,
        outboard: [f64; 3],
        upward: BoardAxis,
        trust: MountingTrust,
    ) -> Result<Self, MountingError> {
        let axis = Dir::along(Vec3::from_array(outboard))
            .ok_or(MountingError::NoDirection { found: outboard })?;
        Self::from_axes(side, axis, upward.dir(), trust)
    }

    /// A mounting from two directions in the board's axes.
    pub(crate) fn from_axes(
        side: Side,
        outboard: Dir<Board>,
        upward: Dir<Board>,
        trust: MountingTrust,
    ) -> Result<Self, MountingError> {
        let outboard_hub = match side {
            Side::Left => Dir::y_axis(),
            Side::Right => -Dir::y_axis(),
        };
        let board_to_hub = Rot::from_pairs((outboard, outboard_hub), (upward, Dir::z_axis()))
            .ok_or(MountingError::Parallel {
                outboard: outboard.vec().to_array(),
                upward: upward.vec().to_array(),
            })?;
        Ok(Self {
            board_to_hub,
            trust,
        })
    }

    /// How far it can be trusted.
    pub const fn trust(&self) -> MountingTrust {
        self.trust
    }

    /// Spindle, outboard, in the board's axes.
    pub fn spindle(&self, side: Side) -> Dir<Board> {
        let left = self.board_to_hub.inverse().apply_dir(&Dir::y_axis());
        match side {
            Side::Left => left,
            Side::Right => -left,
        }
    }

    /// Forward direction of the hub, in the board's axes.
    pub fn forward(&self) -> Dir<Board> {
        self.board_to_hub.inverse().apply_dir(&Dir::x_axis())
    }

    /// Upward direction of the hub, in the board's axes.
    pub fn up(&self) -> Dir<Board> {
        self.board_to_hub.inverse().apply_dir(&Dir::z_axis())
    }

    /// The same spindle, with the hub's forward direction level while gravity
    /// points along `up`: how the wheel happened to be rolled when it came to
    /// rest is nobody's knowledge. None when `up` lies along the spindle.
    pub(crate) fn levelled(&self, side: Side, up: Dir<Board>) -> Option<Self> {
        Self::from_axes(side, self.spindle(side), up, self.trust).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRUST: MountingTrust = MountingTrust {
        camber: Angle::ZERO,
        pitch: Angle::ZERO,
        heading: Angle::ZERO,
    };

    #[test]
    fn declared_faces_give_right_handed_hubs() {
        let check = |side, outboard: BoardAxis, upward: BoardAxis, forward: [f64; 3]| {
            let mounting = Mounting::declared(side, outboard, upward, TRUST).unwrap();
            assert!((mounting.spindle(side).vec() - outboard.dir().vec()).norm() < 1e-12);
            assert!(
                (mounting.forward().vec() - Vec3::from_array(forward)).norm() < 1e-12,
                "{:?}",
                mounting.forward()
            );
        };
        // Chip face outward, printed Y up: seen from outside the left wheel, the front is on the left hand.
        check(
            Side::Left,
            BoardAxis::ZPlus,
            BoardAxis::YPlus,
            [-1.0, 0.0, 0.0],
        );
        check(
            Side::Right,
            BoardAxis::ZPlus,
            BoardAxis::YPlus,
            [1.0, 0.0, 0.0],
        );
        check(
            Side::Left,
            BoardAxis::YPlus,
            BoardAxis::ZPlus,
            [1.0, 0.0, 0.0],
        );
        check(
            Side::Right,
            BoardAxis::YMinus,
            BoardAxis::ZPlus,
            [1.0, 0.0, 0.0],
        );
    }

    #[test]
    fn the_nearest_printed_direction_is_found() {
        for axis in BoardAxis::ALL {
            assert_eq!(BoardAxis::nearest(&axis.dir()), axis);
        }
        let near = Dir::along(Vec3::new(0.3, -0.8, 0.4)).unwrap();
        assert_eq!(BoardAxis::nearest(&near), BoardAxis::YMinus);
        let mounting =
            Mounting::declared(Side::Left, BoardAxis::ZPlus, BoardAxis::YMinus, TRUST).unwrap();
        // Z outboard and Y down on the left: X points to the front.
        assert_eq!(BoardAxis::nearest(&mounting.forward()), BoardAxis::XPlus);
    }

    #[test]
    fn gravity_says_how_a_board_stands_on_its_hub() {
        let stands = |outboard, felt: [f64; 3]| Stands::with(outboard, &Vec3::from_array(felt));
        // Chip face outboard on a wheel that leans by two degrees.
        let up = BoardAxis::YMinus;
        let square = Some(Stands::Square { up });
        assert_eq!(stands(BoardAxis::ZPlus, [0.1, -0.99, 0.035]), square);
        assert_eq!(stands(BoardAxis::ZMinus, [0.1, -0.99, 0.035]), square);
        assert_eq!(
            stands(BoardAxis::YPlus, [0.1, -0.99, 0.035]),
            Some(Stands::Upended)
        );
        let Some(Stands::Askew { lean }) = stands(BoardAxis::ZPlus, [0.0, 0.9, 0.5]) else {
            panic!("a bracket that leans by 29° is askew");
        };
        assert!((lean.deg() - 29.05).abs() < 0.1, "{}", lean.deg());
        assert_eq!(stands(BoardAxis::ZPlus, [0.0; 3]), None);
    }

    #[test]
    fn one_line_for_two_directions_is_refused() {
        let refused = Mounting::declared(Side::Left, BoardAxis::ZPlus, BoardAxis::ZMinus, TRUST);
        assert!(
            matches!(refused, Err(MountingError::Parallel { .. })),
            "{refused:?}"
        );
    }
}
