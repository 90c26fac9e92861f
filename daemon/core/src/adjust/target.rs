//! How far it still is, and which way, while somebody turns.

use crate::angle::Angle;
use crate::estimate::Estimate;

/// Near begins at this many tolerances.
const NEAR_TOLERANCES: f64 = 4.0;
/// A state is left only beyond this multiple of where it was entered, so that
/// noise at the border does not make it flicker.
const HYSTERESIS: f64 = 1.25;
/// Slower than this share of the tolerance in a second is standing still.
const STILL_PER_SECOND: f64 = 0.1;

/// Which way the angle has to go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Turn {
    /// It has to grow.
    More,
    /// It has to shrink.
    Less,
    /// Leave it.
    Stop,
}

/// How near the target is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum TargetState {
    /// Far away.
    Far,
    /// Nearly there: move slowly.
    Near,
    /// Within the tolerance.
    At,
    /// Gone past it.
    Past,
}

impl TargetState {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Far, Self::Near, Self::At, Self::Past];
}

/// A target and what was seen of it so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TargetWatch {
    target: Angle,
    tolerance: Angle,
    state: Option<TargetState>,
    /// The sign of what was left when the angle was last away from the target.
    from: f64,
}

/// What to say now.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// How near.
    pub state: TargetState,
    /// Target less the live angle.
    pub left: Angle,
    /// Which way.
    pub turn: Turn,
    /// Whether the whole 95 % interval lies within the tolerance; a state of
    /// `At` without it may be off by as much as the reading is.
    pub certain: bool,
    /// Seconds to the target at the present rate; none when standing or going away.
    pub seconds: Option<f64>,
}

impl TargetWatch {
    /// To bring an angle to `target` within ± `tolerance`.
    pub const fn new(target: Angle, tolerance: Angle) -> Self {
        Self {
            target,
            tolerance: tolerance.abs(),
            state: None,
            from: 0.0,
        }
    }

    /// The next live angle, changing by `rate_per_s`, with the watch after it.
    #[must_use]
    pub fn seen(mut self, live: &Estimate, rate_per_s: Angle) -> (Self, Seen) {
        let left = self.target - live.value;
        let distance = left.abs().rad();
        let tolerance = self.tolerance.rad();
        let within = |state: TargetState, limit: f64| {
            let held = self.state == Some(state);
            distance <= limit * if held { HYSTERESIS } else { 1.0 }
        };
        let crossed = self.from != 0.0 && left.rad() * self.from < 0.0;
        let state = if within(TargetState::At, tolerance) {
            TargetState::At
        } else if crossed {
            TargetState::Past
        } else if within(TargetState::Near, NEAR_TOLERANCES * tolerance) {
            TargetState::Near
        } else {
            TargetState::Far
        };
        // Gone past, it stays past until it is at the target again.
        if self.from == 0.0 && state != TargetState::At {
            self.from = left.rad().signum();
        }
        self.state = Some(state);
        let towards = rate_per_s.rad() * left.rad() > 0.0;
        let moving = rate_per_s.abs().rad() > STILL_PER_SECOND * tolerance;
        let seen = Seen {
            state,
            left,
            turn: match state {
                TargetState::At => Turn::Stop,
                _ if left.rad() > 0.0 => Turn::More,
                _ => Turn::Less,
            },
            certain: distance + live.expanded().rad() <= tolerance,
            seconds: (towards && moving && state != TargetState::At)
                .then(|| left.rad() / rate_per_s.rad()),
        };
        (self, seen)
    }
}
