//! A board's clock on the daemon's time.
//!
//! Bytes arrive late by a changing amount (USB polling, radio events, a busy
//! machine) and never early. So the arrival with the least delay in each
//! second carries the truth, and a straight line through those, host =
//! offset + slope · device, follows the board's crystal. The slope is held to
//! 1 by a prior of [`SLOPE_PRIOR`], so that a few seconds of data cannot tilt it,
//! the less the more the least delays scatter.
//!
//! From reading to reading the time goes by the device's own clock: what a gyro
//! reads is integrated over it, so a line that is fitted anew must not lengthen or
//! shorten a turn. The times come after the line by [`SLEW`] at most, once the
//! first seconds are over.
//!
//! Tried and left: a running mean of the delay (follows the load of the
//! machine), a Kalman filter on arrival times (its noise is not symmetric).

mod counted;
mod pace;

use std::collections::VecDeque;

use crate::time::HostTime;

pub use counted::{CountedClock, Number};

/// One-sigma prior on |slope − 1|; ceramic resonators on cheap boards reach 0.1–0.2 %.
const SLOPE_PRIOR: f64 = 1.5e-3;
/// Scatter of a second's least delay, one sigma, s.
const LEAST_DELAY_SCATTER_S: f64 = 1e-3;
/// Times come nearer to the line by no more than this share of the time that passes: a good
/// chip's gyro is not better in its scale.
const SLEW: f64 = 1e-3;
/// Buckets before which times follow the line at once: nothing is measured by them yet.
const SETTLING: usize = 3;
/// Farther from the line than this the times go to it at once, s.
const OFF_LINE_S: f64 = 0.5;
/// The device's own pace is taken to be right to within this (three of its priors).
const PACE_WITHIN: f64 = 3.0 * SLOPE_PRIOR;
/// Length of a bucket that keeps its least delayed arrival, s of device time.
const BUCKET_S: f64 = 1.0;
/// Buckets kept: two minutes follow a warming crystal and steady the slope to a few ppm.
const BUCKETS: usize = 120;
/// A bucket whose least delay is later than that of the best quarter by more than this tells of the
/// line, not of the clock, s.
const HELD_UP_S: f64 = 0.1;
/// A jump of the device time against arrival beyond this is a restart, s.
const RESTART_S: f64 = 1.0;

/// A clock that jumps forward shows by readings that arrive before they were taken: by more than
/// this before any delay that was seen, s. Below that a turn goes wrong by a third of a degree.
const AHEAD_S: f64 = 0.03;
/// A time further from its arrival than this is late, or does not belong to a steady rate, µs.
const ASTRAY_US: i64 = 500_000;
/// Readings whose times or numbers go on where they were before a pause are late by that pause. After
/// so long in which none came on time it was the board itself, or its clock, that paused, µs.
const LATE_US: i64 = 10_000_000;
/// A reading arrives after it was taken. A line that puts it so much later than that was laid through
/// delays that are gone, or through readings that came twice, µs. Nothing but a new line helps:
/// at [`SLEW`] it would take minutes.
const FUTURE_US: i64 = 200_000;
/// A step so much longer than the usual one is no rhythm; with the one that is missing only.
const LONG_STEP: f64 = 2.0;
/// Weight of a new step in the usual one.
const STEP_SHARE: f64 = 0.02;
/// A clock that begins anew so often within [`TEARS_US`] is not one clock.
const TEARS: usize = 3;
const TEARS_US: i64 = 1_000_000;

/// Notices times that jump to and fro, as those of two boards on one line do.
#[derive(Debug, Clone, Copy, Default)]
pub struct Tears {
    /// Newest last.
    last: [Option<HostTime>; TEARS],
}

impl Tears {
    /// The clock began anew.
    pub fn tore(&mut self, at: HostTime) {
        self.last.rotate_left(1);
        self.last[TEARS - 1] = Some(at);
    }

    /// Are times worth nothing now?
    pub fn is_torn(&self, now: HostTime) -> bool {
        self.last[0].is_some_and(|first| now.since_us(first) < TEARS_US)
    }
}

