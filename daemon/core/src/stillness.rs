//! Does the hub rest?
//!
//! A window of [`WINDOW_US`] of readings is judged by four signs, all of which
//! must be quiet: the direction of gravity in its first and second half agree;
//! the accelerometer scatters less than a knock does; the gyro scatters less
//! than a hand on the wheel does; and the mean rate equals the rate of the last
//! rest. The last one needs a rest to compare with; a cheap gyro reads up to
//! 20 °/s lying still (MPU-6050 data sheet), so nothing absolute is asked of it.
//!
//! A steady slow turn about the vertical hides from everything but the mean
//! rate. That is why a changed mean rate counts as motion until gravity has
//! stood still beside it for [`ADOPT_US`].

use crate::angle::Angle;
use crate::frames::{Board, Dir, Vec3};
use crate::reading::{Motion, Sample};
use crate::time::HostTime;

mod window;

use window::Window;

/// Length of the window that is judged.
pub const WINDOW_US: i64 = 500_000;
/// A changed rate beside unmoved gravity for so long is an offset that moved.
const ADOPT_US: i64 = 5_000_000;
/// Judged at most this often; a person cannot start or stop faster.
const JUDGE_US: i64 = 20_000;
/// Bound on the window, for boards of up to 4 kHz.
const WINDOW_LEN: usize = 2_048;
/// Fewest readings in a window worth judging.
const LEAST_LEN: usize = 8;

/// Gravity turned by more than this between the halves of a window is motion.
const TURN: Angle = Angle::from_deg(0.03);
/// Gravity moved by more than this while a changed rate waits for adoption is motion.
const ADOPT_TURN: Angle = Angle::from_deg(0.1);
/// Scatter of a knocked board, g. An engine idling shows a fifth of it.
const KNOCK_G: f64 = 0.1;
/// Scatter of the rate of a held wheel, rad/s (1.5 °/s).
const HELD_RADPS: f64 = 0.026;
/// A mean rate this far from rest is a turn, rad/s (0.3 °/s).
const TURN_RADPS: f64 = 0.005_2;
/// The rest rate follows a warming chip with this time constant, s.
const FOLLOW_S: f64 = 3.0;
/// How many standard deviations of a half window's mean still count as noise.
const SIGMAS: f64 = 5.0;
/// How many of the newest eighth's mean. Fewer, as this only widens a ±.
const LAG_SIGMAS: f64 = 3.0;

/// Judges stillness from a stream of readings.
#[derive(Debug, Clone, Default)]
pub struct StillnessDetector {
    window: Window,
    judged_at: Option<HostTime>,
    motion: Option<Motion>,
    rest_rate: Option<Vec3<Board>>,
    waiting: Option<(HostTime, Dir<Board>)>,
    gravity_rests: bool,
}

impl StillnessDetector {
    /// A detector that has seen nothing.
    pub fn new() -> Self {
        Self::default()
    }

    /// Readings between were not fit to be used: nothing is said across them. What the gyro reads
    /// at rest is still known.
    pub fn lose(&mut self) {
        self.window.clear();
        self.motion = None;
        self.waiting = None;
        self.gravity_rests = false;
    }

    /// Takes one reading; tells what the window shows now.
    pub fn observe(&mut self, sample: &Sample) -> Motion {
        if self
            .window
            .last_at()
            .is_some_and(|last| sample.at.since_us(last) > WINDOW_US)
        {
            // Nothing can be said across a gap.
            self.window.clear();
            self.motion = None;
        }
        self.window.push(sample);
        while self.window.len() > WINDOW_LEN
            || self
                .window
                .first_at()
                .is_some_and(|first| sample.at.since_us(first) > WINDOW_US)
        {
            self.window.drop_first();
        }
        let due = self
            .judged_at
            .is_none_or(|at| sample.at.since_us(at) >= JUDGE_US || sample.at < at);
        if due {
            self.judged_at = Some(sample.at);
            self.gravity_rests = false;
            self.motion = self.judge(sample.at);
        }
        self.motion()
    }

    /// What the window showed last.
    pub fn motion(&self) -> Motion {
        self.motion.unwrap_or(Motion::Unknown)
    }

    /// Was gravity seen to rest when the window was last judged, whatever the gyro says?
    pub const fn gravity_rests(&self) -> bool {
        self.gravity_rests
    }

