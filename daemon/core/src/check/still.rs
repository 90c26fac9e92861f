//! One board's stops, and how it was turned between them.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Rot};
use crate::reading::{Motion, Sample};
use crate::rest::{RestMeasure, RestTally};
use crate::stillness::StillnessDetector;
use crate::time::HostTime;
use crate::turn;

/// Longest gap in the readings of a turning board that integration may bridge.
const GAP_US: i64 = 300_000;
/// Longest time between two stops over which the gyro is followed.
pub(super) const FOLLOW_LIMIT_S: i64 = 120;
/// Bound on the readings of a move: that time at 1 kHz.
const TRAIL_LEN: usize = 120_000;

/// How a board was turned between two stops, by its gyro.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Moved {
    /// Board axes now to board axes at the stop before, noise per axis, and all turning added up.
    Turned {
        to_before: Rot<Board, Board>,
        noise: Angle,
        gross: Angle,
    },
    /// It has no gyro.
    NoGyro,
    /// Readings were missing for so many µs.
    Gap(i64),
    /// It lasted so many seconds.
    TooLong(i64),
}

/// A stop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct StillStop {
    pub(super) measure: RestMeasure,
    /// None at the first.
    pub(super) moved: Option<Moved>,
}

/// What a reading brought about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Seen {
    /// Nothing new.
    Same,
    /// It rests long enough now.
    Stop(StillStop),
    /// It left a rest, which had been taken or not.
    Left,
}

/// Follows one board from stop to stop.
#[derive(Debug, Clone)]
pub(super) struct StillWatch {
    chip: ChipFigures,
    hold_us: i64,
    detector: StillnessDetector,
    resting: Option<(RestTally, bool)>,
    before: Option<RestMeasure>,
    trail: Vec<Sample>,
    moving_since: Option<HostTime>,
    last: Option<HostTime>,
}

impl StillWatch {
    pub(super) fn new(chip: ChipFigures, hold_us: i64) -> Self {
        Self {
            chip,
            hold_us,
            detector: StillnessDetector::new(),
            resting: None,
            before: None,
            trail: Vec::new(),
            moving_since: None,
            last: None,
        }
    }

    pub(super) const fn hold_us(&self) -> i64 {
        self.hold_us
    }

    pub(super) fn held_us(&self) -> i64 {
        let held = |(tally, _): &(RestTally, bool)| tally.held_us().min(self.hold_us);
        self.resting.as_ref().map_or(0, held)
    }

    /// Does a rest last that is not taken yet?
    pub(super) fn is_holding(&self) -> bool {
        self.resting.as_ref().is_some_and(|(_, taken)| !taken)
    }

    /// Seconds without a rest.
    pub(super) fn moving_s(&self) -> i64 {
        match (self.moving_since, self.last) {
            (Some(since), Some(now)) => now.since_us(since) / 1_000_000,
            _ => 0,
        }
    }

    /// Is it in motion, by its last reading?
    pub(super) const fn is_moving(&self) -> bool {
        self.moving_since.is_some()
    }

    /// The rest that lasts is begun anew.
    pub(super) fn begin_anew(&mut self) {
        self.resting = None;
    }

    /// The stop just seen counts: the next move begins there.
    pub(super) fn keep(&mut self, stop: &StillStop) {
        let from = self.trail.partition_point(|s| s.at < stop.measure.to);
        self.trail.drain(..from);
        self.before = Some(stop.measure);
    }

    pub(super) fn observe(&mut self, sample: &Sample) -> Seen {
        self.last = Some(sample.at);
        self.follow(sample);
        if self.detector.observe(sample) != Motion::Still {
            self.moving_since.get_or_insert(sample.at);
            return match self.resting.take() {
                Some(_) => Seen::Left,
                None => Seen::Same,
            };
        }
        self.moving_since = None;
        let (tally, taken) = self.resting.get_or_insert((RestTally::new(), false));
        tally.add(sample);
        if *taken || tally.held_us() < self.hold_us {
            return Seen::Same;
        }
        let Some(measure) = tally.measure(&self.chip) else {
            return Seen::Same;
        };
        *taken = true;
        Seen::Stop(StillStop {
            measure,
            moved: self.before.map(|before| self.moved(&before, &measure)),
        })
    }

    fn follow(&mut self, sample: &Sample) {
        self.trail.push(*sample);
        match self.before {
            None => {
                // Before the first stop nothing is followed; a rest begins a
                // little before it is noticed.
                let old = |s: &Sample| sample.at.since_us(s.at) > 1_000_000;
                let keep = self.trail.partition_point(old);
                self.trail.drain(..keep);
            }
            Some(_) if self.trail.len() > TRAIL_LEN => {
                // Too long anyway: `moved` says so by the time, not by the trail.
                self.trail.drain(..TRAIL_LEN / 2);
            }
            Some(_) => {}
        }
    }

    fn moved(&self, before: &RestMeasure, now: &RestMeasure) -> Moved {
        let seconds = now.from.since_us(before.to) / 1_000_000;
        let (Some(then), Some(here)) = (before.rate_radps, now.rate_radps) else {
            return Moved::NoGyro;
        };
        if seconds > FOLLOW_LIMIT_S {
            return Moved::TooLong(seconds);
        }
        let from = self.trail.partition_point(|s| s.at < before.to);
        let to = self.trail.partition_point(|s| s.at <= now.from);
        let path = &self.trail[from..to.max(from)];
        let gaps = path.windows(2).map(|pair| pair[1].at.since_us(pair[0].at));
        let gap_us = gaps.fold(0, i64::max);
        if gap_us > GAP_US || path.is_empty() {
            return Moved::Gap(gap_us);
        }
        let offset = (then + here) * 0.5;
        let mut rates = Vec::with_capacity(path.len());
        for sample in path {
            match sample.rate_radps {
                Some(rate) => rates.push((sample.at, rate)),
                None => return Moved::NoGyro,
            }
        }
        let gross = rates
            .windows(2)
            .map(|pair| {
                let mean = (pair[0].1 + pair[1].1) * 0.5 - offset;
                mean.norm() * pair[1].0.since_s(pair[0].0)
            })
            .sum();
        Moved::Turned {
            to_before: turn::integrate(rates.into_iter(), offset),
            noise: turn::noise(before, now, &self.chip),
            gross: Angle::from_rad(gross),
        }
    }
}
