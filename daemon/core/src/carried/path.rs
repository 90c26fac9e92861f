//! One carry, integrated at the full rate, with all that a chip's errors do to it.
//!
//! Between two readings the rate is a cubic through the four readings around
//! them, and the rotation is its integral with the second term of Magnus' series,
//! `h²/12 ω₁ × ω₂`: a hand that trembles about two axes at once really turns the
//! block a little (coning), and a plain sum would miss a part of it.
//!
//! To first order every error of the readings changes the heading by an integral
//! along the way that was really taken. With `u` the vertical in the board's axes:
//!
//! ```text
//! δh = ∫ u · (G ω + b + Γ (f − f at rest)) dt
//! ```
//!
//! so the sensitivities to scale and axes `G`, offset `b` and force `Γ` are
//! `∫ u ωᵀ`, `∫ u` and `∫ u (f − f at rest)ᵀ`. What the way undoes drops out by itself.

use nalgebra::{Matrix3, UnitQuaternion, Vector3};

use crate::reading::Sample;
use crate::time::HostTime;

/// Headings are means over this time at both ends, so that a tremble against the wheel averages out, s.
pub const END_S: f64 = 0.3;

/// Where and how a carry began and ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    /// End of the rest before.
    pub from: HostTime,
    /// Begin of the rest after.
    pub to: HostTime,
    /// Board at the rest before → level.
    pub level: UnitQuaternion<f64>,
    /// Offset of the gyro that is taken off, rad/s.
    pub bias_radps: Vector3<f64>,
    /// Force that the offset goes with: the mean of both rests, g.
    pub force_g: Vector3<f64>,
    /// Strength of the force at rest, g.
    pub strength_g: f64,
}

/// What errors of the readings do to the heading, along the way that was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Swept {
    /// Length, from the middle of the begin to the middle of the end, s.
    pub seconds: f64,
    /// `∫ u dt`, s.
    pub by_bias: Vector3<f64>,
    /// `∫ u ωᵀ dt`, rad.
    pub by_matrix: Matrix3<f64>,
    /// `∫ u (f − f at rest)ᵀ dt`, g·s.
    pub by_force: Matrix3<f64>,
    /// `Σ (Δω about the vertical)²` over the readings: times the variance of the
    /// stamps that of the heading, (rad/s)².
    pub by_stamp: f64,
}

/// The way of one carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Board at its end → board at its begin.
    pub turn: UnitQuaternion<f64>,
    /// What errors do to its heading.
    pub swept: Swept,
    /// Largest lean against the begin, rad.
    pub lean_rad: f64,
    /// Largest heading against the begin, rad.
    pub heading_rad: f64,
    /// Largest departure of the force from its strength at rest, g.
    pub peak_g: f64,
    /// Largest rate about an axis, rad/s.
    pub rate_radps: f64,
    /// Largest force along an axis, g.
    pub force_g: f64,
    /// Longest time without a reading, µs.
    pub gap_us: i64,
    /// Heading by all readings less that by every second one, rad.
    pub every_second_rad: f64,
    /// From begin to end in the level frame of the begin, m, the block at rest at both ends.
    pub moved_m: Vector3<f64>,
}

const GRAVITY_MPS2: f64 = 9.81;

struct Step {
    seconds: f64,
    turn: UnitQuaternion<f64>,
}

/// The rotation between readings 1 and 2 of four; where there are no neighbours they are none.
fn step(reads: [Option<(f64, Vector3<f64>)>; 4]) -> Option<Step> {
    let [before, Some((t1, w1)), Some((t2, w2)), after] = reads else {
        return None;
    };
    let seconds = t2 - t1;
    let slope = |a: Option<(f64, Vector3<f64>)>, b: Option<(f64, Vector3<f64>)>| {
        a.zip(b).map(|((ta, wa), (tb, wb))| (wb - wa) / (tb - ta))
    };
    let here = reads[1];
    let next = reads[2];
    let straight = (w2 - w1) / seconds;
    let first = before.map_or(Some(straight), |b| slope(Some(b), next))?;
    let second = after.map_or(Some(straight), |a| slope(here, Some(a)))?;
    let integral = (w1 + w2) * (0.5 * seconds) + (first - second) * (seconds * seconds / 12.0);
    let coning = w1.cross(&w2) * (seconds * seconds / 12.0);
    Some(Step {
        seconds,
        turn: UnitQuaternion::from_scaled_axis(integral + coning),
    })
}

