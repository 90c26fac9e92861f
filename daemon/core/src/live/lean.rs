//! How the body leans, by a board on it.
//!
//! A body board may sit anyhow, so nobody knows what it would read on a level
//! body. It shows how the body leans from where it first rested, about the
//! car's axes once it is known which direction of the board points forward.

use crate::angle::Angle;
use crate::estimate::Estimate;
use crate::frames::{Board, Dir, Vec3};
use crate::reading::{Live, Missing, Motion};
use crate::stillness::StillnessDetector;

/// How the body leans from where it first rested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiveLean {
    /// About the forward axis, + left side up.
    pub roll: Live<Estimate>,
    /// About the lateral axis, + front up.
    pub pitch: Live<Estimate>,
}

impl LiveLean {
    /// No value, and why.
    pub const fn missing(reason: Missing) -> Self {
        Self {
            roll: Live::Missing(reason),
            pitch: Live::Missing(reason),
        }
    }
}

/// What is known of a board on the body.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct BodyBoard {
    /// Which of its directions points forward.
    pub(super) forward: Option<Dir<Board>>,
    /// Against gravity while the body first rested, with the noise of that.
    level: Option<(Dir<Board>, Angle)>,
}

impl BodyBoard {
    /// Looks at the readings until the first rest.
    pub(super) fn observe(&mut self, stillness: &StillnessDetector) {
        if self.level.is_none() && stillness.motion() == Motion::Still {
            self.level = stillness
                .window_mean()
                .and_then(|(mean, noise)| Some((Dir::along(mean)?, noise)));
        }
    }

    /// Readings are calibrated otherwise from now on: it counts from the next rest.
    pub(super) const fn rest_anew(&mut self) {
        self.level = None;
    }

    /// Roll and pitch of a body in which the board sees `up` against gravity now.
    pub(super) fn lean(
        &self,
        up: Vec3<Board>,
        noise: Angle,
    ) -> Result<(Estimate, Estimate), Missing> {
        let forward = self.forward.ok_or(Missing::Unmounted)?;
        let (level, level_noise) = self.level.ok_or(Missing::Settling)?;
        // Left lies square to up and forward; a board declared upright on its nose has neither.
        let left = Dir::along(level.vec().cross(&forward.vec())).ok_or(Missing::Unmounted)?;
        let ahead = left.vec().cross(&level.vec());
        let up = Dir::along(up).ok_or(Missing::Saturated)?;
        let (x, y, z) = (up.vec().dot(&ahead), up.dot(&left), up.dot(&level));
        // Offset and cross-axis errors read alike in both and drop out.
        let standard = Angle::from_rad(noise.rad().hypot(level_noise.rad()));
        Ok((
            Estimate::new(Angle::from_rad(y.atan2(z)), standard),
            Estimate::new(Angle::from_rad(x.atan2(y.hypot(z))), standard),
        ))
    }
}
