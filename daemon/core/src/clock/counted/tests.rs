//! Boards that number their readings, or only send them steadily.

use super::*;

const PERIOD_US: i64 = 10_000;

/// The number of the n-th reading, in eight bits.
fn in_a_byte(n: i64) -> Number {
    Number {
        value: u32::try_from(n % 256).unwrap(),
        bits: 8,
    }
}

/// A board at 100 Hz whose readings are given up every 50 ms, some late by one more burst.
struct Bursts {
    clock: CountedClock,
    numbered: bool,
    seed: u64,
}

impl Bursts {
    fn new(numbered: bool) -> Self {
        Self {
            clock: CountedClock::new(),
            numbered,
            seed: 1,
        }
    }

    fn chance(&mut self) -> f64 {
        self.seed = self
            .seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.seed >> 40) as f64 / f64::from(1 << 24)
    }

    /// Worst error of a stamp against the mean one in the last ten seconds, µs.
    fn scatter_us(&mut self, seconds: i64, ppm: f64, loss: f64) -> f64 {
        let mut errors = Vec::new();
        for i in 0..seconds * 100 {
            let taken_us = (i * PERIOD_US) as f64 * (1.0 - ppm * 1e-6);
            let lost = self.chance() < loss;
            // A burst leaves at each multiple of 50 ms, and now and then the next one.
            let late = if (i / 5) % 7 == 0 { 1.0 } else { 0.0 };
            let burst_us = ((taken_us / 50_000.0).floor() + 1.0 + late) * 50_000.0;
            if lost {
                continue;
            }
            let number = self.numbered.then(|| in_a_byte(i));
            #[expect(clippy::cast_possible_truncation, reason = "a minute of microseconds")]
            let arrival = HostTime::from_us(burst_us as i64);
            let stamp = self.clock.observe(number, arrival);
            if i > (seconds - 10) * 100 {
                let stamp = stamp.expect("the rate is long known");
                errors.push(stamp.at.us() as f64 - taken_us);
            }
        }
        let mean = errors.iter().sum::<f64>() / errors.len() as f64;
        errors
            .iter()
            .map(|error| (error - mean).abs())
            .fold(0.0, f64::max)
    }
}

#[test]
fn numbers_put_bursts_back_in_time() {
    for (ppm, loss) in [
        (0.0, 0.0),
        (2000.0, 0.0),
        (-2000.0, 0.0),
        (0.0, 0.1),
        (500.0, 0.3),
    ] {
        let scatter_us = Bursts::new(true).scatter_us(60, ppm, loss);
        // Arrival itself scatters by 50 ms and more.
        assert!(
            scatter_us < 2_500.0,
            "{ppm} ppm, {loss} lost: {scatter_us} µs"
        );
    }
}

#[test]
fn without_numbers_the_rate_does_it() {
    let scatter_us = Bursts::new(false).scatter_us(60, 300.0, 0.0);
    assert!(scatter_us < 2_500.0, "{scatter_us} µs");
    // One in five hundred lost, a period each: still far better than arrival.
    let scatter_us = Bursts::new(false).scatter_us(60, 300.0, 0.002);
    eprintln!("{scatter_us}");
    assert!(scatter_us < 20_000.0, "{scatter_us} µs");
}

#[test]
fn the_rate_is_told_once_it_is_known() {
    let mut bursts = Bursts::new(true);
    assert_eq!(bursts.clock.rate_hz(), None);
    bursts.scatter_us(60, 0.0, 0.0);
    let rate_hz = bursts.clock.rate_hz().unwrap();
    assert!((rate_hz - 100.0).abs() < 0.05, "{rate_hz}");
}

#[test]
fn a_rate_that_was_learned_in_a_pause_is_put_right_before_anything_is_old() {
    let mut clock = CountedClock::new();
    let mut last_late_us = 0;
    for n in 0..4_000_u32 {
        // What was measured in the first 1.2 s comes with what is measured after them.
        let taken_us = i64::from(n) * PERIOD_US;
        let arrival = HostTime::from_us(taken_us.max(1_200_000 + i64::from(n % 3)));
        let number = Number {
            value: n % 256,
            bits: 8,
        };
        if let Some(stamp) = clock.observe(Some(number), arrival) {
            last_late_us = arrival.since_us(stamp.at);
            assert!(last_late_us < 900_000, "{last_late_us} µs at {n}");
        }
    }
    let rate_hz = clock.rate_hz().unwrap();
    assert!((rate_hz - 100.0).abs() < 0.5, "{rate_hz}");
    assert!(last_late_us < 50_000, "{last_late_us}");
}

