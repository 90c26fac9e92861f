//! What one wheel showed in the course of a swing.
//!
//! The turn between two rests is integrated from the gyro with the mean of the
//! rest offsets taken before and after it, so that a drifting offset enters
//! only by its curvature. The trail of readings is kept for that until the
//! later rest is there.

use std::collections::VecDeque;

use crate::angle::Angle;
use crate::attitude::Stance;
use crate::frames::{Board, Dir, Rot, Vec3};
use crate::reading::{Motion, Sample};
use crate::rest::{RestMeasure, RestTally};
use crate::stillness::StillnessDetector;
use crate::swing::refusal::Refusal;
use crate::swing::{SteerSource, SwingWheel};
use crate::time::HostTime;
use crate::turn;

/// Longest gap in the readings of a turning wheel that integration may bridge.
const GAP_US: i64 = 300_000;
/// Longest time between two rests: beyond it the gyro's drift rules.
const TURN_LIMIT_S: i64 = 120;
/// A board that sends no rate for so long has no gyro.
const RATELESS_US: i64 = 1_000_000;
/// Bound on the trail: that time at 1 kHz.
const TRAIL_LEN: usize = 120_000;

/// A finished rest of one wheel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct WheelRest {
    pub(crate) measure: RestMeasure,
    /// Board axes at this rest to board axes at the first one; none without gyro.
    pub(crate) to_first: Option<Rot<Board, Board>>,
    /// Board axes now to board axes at the rest before; none at the first and without gyro.
    pub(crate) turn: Option<Rot<Board, Board>>,
    /// Noise of the turn that led here, per axis, one sigma.
    pub(crate) turn_noise: Angle,
    /// Turn-plate reading, + left.
    pub(crate) plate: Option<Angle>,
}

/// What is known of a rest from the moment it counts.
#[derive(Debug, Clone, Copy)]
struct Taken {
    to_first: Option<Rot<Board, Board>>,
    turn: Option<Rot<Board, Board>>,
    turn_noise: Angle,
}

/// Where a spindle points.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Spindle {
    /// From the first rest, + left.
    pub(crate) steer: Angle,
    /// + top out.
    pub(crate) camber: Angle,
}

/// The rest a wheel is in.
#[derive(Debug, Clone)]
struct Resting {
    tally: RestTally,
    /// Set once the rest is long enough to count.
    taken: Option<Taken>,
    plate: Option<Angle>,
}

#[derive(Debug, Clone)]
pub(crate) struct WheelWatch {
    pub(crate) setup: SwingWheel,
    source: SteerSource,
    detector: StillnessDetector,
    resting: Option<Resting>,
    pub(crate) rests: Vec<WheelRest>,
    trail: VecDeque<(HostTime, Vec3<Board>)>,
    /// The readings that led to the present rest, once it is taken.
    turned: Vec<(HostTime, Vec3<Board>)>,
    /// Turn since the last taken rest, by that rest's offset: for the live steer angle only.
    provisional: Rot<Board, Board>,
    last: Option<Sample>,
    /// Since when the board has sent no rate though steer angles are to come from it.
    rateless_since: Option<HostTime>,
}

impl WheelWatch {
    pub(crate) fn new(setup: &SwingWheel, source: SteerSource) -> Self {
        Self {
            setup: setup.clone(),
            source,
            detector: StillnessDetector::new(),
            resting: None,
            rests: Vec::new(),
            trail: VecDeque::new(),
            turned: Vec::new(),
            provisional: Rot::identity(),
            last: None,
            rateless_since: None,
        }
    }

    pub(crate) fn motion(&self) -> Motion {
        self.detector.motion()
    }

    pub(crate) fn last_at(&self) -> Option<HostTime> {
        self.last.map(|s| s.at)
    }

    /// Takes a reading.
    pub(crate) fn observe(&mut self, sample: &Sample) -> Result<(), Refusal> {
        if self.source == SteerSource::Gyro && sample.rate_radps.is_none() {
            let since = *self.rateless_since.get_or_insert(sample.at);
            return if sample.at.since_us(since) > RATELESS_US {
                Err(Refusal::NoGyro {
                    side: self.setup.wheel.side,
                })
            } else {
                Ok(())
            };
        }
        self.rateless_since = None;
        let was_moving = self.detector.motion() == Motion::Moving;
        let motion = self.detector.observe(sample);
        let begun = !self.rests.is_empty();
        if let (SteerSource::Gyro, Some(rate)) = (self.source, sample.rate_radps) {
            self.follow(sample.at, rate, begun, was_moving)?;
        }
        if motion == Motion::Still
            && let Some(resting) = &mut self.resting
        {
            resting.tally.add(sample);
            if resting.taken.is_some() {
                self.trim_trail();
            }
        }
        if !begun && self.resting.is_none() {
            // Before the first rest nothing is integrated; a second is kept
            // because a rest begins a little before it is noticed.
            while self
                .trail
                .front()
                .is_some_and(|(at, _)| sample.at.since_us(*at) > 1_000_000)
            {
                self.trail.pop_front();
            }
        }
        self.last = Some(*sample);
        Ok(())
    }

