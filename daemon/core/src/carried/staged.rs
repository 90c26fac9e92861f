//! Readings of a block that is held and carried, for tests: an errorless chip in made time.

use nalgebra::{UnitQuaternion, Vector3};

use crate::frames::Vec3;
use crate::reading::Sample;
use crate::time::HostTime;

const GRAVITY_MPS2: f64 = 9.81;

/// What was read so far.
pub(crate) struct Staged {
    pub(crate) samples: Vec<Sample>,
    rate_hz: f64,
    at_s: f64,
    attitude: UnitQuaternion<f64>,
    /// Offset of the gyro, rad/s.
    pub(crate) offset_radps: Vector3<f64>,
}

/// One way.
#[derive(Clone, Copy)]
pub(crate) struct Way {
    /// Board → level at its end.
    pub(crate) to: UnitQuaternion<f64>,
    /// How far, forward, left and up, m.
    pub(crate) by_m: [f64; 3],
    /// How long, s.
    pub(crate) over_s: f64,
    /// Leaning on the way, degrees.
    pub(crate) lean_deg: f64,
    /// Turning aside on the way, degrees.
    pub(crate) aside_deg: f64,
}

impl Staged {
    pub(crate) fn at(attitude: UnitQuaternion<f64>, rate_hz: f64) -> Self {
        Self {
            samples: Vec::new(),
            rate_hz,
            at_s: 0.0,
            attitude,
            offset_radps: Vector3::zeros(),
        }
    }

    fn read(
        &mut self,
        over_s: f64,
        attitude: impl Fn(f64) -> UnitQuaternion<f64>,
        position_m: impl Fn(f64) -> Vector3<f64>,
    ) {
        let h = 1e-4;
        let count = (0..).take_while(|i| f64::from(*i) / self.rate_hz < over_s);
        for i in count {
            let t = f64::from(i) / self.rate_hz;
            let turn = attitude(t - h).inverse() * attitude(t + h);
            let rate = turn.scaled_axis() / (2.0 * h) + self.offset_radps;
            let k = 1e-3;
            let bend = position_m(t + k) - position_m(t) * 2.0 + position_m(t - k);
            let force = bend / (k * k * GRAVITY_MPS2) + Vector3::z();
            let force = attitude(t).inverse() * force;
            #[expect(clippy::cast_possible_truncation, reason = "a test of a minute")]
            let us = ((self.at_s + t) * 1e6).round() as i64;
            self.samples.push(Sample {
                at: HostTime::from_us(us),
                accel_g: Vec3::from_array(force.into()),
                rate_radps: Some(Vec3::from_array(rate.into())),
                temperature_c: None,
            });
        }
        self.at_s += over_s;
    }

    /// With a rest at the beginning and after each way.
    pub(crate) fn following(ways: &[Way]) -> Self {
        let mut staged = Self::at(against(true, false), 200.0);
        staged.offset_radps = Vector3::new(2e-3, -1e-3, 3e-3);
        staged.rest(REST_S);
        for way in ways {
            staged.carry(*way);
            staged.rest(REST_S);
        }
        staged
    }

    pub(crate) fn rest(&mut self, over_s: f64) {
        let attitude = self.attitude;
        self.read(over_s, |_| attitude, |_| Vector3::zeros());
    }

    pub(crate) fn carry(&mut self, carry: Way) {
        let from = self.attitude;
        let turn = (from.inverse() * carry.to).scaled_axis();
        let share = |t: f64| {
            let x = (t / carry.over_s).clamp(0.0, 1.0);
            x * x * x * (10.0 + x * (6.0 * x - 15.0))
        };
        let aside = Vector3::new(
            carry.lean_deg.to_radians(),
            0.0,
            carry.aside_deg.to_radians(),
        );
        let by = Vector3::from(carry.by_m);
        self.read(
            carry.over_s,
            |t| {
                let away = (std::f64::consts::PI * share(t)).sin().powi(2);
                from * UnitQuaternion::from_scaled_axis(turn * share(t))
                    * UnitQuaternion::from_scaled_axis(aside * away)
            },
            |t| by * share(t),
        );
        self.attitude = carry.to;
    }
}

pub(crate) const TRACK_M: f64 = 1.7;
pub(crate) const REST_S: f64 = 3.5;
/// Toe-in of both front wheels, degrees.
pub(crate) const TOE_DEG: [f64; 2] = [0.21, 0.13];

/// Board → level against a front wheel.
pub(crate) fn against(left: bool, turned: bool) -> UnitQuaternion<f64> {
    let toe_deg = if left { -TOE_DEG[0] } else { TOE_DEG[1] };
    let round = if turned { std::f64::consts::PI } else { 0.0 };
    UnitQuaternion::from_scaled_axis(Vector3::z() * (toe_deg.to_radians() + round))
}

pub(crate) fn way(left: bool, turned: bool) -> Way {
    Way {
        to: against(left, turned),
        by_m: [0.0, if left { TRACK_M } else { -TRACK_M }, 0.0],
        over_s: 6.0,
        lean_deg: 5.0,
        aside_deg: 3.0,
    }
}

fn turn(left: bool, turned: bool) -> Way {
    Way {
        by_m: [0.0; 3],
        lean_deg: 0.0,
        aside_deg: 0.0,
        ..way(left, turned)
    }
}

/// There and back, and the same with the block turned end for end.
pub(crate) fn four_passes() -> Vec<Way> {
    vec![
        way(false, false),
        way(true, false),
        turn(true, true),
        way(false, true),
        way(true, true),
    ]
}
