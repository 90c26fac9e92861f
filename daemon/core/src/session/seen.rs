//! What a board showed, on the way to evidence.

use crate::angle::Angle;
use crate::frames::{Board, Dir, Vec3};
use crate::mounting::{Mounting, MountingTrust};
use crate::rest::RestMeasure;
use crate::session::{SessionError, Window, WindowKind};
use crate::side::Side;
use crate::time::HostTime;
use crate::turn;

/// A sweep is looked at in moments this long: short enough that a wheel turns
/// by a degree or two within one.
const MOMENT_US: i64 = 400_000;
/// One such moment in so long.
const MOMENT_EVERY_US: i64 = 1_000_000;

/// A sweep becomes moments, everything else stays.
pub(super) fn moments(window: &Window) -> Vec<Window> {
    if window.kind != WindowKind::Sweep {
        return vec![*window];
    }
    let (from, length) = (window.from.us(), window.to.since_us(window.from));
    let count = (length / MOMENT_EVERY_US).max(1);
    (0..count)
        .map(|i| {
            let middle = from + (2 * i + 1) * length / (2 * count);
            Window {
                from: HostTime::from_us(middle - MOMENT_US / 2),
                to: HostTime::from_us(middle + MOMENT_US / 2),
                ..*window
            }
        })
        .collect()
}

/// What a board showed at a rest or at a moment of a sweep.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub(super) from: HostTime,
    pub(super) to: HostTime,
    pub(super) accel_g: Vec3<Board>,
    pub(super) noise_g: f64,
    pub(super) degrees_of_freedom: f64,
    pub(super) offset: Option<Vec3<Board>>,
    pub(super) offset_noise_radps: f64,
    pub(super) per_metre_g: Option<[f64; 9]>,
}

impl Seen {
    pub(super) fn rest(rest: &RestMeasure, chip: &crate::chip::ChipFigures) -> Self {
        Self {
            from: rest.from,
            to: rest.to,
            accel_g: rest.accel_g,
            noise_g: rest.direction_noise.rad(),
            degrees_of_freedom: rest.degrees_of_freedom,
            offset: rest.rate_radps,
            offset_noise_radps: turn::offset_noise_radps(rest.seconds(), chip),
            per_metre_g: None,
        }
    }
}

/// Turns added up. About one axis fixed in the board the vectors add, and what
/// a gyro's scale does to the way there it undoes on the way back.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct SteerSoFar {
    turn_rad: Option<Vec3<Board>>,
    pub(super) noise: f64,
}

impl SteerSoFar {
    pub(super) fn turn(&mut self, turn_rad: Vec3<Board>, noise: Angle) {
        self.turn_rad = Some(self.turn_rad.map_or(turn_rad, |so_far| so_far + turn_rad));
        self.noise = self.noise.hypot(noise.rad());
    }

    /// The part about the vertical at the first rest, + left: the plan angle to
    /// a percent or so, which is all that the checks and the two-reading figure ask.
    pub(super) fn steer(&self, up: Dir<Board>) -> Angle {
        Angle::from_rad(self.turn_rad.map_or(0.0, |turn| turn.dot(&up.vec())))
    }
}

pub(super) fn levelled(
    side: Side,
    spindle: Dir<Board>,
    up: Dir<Board>,
) -> Result<Mounting, SessionError> {
    let trust = MountingTrust {
        camber: Angle::ZERO,
        pitch: Angle::ZERO,
        heading: Angle::ZERO,
    };
    Mounting::from_axes(side, spindle, up, trust).map_err(|_| SessionError::NoSpindle { side })
}
