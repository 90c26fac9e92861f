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
/// A board that begins anew at a rate that is off its old one by more than this is looked at once more.
const OTHER_RATE: f64 = 0.015;
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
        /// Its period before it began anew, µs.
        known_us: Option<f64>,
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
            State::Nothing => (State::learning(number, arrival, None), None),
            State::Learning {
                counter,
                first,
                last,
                sums,
                known_us,
            } => State::learn(counter, (first, last), sums, known_us, number, arrival),
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
    fn learning(number: Option<Number>, arrival: HostTime, known_us: Option<f64>) -> Self {
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
            known_us,
        }
    }

    fn learn(
        counter: Counter,
        (first, last): (HostTime, HostTime),
        mut sums: Sums,
        known_us: Option<f64>,
        number: Option<Number>,
        arrival: HostTime,
    ) -> (Self, Option<Stamp>) {
        let paused = number.is_none() && arrival.since_us(last) > PAUSE_US;
        let Some(counter) = counter.next(number).filter(|_| !paused) else {
            return (Self::learning(number, arrival, known_us), None);
        };
        sums.add(counter.count as f64, arrival.since_us(first) as f64);
        let learned = (arrival.since_us(first) >= LEARN_US && counter.count >= LEARN_READINGS)
            .then(|| sums.slope())
            .flatten();
        let is_odd = |period_us: f64| {
            known_us.is_some_and(|known_us| (period_us / known_us - 1.0).abs() > OTHER_RATE)
        };
        let next = match learned {
            // Learned in a pause or a backlog, or it measures at another rate: it is looked at once more.
            Some(period_us) if is_odd(period_us) => Self::learning(number, arrival, None),
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
                known_us,
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
            (None, _) => {
                let known_us = Some(true_period_us);
                (Self::learning(number, arrival, known_us), None)
            }
        }
    }
}

#[cfg(test)]
mod tests;
