//! The offset along one axis by turning the board end for end.
//!
//! An offset along the spindle is all that run-out cannot find, and 1 mg of it
//! is 0.057° of camber. Turned by half a turn about an axis square to the
//! sensing axis, the board feels the lean of that axis with the other sign and
//! its own offset with the same: half their sum is the offset, half their
//! difference the lean.

use thiserror::Error;

use crate::angle::Angle;
use crate::calibration::{Calibration, CalibrationError};
use crate::chip::SettledAxis;
use crate::estimate::Estimate;
use crate::frames::{Board, Dir, Vec3};

use super::pose::Pose;

/// The axes given are square within this.
const SQUARE_WITHIN: Angle = Angle::from_deg(1.0);
/// A length this far from one gravity is no rest.
const LENGTH_WITHIN_G: f64 = 0.3;
/// What a turn by hand may miss half a turn by, g: three degrees.
const TURN_WITHIN_G: f64 = 0.052;
/// Largest offset in data sheets (0.08 g), rounded up.
const OFFSET_LIMIT_G: f64 = 0.1;
/// Readings that differ by more than this are not of a board that stayed put, g.
const MOVED_G: f64 = 0.1;

/// How the board is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReversalSetup {
    sensing: Dir<Board>,
    about: Dir<Board>,
    seat: Angle,
}

impl ReversalSetup {
    /// The axis whose offset is wanted, the axis of the half turn square to it,
    /// and the standard uncertainty of how truly the clamp seats the board the
    /// second time, about each axis.
    pub fn new(sensing: Dir<Board>, about: Dir<Board>, seat: Angle) -> Result<Self, NotReversed> {
        let between = sensing.angle_to(&about);
        if (between.rad() - std::f64::consts::FRAC_PI_2).abs() > SQUARE_WITHIN.rad() {
            return Err(NotReversed::NotSquare {
                between_deg: between.deg(),
            });
        }
        Ok(Self {
            sensing,
            about,
            seat: seat.abs(),
        })
    }

    /// The axis whose offset is wanted.
    pub const fn sensing(&self) -> Dir<Board> {
        self.sensing
    }

    /// The axis of the half turn.
    pub const fn about(&self) -> Dir<Board> {
        self.about
    }
}

/// Why two poses are not a reversal.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum NotReversed {
    /// The axis of the turn is not square to the sensing axis.
    #[error("the axis of the turn is {between_deg}° from the sensing axis, not 90°")]
    NotSquare {
        /// Angle between them, degrees.
        between_deg: f64,
    },
    /// A reading is not near one gravity.
    #[error("pose {pose} reads {found_g} g, not near 1 g")]
    NotOneGravity {
        /// Which of the two, from 0.
        pose: usize,
        /// Length of its mean, g.
        found_g: f64,
    },
    /// Along the axis of the turn the readings should have stayed.
    #[error("along the axis of the turn the readings differ by {found_g} g, {limit_g} g at most")]
    NotKept {
        /// First less second, g.
        found_g: f64,
        /// The limit, g.
        limit_g: f64,
    },
    /// Square to both axes the readings should have changed sign.
    #[error("square to the turn the readings add to {found_g} g, {limit_g} g at most")]
    NotMirrored {
        /// Their sum, g.
        found_g: f64,
        /// The limit, g.
        limit_g: f64,
    },
    /// No chip has such an offset: the board was not turned.
    #[error("an offset of {found_g} g, more than {limit_g} g: the board was not turned")]
    OffsetTooLarge {
        /// The offset, g.
        found_g: f64,
        /// The limit, g.
        limit_g: f64,
    },
}

/// Do the readings themselves show that the board was turned?
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnSeen {
    /// They do.
    ByGravity,
    /// They do not: the turn was about the plumb line, which gravity does not
    /// show. A board left as it was would read the same.
    Unseen,
}

