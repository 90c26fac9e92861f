//! Do gyro and accelerometer tell of the same turns?
//!
//! While gravity stands still, over half a second, the filter must on the mean point where gravity
//! does. Else an axis of one of them says something that is not so: one that hangs and whose digits are
//! too coarse to tell looks like a quiet one. If it is one of the gyro, where the board points is known
//! again at the next rest.
//!
//! A board that begins to move is behind in the mean for a moment, and the wheel's own acceleration
//! tips gravity; so both are taken over the same time, and for longer than a beginning lasts.

use std::collections::VecDeque;

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir, Vec3};
use crate::reading::Motion;
use crate::stillness::{StillnessDetector, WINDOW_US};
use crate::tilt::TiltFollower;
use crate::time::HostTime;

/// At odds beyond so many standard uncertainties: less than what a stated value may be off, so that
/// none is stated before.
const SIGMAS: f64 = 3.0;
/// Gravity that turns by this within half a window passes for resting.
const UNSEEN: Angle = Angle::from_deg(0.03);
/// For how long they must be, µs.
const LASTS_US: i64 = 200_000;
/// How often the filter is looked at, µs: no wheel turns far meanwhile.
const LOOK_US: i64 = 20_000;

/// Compares the filter with gravity.
#[derive(Debug, Clone, Default)]
pub(super) struct Odds {
    /// Where the filter pointed in the last half second.
    pointed: VecDeque<(HostTime, Dir<Board>)>,
    since: Option<HostTime>,
    known: bool,
}

/// What comes of a look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// Nothing new.
    Nothing,
    /// They are at odds from now on.
    AtOdds,
}

impl Odds {
    /// They told of different turns since the last rest.
    pub(super) const fn are_known(&self) -> bool {
        self.known
    }

    /// Looks at what a reading taken `at` has made of both, also at rest: what is said then is for
    /// whoever has another reason to doubt the accelerometer.
    pub(super) fn observe(
        &mut self,
        at: HostTime,
        stillness: &StillnessDetector,
        tilt: &TiltFollower,
        chip: &ChipFigures,
    ) -> Told {
        if stillness.motion() == Motion::Still {
            self.known = false;
        }
        let newest = self.pointed.back().map(|(newest, _)| *newest);
        if self.known || newest.is_some_and(|newest| at.since_us(newest) < LOOK_US) {
            return Told::Nothing;
        }
        let Some(tilt) = tilt.tilt(chip) else {
            self.pointed.clear();
            return Told::Nothing;
        };
        self.pointed.push_back((at, tilt.up));
        while let Some((first, _)) = self.pointed.front()
            && at.since_us(*first) > WINDOW_US
        {
            self.pointed.pop_front();
        }
        let filled = self
            .pointed
            .front()
            .is_some_and(|(first, _)| at.since_us(*first) >= WINDOW_US * 9 / 10);
        let sum = (self.pointed.iter()).fold(Vec3::zero(), |sum, (_, up)| sum + up.vec());
        let (Some(mean), Some((gravity, noise)), true) = (
            Dir::along(sum),
            stillness.window_mean(),
            filled && stillness.gravity_rests(),
        ) else {
            self.since = None;
            return Told::Nothing;
        };
        let allowed = Angle::from_rad(SIGMAS * tilt.standard.rad().hypot(noise.rad())) + UNSEEN;
        let agree = Dir::along(gravity).is_none_or(|gravity| mean.angle_to(&gravity) <= allowed);
        if agree {
            self.since = None;
            return Told::Nothing;
        }
        let since = *self.since.get_or_insert(at);
        if at.since_us(since) < LASTS_US {
            return Told::Nothing;
        }
        self.since = None;
        self.known = stillness.motion() != Motion::Still;
        Told::AtOdds
    }
}