impl Path {
    /// Along the readings from the last [`END_S`] of the rest before to the first of the rest
    /// after; none where there are hardly any.
    pub fn along(samples: &[Sample], ends: &Ends) -> Option<Self> {
        let end_us = micros(END_S);
        let (begin, end) = (
            HostTime::from_us(ends.from.us() - end_us),
            HostTime::from_us(ends.to.us() + end_us),
        );
        let used: Vec<&Sample> = samples
            .iter()
            .filter(|s| s.at >= begin && s.at <= end && s.rate_radps.is_some())
            .collect();
        if used.len() < 16 {
            return None;
        }
        let read = |i: usize| -> Option<(f64, Vector3<f64>)> {
            let sample = used.get(i)?;
            let rate = Vector3::from(sample.rate_radps?.to_array());
            Some((sample.at.since_s(begin), rate - ends.bias_radps))
        };
        let (half_s, whole_s) = (0.5 * END_S, ends.to.since_s(ends.from) + 2.0 * END_S);
        let strength = ends.strength_g;
        let up = Vector3::z();
        let mut path = Self {
            turn: UnitQuaternion::identity(),
            swept: Swept {
                seconds: whole_s - END_S,
                by_bias: Vector3::zeros(),
                by_matrix: Matrix3::zeros(),
                by_force: Matrix3::zeros(),
                by_stamp: 0.0,
            },
            lean_rad: 0.0,
            heading_rad: 0.0,
            peak_g: 0.0,
            rate_radps: 0.0,
            force_g: 0.0,
            gap_us: 0,
            every_second_rad: 0.0,
            moved_m: Vector3::zeros(),
        };
        let mut turn = UnitQuaternion::<f64>::identity();
        let mut start = Mean::default();
        let mut finish = Mean::default();
        let mut finish_at: Option<UnitQuaternion<f64>> = None;
        let mut way = Way::default();
        start.add(&Vector3::zeros());
        for i in 1..used.len() {
            let ((then_s, rate_then), (now_s, rate)) = (read(i - 1)?, read(i)?);
            path.gap_us = path.gap_us.max(used[i].at.since_us(used[i - 1].at));
            if now_s <= then_s {
                continue;
            }
            let before = i.checked_sub(2).and_then(read);
            let Some(step) = step([before, read(i - 1), read(i), read(i + 1)]) else {
                continue;
            };
            let middle = ends.level * turn;
            turn *= step.turn;
            let force = Vector3::from(used[i].accel_g.to_array());
            let to_level = ends.level * turn;
            if now_s <= END_S {
                start.add(&turn.scaled_axis());
            }
            if now_s >= whole_s - END_S {
                let origin = *finish_at.get_or_insert(turn);
                finish.add(&(origin.inverse() * turn).scaled_axis());
            }
            if now_s > half_s && now_s < whole_s - half_s {
                let vertical = 0.5
                    * (middle.inverse_transform_vector(&up)
                        + to_level.inverse_transform_vector(&up));
                path.swept.by_bias += vertical * step.seconds;
                path.swept.by_matrix +=
                    vertical * (0.5 * (rate_then + rate)).transpose() * step.seconds;
                path.swept.by_force += vertical * (force - ends.force_g).transpose() * step.seconds;
                let change = (rate - rate_then).dot(&vertical);
                path.swept.by_stamp += change * change;
            }
            path.observe(&force, strength, used[i]);
            path.wander(&to_level, &ends.level);
            way.add(
                &((to_level * force - up * strength) * GRAVITY_MPS2),
                step.seconds,
            );
        }
        path.moved_m = way.at_rest_again();
        let origin = finish_at?;
        let begun = UnitQuaternion::from_scaled_axis(start.mean());
        path.turn = begun.inverse() * origin * UnitQuaternion::from_scaled_axis(finish.mean());
        path.every_second_rad = every_second(&read, used.len())
            .map_or(0.0, |coarse| vertical_part(&ends.level, &turn, &coarse));
        Some(path)
    }

