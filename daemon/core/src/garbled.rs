//! Did numbers change on their way?
//!
//! A line of text has no check sum. A bit that changes in it mostly makes a line that nobody can
//! read, which the decoder counts; now and then it makes another number. What a board measures goes
//! on from reading to reading, so such a number stands alone: it leaps away from the one before, and
//! the next one is back. A reading that leaps is therefore set aside until the next has come. If
//! that leaps too and agrees with it, the board was moved, and nothing is lost but one reading; if it
//! agrees with the one before, the one set aside was wrong.
//!
//! A board that is carried or struck leaps too, and there each reading counts. So nothing is set aside on
//! a line of which all could be read lately: changed bits mostly make lines that nobody can read, and
//! a number that changed before the first of those is one off among many.
//!
//! One by one such readings are left out and nothing else happens. Where several of them came within
//! half a second, and lines that could not be read at all among them, others must have changed by less
//! than a leap. Then nothing of it is used.

use crate::frames::{Board, Vec3};
use crate::reading::RawSample;
use crate::time::HostTime;

/// A leap of the specific force, g: one such reading among those of half a second turns their mean by
/// a twentieth of a degree, less than its uncertainty says.
const LEAP_G: f64 = 0.05;
/// A leap of the rate, rad/s: for the time of a reading at 100 Hz that is a twentieth of a degree.
const LEAP_RADPS: f64 = 0.1;
/// Readings further apart than this need not go on from each other, µs.
const APART_US: i64 = 100_000;
/// Readings that leap, set aside one after the other at most: a board that is shaken leaps always.
const ASIDE: u32 = 2;
/// So many of each within [`WITHIN_US`] tell a line whose numbers cannot be relied on.
const SIGNS: usize = 2;
/// A recovery within two seconds leaves half of one for looking back, µs.
const WITHIN_US: i64 = 500_000;

/// So long after a line that could not be read, numbers of others are doubted, µs.
const DOUBT_US: i64 = 5_000_000;

/// What a reading is good for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judged {
    /// It goes on from the one before.
    Sound,
    /// It leaps, and the next one tells why. It is not used.
    Aside,
    /// It may be right, and others of this line are not. It is not used.
    Garbled,
}

/// Watches the readings of one board whose format has no check sum.
#[derive(Debug, Clone, Default)]
pub struct GarbleWatch {
    last: Option<RawSample>,
    aside: Option<RawSample>,
    set_aside: u32,
    leaps: Signs,
    refused: Signs,
    doubted_since: Option<HostTime>,
}

/// When something last happened, oldest first.
#[derive(Debug, Clone, Copy, Default)]
struct Signs([Option<HostTime>; SIGNS]);

impl Signs {
    fn note(&mut self, at: HostTime) {
        self.0.rotate_left(1);
        self.0[SIGNS - 1] = Some(at);
    }

    fn are_many(&self, now: HostTime) -> bool {
        self.0[0].is_some_and(|first| now.since_us(first) < WITHIN_US)
    }
}

impl GarbleWatch {
    /// Something arrived by `at` that could not be read.
    pub fn refused(&mut self, at: HostTime) {
        self.refused.note(at);
        self.doubted_since = Some(at);
    }

    /// Judges a reading as it was sent; times go forward.
    pub fn observe(&mut self, raw: &RawSample) -> Judged {
        let since_us = self.doubted_since.map(|since| raw.at.since_us(since));
        if since_us.is_none_or(|since_us| since_us > DOUBT_US) {
            self.aside = None;
            self.set_aside = 0;
            self.last = Some(*raw);
            return Judged::Sound;
        }
        let judged = self.judge(raw);
        if self.leaps.are_many(raw.at) && self.refused.are_many(raw.at) {
            return Judged::Garbled;
        }
        judged
    }

    fn judge(&mut self, raw: &RawSample) -> Judged {
        let goes_on = |from: &Option<RawSample>| from.is_none_or(|from| !leaps(&from, raw));
        if let Some(aside) = self.aside.take() {
            if goes_on(&self.last) {
                // The one between was alone.
                self.leaps.note(aside.at);
            } else if !goes_on(&Some(aside)) && self.set_aside < ASIDE {
                return self.set_aside(raw);
            }
        } else if !goes_on(&self.last) {
            return self.set_aside(raw);
        }
        self.set_aside = 0;
        self.last = Some(*raw);
        Judged::Sound
    }

    const fn set_aside(&mut self, raw: &RawSample) -> Judged {
        self.set_aside += 1;
        self.aside = Some(*raw);
        Judged::Aside
    }
}