/// Where a reading lies in host time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// Host time of the reading.
    pub at: HostTime,
    /// The device clock jumped: the board restarted, or its counter wrapped.
    pub restarted: bool,
}

/// Fits one board's clock to host time.
#[derive(Debug, Clone, Default)]
pub struct DeviceClock {
    fit: Option<Fit>,
    /// When a reading last came on time.
    on_time: Option<HostTime>,
}

#[derive(Debug, Clone)]
struct Fit {
    /// Device time of the first reading, µs: the line's origin, so that
    /// differences stay exact in f64.
    device_origin_us: f64,
    host_origin: HostTime,
    last_device_us: f64,
    /// Usual step of the device time, s; 0 before the first.
    usual_step_s: f64,
    last_at: HostTime,
    bucket_start_s: f64,
    /// (device s, least host − device s) since the origins.
    least: Option<(f64, f64)>,
    memory: usize,
    buckets: VecDeque<(f64, f64)>,
    /// Room for sorting their delays.
    sorted: Vec<f64>,
    offset_s: f64,
    slope_error: f64,
}

impl DeviceClock {
    /// A clock about which nothing is known yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a reading's device time and its arrival; gives its host time.
    ///
    /// Host times never run backwards within one life of the board; where one begins anew they may.
    pub fn observe(&mut self, device_us: f64, arrival: HostTime) -> Stamp {
        if let Some(fit) = &mut self.fit
            && let Some(at) = fit.take(device_us, arrival)
        {
            if arrival.since_us(at) <= ASTRAY_US {
                self.on_time = Some(arrival);
            }
            if self
                .on_time
                .is_none_or(|last| arrival.since_us(last) < LATE_US)
            {
                return Stamp {
                    at,
                    restarted: false,
                };
            }
        }
        self.on_time = Some(arrival);
        let restarted = self.fit.is_some();
        self.fit = Some(Fit::starting(device_us, arrival, BUCKETS));
        Stamp {
            at: arrival,
            restarted,
        }
    }

    /// Rate of the device clock against the host's, parts per million, + fast;
    /// none before ten seconds of data.
    pub fn ppm(&self) -> Option<f64> {
        let fit = self.fit.as_ref()?;
        // host = (1 + slope_error) · device: a fast device shows a slope below one.
        (fit.buckets.len() >= 10).then(|| -fit.slope_error / (1.0 + fit.slope_error) * 1e6)
    }
}

impl Fit {
    fn starting(device_us: f64, arrival: HostTime, memory: usize) -> Self {
        Self {
            device_origin_us: device_us,
            host_origin: arrival,
            last_device_us: device_us,
            usual_step_s: 0.0,
            last_at: arrival,
            bucket_start_s: 0.0,
            least: None,
            memory,
            buckets: VecDeque::with_capacity(memory),
            sorted: Vec::with_capacity(memory),
            offset_s: 0.0,
            slope_error: 0.0,
        }
    }

