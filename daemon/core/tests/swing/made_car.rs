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
        self.readings_on_body(seconds, at, |_| [0.0; 2], gyro_offset)
    }

    /// The same with a body that rolls (+ left higher) and pitches (+ front
    /// lower), degrees, and takes axis and wheel with it.
    pub(crate) fn readings_on_body(
        &self,
        seconds: f64,
        at: impl Fn(f64) -> Moment,
        body: impl Fn(f64) -> [f64; 2],
        gyro_offset: V,
    ) -> Vec<Sample> {
        readings(
            seconds,
            |t| self.board_axes(&at(t)).map(|axis| leant(axis, body(t))),
            self.gravity_up(),
            gyro_offset,
        )
    }

    /// What a board on that body reads; `square` are its axes with the body unmoved.
    pub(crate) fn body_readings(
        &self,
        seconds: f64,
        square: [V; 3],
        body: impl Fn(f64) -> [f64; 2],
    ) -> Vec<Sample> {
        readings(
            seconds,
            |t| square.map(|axis| leant(axis, body(t))),
            self.gravity_up(),
            [-0.01, 0.03, 0.02],
        )
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

/// `v` of the body after it rolled and pitched, degrees.
fn leant(v: V, [roll, pitch]: [f64; 2]) -> V {
    let angle = roll.hypot(pitch).to_radians();
    if angle == 0.0 {
        return v;
    }
    turned(v, unit([roll, pitch, 0.0]), angle)
}

/// What a board with these axes reads, 100 Hz.
fn readings(seconds: f64, axes_at: impl Fn(f64) -> [V; 3], up: V, gyro_offset: V) -> Vec<Sample> {
    let count = (seconds * 100.0) as i64;
    (0..count)
        .map(|i| {
            let t = i as f64 * 0.01;
            let axes = axes_at(t);
            // Of a triad that turns, ω = ½ Σ a × da/dt; by central difference.
            let step = 1e-4;
            let (before, after) = (axes_at(t - step), axes_at(t + step));
            let mut rate = [0.0; 3];
            for n in 0..3 {
                let slope = [0, 1, 2].map(|k| (after[n][k] - before[n][k]) / (2.0 * step));
                let part = cross(axes[n], slope);
                for k in 0..3 {
                    rate[k] += 0.5 * part[k];
                }
            }
            Sample {
                at: HostTime::from_us(i * 10_000),
                accel_g: Vec3::from_array(axes.map(|a| dot(a, up))),
                rate_radps: Some(Vec3::from_array(
                    [0, 1, 2].map(|i| dot(axes[i], rate) + gyro_offset[i]),
                )),
                temperature_c: None,
            }
        })
        .collect()
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