fn leaps(from: &RawSample, to: &RawSample) -> bool {
    let far = |a: Vec3<Board>, b: Vec3<Board>, leap: f64| (b - a).max_abs() > leap;
    let rates = from.rate_radps.zip(to.rate_radps);
    to.at.since_us(from.at) <= APART_US
        && (far(from.accel_g, to.accel_g, LEAP_G)
            || rates.is_some_and(|(from, to)| far(from, to, LEAP_RADPS)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A reading at 100 Hz of a board that lies still but for what is added to its first axes.
    fn reading(n: i64, force_g: f64, rate_radps: f64) -> RawSample {
        RawSample {
            at: HostTime::from_us(n * 10_000),
            accel_g: Vec3::new(force_g, 0.0, 1.0),
            rate_radps: Some(Vec3::new(rate_radps, 0.0, 0.0)),
            temperature_c: None,
        }
    }

    /// What is said of each of 300 readings; those of which `refused` says so could not be read.
    fn judged(
        values: impl Fn(i64) -> (f64, f64),
        refused: impl Fn(i64) -> bool,
    ) -> Vec<Option<Judged>> {
        let mut watch = GarbleWatch::default();
        (0..300)
            .map(|n| {
                if refused(n) {
                    watch.refused(HostTime::from_us(n * 10_000));
                    return None;
                }
                let (force_g, rate_radps) = values(n);
                Some(watch.observe(&reading(n, force_g, rate_radps)))
            })
            .collect()
    }

    fn count(judged: &[Option<Judged>], of: Judged) -> usize {
        judged.iter().filter(|said| **said == Some(of)).count()
    }

    const NEVER: fn(i64) -> bool = |_| false;
    /// Once before all of them: from then on leaps are looked at.
    const ONCE: fn(i64) -> bool = |n| n == 0;

    #[test]
    fn a_number_that_stands_alone_is_left_out_and_nothing_else() {
        for alone in [(0.8, 0.0), (0.0, 3.0), (0.06, 0.0), (0.0, -0.2)] {
            let values = |n| if n == 100 { alone } else { (0.0, 0.0) };
            let said = judged(values, ONCE);
            assert_eq!(said[100], Some(Judged::Aside), "{alone:?}");
            assert_eq!(count(&said, Judged::Sound), 298, "{alone:?}");
            // A line that was always read has the benefit of the doubt.
            assert_eq!(
                count(&judged(values, NEVER), Judged::Sound),
                300,
                "{alone:?}"
            );
        }
    }

    #[test]
    fn a_blow_costs_one_reading_and_swings_cost_none() {
        let blow = judged(|n| if n < 100 { (0.0, 0.0) } else { (0.5, 1.0) }, ONCE);
        assert_eq!(count(&blow, Judged::Aside), 1);
        // 60° to and fro a second: faster than a wheel is steered.
        let swing = judged(
            |n| (0.2 * (n as f64 * 0.06).sin(), (n as f64 * 0.06).cos()),
            ONCE,
        );
        assert_eq!(count(&swing, Judged::Sound), 299);
    }

    /// Shaken as hard as may be, and lines that are no readings between, of a board that says this and that.
    #[test]
    fn shaking_is_not_taken_for_changed_numbers() {
        let hash = |n: i64| (n.wrapping_mul(7_919).rem_euclid(1000)) as f64 / 500.0 - 1.0;
        let shaking = |n| (hash(n), 3.0 * hash(n + 500));
        assert_eq!(count(&judged(shaking, NEVER), Judged::Sound), 300);
        let shaken = judged(shaking, ONCE);
        assert_eq!(count(&shaken, Judged::Garbled), 0);
        assert!(
            count(&shaken, Judged::Sound) >= 100,
            "{}",
            count(&shaken, Judged::Sound)
        );
        let chatty = judged(|n| (0.0, 0.5 * (n as f64 * 0.06).cos()), |n| n % 2 == 0);
        assert_eq!(count(&chatty, Judged::Sound), 150);
    }

    #[test]
    fn a_line_that_changes_many_numbers_is_not_believed_and_is_again_half_a_second_later() {
        // From 1 s to 2 s every third line cannot be read, and every fifth number is another.
        let bad = |n: i64| (100..200).contains(&n);
        let values = |n| {
            if bad(n) && n % 5 == 0 {
                (0.0, 1.0)
            } else {
                (0.0, 0.0)
            }
        };
        let said = judged(values, |n| bad(n) && n % 3 == 0);
        assert_eq!(count(&said[..100], Judged::Sound), 100);
        assert_eq!(count(&said[120..200], Judged::Sound), 0);
        assert_eq!(count(&said[250..], Judged::Sound), 50);
    }

    #[test]
    fn readings_far_apart_need_not_go_on_from_each_other() {
        let mut watch = GarbleWatch::default();
        assert_eq!(watch.observe(&reading(0, 0.0, 0.0)), Judged::Sound);
        assert_eq!(watch.observe(&reading(20, 0.5, 1.0)), Judged::Sound);
    }
}
