//! Why a step cannot be done.

use thiserror::Error;

use crate::car::{Mount, Wheel};

/// Steering further than this is no road car's lock, and the linkage laws stop making sense.
pub(super) const LARGEST_STEER_DEG: f64 = 50.0;

/// No spring of a road car gives more either way.
pub(super) const LARGEST_HEIGHT_MM: f64 = 150.0;

/// A step that cannot be done.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("step {number} of the script: {problem}")]
pub struct ScriptError {
    /// Which step, counted from 1.
    pub number: usize,
    /// What is wrong with it.
    pub problem: StepProblem,
}

/// Why a step cannot be done, and what to do about it.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum StepProblem {
    /// A duration is not a positive number.
    #[error("a duration of {seconds} s is not possible; give seconds above 0")]
    Duration {
        /// What was given.
        seconds: f64,
    },
    /// Steered too far.
    #[error("a steer angle of {to_deg}° is beyond ±{LARGEST_STEER_DEG}°; stay within it")]
    SteerRange {
        /// What was given.
        to_deg: f64,
    },
    /// A number is not finite.
    #[error("{what} is not a finite number")]
    NotFinite {
        /// Which quantity.
        what: &'static str,
    },
    /// No way to lay a board.
    #[error("up has no direction; give for example [0, 0, 1]")]
    NoDirection,
    /// A board that is not there cannot be laid down.
    #[error("there is no board of {mount}; add one, or name another")]
    NoBoard {
        /// Which.
        mount: Mount,
    },
    /// Turning a wheel that stands on the ground.
    #[error(
        "{wheel} stands on the ground and cannot be spun; put `{{ jack_up = \"{wheel}\" }}` before"
    )]
    SpinOnGround {
        /// Which wheel.
        wheel: Wheel,
    },
    /// Turning or rolling against the brake.
    #[error("the brake is locked; put `{{ brake = \"free\" }}` before")]
    BrakeLocked,
    /// A brake that is not locked cannot slip.
    #[error("the brake is free, so it cannot slip; put `{{ brake = \"locked\" }}` before")]
    BrakeFree,
    /// Pushing a jacked car.
    #[error(
        "{wheel} is jacked up, so the car cannot roll; put `{{ jack_down = \"{wheel}\" }}` before"
    )]
    RollJacked {
        /// Which corner.
        wheel: Wheel,
    },
    /// Steered beyond the car's lock.
    #[error("a steer angle of {to_deg}° is beyond the car's lock at {lock_deg}°; stay within it")]
    BeyondLock {
        /// What was given, degrees.
        to_deg: f64,
        /// The lock, degrees.
        lock_deg: f64,
    },
    /// A car without locks cannot be steered from lock to lock.
    #[error("the car has no locks; give it `steering.lock_left_deg` and `steering.lock_right_deg`")]
    NoLocks,
    /// There is no such adjuster.
    #[error("{wheel} has no adjuster `{name}`; it has: {has}")]
    NoAdjuster {
        /// At which wheel.
        wheel: Wheel,
        /// What was asked for.
        name: String,
        /// What there is.
        has: String,
    },
    /// An arm or a rod does not reach.
    #[error("the joints of {wheel} do not reach that far; adjust by less")]
    OutOfReach {
        /// At which wheel.
        wheel: Wheel,
    },
    /// Not a ride height of a car.
    #[error("a ride height of {to_mm} mm is beyond ±{LARGEST_HEIGHT_MM} mm of the car as made")]
    Height {
        /// What was given, mm.
        to_mm: f64,
    },
    /// Rocking a wheel that stands on the ground.
    #[error(
        "{wheel} stands on the ground and shows no play; put `{{ jack_up = \"{wheel}\" }}` before"
    )]
    RockOnGround {
        /// Which wheel.
        wheel: Wheel,
    },
    /// A board of the body is on no hub.
    #[error("the board of {mount} is on no hub; name a board of a wheel")]
    NoHub {
        /// Which board.
        mount: Mount,
    },
    /// A jack that is there already.
    #[error("the jack under {wheel} is {} already", if *up { "up" } else { "down" })]
    JackAlready {
        /// Which corner.
        wheel: Wheel,
        /// Where it is.
        up: bool,
    },
}
