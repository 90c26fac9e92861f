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

    /// A busy machine: for seconds on end nothing is read in time, then all of it is.
    #[test]
    fn the_pace_is_the_devices_own_however_late_readings_come() {
        let mut clock = DeviceClock::new();
        let held_up_us = |i: i64| {
            let second = i / 100;
            // Least delays of the seconds: 80, 10, 120, 45 ms …
            [80_000, 10_000, 120_000, 45_000, 5_000, 90_000][usize::try_from(second % 6).unwrap()]
        };
        let times: Vec<HostTime> = (0..4_000)
            .map(|i| {
                let late = HostTime::from_us(i * 10_000 + held_up_us(i) + delay_us(i));
                clock.observe(i as f64 * 10_000.0, late).at
            })
            .collect();
        // A turn of two seconds, wherever it begins once the clock has settled.
        for from in 400..3_800 {
            let lasted_s = times[from + 200].since_s(times[from]);
            assert!((lasted_s - 2.0).abs() < 0.004, "{from}: {lasted_s} s");
        }
        assert!(times[400..].windows(2).all(|pair| pair[1] > pair[0]));
    }

    #[test]
    fn a_line_that_was_late_is_come_back_to() {
        let mut clock = DeviceClock::new();
        // Ten seconds 60 ms late, then on time.
        let times: Vec<HostTime> = (0..20_000)
            .map(|i| {
                let late_us = if i < 1_000 { 60_000 } else { 500 };
                let arrival = HostTime::from_us(i * 10_000 + late_us);
                clock.observe(i as f64 * 10_000.0, arrival).at
            })
            .collect();
        let late_us = |i: usize| times[i].us() - i64::try_from(i).unwrap() * 10_000;
        assert!(late_us(900) > 50_000);
        assert!(late_us(19_999) < 5_000, "{} µs", late_us(19_999));
    }

    #[test]
    fn no_time_is_later_than_the_arrival_that_it_belongs_to() {
        // Late from the beginning by so much, for ten seconds, then on time.
        for late_us in [60_000, 150_000, 300_000, 450_000] {
            let mut clock = DeviceClock::new();
            let mut begun = 0;
            for i in 0..3_000_i64 {
                let held_us = if i < 1_000 { late_us } else { 500 };
                let arrival = HostTime::from_us(i * 10_000 + held_us);
                let stamp = clock.observe(i as f64 * 10_000.0, arrival);
                assert!(stamp.at.since_us(arrival) <= FUTURE_US, "{late_us} at {i}");
                begun += u32::from(stamp.restarted);
            }
            // A line that is a little off is come back to; a turn goes on over it.
            assert_eq!(begun, u32::from(late_us > FUTURE_US), "{late_us}");
        }
    }

    #[test]
    fn seconds_of_delay_make_nothing_look_newer_than_it_is() {
        let mut clock = DeviceClock::new();
        for i in 0..6_000_i64 {
            // Five times in a minute the line is late by two seconds, for two seconds.
            let late_us = if i % 1_200 >= 1_000 { 2_000_000 } else { 500 };
            let arrival = HostTime::from_us(i * 10_000 + late_us);
            let at = clock.observe(i as f64 * 10_000.0, arrival).at;
            let newer_us = at.us() - i * 10_000;
            assert!(i < 500 || newer_us < 20_000, "{newer_us} µs too new at {i}");
        }
    }

    #[test]
    fn a_clock_that_jumps_makes_no_time() {
        for jump_us in [
            40_000.0, 120_000.0, 290_000.0, 800_000.0, -40_000.0, -700_000.0,
        ] {
            let mut clock = DeviceClock::new();
            let mut before = None;
            for i in 0..4_000_i64 {
                let jumped = if i < 2_000 { 0.0 } else { jump_us };
                let device_us = 5e6 + i as f64 * 10_000.0 + jumped;
                let arrival = HostTime::from_us(i * 10_000 + delay_us(i));
                let at = clock.observe(device_us, arrival).at;
                if let Some(before) = before.replace(at)
                    && i > 400
                {
                    let step_us = at.since_us(before);
                    assert!(
                        (step_us - 10_000).abs() < 9_000,
                        "{jump_us}: {step_us} µs at {i}"
                    );
                }
                let away_us = at.us() - i * 10_000;
                assert!(
                    i < 400 || away_us.abs() < 9_000,
                    "{jump_us}: {away_us} µs at {i}"
                );
            }
        }
    }

    /// A busy machine reads late, loses some and then reads all at once: no jump of the board's.
    #[test]
    fn losses_on_a_late_line_are_no_jump() {
        let mut clock = DeviceClock::new();
        for i in (0..6_000_i64).filter(|i| !(2_000..2_030).contains(i)) {
            let late_us = if (1_900..2_050).contains(&i) {
                (2_050 - i) * 10_000
            } else {
                500
            };
            let arrival = HostTime::from_us(i * 10_000 + late_us);
            assert!(
                !clock.observe(i as f64 * 10_000.0, arrival).restarted,
                "{i}"
            );
        }
    }

    #[test]
    fn two_clocks_on_one_line_tear_and_one_restart_does_not() {
        let mut tears = Tears::default();
        let at = |ms: i64| HostTime::from_us(ms * 1000);
        tears.tore(at(0));
        tears.tore(at(5_000));
        tears.tore(at(5_500));
        assert!(!tears.is_torn(at(5_500)));
        tears.tore(at(5_600));
        assert!(tears.is_torn(at(5_600)) && tears.is_torn(at(5_900)));
        assert!(!tears.is_torn(at(6_100)));
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