    /// Keeps the trail and the live turn going.
    fn follow(
        &mut self,
        now: HostTime,
        rate: Vec3<Board>,
        begun: bool,
        was_moving: bool,
    ) -> Result<(), Refusal> {
        let side = self.setup.wheel.side;
        if begun && let Some(last) = self.last {
            let gap_us = now.since_us(last.at);
            if gap_us > GAP_US && was_moving {
                return Err(Refusal::Gap {
                    side,
                    gap_ms: gap_us / 1000,
                });
            }
            self.turn_on(&last, now, rate);
        }
        self.trail.push_back((now, rate));
        if begun && self.resting.is_none() {
            let since = self.rests.last().map_or(now, |rest| rest.measure.to);
            let seconds = now.since_us(since) / 1_000_000;
            if seconds > TURN_LIMIT_S || self.trail.len() > TRAIL_LEN {
                return Err(Refusal::TurnTooLong {
                    side,
                    seconds,
                    limit: TURN_LIMIT_S,
                });
            }
        }
        Ok(())
    }

    /// The wheels rest: begin to collect.
    pub(crate) fn begin_rest(&mut self) {
        if self.resting.is_none() {
            self.resting = Some(Resting {
                tally: RestTally::new(),
                taken: None,
                plate: None,
            });
        }
    }

    /// Is a rest being collected?
    pub(crate) fn is_resting(&self) -> bool {
        self.resting.is_some()
    }

    /// How long the present rest has been collected, µs.
    pub(crate) fn held_us(&self) -> i64 {
        self.resting
            .as_ref()
            .map_or(0, |resting| resting.tally.held_us())
    }

    /// The present rest is long enough: from here on it counts.
    pub(crate) fn take_rest(&mut self) -> Result<(), Refusal> {
        let side = self.setup.wheel.side;
        let Some(measure) = self
            .resting
            .as_ref()
            .and_then(|r| r.tally.measure(&self.setup.wheel.chip))
        else {
            return Ok(());
        };
        if self.rests.is_empty() {
            let wheel = &mut self.setup.wheel;
            let up = Dir::along(measure.accel_g).ok_or(Refusal::NoAxis { side })?;
            wheel.mounting = wheel
                .mounting
                .levelled(side, up)
                .ok_or(Refusal::NoAxis { side })?;
        }
        let taken = match (self.rests.last(), self.source) {
            (None, _) => Taken {
                to_first: Some(Rot::identity()),
                turn: None,
                turn_noise: Angle::ZERO,
            },
            (Some(_), SteerSource::Plates) => Taken {
                to_first: None,
                turn: None,
                turn_noise: Angle::ZERO,
            },
            (Some(before), SteerSource::Gyro) => {
                let between = before.measure.to..=measure.from;
                let turned = self.trail.iter().filter(|(at, _)| between.contains(at));
                self.turned = turned.copied().collect();
                self.turn_to(&measure).ok_or(Refusal::NoGyro { side })?
            }
        };
        if let Some(resting) = &mut self.resting {
            resting.taken = Some(taken);
        }
        self.provisional = Rot::identity();
        self.trim_trail();
        Ok(())
    }

    /// The turn that led to a rest, by the gyro's offset at the rest before and at this one.
    fn turn_to(&self, measure: &RestMeasure) -> Option<Taken> {
        let before = self.rests.last()?;
        let offset = (before.measure.rate_radps? + measure.rate_radps?) * 0.5;
        let turn = turn::integrate(self.turned.iter().copied(), offset);
        Some(Taken {
            to_first: before.to_first.map(|b| turn.then(&b)),
            turn: Some(turn),
            turn_noise: turn::noise(&before.measure, measure, &self.setup.wheel.chip),
        })
    }

    /// The whole length of a rest tells the gyro's offset better than the part
    /// of it by which the rest was taken.
    fn settle_turn(&mut self) {
        let rest = self.present_rest().filter(|rest| rest.turn.is_some());
        let settled = rest.and_then(|rest| self.turn_to(&rest.measure));
        if let (Some(settled), Some(resting)) = (settled, &mut self.resting) {
            resting.taken = Some(settled);
        }
    }

    /// The wheels move again, or the swing ends: closes the present rest.
    /// True when it counted.
    pub(crate) fn end_rest(&mut self) -> bool {
        self.settle_turn();
        let finished = self.present_rest();
        self.resting = None;
        self.rests.extend(finished);
        finished.is_some()
    }

    /// The rest with this number, the present one included once it counts.
    pub(crate) fn rest(&self, index: usize) -> Option<WheelRest> {
        match self.rests.get(index) {
            Some(rest) => Some(*rest),
            None if index == self.rests.len() => self.present_rest(),
            None => None,
        }
    }

    /// Where the plate reading of that rest is kept.
    pub(crate) fn plate_mut(&mut self, index: usize) -> Option<&mut Option<Angle>> {
        if index == self.rests.len() {
            return self
                .resting
                .as_mut()
                .filter(|r| r.taken.is_some())
                .map(|r| &mut r.plate);
        }
        self.rests.get_mut(index).map(|rest| &mut rest.plate)
    }

