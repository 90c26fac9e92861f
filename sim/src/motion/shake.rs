//! Small shaking that measures nothing and disturbs everything: an idling engine, a knock.
//!
//! Both are added to what a board feels as accelerations and rates. The way they move it (a few
//! micrometres, a thousandth of a degree) is left out.

use nalgebra::Vector3;

use crate::car::{Mount, Wheel};

/// How an idling engine shakes the body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Idle {
    /// Firing frequency, Hz; a second harmonic of half the strength goes with it.
    pub frequency_hz: f64,
    /// Amplitude of the vertical acceleration, g; half of it sideways, a third lengthways.
    pub amplitude_g: f64,
    /// Amplitude of the roll rate, rad/s.
    pub rock_radps: f64,
}

impl Default for Idle {
    /// Four cylinders at 850 rev/min: 28.3 Hz; 5 mg and 0.2 °/s (common practice, no source).
    fn default() -> Self {
        Self {
            frequency_hz: 28.3,
            amplitude_g: 0.005,
            rock_radps: 0.2_f64.to_radians(),
        }
    }
}

/// Accelerations and rates on top of the car's motion, in the axes of the mount's frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shake {
    /// Acceleration, g.
    pub accel_g: Vector3<f64>,
    /// Angular rate, rad/s.
    pub rate_radps: Vector3<f64>,
}

impl Shake {
    /// None at all.
    pub fn none() -> Self {
        Self {
            accel_g: Vector3::zeros(),
            rate_radps: Vector3::zeros(),
        }
    }

    /// The idling engine at time `t_s`, with its strength (0..1) then.
    pub fn of_idle(idle: &Idle, strength: f64, t_s: f64) -> Self {
        let phase = std::f64::consts::TAU * idle.frequency_hz * t_s;
        let beat = strength * (phase.sin() + 0.5 * (2.0 * phase + 1.0).sin());
        let sway = strength * ((phase + 0.7).sin() + 0.5 * (2.0 * phase + 2.1).sin());
        Self {
            accel_g: Vector3::new(beat / 3.0, sway / 2.0, beat) * idle.amplitude_g,
            rate_radps: Vector3::x() * (sway * idle.rock_radps),
        }
    }

    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            accel_g: self.accel_g + other.accel_g,
            rate_radps: self.rate_radps + other.rate_radps,
        }
    }
}

/// What is hit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Hit {
    /// A wheel.
    Wheel(Wheel),
    /// One board, with a finger.
    Board(Mount),
    /// The body, by a door: everything on the car feels it alike.
    Car,
}

impl Hit {
    /// Share of it that a board feels.
    fn share(self, mount: Mount) -> f64 {
        let hit = match self {
            Self::Wheel(wheel) => mount.wheel() == Some(wheel),
            Self::Board(board) => mount == board,
            Self::Car => true,
        };
        if hit { 1.0 } else { ELSEWHERE }
    }
}

/// A hit: a damped ringing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knock {
    pub(super) at_s: f64,
    pub(super) hit: Hit,
    pub(super) peak_g: f64,
    /// Share of the turning that goes with a hit.
    pub(super) turning: f64,
}

// A rubber mallet on a tyre rings for a few tens of milliseconds (common practice, no source).
const RING_HZ: f64 = 40.0;
const RING_DECAY_S: f64 = 0.06;
const RATE_PER_G_RADPS: f64 = 0.09;
/// Share of a knock that reaches the other mounts through the car.
const ELSEWHERE: f64 = 0.05;
/// Long after the ringing has died (e⁻²⁰).
const RING_OVER_S: f64 = 20.0 * RING_DECAY_S;

impl Knock {
    pub(super) fn shake(&self, mount: Mount, t_s: f64) -> Shake {
        let since = t_s - self.at_s;
        if !(0.0..RING_OVER_S).contains(&since) {
            return Shake::none();
        }
        let share = self.hit.share(mount);
        let ring = (std::f64::consts::TAU * RING_HZ * since).sin() * (-since / RING_DECAY_S).exp();
        let strength = share * self.peak_g * ring;
        Shake {
            accel_g: Vector3::new(0.3, 0.9, 0.3) * strength,
            rate_radps: Vector3::new(0.5, 0.2, 0.8) * (strength * self.turning * RATE_PER_G_RADPS),
        }
    }
}
