//! What one board feels, against its own recent noise.

use std::collections::VecDeque;

use super::WINDOW_US;
use crate::frames::{Board, Vec3};
use crate::time::HostTime;

/// The rest of a board and its noise follow what it reads with this time constant, s.
const FOLLOW_S: f64 = 0.5;
/// A board is not judged before it was listened to for so long, µs.
const WARM_US: i64 = 500_000;
/// A gap this long makes what was known of the rest worthless, µs.
const GAP_US: i64 = 500_000;
/// A jolt goes at least this far from the rest, g: far above any chip's noise and an
/// idling engine, far below the lightest tap that a finger means (common practice, no source).
const LEAST_G: f64 = 0.06;
/// A jolt goes at least this many times the board's own recent noise from its rest.
const OVER_NOISE: f64 = 8.0;
/// A jolt rises within this, µs: a hand that lifts a board is slower.
const RISE_US: i64 = 60_000;
/// A board that rests this far from where it did was carried, g (some 9° of tilt).
const CARRIED_G: f64 = 0.15;
/// The end of the window, over which the rest afterwards is taken, µs.
const AFTER_US: i64 = 150_000;
/// Bound on the readings kept to see how fast something rose, for boards of up to 1 kHz.
const RECENT: usize = 64;

/// What a reading is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Feeling {
    /// Nothing to speak of.
    Quiet,
    /// The first sign of a jolt.
    Jolted,
}

/// Listens to one board.
#[derive(Debug, Clone, Default)]
pub(super) struct Ear {
    since: Option<HostTime>,
    last_at: Option<HostTime>,
    /// Mean of what it reads, g.
    rest_g: Option<Vec3<Board>>,
    /// Mean square of what it departs from that, g².
    noise_g2: f64,
    /// How far from the rest the latest readings were.
    recent: VecDeque<(HostTime, f64)>,
    window: Window,
}

/// What was felt in the jolt at hand.
#[derive(Debug, Clone, Copy, Default)]
struct Window {
    from: Option<HostTime>,
    farthest_g: f64,
    /// Sum of the readings at its end, and how many.
    after: Option<(Vec3<Board>, f64)>,
}

impl Ear {
    pub(super) fn feel(
        &mut self,
        at: HostTime,
        accel_g: Vec3<Board>,
        begun: Option<HostTime>,
        deaf: bool,
    ) -> Feeling {
        if !accel_g.is_finite() || self.last_at.is_some_and(|last| at <= last) {
            return Feeling::Quiet;
        }
        let dt_s = self.last_at.map_or(0.0, |last| at.since_s(last));
        if self.last_at.is_some_and(|last| at.since_us(last) > GAP_US) {
            *self = Self {
                window: self.window,
                ..Self::default()
            };
        }
        self.last_at = Some(at);
        let since = *self.since.get_or_insert(at);
        let Some(rest_g) = self.rest_g else {
            self.rest_g = Some(accel_g);
            return Feeling::Quiet;
        };
        let away_g = (accel_g - rest_g).norm();
        self.recent.push_back((at, away_g));
        while self.recent.len() > RECENT
            || self
                .recent
                .front()
                .is_some_and(|(then, _)| at.since_us(*then) > 2 * RISE_US)
        {
            self.recent.pop_front();
        }
        if let Some(begun) = begun {
            self.gather(at, accel_g, away_g, begun);
            return Feeling::Quiet;
        }
        let warm = at.since_us(since) >= WARM_US;
        if warm && !deaf && away_g > self.threshold_g() && self.rose(at, away_g) {
            return Feeling::Jolted;
        }
        self.follow(accel_g, away_g, dt_s);
        Feeling::Quiet
    }

    fn threshold_g(&self) -> f64 {
        LEAST_G.max(OVER_NOISE * self.noise_g2.sqrt())
    }

    /// Did it get there at once? A reading before it, not long ago, was less than half as far.
    /// One that comes alone in that time cannot tell, and is believed.
    fn rose(&self, at: HostTime, away_g: f64) -> bool {
        let before: Vec<f64> = self
            .recent
            .iter()
            .filter(|(then, _)| *then < at && at.since_us(*then) <= RISE_US)
            .map(|(_, away_g)| *away_g)
            .collect();
        before.is_empty() || before.iter().any(|before_g| *before_g < 0.5 * away_g)
    }

    fn follow(&mut self, accel_g: Vec3<Board>, away_g: f64, dt_s: f64) {
        let share = dt_s / (FOLLOW_S + dt_s);
        if let Some(rest_g) = &mut self.rest_g {
            *rest_g = *rest_g + (accel_g - *rest_g) * share;
        }
        self.noise_g2 += (away_g * away_g - self.noise_g2) * share;
    }

    fn gather(&mut self, at: HostTime, accel_g: Vec3<Board>, away_g: f64, begun: HostTime) {
        let since_us = at.since_us(begun);
        if since_us > WINDOW_US {
            return;
        }
        self.window.farthest_g = self.window.farthest_g.max(away_g);
        if since_us > WINDOW_US - AFTER_US {
            let (sum, count) = self.window.after.unwrap_or((Vec3::zero(), 0.0));
            self.window.after = Some((sum + accel_g, count + 1.0));
        }
    }

    /// A jolt begins, perhaps of another board, whose readings came sooner.
    pub(super) fn begin(&mut self, at: HostTime) {
        let farthest_g = self
            .recent
            .iter()
            .filter(|(then, _)| at.since_us(*then) <= RISE_US)
            .fold(0.0, |most: f64, (_, away_g)| most.max(*away_g));
        self.window = Window {
            from: Some(at),
            farthest_g,
            after: None,
        };
    }

    /// The farthest from its rest, g, beyond what its noise makes of nothing.
    pub(super) fn felt_g(&self) -> f64 {
        if self.window.from.is_none() {
            return 0.0;
        }
        // Three sigma of noise on nothing are nothing.
        (self.window.farthest_g - 3.0 * self.noise_g2.sqrt()).max(0.0)
    }

    /// How far it rests from where it did, if that is far.
    pub(super) fn carried_g(&self) -> Option<f64> {
        let (sum, count) = self.window.after?;
        let turned_g = (sum * (1.0 / count) - self.rest_g?).norm();
        (turned_g > CARRIED_G).then_some(turned_g)
    }

    /// The jolt is over: what is read from now on is the rest.
    pub(super) fn over(&mut self) {
        if let Some((sum, count)) = self.window.after.take() {
            self.rest_g = Some(sum * (1.0 / count));
        }
        self.window = Window::default();
        self.recent.clear();
    }
}