    fn observe(&mut self, force: &Vector3<f64>, strength: f64, sample: &Sample) {
        self.peak_g = self.peak_g.max((force.norm() - strength).abs());
        self.force_g = self.force_g.max(force.amax());
        if let Some(rate) = sample.rate_radps {
            self.rate_radps = self.rate_radps.max(rate.max_abs());
        }
    }

    fn wander(&mut self, now: &UnitQuaternion<f64>, begun: &UnitQuaternion<f64>) {
        let turned = now * begun.inverse();
        let up = turned * Vector3::z();
        self.lean_rad = self.lean_rad.max(up.xy().norm().atan2(up.z));
        let forward = turned * Vector3::x();
        self.heading_rad = self.heading_rad.max(forward.y.atan2(forward.x).abs());
    }
}

/// By every second reading and a plain trapezoid, over the same readings.
fn every_second(
    read: &impl Fn(usize) -> Option<(f64, Vector3<f64>)>,
    len: usize,
) -> Option<UnitQuaternion<f64>> {
    let mut turn = UnitQuaternion::<f64>::identity();
    let mut last = 0;
    while last + 1 < len {
        let next = (last + 2).min(len - 1);
        let ((then_s, rate_then), (now_s, rate)) = (read(last)?, read(next)?);
        if now_s > then_s {
            let by = (rate_then + rate) * (0.5 * (now_s - then_s));
            turn *= UnitQuaternion::from_scaled_axis(by);
        }
        last = next;
    }
    Some(turn)
}

/// What of the rotation from one end to another is about the vertical, rad.
fn vertical_part(
    level: &UnitQuaternion<f64>,
    fine: &UnitQuaternion<f64>,
    coarse: &UnitQuaternion<f64>,
) -> f64 {
    (level * (fine * coarse.inverse()).scaled_axis()).z
}

#[derive(Default)]
struct Mean {
    sum: Vector3<f64>,
    count: f64,
}

impl Mean {
    fn add(&mut self, value: &Vector3<f64>) {
        self.sum += value;
        self.count += 1.0;
    }

    fn mean(&self) -> Vector3<f64> {
        self.sum / self.count.max(1.0)
    }
}

/// Twice integrated acceleration.
#[derive(Default)]
struct Way {
    seconds: f64,
    velocity_mps: Vector3<f64>,
    moved_m: Vector3<f64>,
}

impl Way {
    fn add(&mut self, acceleration_mps2: &Vector3<f64>, seconds: f64) {
        self.moved_m += (self.velocity_mps + acceleration_mps2 * (0.5 * seconds)) * seconds;
        self.velocity_mps += acceleration_mps2 * seconds;
        self.seconds += seconds;
    }