#[test]
fn numbers_that_go_back_or_stand_still_are_learned_anew() {
    for second in [499_u32, 0] {
        let mut clock = CountedClock::new();
        let number = |value| Some(Number { value, bits: 32 });
        for i in 0..500_u32 {
            clock.observe(number(i), HostTime::from_us(i64::from(i) * PERIOD_US));
        }
        assert!(clock.rate_hz().is_some());
        let at = HostTime::from_us(500 * PERIOD_US);
        assert_eq!(clock.observe(number(second), at), None);
        assert_eq!(clock.rate_hz(), None);
    }
}

/// A line that is late by seconds from one reading on, for some seconds: nothing of it is taken for new.
#[test]
fn what_is_late_by_a_pause_stays_late_until_it_comes_on_time() {
    let mut clock = CountedClock::new();
    for i in 0..1_500_u32 {
        let late_us = if (600..1_000).contains(&i) {
            2_700_000
        } else {
            0
        };
        let taken_us = i64::from(i) * PERIOD_US;
        // What comes after the delay waits for what is late.
        let arrival_us = (taken_us + late_us).max(if i >= 1_000 { 12_700_000 } else { 0 });
        let number = Some(Number {
            value: i % 256,
            bits: 8,
        });
        let stamp = clock.observe(number, HostTime::from_us(arrival_us));
        if i > 400 {
            let off_us = stamp.expect("the rate is known").at.us() - taken_us;
            assert!(off_us.abs() < 50_000, "{off_us} µs off at {i}");
        }
    }
}

/// The number goes on over a pause of two whole rounds, at a rate that was learned 1.5 % off.
#[test]
fn a_pause_of_whole_rounds_is_seen_whatever_the_rate_that_was_learned() {
    let mut clock = CountedClock::new();
    for n in 0..3_000 {
        // A hold-up melts away while the rate is learned: the readings seem to come faster.
        let late_us = (60_000 - n * 200).max(0);
        clock.observe(
            Some(in_a_byte(n)),
            HostTime::from_us(n * PERIOD_US + late_us),
        );
    }
    let first = 3_000 + 512;
    let mut worst_us = 0;
    for n in first..first + 500 {
        let arrival = HostTime::from_us(n * PERIOD_US);
        if let Some(stamp) = clock.observe(Some(in_a_byte(n)), arrival) {
            worst_us = worst_us.max(arrival.since_us(stamp.at));
        }
    }
    assert!(clock.rate_hz().is_some());
    assert!(worst_us < ASTRAY_US, "{worst_us} µs late");
}

#[test]
fn a_rate_that_changes_is_learned_anew() {
    let mut clock = CountedClock::new();
    let mut now_us = 0;
    for _ in 0..1000 {
        now_us += PERIOD_US;
        clock.observe(None, HostTime::from_us(now_us));
    }
    let mut worst_us = 0;
    for _ in 0..2000 {
        now_us += 2 * PERIOD_US;
        if let Some(stamp) = clock.observe(None, HostTime::from_us(now_us)) {
            worst_us = worst_us.max((now_us - stamp.at.us()).abs());
        }
    }
    let rate_hz = clock.rate_hz().unwrap();
    assert!((rate_hz - 50.0).abs() < 0.5, "{rate_hz}");
    assert!(worst_us <= ASTRAY_US);
}

/// A board begins anew, and what it measures in the first second comes all at once: its old rate tells.
#[test]
fn a_rate_that_was_learned_in_a_pause_is_not_believed_against_the_old_one() {
    let mut clock = CountedClock::new();
    for n in 0..1_000 {
        clock.observe(Some(in_a_byte(n)), HostTime::from_us(n * PERIOD_US));
    }
    for n in 0..1_000 {
        let taken_us = 15_000_000 + n * PERIOD_US;
        let arrival = HostTime::from_us(taken_us.max(16_500_000 + n));
        clock.observe(Some(in_a_byte(n)), arrival);
        if let Some(rate_hz) = clock.rate_hz() {
            assert!((rate_hz - 100.0).abs() < 2.0, "{rate_hz} at {n}");
        }
    }
    assert!(clock.rate_hz().is_some());
}
