//! The guided reversal: a rest, half a turn, a rest, on top of the calibration in force.

use crate::angle::Angle;
use crate::calibration::Calibration;
use crate::chip::{ChipFigures, SettledAxis};
use crate::frames::{Board, Dir, Rot, Vec3};
use crate::reading::{Motion, RawSample, Sample};
use crate::rest::RestTally;
use crate::stillness::StillnessDetector;
use crate::time::HostTime;
use crate::turn::integrate;

use super::collect::{HOLD_US, Warming};
use super::gate::Gate;
use super::pose::Pose;
use super::procedure::{Ended, Hint, Hold, Phase};
use super::reversal::{NotReversed, Reversal, ReversalSetup, TurnSeen};

/// How truly a board stands on the same edge at the same place of a flat table
/// the second time: 10 µm of dirt under a board of 20 mm (common practice, no source).
pub const SEAT: Angle = Angle::from_deg(0.03);
/// Farther than this from half a turn is another turn: a raw gyro's scale is off by
/// 3 % of 180°, and a hand by some degrees.
const TURN_WITHIN: Angle = Angle::from_deg(20.0);
/// An offset beyond so many sigmas of what was claimed was not left by chance.
const SURPRISING_SIGMAS: f64 = 3.0;
/// Nothing is known of a turn across a longer gap than this, µs.
const LONGEST_GAP_US: i64 = 100_000;

/// How the turn was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TurnEvidence {
    /// Gravity itself changed.
    Gravity,
    /// The gyro felt it.
    Gyro,
    /// Nothing but motion between the two rests was seen: the board has no gyro,
    /// or it was turned faster than its gyro can tell.
    MotionOnly,
}

/// What a reversal found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReversalResult {
    /// Offset and evidence.
    pub reversal: Reversal,
    /// How the turn was seen.
    pub seen: TurnEvidence,
    /// The calibration in force with that offset taken out.
    pub calibration: Calibration,
    /// What is known of the offset along the axis now.
    pub settled: SettledAxis,
    /// One sigma that the calibration in force had along it, g.
    pub before_g: f64,
    /// Temperature over the two rests, °C.
    pub temperature_c: Option<f64>,
}

impl ReversalResult {
    /// Is the offset known better by it than before?
    pub fn is_gain(&self) -> bool {
        self.settled.offset_g < self.before_g || self.is_more_than_was_left()
    }

    /// Was more found than the calibration in force can have left? Then the offset
    /// has moved, or the chip's axes are turned in its case, which poses cannot
    /// show: what they leak into this one counts as its offset here, and holds
    /// for the way up in which the board stood.
    pub fn is_more_than_was_left(&self) -> bool {
        let expected_g = self.before_g.hypot(self.settled.offset_g);
        self.reversal.offset_g.abs() > SURPRISING_SIGMAS * expected_g
    }
}

#[derive(Debug, Clone, Copy)]
enum Step {
    First,
    Leave { first: Pose },
    Second { first: Pose },
}

/// A reversal while it is done.
#[derive(Debug, Clone)]
pub struct ReversalProcedure {
    setup: ReversalSetup,
    in_force: Calibration,
    chip: ChipFigures,
    hold_us: i64,
    gate: Gate,
    stillness: StillnessDetector,
    tally: RestTally,
    warmth: Warming,
    motion: Motion,
    step: Step,
    turn: FeltTurn,
    end: Option<Result<ReversalResult, Ended>>,
}

impl ReversalProcedure {
    /// Begins. `chip` are the figures of the board as it is now, by `in_force`.
    pub fn start(
        sensing: Dir<Board>,
        about: Dir<Board>,
        in_force: Calibration,
        chip: ChipFigures,
    ) -> Result<Self, NotReversed> {
        Ok(Self {
            setup: ReversalSetup::new(sensing, about, SEAT)?,
            in_force,
            chip,
            hold_us: HOLD_US,
            gate: Gate::new(&chip),
            stillness: StillnessDetector::new(),
            tally: RestTally::new(),
            warmth: Warming::default(),
            motion: Motion::Unknown,
            step: Step::First,
            turn: FeltTurn::default(),
            end: None,
        })
    }

    /// The axis whose offset is wanted.
    pub const fn sensing(&self) -> Dir<Board> {
        self.setup.sensing()
    }

    /// The axis the board is turned about.
    pub const fn about(&self) -> Dir<Board> {
        self.setup.about()
    }

    /// Takes one reading, not calibrated.
    pub fn observe(&mut self, raw: &RawSample) {
        if self.end.is_some() {
            return;
        }
        if self.gate.admit(raw).is_err() {
            self.turn.lose_sight();
            self.motion = Motion::Moving;
            self.begin();
            return;
        }
        let sample = self.in_force.apply(raw);
        self.turn.feel(&sample);
        self.motion = self.stillness.observe(&sample);
        if self.motion == Motion::Still {
            self.rest(&sample);
        } else {
            self.begin();
            if let (Motion::Moving, Step::Leave { first }) = (self.motion, self.step) {
                self.step = Step::Second { first };
            }
        }
    }

