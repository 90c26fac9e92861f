//! A made wheel on its bearing with plain arrays: nothing here is the core's
//! own geometry, only Rodrigues' rotation formula.

use hubplumb_core::frames::Vec3;
use hubplumb_core::reading::Sample;
use hubplumb_core::time::HostTime;

use crate::made_car::{V, cross, dot, turned, unit};

/// One wheel with a board strapped on anyhow.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wheel {
    /// +1 left, −1 right.
    pub(crate) sign: f64,
    /// The board turned away from square (X, Y up, Z outboard): axis and angle, degrees.
    pub(crate) askew: (V, f64),
    /// Board from the spindle, m, in the square axes.
    pub(crate) lever_m: V,
    /// Accelerometer offset, g.
    pub(crate) offset_g: V,
    /// One sigma of a reading, g.
    pub(crate) noise_g: f64,
}

/// Lean of the spindle (+ top out) and turn in the rolling direction, degrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct At {
    pub(crate) lean: f64,
    pub(crate) turn: f64,
}

/// Positions joined by minimum-jerk moves: (position, seconds of rest), moves of `over` seconds.
pub(crate) fn profile(stops: &[(At, f64)], over: f64) -> impl Fn(f64) -> At {
    let stops = stops.to_vec();
    move |t| {
        let mut start = 0.0;
        for (i, &(at, rest)) in stops.iter().enumerate() {
            if t < start + rest || i + 1 == stops.len() {
                return at;
            }
            start += rest;
            if t < start + over {
                let u = (t - start) / over;
                let s = u * u * u * (10.0 - 15.0 * u + 6.0 * u * u);
                let next = stops[i + 1].0;
                return At {
                    lean: at.lean + (next.lean - at.lean) * s,
                    turn: at.turn + (next.turn - at.turn) * s,
                };
            }
            start += over;
        }
        stops[stops.len() - 1].0
    }
}

const GRAVITY_MPS2: f64 = 9.806_65; // standard gravity, exact by definition (ISO 80000-3)
const RATE_HZ: i64 = 100;

impl Wheel {
    /// Board axes in the car's: forward, left, up.
    fn axes(&self, at: At) -> [V; 3] {
        let lean = at.lean.to_radians();
        let z = [0.0, self.sign * lean.cos(), -lean.sin()];
        let up = [0.0, 0.0, 1.0];
        let y = unit([0, 1, 2].map(|i| up[i] - dot(up, z) * z[i]));
        let x = cross(y, z);
        // The wheel rolls forward about its left-pointing axis.
        let left = z.map(|c| c * self.sign);
        [x, y, z].map(|v| turned(v, left, at.turn.to_radians()))
    }

    /// Outboard in the board's own axes.
    pub(crate) fn outboard(&self) -> V {
        self.own([0.0, 0.0, 1.0])
    }

    /// Components of square axes in the board's own.
    fn own(&self, v: V) -> V {
        turned(v, unit(self.askew.0), -self.askew.1.to_radians())
    }

    /// What the board reads.
    pub(crate) fn readings(&self, seconds: f64, at: impl Fn(f64) -> At) -> Vec<Sample> {
        let mut dice: u64 = 7;
        let mut noise = move || {
            // Irwin–Hall: the sum of twelve uniform numbers less six has one sigma of 1.
            (0..12)
                .map(|_| {
                    dice = dice.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    (dice >> 11) as f64 / (1_u64 << 53) as f64
                })
                .sum::<f64>()
                - 6.0
        };
        (0..(seconds * RATE_HZ as f64) as i64)
            .map(|i| {
                let t = i as f64 / RATE_HZ as f64;
                let step = 1e-3;
                let (a, now, b) = (at(t - step), at(t), at(t + step));
                let axes = self.axes(now);
                let per_s = |a: f64, b: f64| (b - a).to_radians() / (2.0 * step);
                let (spin, lean) = (per_s(a.turn, b.turn), per_s(a.lean, b.lean));
                let left = axes[2].map(|c| c * self.sign);
                let rate: V = [0, 1, 2].map(|k| left[k] * spin);
                let rate = [rate[0] - self.sign * lean, rate[1], rate[2]];
                let curve = (b.turn - 2.0 * now.turn + a.turn).to_radians() / (step * step);
                let seen = |v: V| axes.map(|axis| dot(axis, v));
                let lever = [0, 1, 2].map(|k| (0..3).map(|n| axes[n][k] * self.lever_m[n]).sum());
                // α × r + ω × (ω × r), over gravity.
                let turning = cross(left.map(|c| c * curve), lever);
                let inward = cross(rate, cross(rate, lever));
                let up = [0.0, 0.0, 1.0];
                let felt = [0, 1, 2].map(|k| up[k] + (turning[k] + inward[k]) / GRAVITY_MPS2);
                let accel = self.own(seen(felt));
                Sample {
                    at: HostTime::from_us(i * 1_000_000 / RATE_HZ),
                    accel_g: Vec3::from_array(
                        [0, 1, 2].map(|k| accel[k] + self.offset_g[k] + self.noise_g * noise()),
                    ),
                    rate_radps: Some(Vec3::from_array({
                        let own = self.own(seen(rate));
                        [own[0] + 0.02, own[1] - 0.05, own[2] + 0.01]
                    })),
                    temperature_c: None,
                }
            })
            .collect()
    }
}
