//! When a reading was taken, in the daemon's time.

use hubplumb_core::clock::{CountedClock, DeviceClock, Number, Tears};
use hubplumb_core::time::HostTime;
use hubplumb_protocol::Reading;

/// Readings that arrive together are spread over the time since the ones
/// before, up to this: beyond it there was a pause, not a late read.
const SPREAD_US: i64 = 200_000;

/// Share of the readings that have to arrive in company before arrival is taken for no time at all.
const BURSTY: f64 = 0.3;
/// Readings over which that share is taken: some seconds of most boards.
const SHARE_OF: f64 = 500.0;

/// Times that run back by more than this are no times: what is measured between them has no length, µs.
const BACK_US: i64 = 50_000;

/// Numbers of this many bits come round soon.
const SHORT: u8 = 16;

/// What a reading says.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Said([Option<[f64; 3]>; 3]);

impl Said {
    const fn of(reading: &Reading) -> Self {
        Self([reading.accel_g, reading.rate_radps, reading.attitude_rad])
    }
}

/// Gives readings their host time.
///
/// Where the board sends its own time, that is fitted to ours. Where it numbers
/// its readings, the numbers and the rate are. Where it does neither and its
/// readings arrive in bursts, they are counted here. Arrival is the time only of
/// what is left: boards that say nothing of time on lines that pass each reading on.
#[derive(Debug, Clone, Default)]
pub struct Stamper {
    clock: DeviceClock,
    counted: CountedClock,
    number_bits: Option<u8>,
    last_arrival: Option<HostTime>,
    last_stamp: Option<HostTime>,
    in_company: f64,
    source: Option<TimeSource>,
    tears: Tears,
    /// The last number, and what was read under it.
    last_number: Option<(u32, Said)>,
    last_device_us: Option<f64>,
    began_anew: bool,
    /// Did times run back in the last read?
    ran_back: bool,
}

/// What the times of a board's readings go by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimeSource {
    /// The board's own clock.
    Device,
    /// The numbers of its readings.
    Numbers,
    /// Its steady rate.
    Rate,
    /// When they arrived.
    Arrival,
}

impl Stamper {
    /// Width of the running number in the format that the board now speaks.
    pub fn numbers_wrap_at(&mut self, bits: Option<u8>) {
        if self.number_bits != bits {
            self.number_bits = bits;
            self.last_number = None;
            self.counted = CountedClock::new();
        }
    }

    /// Host times of the readings of one read of the line, oldest first, into `times`.
    pub fn stamp(&mut self, readings: &[Reading], arrival: HostTime, times: &mut Vec<HostTime>) {
        times.clear();
        self.began_anew = false;
        self.ran_back = false;
        let since = self
            .last_arrival
            .map_or(0, |last| arrival.since_us(last).clamp(0, SPREAD_US));
        self.last_arrival = Some(arrival);
        let count = i64::try_from(readings.len()).unwrap_or(i64::MAX);
        let company = if count > 1 { 1.0 } else { 0.0 };
        for (reading, number) in readings.iter().zip(1..) {
            self.in_company += (company - self.in_company) / SHARE_OF;
            let at = if let Some(device_us) = reading.device_time_us {
                self.by_device(device_us, arrival)
            } else {
                let spread = since * (count - number) / count;
                self.by_number(reading, arrival, HostTime::from_us(arrival.us() - spread))
            };
            times.push(at);
        }
    }

    fn by_device(&mut self, device_us: f64, arrival: HostTime) -> HostTime {
        self.source = Some(TimeSource::Device);
        let stamp = self.clock.observe(device_us, arrival);
        if stamp.restarted {
            tracing::info!("the board's clock began anew");
        }
        // Forward it may seem to jump when a busy machine reads late and loses some.
        let last_us = self.last_device_us.replace(device_us);
        if last_us.is_some_and(|last_us| device_us < last_us) {
            self.begin_anew(arrival);
        }
        self.onward(stamp.at)
    }

