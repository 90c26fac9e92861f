//! How the body leans: at rest, with the steering and on a jack.
//!
//! The body turns about the chassis origin (mid front axle, wheel-centre height) and takes arms,
//! steering axes and wheels with it as one rigid block: no suspension travel, no camber recovery,
//! no tyre. That is the model of the independent reference cases; it is harder on a measuring
//! method than a real car is.

use super::names::{Side, Wheel};
use crate::jet::Jet;

/// Body attitude, rad: roll + left side higher, pitch + front lower.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Attitude {
    /// Roll.
    pub roll: Jet,
    /// Pitch.
    pub pitch: Jet,
}

/// What makes the body lean.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BodyMotion {
    /// Roll of the chassis on the floor with the wheels straight ahead, rad.
    pub rest_roll_rad: f64,
    /// Pitch of the chassis on the floor with the wheels straight ahead, rad.
    pub rest_pitch_rad: f64,
    /// Further roll at 20° of steer; goes with the sine of the steer angle, rad.
    pub steer_roll_rad: f64,
    /// Further pitch at 20° of steer; goes with 1 − cosine of the steer angle, rad.
    pub steer_pitch_rad: f64,
    /// Roll towards the other side when one corner is jacked up, rad.
    pub jack_roll_rad: f64,
    /// Pitch when a front corner is jacked up, rad; a rear corner pitches the other way.
    pub jack_pitch_rad: f64,
    /// What a corner on the right pitches more than that: nobody jacks alike twice, rad.
    pub jack_right_more_rad: f64,
    /// Angle by which a jacked corner's wheel hangs out, rad.
    pub droop_rad: f64,
}

impl BodyMotion {
    /// Attitude for a mean steer angle and the state of the four jacks (0 down, 1 up).
    pub fn attitude(&self, steer: Jet, jacks: &[Jet; 4]) -> Attitude {
        let twenty = 20.0_f64.to_radians();
        let mut attitude = Attitude {
            roll: steer.sin() * (self.steer_roll_rad / twenty.sin()) + self.rest_roll_rad,
            pitch: (-steer.cos() + 1.0) * (self.steer_pitch_rad / (1.0 - twenty.cos()))
                + self.rest_pitch_rad,
        };
        for wheel in Wheel::ALL {
            let up = jacks[wheel.index()];
            let (roll, pitch) = match wheel.side() {
                Side::Left => (self.jack_roll_rad, self.jack_pitch_rad),
                Side::Right => (
                    -self.jack_roll_rad,
                    self.jack_pitch_rad + self.jack_right_more_rad,
                ),
            };
            let pitch = if wheel.is_front() { pitch } else { -pitch };
            attitude.roll = attitude.roll + up * roll;
            attitude.pitch = attitude.pitch + up * pitch;
        }
        attitude
    }
}