    /// The readings that are judged now, oldest first.
    pub fn window(&self) -> impl Iterator<Item = &Sample> {
        self.window.iter()
    }

    /// What the gyro reads at rest, rad/s; none before the first rest or without gyro.
    pub const fn rest_rate(&self) -> Option<Vec3<Board>> {
        self.rest_rate
    }

    /// Mean specific force over the window, and the standard uncertainty of its direction.
    pub fn window_mean(&self) -> Option<(Vec3<Board>, Angle)> {
        if self.window.len() < LEAST_LEN {
            return None;
        }
        let all = self.window.all();
        Some((
            all.accel_g,
            Angle::from_rad(all.accel_scatter_g / (all.count as f64).sqrt()),
        ))
    }

    /// How far the newest eighth of the window points from the mean of it all: where the board is
    /// now, as far as noise lets that be told. Nought where noise explains it.
    pub fn window_lag(&self) -> Angle {
        let len = self.window.len();
        if len < LEAST_LEN {
            return Angle::ZERO;
        }
        let all = self.window.all();
        let newest = self.window.stretch(len - len / 8, len);
        // A jump widens the scatter of the half it is in, and must not pass for noise by that.
        let [early, late] = [(0, len / 2), (len / 2, len)]
            .map(|(from, to)| self.window.stretch(from, to).accel_scatter_g);
        let noise_rad = LAG_SIGMAS * early.min(late) / (newest.count as f64).sqrt();
        Dir::along(newest.accel_g)
            .zip(Dir::along(all.accel_g))
            .map(|(newest, mean)| newest.angle_to(&mean))
            .filter(|lag| lag.rad() > noise_rad)
            .unwrap_or(Angle::ZERO)
    }

    /// Is the window so rough that gravity cannot be told from shaking?
    pub fn is_rough(&self) -> bool {
        self.window.len() >= LEAST_LEN && self.window.all().accel_scatter_g > KNOCK_G
    }