    /// A time may not run back, from one way of telling it to another or where a clock begins anew.
    fn onward(&mut self, at: HostTime) -> HostTime {
        let last = self.last_stamp.unwrap_or(at);
        self.ran_back |= last.since_us(at) > BACK_US;
        let at = at.max(last);
        self.last_stamp = Some(at);
        at
    }

    fn by_number(&mut self, reading: &Reading, arrival: HostTime, spread: HostTime) -> HostTime {
        let number = reading
            .sequence
            .zip(self.number_bits)
            .map(|(value, bits)| Number { value, bits });
        if let Some(number) = number
            && let Some((last, said)) = self.last_number.replace((number.value, Said::of(reading)))
            // A frame that came twice says the same twice. Of numbers that come round within minutes
            // one may be given twice for two readings by two boards alone.
            && (number.is_before(last)
                || (last == number.value && number.bits <= SHORT && said != Said::of(reading)))
        {
            self.begin_anew(arrival);
        }
        let counted = self.counted.observe(number, arrival);
        let (at, source) = match counted {
            Some(stamp) if number.is_some() => (stamp.at, TimeSource::Numbers),
            Some(stamp) if self.in_company >= BURSTY => (stamp.at, TimeSource::Rate),
            _ => (spread, TimeSource::Arrival),
        };
        self.source = Some(source);
        self.onward(at)
    }

    fn begin_anew(&mut self, at: HostTime) {
        self.began_anew = true;
        self.tears.tore(at);
    }

    /// Did the board's clock or count begin anew in the last read?
    pub fn began_anew(&self) -> bool {
        self.began_anew
    }

    /// Do times or numbers jump to and fro, so that nobody knows whose readings they are or when they
    /// were taken?
    pub fn is_torn(&self, now: HostTime) -> bool {
        self.ran_back || self.tears.is_torn(now)
    }

    /// What the times go by now; none before the first reading.
    pub fn source(&self) -> Option<TimeSource> {
        self.source
    }

