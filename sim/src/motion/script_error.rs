//! Why a step cannot be done.

use thiserror::Error;

use crate::car::{Mount, Wheel};

/// Steering further than this is no road car's lock, and the linkage laws stop making sense.
pub(super) const LARGEST_STEER_DEG: f64 = 50.0;

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
    /// A jack that is there already.
    #[error("the jack under {wheel} is {} already", if *up { "up" } else { "down" })]
    JackAlready {
        /// Which corner.
        wheel: Wheel,
        /// Where it is.
        up: bool,
    },
}