    /// None when the device time cannot belong to this life of the board, or lies ahead of its arrival.
    fn take(&mut self, device_us: f64, arrival: HostTime) -> Option<HostTime> {
        let step_s = (device_us - self.last_device_us) * 1e-6;
        let device_s = (device_us - self.device_origin_us) * 1e-6;
        let delay_s = arrival.since_s(self.host_origin) - device_s;
        let expected_s = self.offset_s + self.slope_error * device_s;
        // A device that ran ahead of its arrival has jumped; one that lags by
        // minutes may only have been buffered, unless it also went backwards.
        if step_s < 0.0 || delay_s - expected_s < -RESTART_S || step_s > 3600.0 {
            return None;
        }
        let is_long = self.usual_step_s > 0.0 && step_s > LONG_STEP * self.usual_step_s;
        if is_long && delay_s - expected_s < -AHEAD_S {
            return None;
        }
        if self.usual_step_s == 0.0 {
            self.usual_step_s = step_s;
        } else if !is_long {
            self.usual_step_s += (step_s - self.usual_step_s) * STEP_SHARE;
        }
        self.last_device_us = device_us;
        // What is astray is not on this line: until it is clear whether board or line paused, it must not
        // draw the line to itself.
        let is_astray = delay_s - expected_s > ASTRAY_US as f64 * 1e-6;
        if !is_astray && self.least.is_none_or(|(_, least)| delay_s < least) {
            self.least = Some((device_s, delay_s));
        }
        // Before the first bucket is full the least delay so far is all there is.
        if self.buckets.is_empty() {
            self.offset_s = self.offset_s.min(delay_s);
        }
        if device_s - self.bucket_start_s >= BUCKET_S {
            self.bucket_start_s = device_s;
            if let Some(point) = self.least.take() {
                if self.buckets.len() == self.memory {
                    self.buckets.pop_front();
                }
                self.buckets.push_back(point);
            }
            self.refit();
        }
        let line_s = device_s + self.offset_s + self.slope_error * device_s;
        let host_s = if self.buckets.len() < SETTLING {
            line_s
        } else {
            self.beside_s(step_s, line_s)
        };
        let at = HostTime::from_us(self.host_origin.us() + seconds_to_us(host_s)).max(self.last_at);
        if at.since_us(arrival) > FUTURE_US {
            return None;
        }
        self.last_at = at;
        Some(at)
    }

    /// From the last time on by the device's own step, a little nearer to the line.
    fn beside_s(&self, step_s: f64, line_s: f64) -> f64 {
        let pace = 1.0 + self.slope_error.clamp(-PACE_WITHIN, PACE_WITHIN);
        let on_s = self.last_at.since_s(self.host_origin) + step_s * pace;
        let away_s = line_s - on_s;
        if away_s.abs() > OFF_LINE_S {
            return line_s;
        }
        on_s + away_s.clamp(-SLEW * step_s, SLEW * step_s)
    }

    /// How much later than the line a bucket may be that counts: where everything of it was held up, as
    /// on a line that is late by seconds, a mean with it would make all that follows look newer than it is.
    fn latest_s(&mut self) -> f64 {
        let slope = self.slope_error;
        self.sorted.clear();
        let beside = self.buckets.iter().map(|bucket| beside(*bucket, slope));
        self.sorted.extend(beside);
        // Unlike the stable one it needs no room of its own.
        self.sorted.sort_unstable_by(f64::total_cmp);
        self.sorted
            .get(self.sorted.len() / 4)
            .map_or(f64::INFINITY, |least| least + HELD_UP_S)
    }

    /// Weighted straight line through the buckets with the prior on the slope.
    fn refit(&mut self) {
        let (latest_s, before) = (self.latest_s(), self.slope_error);
        let buckets = self.buckets.iter().copied();
        let on_time = buckets.filter(|bucket| beside(*bucket, before) <= latest_s);
        let count = on_time.clone().count() as f64;
        let mean_device = on_time.clone().map(|p| p.0).sum::<f64>() / count;
        let mean_delay = on_time.clone().map(|p| p.1).sum::<f64>() / count;
        let (mut square, mut product) = (0.0, 0.0);
        for (device, delay) in on_time.clone() {
            square += (device - mean_device) * (device - mean_device);
            product += (device - mean_device) * (delay - mean_delay);
        }
        let slope = |scatter_s: f64| product / (square + (scatter_s / SLOPE_PRIOR).powi(2));
        let usual = slope(LEAST_DELAY_SCATTER_S);
        let misfits =
            on_time.map(|(device, delay)| delay - mean_delay - usual * (device - mean_device));
        let scatter_s = (misfits.map(|misfit| misfit * misfit).sum::<f64>() / count).sqrt();
        self.slope_error = slope(scatter_s.max(LEAST_DELAY_SCATTER_S));
        self.offset_s = mean_delay - self.slope_error * mean_device;
    }
}

/// The delay of a bucket beside a line of that slope, s.
fn beside((device_s, delay_s): (f64, f64), slope: f64) -> f64 {
    delay_s - slope * device_s
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "seconds of one run of a daemon fit an i64 of microseconds by far"
)]
fn seconds_to_us(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}

#[cfg(test)]
mod tests;