    /// The block rests at the end, so what velocity is left came in evenly on the way.
    fn at_rest_again(&self) -> Vector3<f64> {
        self.moved_m - self.velocity_mps * (0.5 * self.seconds)
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a fraction of a second")]
fn micros(seconds: f64) -> i64 {
    (seconds * 1e6) as i64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frames::Vec3;

    /// Readings of a motion given by its attitude, by differences a thousand times finer.
    fn samples(rate_hz: f64, seconds: f64, at: impl Fn(f64) -> UnitQuaternion<f64>) -> Vec<Sample> {
        let count = (0..).take_while(|i| f64::from(*i) / rate_hz <= seconds);
        count
            .map(|i| {
                let (t, h) = (f64::from(i) / rate_hz, 1e-5);
                let turn = at(t - h).inverse() * at(t + h);
                let rate = turn.scaled_axis() / (2.0 * h);
                let force = at(t).inverse() * Vector3::z();
                #[expect(clippy::cast_possible_truncation, reason = "a test of seconds")]
                let us = (t * 1e6).round() as i64;
                Sample {
                    at: HostTime::from_us(us),
                    accel_g: Vec3::from_array(force.into()),
                    rate_radps: Some(Vec3::from_array(rate.into())),
                    temperature_c: None,
                }
            })
            .collect()
    }

    fn ends(from_s: f64, to_s: f64) -> Ends {
        Ends {
            from: HostTime::from_us(micros(from_s)),
            to: HostTime::from_us(micros(to_s)),
            level: UnitQuaternion::identity(),
            bias_radps: Vector3::zeros(),
            force_g: Vector3::z(),
            strength_g: 1.0,
        }
    }

    /// A tremble of two axes a quarter period apart turns the block about the third.
    fn cone(t: f64) -> UnitQuaternion<f64> {
        let strength = 0.01
            * (std::f64::consts::PI * (t - 1.0) / 4.0)
                .sin()
                .max(0.0)
                .powi(2);
        let strength = if (1.0..5.0).contains(&t) {
            strength
        } else {
            0.0
        };
        let (s, c) = (std::f64::consts::TAU * 10.0 * t).sin_cos();
        UnitQuaternion::from_scaled_axis(Vector3::new(c, s, 0.0) * strength)
    }

    #[test]
    fn a_cone_turns_by_the_angle_it_encloses_and_is_followed() {
        let samples = samples(100.0, 6.0, cone);
        let path = Path::along(&samples, &ends(0.9, 5.1)).unwrap();
        // The attitude comes back to itself; so must its integral.
        let off = path.turn.scaled_axis().z.to_degrees();
        assert!(off.abs() < 2e-3, "{off}");
        // A plain sum of the rates misses the turn: half the square of the cone's half
        // angle each radian, with the mean of sin⁴ being 3/8.
        let plain: f64 = samples
            .iter()
            .map(|s| s.rate_radps.unwrap().z())
            .sum::<f64>()
            * 0.01;
        let expected: f64 = 0.5 * 1e-4 * 0.375 * std::f64::consts::TAU * 10.0 * 4.0;
        assert!(
            (plain.abs() - expected).abs() < 0.05 * expected,
            "{plain} {expected}"
        );
    }

    #[test]
    fn sensitivities_are_what_an_error_does() {
        let motion = |t: f64| {
            let x = ((t - 1.0) / 4.0).clamp(0.0, 1.0);
            let s = x * x * x * (10.0 + x * (6.0 * x - 15.0));
            let bump = (std::f64::consts::PI * s).sin().powi(2);
            UnitQuaternion::from_euler_angles(0.3 * bump - 0.05 * s, -0.2 * bump * s, 0.1 * s)
        };
        let clean = samples(200.0, 6.0, motion);
        let ends = ends(0.9, 5.1);
        let exact = Path::along(&clean, &ends).unwrap();
        let heading = |path: &Path| {
            let forward = path.turn * Vector3::x();
            forward.y.atan2(forward.x)
        };
        let matrix = Matrix3::new(0.9, -0.4, 0.6, 0.3, -0.8, 0.5, -0.7, 0.2, 1.0) * 1e-3;
        let bias = Vector3::new(1e-4, -2e-4, 3e-4);
        let per_g = Matrix3::new(0.1, 0.3, -0.2, 0.2, -0.1, 0.4, 0.5, 0.3, -0.2) * 1e-3;
        let wrong: Vec<Sample> = clean
            .iter()
            .map(|s| {
                let rate = Vector3::from(s.rate_radps.unwrap().to_array());
                let force = Vector3::from(s.accel_g.to_array());
                let read = rate + matrix * rate + bias + per_g * (force - Vector3::z());
                Sample {
                    rate_radps: Some(Vec3::from_array(read.into())),
                    ..*s
                }
            })
            .collect();
        let found = heading(&Path::along(&wrong, &ends).unwrap()) - heading(&exact);
        let foretold = exact.swept.by_matrix.component_mul(&matrix).sum()
            + exact.swept.by_bias.dot(&bias)
            + exact.swept.by_force.component_mul(&per_g).sum();
        assert!(
            (found - foretold).abs() < 0.02 * foretold.abs() + 1e-6,
            "{found} {foretold}"
        );
        assert!((exact.turn.scaled_axis().z - 0.1).abs() < 1e-3);
    }
}
