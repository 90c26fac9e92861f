//! The clock of a board that counts its readings and sends no time.
//!
//! A radio gives readings up in bursts, so that arrival says little about when
//! each was taken; their number says it well, because such boards measure at a
//! steady rate. The rate is not told either: it is learned from the first
//! seconds, and the running number times the period is then a device time like
//! any other, with the least delayed arrivals to follow.
//!
//! Where the wire carries no number, the readings that arrive are counted here.
//! One that is lost on the way then shifts all that follow by a period, and so
//! such a line is followed over a shorter time.

use super::pace::{Paces, Sums};
use super::{ASTRAY_US, BUCKETS, Fit, LATE_US, Stamp};
use crate::time::HostTime;

/// How long the rate is learned, µs: bursts of a tenth of a second leave 2 % of
/// the rate open then, and the fit follows from there.
const LEARN_US: i64 = 3_000_000;
/// Readings below which no rate is learned: five a second, for as long.
const LEARN_READINGS: u64 = 15;
/// Without a reading for this long nothing says how many are missing, where they are not numbered, µs.
const PAUSE_US: i64 = 1_000_000;
/// Buckets kept where lost readings are not seen: a loss is made good in about half as many seconds.
const UNNUMBERED_BUCKETS: usize = 8;
/// A pause of whole rounds of the number, to within this, has swallowed them, µs.
const ROUND_US: f64 = 50_000.0;
/// Numbers that rise by no more than this go on where they were.
const GOES_ON: u64 = 3;

/// Follows the rate of one board by the numbers of its readings.
#[derive(Debug, Clone, Default)]
pub struct CountedClock {
    state: State,
}

#[derive(Debug, Clone, Default)]
enum State {
    #[default]
    Nothing,
    Learning {
        counter: Counter,
        first: HostTime,
        last: HostTime,
        sums: Sums,
    },
    Following {
        counter: Counter,
        period_us: f64,
        fit: Box<Fit>,
        last_arrival: HostTime,
        /// When a reading last came on time.
        on_time: HostTime,
        paces: Paces,
    },
}

/// Readings since the beginning, by their numbers where they have any.
#[derive(Debug, Clone, Copy)]
struct Counter {
    count: u64,
    last: Option<u32>,
}

impl Counter {
    /// None when the numbers began anew.
    fn next(self, number: Option<Number>) -> Option<Self> {
        let step = match (number, self.last) {
            (Some(number), Some(last)) => {
                let step = number.value.wrapping_sub(last) & number.mask();
                // Going back shows as a step of nearly a whole turn.
                if step == 0 || u64::from(step) > u64::from(number.mask()) / 2 {
                    return None;
                }
                u64::from(step)
            }
            (None, None) => 1,
            // Numbers began or ended: another board, or another format.
            _ => return None,
        };
        Some(Self {
            count: self.count + step,
            last: number.map(|number| number.value),
        })
    }
}

/// The running number of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Number {
    /// The number.
    pub value: u32,
    /// Bits after which it begins anew, 1 to 32.
    pub bits: u8,
}

impl Number {
    /// Is it behind another that came before it? Numbers of one board only go forward.
    pub const fn is_before(self, last: u32) -> bool {
        self.value.wrapping_sub(last) & self.mask() > self.mask() / 2
    }

    /// May the number have come round once or more in a pause, so much longer than its steps take?
    fn came_round(self, paused_us: f64, period_us: f64) -> bool {
        let round_us = (f64::from(self.mask()) + 1.0) * period_us;
        let rounds = (paused_us / round_us).round();
        rounds >= 1.0 && (paused_us - rounds * round_us).abs() < ROUND_US
    }

    const fn mask(self) -> u32 {
        u32::MAX
            >> (32
                - if self.bits > 32 {
                    32
                } else if self.bits == 0 {
                    1
                } else {
                    self.bits
                })
    }
}

impl CountedClock {
    /// A clock about which nothing is known yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a reading's number, where it has one, and its arrival; gives its
    /// host time, or none while the rate is being learned. Readings that arrive
    /// together are told with the same arrival.
    pub fn observe(&mut self, number: Option<Number>, arrival: HostTime) -> Option<Stamp> {
        let (next, stamp) = match std::mem::take(&mut self.state) {
            State::Nothing => (State::learning(number, arrival), None),
            State::Learning {
                counter,
                first,
                last,
                sums,
            } => State::learn(counter, first, last, sums, number, arrival),
            State::Following {
                counter,
                period_us,
                fit,
                last_arrival,
                on_time,
                paces,
            } => {
                let times = (last_arrival, on_time);
                State::follow(counter, (period_us, paces), fit, times, number, arrival)
            }
        };
        self.state = next;
        stamp
    }

    /// The rate that was learned, readings per second.
    pub fn rate_hz(&self) -> Option<f64> {
        match &self.state {
            State::Following { period_us, fit, .. } => {
                Some(1e6 / (period_us * (1.0 + fit.slope_error)))
            }
            State::Nothing | State::Learning { .. } => None,
        }
    }
}

