//! The run-out as a state machine that needs no hands: it goes on by what the
//! wheel does.
//!
//! ```text
//! AwaitStill → Hold → Taken → Turning → Hold → Taken … → Done
//! ```
//!
//! Stops may be anywhere; four quarter turns end it by themselves, and so does
//! one slow whole turn that is read while the wheel spins. Until the wheel has
//! been turned on its bearing a stop is only where the last one happened to be:
//! jacking the corner up starts anew without a word.

use crate::angle::Angle;
use crate::frames::{Board, Dir, Vec3};
use crate::levelling::body::StillBody;
use crate::levelling::gathered::Gathered;
use crate::levelling::refusal::RunOutRefusal;
use crate::levelling::result::RunOutResult;
use crate::levelling::step::{Hint, Phase, Progress, RunOutSetup};
use crate::levelling::turned::{Turned, spun, turned};
use crate::reading::{Motion, Sample};
use crate::rest::{RestMeasure, RestTally};
use crate::stillness::StillnessDetector;
use crate::time::HostTime;

/// Rest asked of each stop: long enough that its noise is a few thousandths of
/// a degree with a good chip and a few hundredths with a cheap one.
const HOLD_US: i64 = 1_200_000;
/// A turn on the bearing is at least this.
const LEAST_TURN: Angle = Angle::from_deg(10.0);
/// Gravity that moved by less is the same stop again.
const SAME: Angle = Angle::from_deg(0.1);
/// A turn by this much is read while the wheel spins too, for want of stops.
const LONG_TURN: Angle = Angle::from_deg(150.0);
/// Fewest bins of a spin: slower than four of them to a turn.
const LEAST_BINS: usize = 8;
/// Longest gap in the readings of a turning wheel.
const GAP_US: i64 = 300_000;
/// Longest time without a rest.
const REST_LIMIT_S: i64 = 120;
/// Bound on the readings of a move: that time at 1 kHz.
const TRAIL_LEN: usize = 120_000;

#[derive(Debug, Clone)]
struct Resting {
    tally: RestTally,
    /// Set once it is long enough.
    taken: bool,
}

/// A running run-out of one wheel.
#[derive(Debug, Clone)]
pub struct RunOutProcedure {
    setup: RunOutSetup,
    phase: Phase,
    detector: StillnessDetector,
    body: StillBody,
    resting: Option<Resting>,
    /// Closed stops and what lies between them.
    gathered: Gathered,
    trail: Vec<Sample>,
    last: Option<HostTime>,
    moving_since: Option<HostTime>,
    refusal: Option<RunOutRefusal>,
    result: Option<RunOutResult>,
}

impl RunOutProcedure {
    /// Begins a run-out.
    pub fn start(setup: RunOutSetup) -> Self {
        Self {
            setup,
            phase: Phase::AwaitStill,
            detector: StillnessDetector::new(),
            body: StillBody::default(),
            resting: None,
            gathered: Gathered::default(),
            trail: Vec::new(),
            last: None,
            moving_since: None,
            refusal: None,
            result: None,
        }
    }

    /// The step at hand.
    pub const fn phase(&self) -> Phase {
        self.phase
    }

