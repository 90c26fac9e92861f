//! Where a board is strapped and how it is said to sit there.

use hubplumb_core::mounting::{BoardAxis, Mounting, MountingTrust};
use thiserror::Error;

use crate::config::{HEADING_BY_EYE, TILT_BY_EYE};
use crate::mount::Mount;

/// How a board was said to sit on its hub.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sits {
    /// Square: one printed axis points along the spindle away from the car, one up.
    Face {
        /// Away from the car.
        outboard: BoardAxis,
        /// Up.
        up: BoardAxis,
    },
    /// At any angle: this axis points roughly away from the car, and the rest is found by
    /// turning the wheel.
    Away(BoardAxis),
}

impl Sits {
    /// Square if it is said what points up, else at any angle.
    pub fn of(outboard: BoardAxis, up: Option<BoardAxis>) -> Self {
        up.map_or(Self::Away(outboard), |up| Self::Face { outboard, up })
    }

    /// The axis that points away from the car.
    pub const fn outboard(self) -> BoardAxis {
        match self {
            Self::Face { outboard, .. } | Self::Away(outboard) => outboard,
        }
    }
}

/// Where a board is strapped and how it sits there: something that can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Seat {
    mount: Option<Mount>,
    sits: Option<Sits>,
}

/// Why a seat cannot be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SeatError {
    /// Outboard and up are one line.
    #[error("the axis that points outboard and the one that points up are one line")]
    OneLine,
    /// A board that is on no wheel has no outboard side.
    #[error("a board that is on no wheel has no side that points outboard")]
    NoWheel,
}

impl Seat {
    /// On no mount.
    pub const NOWHERE: Self = Self {
        mount: None,
        sits: None,
    };

    /// A board on a mount, or on none, that sits so as far as that is known.
    pub fn new(mount: Option<Mount>, sits: Option<Sits>) -> Result<Self, SeatError> {
        if sits.is_some() && mount.and_then(Mount::side).is_none() {
            return Err(SeatError::NoWheel);
        }
        if let Some(Sits::Face { outboard, up }) = sits
            && outboard.is_in_line_with(up)
        {
            return Err(SeatError::OneLine);
        }
        Ok(Self { mount, sits })
    }

    /// On a mount, of which no more is known.
    pub const fn on(mount: Mount) -> Self {
        Self {
            mount: Some(mount),
            sits: None,
        }
    }

    /// Where it is strapped.
    pub const fn mount(&self) -> Option<Mount> {
        self.mount
    }

    /// How it was said to sit.
    pub const fn sits(&self) -> Option<Sits> {
        self.sits
    }

    /// How it sits as a rotation, as sure as eye and strap make it.
    pub(super) fn mounting(self) -> Option<Mounting> {
        let trust = MountingTrust {
            camber: TILT_BY_EYE,
            pitch: TILT_BY_EYE,
            heading: HEADING_BY_EYE,
        };
        match self.sits {
            Some(Sits::Face { outboard, up }) => {
                Mounting::declared(self.mount?.side()?, outboard, up, trust).ok()
            }
            _ => None,
        }
    }

    /// The same board strapped to another mount by the same hands: on the other side of
    /// the car it faces the other way, and nothing is known of how it sits there.
    #[must_use]
    pub fn moved_to(&self, mount: Mount) -> Self {
        let same_side = self.mount.and_then(Mount::side) == mount.side();
        Self {
            mount: Some(mount),
            sits: self.sits.filter(|_| same_side && mount.side().is_some()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FACE: Sits = Sits::Face {
        outboard: BoardAxis::ZPlus,
        up: BoardAxis::YMinus,
    };

    #[test]
    fn what_cannot_be_is_refused() {
        let check = |mount, sits, expected| assert_eq!(Seat::new(mount, sits).err(), expected);
        check(Some(Mount::RearLeft), Some(FACE), None);
        check(Some(Mount::Body), None, None);
        check(None, None, None);
        check(Some(Mount::Body), Some(FACE), Some(SeatError::NoWheel));
        check(
            None,
            Some(Sits::Away(BoardAxis::XPlus)),
            Some(SeatError::NoWheel),
        );
        let one_line = Sits::Face {
            outboard: BoardAxis::ZPlus,
            up: BoardAxis::ZMinus,
        };
        check(
            Some(Mount::RearLeft),
            Some(one_line),
            Some(SeatError::OneLine),
        );
    }

    #[test]
    fn a_board_keeps_its_face_on_its_side_of_the_car_only() {
        let front = Seat::new(Some(Mount::FrontLeft), Some(FACE)).unwrap();
        assert_eq!(front.moved_to(Mount::RearLeft).sits(), Some(FACE));
        for other in [Mount::RearRight, Mount::Body] {
            assert_eq!(front.moved_to(other), Seat::on(other));
        }
        let body = Seat::on(Mount::Body);
        assert_eq!(body.moved_to(Mount::RearLeft), Seat::on(Mount::RearLeft));
    }
}
