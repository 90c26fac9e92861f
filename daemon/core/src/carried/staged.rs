//! Readings of a block that is held and carried, for tests: an errorless chip in made time.

use nalgebra::{UnitQuaternion, Vector3};

use crate::frames::Vec3;
use crate::reading::Sample;
use crate::time::HostTime;

const GRAVITY_MPS2: f64 = 9.81;

/// What was read so far.
pub(super) struct Staged {
    pub(super) samples: Vec<Sample>,
    rate_hz: f64,
    at_s: f64,
    attitude: UnitQuaternion<f64>,
    /// Offset of the gyro, rad/s.
    pub(super) offset_radps: Vector3<f64>,
}

/// One way.
#[derive(Clone, Copy)]
pub(super) struct Carry {
    /// Board → level at its end.
    pub(super) to: UnitQuaternion<f64>,
    /// How far, forward, left and up, m.
    pub(super) by_m: [f64; 3],
    /// How long, s.
    pub(super) over_s: f64,
    /// Leaning on the way, degrees.
    pub(super) lean_deg: f64,
    /// Turning aside on the way, degrees.
    pub(super) aside_deg: f64,
}

impl Staged {
    pub(super) fn at(attitude: UnitQuaternion<f64>, rate_hz: f64) -> Self {
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

    pub(super) fn rest(&mut self, over_s: f64) {
        let attitude = self.attitude;
        self.read(over_s, |_| attitude, |_| Vector3::zeros());
    }

    pub(super) fn carry(&mut self, carry: Carry) {
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