    /// Is it over, one way or the other?
    pub const fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Done | Phase::Refused)
    }

    /// Why there is no result.
    pub const fn refusal(&self) -> Option<&RunOutRefusal> {
        self.refusal.as_ref()
    }

    /// The result, once done.
    pub const fn result(&self) -> Option<&RunOutResult> {
        self.result.as_ref()
    }

    /// What it was started with.
    pub const fn setup(&self) -> &RunOutSetup {
        &self.setup
    }

    /// Takes a calibrated reading of the wheel's board.
    pub fn sample(&mut self, sample: &Sample) {
        if self.is_over() {
            return;
        }
        self.last = Some(sample.at);
        self.trail.push(*sample);
        let still = self.detector.observe(sample) == Motion::Still;
        match self.phase {
            Phase::AwaitStill | Phase::Turning if still => self.begin_rest(),
            Phase::AwaitStill | Phase::Turning => self.wait(sample.at),
            Phase::Hold | Phase::Taken if !still => self.end_rest(),
            Phase::Hold | Phase::Taken => self.hold(sample),
            Phase::Done | Phase::Refused => {}
        }
    }

    /// Takes a calibrated reading of the body's board.
    pub fn body_sample(&mut self, sample: &Sample) {
        self.body.observe(sample);
    }

    /// The board reads at the end of its range.
    pub fn saturated(&mut self) {
        if self.phase == Phase::Turning && !self.gathered.stops.is_empty() {
            self.refuse(RunOutRefusal::Saturated);
        }
    }

    /// The board is gone. Before the first stop that only means waiting.
    pub fn board_lost(&mut self) {
        if !self.is_over() && !self.gathered.stops.is_empty() {
            self.refuse(RunOutRefusal::BoardLost);
        }
    }

    /// Gives up.
    pub fn cancel(&mut self) {
        if !self.is_over() {
            self.refuse(RunOutRefusal::Cancelled);
        }
    }

    /// Ends with the stops that are there.
    pub fn finish(&mut self) {
        if !self.is_over() {
            self.conclude();
        }
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        let held_us = self
            .resting
            .as_ref()
            .map_or(0, |resting| resting.tally.held_us().min(HOLD_US));
        let so_far = self.so_far();
        Progress {
            held_us,
            hold_needed_us: HOLD_US,
            stops: so_far.stops.len(),
            arc: so_far.arc(&self.setup),
            hint: match self.phase {
                Phase::AwaitStill => Hint::LetRest,
                Phase::Hold => Hint::HoldStill,
                Phase::Turning => Hint::KeepTurning,
                Phase::Taken if so_far.would_do(&self.setup) => Hint::TurnOnOrFinish,
                Phase::Taken => Hint::TurnOn,
                Phase::Done | Phase::Refused => Hint::Finished,
            },
        }
    }

    fn begin_rest(&mut self) {
        self.resting = Some(Resting {
            tally: RestTally::new(),
            taken: false,
        });
        self.body.begin();
        self.moving_since = None;
        self.phase = Phase::Hold;
    }

    fn wait(&mut self, now: HostTime) {
        if self.gathered.stops.is_empty() {
            // Before the first stop nothing is followed.
            let keep = self
                .trail
                .partition_point(|s| now.since_us(s.at) > 1_000_000);
            self.trail.drain(..keep);
        }
        let since = *self.moving_since.get_or_insert(now);
        let seconds = now.since_us(since) / 1_000_000;
        if seconds > REST_LIMIT_S || self.trail.len() > TRAIL_LEN {
            self.refuse(RunOutRefusal::NotStill {
                seconds,
                limit: REST_LIMIT_S,
            });
        }
    }

    fn hold(&mut self, sample: &Sample) {
        let Some(resting) = &mut self.resting else {
            return;
        };
        resting.tally.add(sample);
        if !resting.taken && resting.tally.held_us() >= HOLD_US {
            resting.taken = true;
            self.phase = Phase::Taken;
            self.take();
        } else if resting.taken {
            self.forget_rest_readings();
        }
    }

    /// The move that led here is over: what was it?
    fn take(&mut self) {
        let Some(now) = self.present() else { return };
        let Some(before) = self.gathered.stops.last().copied() else {
            self.forget_rest_readings();
            return;
        };
        let path: &[Sample] = {
            let from = self.trail.partition_point(|s| s.at < before.to);
            let to = self.trail.partition_point(|s| s.at <= now.from);
            &self.trail[from..to.max(from)]
        };
        let moved = turned(path, &before, &now);
        let lean = match (Dir::along(before.accel_g), Dir::along(now.accel_g)) {
            (Some(a), Some(b)) => a.angle_to(&b),
            _ => return self.refuse(RunOutRefusal::NoAxis),
        };
        let gap_us = path
            .windows(2)
            .map(|pair| pair[1].at.since_us(pair[0].at))
            .fold(0, i64::max);
        if gap_us > GAP_US && lean >= SAME {
            return self.refuse(RunOutRefusal::Gap {
                gap_ms: gap_us / 1000,
            });
        }
        if moved.level >= LEAST_TURN {
            if moved.level >= LONG_TURN {
                let bins = spun(path, &self.setup.chip);
                if bins.len() >= LEAST_BINS {
                    self.gathered.spins.push(bins);
                }
            }
            self.gathered.moves.push(moved);
        } else if lean < SAME || self.along_the_axis(&moved) {
            // The same stop once more, or a turn too small to tell: the later rest stands for both.
            self.gathered.stops.pop();
            if let Some(before) = self.gathered.moves.pop() {
                self.gathered.moves.push(before.joined(&moved));
            }
        } else {
            return self.corner_moved(lean);
        }
        self.forget_rest_readings();
        if self.so_far().enough(&self.setup) {
            self.conclude();
        }
    }

    /// A small turn about the same axis as the turns before it.
    fn along_the_axis(&self, moved: &Turned) -> bool {
        let earlier = self.gathered.moves.iter().filter_map(|m| m.vector_rad);
        let sum = earlier.fold(Vec3::<Board>::zero(), |sum, v| sum + v);
        match (Dir::along(sum), moved.vector_rad.and_then(Dir::along)) {
            (Some(axis), Some(turn)) => axis.dot(&turn).abs() > 0.94, // 20°
            _ => false,
        }
    }

    /// Gravity leant without a turn of the wheel: the car was jacked up or let down.
    fn corner_moved(&mut self, lean: Angle) {
        if self.gathered.stops.len() < 2 && self.gathered.spins.is_empty() {
            // Nothing was gathered yet: begin anew with the present rest.
            self.gathered = Gathered::default();
            self.forget_rest_readings();
            return;
        }
        // The rest at hand is of a corner that stands otherwise.
        self.resting = None;
        if self.gathered.would_do(&self.setup) {
            self.conclude();
        } else {
            self.refuse(RunOutRefusal::CornerMoved { found: lean });
        }
    }

    fn end_rest(&mut self) {
        if let Some(stop) = self.present() {
            self.gathered.stops.push(stop);
            let body = self.present_body();
            self.gathered.bodies.extend(body);
        }
        self.resting = None;
        self.body.end();
        self.phase = if self.gathered.stops.is_empty() {
            Phase::AwaitStill
        } else {
            Phase::Turning
        };
    }

    /// The rest at hand, once it counts.
    fn present(&self) -> Option<RestMeasure> {
        let resting = self.resting.as_ref().filter(|resting| resting.taken)?;
        resting.tally.measure(&self.setup.chip)
    }

    /// What is gathered, the present stop included.
    fn so_far(&self) -> Gathered {
        let mut all = self.gathered.clone();
        all.stops.extend(self.present());
        all.bodies.extend(self.present_body());
        all
    }

    fn present_body(&self) -> Option<RestMeasure> {
        let chip = self.setup.body?;
        self.resting.as_ref().filter(|resting| resting.taken)?;
        self.body.measure(&chip)
    }

    /// Drops readings that the tally of the present stop has counted.
    fn forget_rest_readings(&mut self) {
        if let Some(measure) = self.present() {
            let keep = self.trail.partition_point(|s| s.at < measure.to);
            self.trail.drain(..keep);
        }
    }

    fn conclude(&mut self) {
        match self
            .so_far()
            .solve(&self.setup, self.last.unwrap_or_default())
        {
            Ok(result) => {
                self.result = Some(result);
                self.phase = Phase::Done;
            }
            Err(refusal) => self.refuse(refusal),
        }
    }

    fn refuse(&mut self, refusal: RunOutRefusal) {
        self.refusal = Some(refusal);
        self.phase = Phase::Refused;
    }
}