/// What the two poses say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reversal {
    sensing: Dir<Board>,
    /// Offset along the sensing axis, g.
    pub offset_g: f64,
    /// Its standard uncertainty, g: noise and seat.
    pub offset_standard_g: f64,
    /// How far the sensing axis pointed above the horizontal in the first pose.
    pub lean: Estimate,
    /// Whether the turn shows.
    pub turn: TurnSeen,
    /// What both poses felt alike, without the offset, g: gravity along the axis of the turn.
    pub felt_g: Vec3<Board>,
    /// Evidence: change along the axis of the turn, g.
    pub kept_g: f64,
    /// Evidence: sum square to both axes, g; twice the offset there, at rest in a true clamp.
    pub mirrored_g: f64,
}

impl Reversal {
    /// From the readings before and after the turn.
    pub fn between(
        setup: &ReversalSetup,
        first: &Pose,
        second: &Pose,
    ) -> Result<Self, NotReversed> {
        for (pose, of) in [first, second].into_iter().enumerate() {
            let found_g = of.accel_g.norm();
            // Written so that a length that is no number is refused too.
            if !((found_g - 1.0).abs() <= LENGTH_WITHIN_G && of.is_finite()) {
                return Err(NotReversed::NotOneGravity { pose, found_g });
            }
        }
        let (sensing, about) = (setup.sensing.vec(), setup.about.vec());
        let third = sensing.cross(&about);
        let (a, b) = (first.accel_g, second.accel_g);
        let kept_g = (a - b).dot(&about);
        if kept_g.abs() > TURN_WITHIN_G {
            return Err(NotReversed::NotKept {
                found_g: kept_g,
                limit_g: TURN_WITHIN_G,
            });
        }
        let mirrored_g = (a + b).dot(&third);
        let limit_g = TURN_WITHIN_G + 2.0 * OFFSET_LIMIT_G;
        if mirrored_g.abs() > limit_g {
            return Err(NotReversed::NotMirrored {
                found_g: mirrored_g,
                limit_g,
            });
        }
        let offset_g = 0.5 * (a + b).dot(&sensing);
        if offset_g.abs() > OFFSET_LIMIT_G {
            return Err(NotReversed::OffsetTooLarge {
                found_g: offset_g,
                limit_g: OFFSET_LIMIT_G,
            });
        }
        let length_g = 0.5 * (a.norm() + b.norm());
        let lean_rad = (0.5 * (a - b).dot(&sensing) / length_g)
            .clamp(-1.0, 1.0)
            .asin();
        // A board seated askew takes that share of what gravity is square to the axis.
        let square_g = length_g * lean_rad.cos();
        let standard_g = 0.5
            * first
                .noise_g
                .hypot(second.noise_g)
                .hypot(square_g * setup.seat.rad());
        let lean_standard_rad = (standard_g / square_g).min(std::f64::consts::FRAC_PI_2);
        Ok(Self {
            sensing: setup.sensing,
            felt_g: about * (0.5 * (a + b).dot(&about)),
            offset_g,
            offset_standard_g: standard_g,
            lean: Estimate::new(
                Angle::from_rad(lean_rad),
                Angle::from_rad(lean_standard_rad),
            ),
            turn: if (a - b).norm() > MOVED_G {
                TurnSeen::ByGravity
            } else {
                TurnSeen::Unseen
            },
            kept_g,
            mirrored_g,
        })
    }

    /// What is settled once the offset has been taken out of the readings.
    pub fn settled(&self) -> SettledAxis {
        SettledAxis {
            along: self.sensing,
            felt_g: self.felt_g,
            offset_g: self.offset_standard_g,
        }
    }

    /// The offset as a vector, g.
    pub fn offset(&self) -> Vec3<Board> {
        self.sensing.vec() * self.offset_g
    }

    /// The calibration that was in force for the two poses, with the offset taken out of it.
    pub fn corrected(&self, in_force: &Calibration) -> Result<Calibration, CalibrationError> {
        in_force.without_offset(&self.offset())
    }
}