    /// Rate of the board's clock against ours, parts per million.
    pub fn ppm(&self) -> Option<f64> {
        if self.source == Some(TimeSource::Device) {
            self.clock.ppm()
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stamped(stamper: &mut Stamper, readings: &[Reading], arrival: HostTime) -> Vec<HostTime> {
        let mut times = Vec::new();
        stamper.stamp(readings, arrival, &mut times);
        times
    }

    #[test]
    fn without_device_time_a_late_read_is_spread_over_the_time_it_was_late() {
        let mut stamper = Stamper::default();
        let at = |ms: i64| HostTime::from_us(ms * 1000);
        let reading = Reading::default();
        assert_eq!(stamped(&mut stamper, &[reading], at(100)), [at(100)]);
        assert_eq!(
            stamped(&mut stamper, &[reading; 4], at(140)),
            [at(110), at(120), at(130), at(140)]
        );
        // After a pause the readings are not spread over the pause.
        assert_eq!(
            stamped(&mut stamper, &[reading; 2], at(5000)),
            [at(4900), at(5000)]
        );
        assert_eq!(stamper.ppm(), None);
    }

    #[test]
    fn device_time_rules_over_a_late_arrival() {
        let mut stamper = Stamper::default();
        let reading = |ms: i64| Reading {
            device_time_us: Some(ms as f64 * 1000.0),
            ..Reading::default()
        };
        for ms in (0..1000).step_by(10) {
            stamped(
                &mut stamper,
                &[reading(ms)],
                HostTime::from_us(5_000_000 + ms * 1000),
            );
        }
        // Three readings that were held up until the last of them.
        let times = stamped(
            &mut stamper,
            &[reading(1000), reading(1010), reading(1020)],
            HostTime::from_us(6_020_000),
        );
        assert_eq!(
            times,
            [6_000_000, 6_010_000, 6_020_000].map(HostTime::from_us)
        );
    }

    /// Two boards talk in turn for two seconds, among those of one alone.
    fn two_boards(reading: impl Fn(bool, u32) -> Reading) {
        let mut stamper = Stamper::default();
        stamper.numbers_wrap_at(Some(8));
        for n in 0..800_u32 {
            let now = HostTime::from_us(i64::from(n) * 10_000);
            stamped(&mut stamper, &[reading(false, n)], now);
            if (200..400).contains(&n) {
                stamped(&mut stamper, &[reading(true, n)], now);
            }
            let expected = match n {
                0..200 | 501.. => Some(false),
                203..400 => Some(true),
                _ => None,
            };
            assert!(
                expected.is_none_or(|torn| torn == stamper.is_torn(now)),
                "{n}"
            );
        }
    }

    #[test]
    fn two_boards_on_one_line_are_told_by_their_clocks_or_numbers() {
        two_boards(|other, n| Reading {
            device_time_us: Some(f64::from(n) * 1e4 + if other { 7e7 } else { 0.0 }),
            ..Reading::default()
        });
        // Whose numbers are far from each other, are the same, or follow each other.
        for ahead in [100, 0, 1] {
            two_boards(|other, n| Reading {
                sequence: Some((n + if other { ahead } else { 0 }) % 256),
                accel_g: Some([f64::from(n), if other { 1.0 } else { 0.0 }, 0.0]),
                ..Reading::default()
            });
        }
    }

    #[test]
    fn times_that_run_back_are_told() {
        let mut stamper = Stamper::default();
        let mut torn = Vec::new();
        for n in 0..2_000_i64 {
            // Late by 0.4 s from the beginning, and on time from the tenth second on.
            let late_us = if n < 1_000 { 400_000 } else { 500 };
            let now = HostTime::from_us(n * 10_000 + late_us);
            let reading = Reading {
                device_time_us: Some(n as f64 * 1e4),
                ..Reading::default()
            };
            let times = stamped(&mut stamper, &[reading], now);
            assert!(times[0].since_us(now) < 450_000, "{n}");
            if stamper.is_torn(now) {
                torn.push(n);
            }
        }
        assert!((1_000..1_050).contains(torn.first().unwrap()), "{torn:?}");
        assert!(torn.len() <= 45, "{torn:?}");
    }

    #[test]
    fn lost_and_repeated_numbers_tear_nothing() {
        let mut stamper = Stamper::default();
        stamper.numbers_wrap_at(Some(8));
        for n in (0..3000_u32).filter(|n| n % 7 != 0).flat_map(|n| [n, n]) {
            let reading = Reading {
                sequence: Some(n % 256),
                ..Reading::default()
            };
            let now = HostTime::from_us(i64::from(n) * 10_000);
            stamped(&mut stamper, &[reading], now);
            assert!(!stamper.is_torn(now), "{n}");
        }
    }

    /// Readings at 100 Hz that arrive ten at a time.
    fn bursts(stamper: &mut Stamper, numbered: bool) -> Vec<i64> {
        let mut times = Vec::new();
        for burst in 0..300_u32 {
            let readings: Vec<_> = (0..10)
                .map(|n| Reading {
                    sequence: numbered.then_some((burst * 10 + n) % 256),
                    ..Reading::default()
                })
                .collect();
            let arrival = HostTime::from_us(i64::from(burst + 1) * 100_000);
            times.extend(
                stamped(stamper, &readings, arrival)
                    .iter()
                    .map(|at| at.us()),
            );
        }
        times
    }

    #[test]
    fn bursts_are_timed_by_number_or_by_rate_and_never_run_back() {
        for (bits, source) in [(Some(8), TimeSource::Numbers), (None, TimeSource::Rate)] {
            let mut stamper = Stamper::default();
            stamper.numbers_wrap_at(bits);
            let times = bursts(&mut stamper, bits.is_some());
            assert_eq!(stamper.source(), Some(source));
            assert!(times.is_sorted(), "{source:?}");
            let steps = times[times.len() - 1000..].windows(2).map(|t| t[1] - t[0]);
            let worst_us = steps.map(|step| (step - 10_000).abs()).max().unwrap();
            assert!(
                worst_us < 300,
                "{source:?}: {worst_us} µs off the even step"
            );
        }
    }
}