    fn judge(&mut self, now: HostTime) -> Option<Motion> {
        let first_at = self.window.first_at()?;
        if self.window.len() < LEAST_LEN || now.since_us(first_at) < WINDOW_US * 9 / 10 {
            return None;
        }
        let half = self.window.len() / 2;
        let early = self.window.stretch(0, half);
        let late = self.window.stretch(half, self.window.len());
        let all = self.window.all();
        let (Some(up_early), Some(up_late), Some(up)) = (
            Dir::along(early.accel_g),
            Dir::along(late.accel_g),
            Dir::along(all.accel_g),
        ) else {
            return Some(Motion::Moving);
        };
        let scatter_g = early.accel_scatter_g.max(late.accel_scatter_g);
        let noise = Angle::from_rad(SIGMAS * scatter_g * (2.0 / half as f64).sqrt());
        let gravity_quiet =
            up_early.angle_to(&up_late).rad() < TURN.rad() + noise.rad() && scatter_g < KNOCK_G;
        self.gravity_rests = gravity_quiet;
        let Some((rate, rate_scatter)) = all.rate_radps else {
            return Some(if gravity_quiet {
                Motion::Still
            } else {
                Motion::Moving
            });
        };
        if !gravity_quiet || rate_scatter > HELD_RADPS {
            self.waiting = None;
            return Some(Motion::Moving);
        }
        let Some(rest_rate) = self.rest_rate else {
            // The first quiet window is believed, unless it holds the end of a turn.
            let slowing = early
                .rate_radps
                .zip(late.rate_radps)
                .is_some_and(|((then, _), (now, _))| (now - then).norm() > TURN_RADPS);
            if slowing {
                return Some(Motion::Moving);
            }
            self.rest_rate = Some(rate);
            return Some(Motion::Still);
        };
        if (rate - rest_rate).norm() < TURN_RADPS {
            let share = JUDGE_US as f64 * 1e-6 / FOLLOW_S;
            self.rest_rate = Some(rest_rate + (rate - rest_rate) * share);
            self.waiting = None;
            return Some(Motion::Still);
        }
        match self.waiting {
            Some((since, up_then)) if up_then.angle_to(&up) < ADOPT_TURN + noise => {
                if now.since_us(since) > ADOPT_US {
                    self.rest_rate = Some(rate);
                    self.waiting = None;
                }
            }
            _ => self.waiting = Some((now, up)),
        }
        Some(Motion::Moving)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 100 Hz; gravity leaning by `lean_rad(t)`, rate by `rate_radps(t)` about z.
    fn run(
        seconds: f64,
        lean_rad: impl Fn(f64) -> f64,
        rate_radps: impl Fn(f64) -> f64,
    ) -> Vec<(f64, Motion)> {
        let mut detector = StillnessDetector::new();
        let mut seen = Vec::new();
        let mut us = 0;
        while us as f64 * 1e-6 < seconds {
            let t = us as f64 * 1e-6;
            let lean = lean_rad(t);
            // Deterministic noise of ±1 mg and ±0.05 °/s.
            let noise = ((us / 10_000 * 7919 % 1000) as f64 / 500.0 - 1.0) * 1e-3;
            let sample = Sample {
                at: HostTime::from_us(us),
                accel_g: Vec3::new(lean.sin() + noise, noise, lean.cos()),
                rate_radps: Some(Vec3::new(noise, 0.0, rate_radps(t) + noise)),
                temperature_c: None,
            };
            seen.push((t, detector.observe(&sample)));
            us += 10_000;
        }
        seen
    }

    fn share_of(seen: &[(f64, Motion)], from: f64, to: f64, motion: Motion) -> f64 {
        let inside: Vec<_> = seen
            .iter()
            .filter(|(t, _)| (from..to).contains(t))
            .collect();
        inside.iter().filter(|(_, m)| *m == motion).count() as f64 / inside.len() as f64
    }

    #[test]
    fn a_gyro_with_a_large_offset_rests() {
        let seen = run(4.0, |_| 0.1, |_| 0.3);
        assert!(share_of(&seen, 0.0, 0.4, Motion::Unknown) > 0.99);
        assert!(share_of(&seen, 0.6, 4.0, Motion::Still) > 0.99);
    }

    #[test]
    fn the_end_of_a_turn_is_not_taken_for_the_first_rest() {
        // A board in the hand from the first reading on, put down within a second.
        let slowing = |t: f64| 0.3 + 0.5 * (1.0 - t).max(0.0).powi(3);
        let seen = run(4.0, |_| 0.1, slowing);
        assert!(share_of(&seen, 0.0, 0.7, Motion::Still) < 0.01);
        assert!(share_of(&seen, 1.6, 4.0, Motion::Still) > 0.99);
    }

    #[test]
    fn a_turn_about_the_vertical_is_seen_by_the_rate_alone() {
        let turning = |t: f64| if (3.0..5.0).contains(&t) { 0.02 } else { 0.0 };
        let seen = run(8.0, |_| 0.1, turning);
        assert!(share_of(&seen, 0.6, 3.0, Motion::Still) > 0.99);
        assert!(share_of(&seen, 3.3, 5.0, Motion::Moving) > 0.99);
        assert!(share_of(&seen, 5.6, 8.0, Motion::Still) > 0.99);
    }

    #[test]
    fn a_slow_lean_is_seen_by_gravity() {
        let seen = run(
            8.0,
            |t| if t > 4.0 { (t - 4.0) * 0.01 } else { 0.0 },
            |_| 0.0,
        );
        assert!(share_of(&seen, 0.6, 4.0, Motion::Still) > 0.99);
        assert!(share_of(&seen, 4.6, 8.0, Motion::Moving) > 0.9);
    }

    #[test]
    fn an_offset_that_moved_is_adopted_after_a_while() {
        let seen = run(12.0, |_| 0.0, |t| if t > 2.0 { 0.05 } else { 0.0 });
        assert!(share_of(&seen, 2.6, 7.0, Motion::Moving) > 0.99);
        assert!(share_of(&seen, 8.5, 12.0, Motion::Still) > 0.99);
    }

    #[test]
    fn nothing_is_said_across_a_gap() {
        let mut detector = StillnessDetector::new();
        let sample = |us| Sample {
            at: HostTime::from_us(us),
            accel_g: Vec3::new(0.0, 0.0, 1.0),
            rate_radps: None,
            temperature_c: None,
        };
        for i in 0..200 {
            detector.observe(&sample(i * 10_000));
        }
        assert_eq!(detector.motion(), Motion::Still);
        assert_eq!(detector.observe(&sample(9_000_000)), Motion::Unknown);
    }
}