impl State {
    fn learning(number: Option<Number>, arrival: HostTime) -> Self {
        let mut sums = Sums::default();
        sums.add(0.0, 0.0);
        Self::Learning {
            counter: Counter {
                count: 0,
                last: number.map(|number| number.value),
            },
            first: arrival,
            last: arrival,
            sums,
        }
    }

    fn learn(
        counter: Counter,
        first: HostTime,
        last: HostTime,
        mut sums: Sums,
        number: Option<Number>,
        arrival: HostTime,
    ) -> (Self, Option<Stamp>) {
        let paused = number.is_none() && arrival.since_us(last) > PAUSE_US;
        let Some(counter) = counter.next(number).filter(|_| !paused) else {
            return (Self::learning(number, arrival), None);
        };
        sums.add(counter.count as f64, arrival.since_us(first) as f64);
        let learned = (arrival.since_us(first) >= LEARN_US && counter.count >= LEARN_READINGS)
            .then(|| sums.slope())
            .flatten();
        let next = match learned {
            Some(period_us) => {
                let memory = if number.is_some() {
                    BUCKETS
                } else {
                    UNNUMBERED_BUCKETS
                };
                // The mean line lies late by the mean delay; the first buckets put that right.
                let device_us = counter.count as f64 * period_us;
                Self::Following {
                    counter,
                    period_us,
                    fit: Box::new(Fit::starting(device_us, arrival, memory)),
                    last_arrival: arrival,
                    on_time: arrival,
                    paces: Paces::default(),
                }
            }
            None => Self::Learning {
                counter,
                first,
                last: arrival,
                sums,
            },
        };
        (next, None)
    }

    fn follow(
        counter: Counter,
        (period_us, mut paces): (f64, Paces),
        mut fit: Box<Fit>,
        (last_arrival, on_time): (HostTime, HostTime),
        number: Option<Number>,
        arrival: HostTime,
    ) -> (Self, Option<Stamp>) {
        let paused = number.is_none() && arrival.since_us(last_arrival) > PAUSE_US;
        let (count, was_late) = (counter.count, on_time < last_arrival);
        // What was learned in three seconds is off by hundredths, which many rounds add up.
        let true_period_us = period_us * (1.0 + fit.slope_error);
        let followed = counter
            .next(number)
            .filter(|_| !paused)
            .and_then(|counter| {
                let at = fit.take(counter.count as f64 * period_us, arrival)?;
                let late_us = arrival.since_us(at);
                let on_time = if late_us.abs() <= ASTRAY_US {
                    arrival
                } else {
                    on_time
                };
                // Only numbers tell that none is missing; once late, some may be.
                let steps_us = (counter.count - count) as f64 * true_period_us;
                let paused_us = arrival.since_us(last_arrival) as f64 - steps_us;
                let goes_on = was_late
                    || (counter.count - count <= GOES_ON
                        && number
                            .is_some_and(|number| !number.came_round(paused_us, true_period_us)));
                let may_be_late = number.is_some()
                    && goes_on
                    && late_us > 0
                    && arrival.since_us(on_time) < LATE_US;
                (on_time == arrival || may_be_late).then_some((counter, at, on_time))
            });
        // At another rate all times would go wrong by more and more.
        let paced_us = followed
            .as_ref()
            .and_then(|(counter, ..)| paces.take(counter.count, arrival, period_us));
        match (followed, paced_us) {
            (Some((counter, ..)), Some(period_us)) => {
                let device_us = counter.count as f64 * period_us;
                (
                    Self::Following {
                        counter,
                        period_us,
                        fit: Box::new(Fit::starting(device_us, arrival, fit.memory)),
                        last_arrival: arrival,
                        on_time: arrival,
                        paces: Paces::default(),
                    },
                    Some(Stamp {
                        at: arrival,
                        restarted: true,
                    }),
                )
            }
            (Some((counter, at, on_time)), None) => (
                Self::Following {
                    counter,
                    period_us,
                    fit,
                    last_arrival: arrival,
                    on_time,
                    paces,
                },
                Some(Stamp {
                    at,
                    restarted: false,
                }),
            ),
            (None, _) => (Self::learning(number, arrival), None),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PERIOD_US: i64 = 10_000;

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
                let number = self.numbered.then(|| Number {
                    value: u32::try_from(i % 256).unwrap(),
                    bits: 8,
                });
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
        let number = |n: i64| {
            Some(Number {
                value: u32::try_from(n % 256).unwrap(),
                bits: 8,
            })
        };
        for n in 0..3_000 {
            // A hold-up melts away while the rate is learned: the readings seem to come faster.
            let late_us = (60_000 - n * 200).max(0);
            clock.observe(number(n), HostTime::from_us(n * PERIOD_US + late_us));
        }
        let first = 3_000 + 512;
        let mut worst_us = 0;
        for n in first..first + 500 {
            let arrival = HostTime::from_us(n * PERIOD_US);
            if let Some(stamp) = clock.observe(number(n), arrival) {
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
}
