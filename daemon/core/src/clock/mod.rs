//! A board's clock on the daemon's time.
//!
//! Bytes arrive late by a changing amount (USB polling, radio events, a busy
//! machine) and never early. So the arrival with the least delay in each
//! second carries the truth, and a straight line through those, host =
//! offset + slope · device, follows the board's crystal. The slope is held to
//! 1 by a prior of [`SLOPE_PRIOR`], so that a few seconds of data cannot tilt it.
//!
//! Tried and left: a running mean of the delay (follows the load of the
//! machine), a Kalman filter on arrival times (its noise is not symmetric).

mod counted;

use std::collections::VecDeque;

use crate::time::HostTime;

pub use counted::{CountedClock, Number};

/// One-sigma prior on |slope − 1|; ceramic resonators on cheap boards reach 0.1–0.2 %.
const SLOPE_PRIOR: f64 = 1.5e-3;
/// Scatter of a second's least delay, one sigma, s.
const LEAST_DELAY_SCATTER_S: f64 = 1e-3;
/// Length of a bucket that keeps its least delayed arrival, s of device time.
const BUCKET_S: f64 = 1.0;
/// Buckets kept: two minutes follow a warming crystal and steady the slope to a few ppm.
const BUCKETS: usize = 120;
/// A jump of the device time against arrival beyond this is a restart, s.
const RESTART_S: f64 = 1.0;

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
}

#[derive(Debug, Clone)]
struct Fit {
    /// Device time of the first reading, µs: the line's origin, so that
    /// differences stay exact in f64.
    device_origin_us: f64,
    host_origin: HostTime,
    last_device_us: f64,
    last_at: HostTime,
    bucket_start_s: f64,
    /// (device s, least host − device s) since the origins.
    least: Option<(f64, f64)>,
    memory: usize,
    buckets: VecDeque<(f64, f64)>,
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
    /// Host times never run backwards within one life of the board.
    pub fn observe(&mut self, device_us: f64, arrival: HostTime) -> Stamp {
        if let Some(fit) = &mut self.fit
            && let Some(at) = fit.take(device_us, arrival)
        {
            return Stamp {
                at,
                restarted: false,
            };
        }
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
            last_at: arrival,
            bucket_start_s: 0.0,
            least: None,
            memory,
            buckets: VecDeque::with_capacity(memory),
            offset_s: 0.0,
            slope_error: 0.0,
        }
    }

    /// None when the device time cannot belong to this life of the board.
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
        self.last_device_us = device_us;
        if self.least.is_none_or(|(_, least)| delay_s < least) {
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
        let host_s = device_s + self.offset_s + self.slope_error * device_s;
        let at = HostTime::from_us(self.host_origin.us() + seconds_to_us(host_s)).max(self.last_at);
        self.last_at = at;
        Some(at)
    }

    /// Weighted straight line through the buckets with the prior on the slope.
    fn refit(&mut self) {
        let count = self.buckets.len() as f64;
        let mean_device = self.buckets.iter().map(|p| p.0).sum::<f64>() / count;
        let mean_delay = self.buckets.iter().map(|p| p.1).sum::<f64>() / count;
        let (mut square, mut product) = (0.0, 0.0);
        for &(device, delay) in &self.buckets {
            square += (device - mean_device) * (device - mean_device);
            product += (device - mean_device) * (delay - mean_delay);
        }
        let prior = (LEAST_DELAY_SCATTER_S / SLOPE_PRIOR).powi(2);
        self.slope_error = product / (square + prior);
        self.offset_s = mean_delay - self.slope_error * mean_device;
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "seconds of one run of a daemon fit an i64 of microseconds by far"
)]
fn seconds_to_us(seconds: f64) -> i64 {
    (seconds * 1e6).round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Deterministic delays between 0.2 and 8 ms with a heavy tail.
    fn delay_us(i: i64) -> i64 {
        let mixed = (i
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407)
            >> 33)
            & 0xFFFF;
        200 + ((mixed * mixed) >> 20) * 2
    }

    fn feed(clock: &mut DeviceClock, ppm: f64, from: i64, to: i64) -> (f64, bool) {
        let (mut worst_us, mut restarted) = (0.0_f64, false);
        for i in from..to {
            let true_us = i * 10_000;
            let device_us = 77_000.0 + true_us as f64 * (1.0 + ppm * 1e-6);
            let stamp = clock.observe(
                device_us.trunc(),
                HostTime::from_us(1_000_000 + true_us + delay_us(i)),
            );
            restarted |= stamp.restarted;
            if i > from + 1500 {
                worst_us = worst_us.max((stamp.at.us() - 1_000_000 - true_us) as f64);
            }
        }
        (worst_us, restarted)
    }

    #[test]
    fn follows_drifting_crystals_within_two_milliseconds() {
        for ppm in [0.0, 50.0, -50.0, 1500.0, -1500.0] {
            let mut clock = DeviceClock::new();
            let (worst_us, restarted) = feed(&mut clock, ppm, 0, 12_000);
            assert!(worst_us < 2_000.0, "{ppm} ppm: {worst_us} µs late");
            assert!(!restarted, "{ppm} ppm taken for a restart");
            let found = clock.ppm().unwrap();
            assert!((found - ppm).abs() < 15.0, "{ppm} ppm found as {found}");
        }
    }

    #[test]
    fn a_restarted_board_begins_anew() {
        let mut clock = DeviceClock::new();
        feed(&mut clock, 20.0, 0, 1000);
        let stamp = clock.observe(1234.0, HostTime::from_us(60_000_000));
        assert_eq!(
            stamp,
            Stamp {
                at: HostTime::from_us(60_000_000),
                restarted: true
            }
        );
        assert_eq!(
            clock
                .observe(11_234.0, HostTime::from_us(60_010_100))
                .at
                .us(),
            60_010_000
        );
    }

    #[test]
    fn host_time_never_runs_backwards() {
        let mut clock = DeviceClock::new();
        let mut last = HostTime::from_us(i64::MIN);
        for i in 0..5_000 {
            let at = clock
                .observe(
                    i as f64 * 10_000.0,
                    HostTime::from_us(i * 10_000 + delay_us(i * 7)),
                )
                .at;
            assert!(at >= last, "reading {i}");
            last = at;
        }
    }
}