    fn present_rest(&self) -> Option<WheelRest> {
        let resting = self.resting.as_ref()?;
        let Taken {
            to_first,
            turn,
            turn_noise,
        } = resting.taken?;
        let measure = resting.tally.measure(&self.setup.wheel.chip)?;
        Some(WheelRest {
            measure,
            to_first,
            turn,
            turn_noise,
            plate: resting.plate,
        })
    }

    /// Steer angle now, + left, from the gyro; none without one or before the first rest.
    pub(crate) fn steer(&self) -> Option<Angle> {
        self.turned_since_rest().map(|(now, _)| now.steer)
    }

    /// Where the gyro has the spindle now, and where it had it at the rest before.
    pub(crate) fn turned_since_rest(&self) -> Option<(Spindle, Spindle)> {
        if self.source == SteerSource::Plates {
            return None;
        }
        let base = match self.resting.as_ref().and_then(|r| r.taken) {
            Some(taken) => taken.to_first?,
            None => self.rests.last()?.to_first?,
        };
        Some((
            self.spindle_at(&self.provisional.then(&base))?,
            self.spindle_at(&base)?,
        ))
    }

    /// Steer angle of a rest, + left: entered, or from the gyro.
    pub(crate) fn rest_steer(&self, rest: &WheelRest) -> Option<Angle> {
        match self.source {
            SteerSource::Plates => rest.plate,
            SteerSource::Gyro => self.steer_of(&rest.to_first?),
        }
    }

    /// Steer angle of a rest by the gyro alone, + left.
    pub(crate) fn steer_by_gyro(&self, rest: &WheelRest) -> Option<Angle> {
        self.steer_of(&rest.to_first?)
    }

    /// How far gravity at the present rest is from gravity at the first one.
    pub(crate) fn lean_from_first(&self) -> Option<Angle> {
        let first = Dir::along(self.rests.first()?.measure.accel_g)?;
        let (now, _) = self.detector.window_mean()?;
        Some(first.angle_to(&Dir::along(now)?))
    }

    /// The stance at the first rest.
    pub(crate) fn first_stance(&self) -> Option<Stance> {
        let first = self
            .rests
            .first()
            .map(|rest| rest.measure.accel_g)
            .or_else(|| {
                let resting = self.resting.as_ref()?;
                Some(resting.tally.measure(&self.setup.wheel.chip)?.accel_g)
            })?;
        let wheel = &self.setup.wheel;
        Stance::at_heading(
            wheel.side,
            &wheel.mounting,
            wheel.floor.up(),
            Dir::along(first)?,
            self.setup.toe.value,
        )
    }

    fn steer_of(&self, to_first: &Rot<Board, Board>) -> Option<Angle> {
        self.spindle_at(to_first).map(|spindle| spindle.steer)
    }

    /// Where the spindle points after a turn, by the gyro from the first rest.
    fn spindle_at(&self, to_first: &Rot<Board, Board>) -> Option<Spindle> {
        let wheel = &self.setup.wheel;
        let up = Dir::along(match self.rests.first() {
            Some(first) => first.measure.accel_g,
            None => self.detector.window_mean()?.0,
        })?;
        let to_floor =
            self.first_stance()?
                .board_to_floor(wheel.side, &wheel.mounting, &wheel.floor, up)?;
        let spindle = wheel.mounting.spindle(wheel.side);
        let heading = |direction: Vec3<crate::frames::Floor>| direction.y().atan2(direction.x());
        let then = heading(to_floor.apply(&spindle.vec()));
        let now = to_floor.apply(&to_first.apply(&spindle.vec()));
        Some(Spindle {
            steer: Angle::from_rad(heading(now) - then).wrapped(),
            camber: Angle::from_rad((-now.z()).clamp(-1.0, 1.0).asin()),
        })
    }

    /// Live turn, by the last rest's offset.
    fn turn_on(&mut self, last: &Sample, now: HostTime, rate: Vec3<Board>) {
        let offset = match self.resting.as_ref().filter(|r| r.taken.is_some()) {
            // While a taken rest lasts nothing turns.
            Some(_) => return,
            None => self.rests.last().and_then(|rest| rest.measure.rate_radps),
        };
        if let (Some(offset), Some(before)) = (offset, last.rate_radps) {
            let mean = (before + rate) * 0.5 - offset;
            let step: Rot<Board, Board> = Rot::by_vector(&(mean * now.since_s(last.at)));
            // Board now → board before, then on to the rest.
            self.provisional = step.then(&self.provisional);
        }
    }

    /// Drops what the tally of a taken rest has counted already.
    fn trim_trail(&mut self) {
        let Some(measure) = self
            .resting
            .as_ref()
            .and_then(|r| r.tally.measure(&self.setup.wheel.chip))
        else {
            return;
        };
        while self.trail.front().is_some_and(|(at, _)| *at < measure.to) {
            self.trail.pop_front();
        }
    }
}