    /// Ends without a result, unless there is one.
    pub fn end(&mut self, why: Ended) {
        self.end.get_or_insert(Err(why));
    }

    /// The step at hand.
    pub fn phase(&self) -> Phase {
        match (&self.end, self.step, self.motion) {
            (Some(Ok(_)), ..) => Phase::Solved,
            (Some(Err(_)), ..) => Phase::Ended,
            (None, Step::Leave { .. }, _) => Phase::Taken,
            (None, Step::First | Step::Second { .. }, Motion::Still) => Phase::Hold,
            (None, Step::First | Step::Second { .. }, _) => Phase::Lay,
        }
    }

    /// What to do now.
    pub fn hint(&self) -> Hint {
        match (self.phase(), self.step) {
            (Phase::Solved | Phase::Ended, _) => Hint::Finished,
            (Phase::Hold, _) => Hint::HoldStill,
            (_, Step::First) => Hint::StandFirst,
            (_, Step::Leave { .. } | Step::Second { .. }) => Hint::TurnOver,
        }
    }

    /// How far the hold is.
    pub fn hold(&self) -> Hold {
        Hold {
            held_us: self.tally.held_us(),
            needed_us: self.hold_us,
        }
    }

    /// Rests taken: none, one, or both.
    pub const fn rests(&self) -> usize {
        match (&self.end, self.step) {
            (Some(Ok(_)), _) => 2,
            (_, Step::First) => 0,
            (_, Step::Leave { .. } | Step::Second { .. }) => 1,
        }
    }

    /// Result, or why there is none; nothing while it is under way.
    pub fn outcome(&self) -> Option<Result<&ReversalResult, Ended>> {
        self.end
            .as_ref()
            .map(|end| end.as_ref().map_err(|ended| *ended))
    }

    fn begin(&mut self) {
        self.tally = RestTally::new();
        self.warmth = Warming::default();
    }

    fn rest(&mut self, sample: &Sample) {
        if matches!(self.step, Step::Leave { .. }) {
            return;
        }
        self.tally.add(sample);
        self.warmth.add(sample);
        if self.tally.held_us() < self.hold_us {
            return;
        }
        let Some(rest) = self.tally.measure(&self.chip) else {
            return;
        };
        let pose = Pose::from_rest(&rest, self.warmth.mean_c());
        self.begin();
        match self.step {
            Step::First => {
                self.turn = FeltTurn::from_rest(pose.rate_radps);
                self.step = Step::Leave { first: pose };
            }
            Step::Second { first } => self.end = Some(self.judge(&first, &pose)),
            Step::Leave { .. } => {}
        }
    }

    fn judge(&self, first: &Pose, second: &Pose) -> Result<ReversalResult, Ended> {
        if let Some(felt) = self.turn.felt() {
            let half = Rot::by_vector(&(self.about().vec() * std::f64::consts::PI));
            let off = Angle::from_rad(felt.inverse().then(&half).to_vector().norm());
            if off > TURN_WITHIN {
                return Err(Ended::NotTurned { off });
            }
        }
        let reversal = Reversal::between(&self.setup, first, second)?;
        let seen = match (reversal.turn, self.turn.felt()) {
            (TurnSeen::ByGravity, _) => TurnEvidence::Gravity,
            (TurnSeen::Unseen, Some(_)) => TurnEvidence::Gyro,
            (TurnSeen::Unseen, None) => TurnEvidence::MotionOnly,
        };
        Ok(ReversalResult {
            calibration: reversal.corrected(&self.in_force)?,
            settled: reversal.settled(),
            before_g: self.chip.accel_offset_g,
            temperature_c: first
                .temperature_c
                .zip(second.temperature_c)
                .map(|(a, b)| f64::midpoint(a, b)),
            reversal,
            seen,
        })
    }
}

/// The turn since the first rest, by the gyro.
#[derive(Debug, Clone, Default)]
struct FeltTurn {
    offset: Option<Vec3<Board>>,
    turn: Option<Rot<Board, Board>>,
    last: Option<(HostTime, Vec3<Board>)>,
}

impl FeltTurn {
    fn from_rest(offset: Option<Vec3<Board>>) -> Self {
        Self {
            offset,
            turn: offset.map(|_| Rot::identity()),
            last: None,
        }
    }

    fn feel(&mut self, sample: &Sample) {
        let (Some(offset), Some(turn)) = (self.offset, self.turn) else {
            return;
        };
        let Some(rate) = sample.rate_radps else {
            self.lose_sight();
            return;
        };
        if let Some(last) = self.last {
            if sample.at.since_us(last.0) > LONGEST_GAP_US {
                self.lose_sight();
                return;
            }
            let step = integrate([last, (sample.at, rate)].into_iter(), offset);
            self.turn = Some(step.then(&turn));
        }
        self.last = Some((sample.at, rate));
    }

    fn lose_sight(&mut self) {
        self.turn = None;
    }

    const fn felt(&self) -> Option<Rot<Board, Board>> {
        self.turn
    }
}
