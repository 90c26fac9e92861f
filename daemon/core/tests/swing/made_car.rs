//! A made corner of a car with plain arrays: nothing here is the core's own
//! geometry, only Rodrigues' rotation formula.

use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::time::HostTime;

pub(crate) type V = [f64; 3];

pub(crate) fn cross(a: V, b: V) -> V {
    [
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    ]
}

pub(crate) fn dot(a: V, b: V) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(crate) fn unit(v: V) -> V {
    let n = dot(v, v).sqrt();
    v.map(|c| c / n)
}

/// Rodrigues: `v` turned about the unit axis `k` by `angle`.
pub(crate) fn turned(v: V, k: V, angle: f64) -> V {
    let (s, c) = angle.sin_cos();
    let kv = cross(k, v);
    let along = dot(k, v) * (1.0 - c);
    [0, 1, 2].map(|i| v[i] * c + kv[i] * s + k[i] * along)
}

/// One corner; angles in degrees, in the workshop's signs.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Corner {
    /// +1 left, −1 right.
    pub(crate) sign: f64,
    pub(crate) caster: f64,
    pub(crate) sai: f64,
    pub(crate) camber: f64,
    pub(crate) toe: f64,
    /// Floor, + left higher.
    pub(crate) floor_roll: f64,
    /// Floor, + front lower.
    pub(crate) floor_pitch: f64,
}

/// What happens to the hub at a time: turn about the steering axis and roll about the spindle, degrees.
pub(crate) struct Moment {
    pub(crate) steer: f64,
    pub(crate) roll_on_spindle: f64,
}

impl Corner {
    /// Steering axis, up (ISO 8855 floor axes).
    fn axis(&self) -> V {
        unit([
            -self.caster.to_radians().tan(),
            -self.sign * self.sai.to_radians().tan(),
            1.0,
        ])
    }

    fn outboard(&self) -> V {
        let (toe, camber) = (self.toe.to_radians(), self.camber.to_radians());
        [
            camber.cos() * toe.sin(),
            self.sign * camber.cos() * toe.cos(),
            -camber.sin(),
        ]
    }

    fn gravity_up(&self) -> V {
        let (roll, pitch) = (self.floor_roll.to_radians(), self.floor_pitch.to_radians());
        [
            -pitch.sin(),
            pitch.cos() * roll.sin(),
            pitch.cos() * roll.cos(),
        ]
    }

    /// Board axes in the floor's: Z outboard, Y up as far as it can be, X completing.
    fn board_axes(&self, moment: &Moment) -> [V; 3] {
        let z = self.outboard();
        let up = [0.0, 0.0, 1.0];
        let y = unit([0, 1, 2].map(|i| up[i] - dot(up, z) * z[i]));
        let x = cross(y, z);
        let turn = |v: V| {
            let rolled = turned(v, z, moment.roll_on_spindle.to_radians());
            turned(rolled, self.axis(), moment.steer.to_radians())
        };
        [turn(x), turn(y), turn(z)]
    }

    /// What the board reads, 100 Hz from 0 to `seconds`, without noise.
    pub(crate) fn readings(
        &self,
        seconds: f64,
        at: impl Fn(f64) -> Moment,
        gyro_offset: V,
    ) -> Vec<Sample> {
        let count = (seconds * 100.0) as i64;
        (0..count)
            .map(|i| {
                let t = i as f64 * 0.01;
                let axes = self.board_axes(&at(t));
                let up = self.gravity_up();
                // Rate by central difference of the steer angle about the fixed axis.
                let step = 1e-4;
                let before = at(t - step);
                let after = at(t + step);
                let per_s = |a: f64, b: f64| (b - a).to_radians() / (2.0 * step);
                let about_axis = per_s(before.steer, after.steer);
                let about_spindle = per_s(before.roll_on_spindle, after.roll_on_spindle);
                let (axis, spindle) = (self.axis(), axes[2]);
                let rate = [0, 1, 2].map(|i| axis[i] * about_axis + spindle[i] * about_spindle);
                let seen = axes.map(|a| dot(a, rate));
                Sample {
                    at: HostTime::from_us(i * 10_000),
                    accel_g: Vec3::from_array(axes.map(|a| dot(a, up))),
                    rate_radps: Some(Vec3::from_array(
                        [0, 1, 2].map(|i| seen[i] + gyro_offset[i]),
                    )),
                    temperature_c: None,
                }
            })
            .collect()
    }

    /// Steer angle in the floor plane of a turn about the axis, + left: what a turn plate shows.
    pub(crate) fn plate(&self, steer: f64) -> f64 {
        let heading = |steer: f64| {
            let z = self.board_axes(&Moment {
                steer,
                roll_on_spindle: 0.0,
            })[2];
            z[1].atan2(z[0])
        };
        let d = heading(steer) - heading(0.0);
        d.sin().atan2(d.cos()).to_degrees()
    }
}

/// Rests joined by minimum-jerk turns: (angle, seconds of rest), each turn `over` seconds.
pub(crate) fn swing_profile(stops: &[(f64, f64)], over: f64) -> impl Fn(f64) -> f64 {
    let stops = stops.to_vec();
    move |t: f64| {
        let mut start = 0.0;
        for (i, &(angle, rest)) in stops.iter().enumerate() {
            if t < start + rest || i + 1 == stops.len() {
                return angle;
            }
            start += rest;
            if t < start + over {
                let u = (t - start) / over;
                let s = u * u * u * (10.0 - 15.0 * u + 6.0 * u * u);
                return angle + (stops[i + 1].0 - angle) * s;
            }
            start += over;
        }
        0.0
    }
}
