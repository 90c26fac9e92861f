//! The swing as a state machine that needs no hands: it goes on by what the
//! wheels do.
//!
//! ```text
//! AwaitStraight → HoldStraight → AwaitTurn → Turning ⇄ HoldStop → StopTaken → Turning …
//!                                              Turning → HoldReturn → (AwaitPlates →) Done
//! ```
//!
//! Any number of stops to either side, unequal ones welcome; the swing ends by
//! itself when the wheels rest straight ahead again after a stop to each side.
//! A rest that is broken off before it is long enough is forgotten.

mod recorded;

use crate::angle::Angle;
use crate::reading::{Motion, Sample};
use crate::side::Side;
use crate::swing::body::{BodyGivenUp, BodyUse, BodyWatch};
use crate::swing::gather::{candidate, rest_wheel, session, whereabouts};
use crate::swing::outcome::{Candidate, Difference, LEAST_STEER, WheelOutcome, outcome};
use crate::swing::refusal::Refusal;
use crate::swing::step::{Hint, Phase, PlateError, Progress, Rest, StartError};
use crate::swing::watch::WheelWatch;
use crate::swing::{SteerSource, SwingSetup};
use crate::time::HostTime;

/// Within this of the first rest the wheels are straight ahead again.
const STRAIGHT: Angle = Angle::from_deg(2.0);
/// Without a gyro: gravity in the hub is back within this.
const STRAIGHT_LEAN: Angle = Angle::from_deg(0.2);
/// A plate reading beyond this is a slip of the finger; no car steers so far.
const PLATE_LIMIT: Angle = Angle::from_deg(60.0);

const LEAST_HOLD_US: i64 = 500_000;

/// A running swing.
#[derive(Debug, Clone)]
pub struct SwingProcedure {
    setup: SwingSetup,
    watches: Vec<WheelWatch>,
    body: Option<BodyWatch>,
    phase: Phase,
    /// Straight ahead, or a stop, of the rests taken so far.
    straight: Vec<bool>,
    refusal: Option<Refusal>,
    outcome: Vec<Result<WheelOutcome, Refusal>>,
    differences: Vec<Difference>,
}

impl SwingProcedure {
    /// Begins a swing.
    pub fn start(setup: SwingSetup) -> Result<Self, StartError> {
        let sides: Vec<Side> = setup.wheels.iter().map(|w| w.wheel.side).collect();
        if sides.is_empty() || sides.len() > 2 || (sides.len() == 2 && sides[0] == sides[1]) {
            return Err(StartError::Wheels { found: sides.len() });
        }
        if setup.hold_us < LEAST_HOLD_US {
            return Err(StartError::Hold {
                hold_us: setup.hold_us,
                least_us: LEAST_HOLD_US,
            });
        }
        let watches = setup
            .wheels
            .iter()
            .map(|w| WheelWatch::new(w, setup.steer_source))
            .collect();
        let body = setup.body_board.as_ref().map(BodyWatch::new);
        Ok(Self {
            setup,
            watches,
            body,
            phase: Phase::AwaitStraight,
            straight: Vec::new(),
            refusal: None,
            outcome: Vec::new(),
            differences: Vec::new(),
        })
    }

    /// The step at hand.
    pub const fn phase(&self) -> Phase {
        self.phase
    }

    /// Is it over, one way or the other?
    pub const fn is_over(&self) -> bool {
        matches!(self.phase, Phase::Done | Phase::Refused)
    }

    /// Why the whole swing was refused.
    pub const fn refusal(&self) -> Option<&Refusal> {
        self.refusal.as_ref()
    }

    /// What was found out about each wheel, once done.
    pub fn outcome(&self) -> &[Result<WheelOutcome, Refusal>] {
        &self.outcome
    }

    /// Left less right, once both are known.
    pub fn differences(&self) -> &[Difference] {
        &self.differences
    }

    /// What it was started with.
    pub const fn setup(&self) -> &SwingSetup {
        &self.setup
    }

    /// Takes a calibrated reading of one wheel's board. Readings of wheels
    /// that take no part are passed over.
    pub fn sample(&mut self, side: Side, sample: &Sample) {
        if self.is_over() || self.phase == Phase::AwaitPlates {
            return;
        }
        let Some(watch) = self.watches.iter_mut().find(|w| w.setup.wheel.side == side) else {
            return;
        };
        match watch.observe(sample) {
            Ok(()) => self.step(sample.at),
            Err(refusal) => self.refuse(refusal),
        }
    }

    /// Takes a calibrated reading of the body's board.
    pub fn body_sample(&mut self, sample: &Sample) {
        if let Some(body) = &mut self.body
            && !matches!(
                self.phase,
                Phase::Done | Phase::Refused | Phase::AwaitPlates
            )
        {
            body.observe(sample);
        }
    }

    /// The body's board is gone: the swing goes on without it. Before the
    /// first rest is taken that only means waiting.
    pub fn body_lost(&mut self) {
        self.give_body_up(BodyGivenUp::Lost);
    }

    /// The body's board reads at the end of its range.
    pub fn body_saturated(&mut self) {
        self.give_body_up(BodyGivenUp::Saturated);
    }

    /// What the body board does.
    pub fn body(&self) -> BodyUse {
        self.body.as_ref().map_or(BodyUse::None, BodyWatch::state)
    }

    fn give_body_up(&mut self, why: BodyGivenUp) {
        let begun = !self.straight.is_empty() && self.phase != Phase::AwaitPlates;
        if let Some(body) = self.body.as_mut().filter(|_| begun)
            && !matches!(self.phase, Phase::Done | Phase::Refused)
        {
            body.give_up(why);
        }
    }

    /// A wheel's board reads at the end of its range.
    pub fn saturated(&mut self, side: Side) {
        let turning = self.phase == Phase::Turning;
        if turning && self.watches.iter().any(|w| w.setup.wheel.side == side) {
            self.refuse(Refusal::Saturated { side });
        }
    }

    /// A wheel's board is gone. Before the first rest is taken that only
    /// means waiting.
    pub fn board_lost(&mut self, side: Side) {
        let begun = !matches!(
            self.phase,
            Phase::AwaitStraight | Phase::HoldStraight | Phase::AwaitPlates
        );
        if begun && !self.is_over() && self.watches.iter().any(|w| w.setup.wheel.side == side) {
            self.refuse(Refusal::BoardLost { side });
        }
    }

    /// A wheel's board gives readings that are not fit to be used, which the refusal tells. Before
    /// the first rest is taken that only means waiting.
    pub fn unfit(&mut self, side: Side, refusal: Refusal) {
        let begun = !self.straight.is_empty() && self.phase != Phase::AwaitPlates;
        if begun && !self.is_over() && self.watches.iter().any(|w| w.setup.wheel.side == side) {
            self.refuse(refusal);
        }
    }

    /// Gives up.
    pub fn cancel(&mut self) {
        if !self.is_over() {
            self.refuse(Refusal::Cancelled);
        }
    }

    /// Enters a turn-plate reading, + left, zero at the first straight-ahead rest.
    pub fn enter_plate(&mut self, rest: usize, side: Side, plate: Angle) -> Result<(), PlateError> {
        if self.setup.steer_source != SteerSource::Plates {
            return Err(PlateError::NotAsked);
        }
        if self.is_over() {
            return Err(PlateError::Over);
        }
        if plate.rad().is_nan() || plate.abs() > PLATE_LIMIT {
            return Err(PlateError::TooFar {
                given_deg: plate.deg(),
            });
        }
        let taken = self.straight.len();
        let watch = self
            .watches
            .iter_mut()
            .find(|w| w.setup.wheel.side == side)
            .ok_or(PlateError::NoSuchWheel { side })?;
        // The rest that still lasts is not in the list yet.
        let entry = watch
            .plate_mut(rest)
            .ok_or(PlateError::NoSuchRest { rest, taken })?;
        *entry = Some(plate);
        // Without a gyro a hub that rolled does not look straight ahead any
        // more; the plate knows better.
        let stops = self.straight.iter().filter(|straight| !**straight).count();
        if self.phase == Phase::StopTaken
            && rest + 1 == taken
            && stops > 2
            && plate.abs() < STRAIGHT
        {
            self.straight[rest] = true;
            self.end_rest();
            self.phase = Phase::AwaitPlates;
        }
        if self.phase == Phase::AwaitPlates && self.plates_complete() {
            self.finish();
        }
        Ok(())
    }

    /// How far the present step is.
    pub fn progress(&self) -> Progress {
        Progress {
            held_us: self
                .watches
                .iter()
                .map(WheelWatch::held_us)
                .min()
                .unwrap_or(0)
                .min(self.setup.hold_us),
            hold_needed_us: self.setup.hold_us,
            steer: self.steer(),
            wheels: [0, 1].map(|n| whereabouts(self.watches.get(n)?, self.straight.len())),
            hint: self.hint(),
        }
    }

    /// The rests taken so far, the present one included once it counts.
    pub fn rests(&self) -> Vec<Rest> {
        (0..self.straight.len())
            .map(|index| Rest {
                straight: self.straight[index],
                wheels: self
                    .watches
                    .iter()
                    .filter_map(|watch| rest_wheel(watch, index))
                    .collect(),
            })
            .collect()
    }

    fn steer(&self) -> Option<Angle> {
        let angles: Vec<Angle> = self
            .watches
            .iter()
            .map(WheelWatch::steer)
            .collect::<Option<_>>()?;
        let sum = angles.iter().fold(Angle::ZERO, |sum, angle| sum + *angle);
        Some(sum / angles.len() as f64)
    }

    fn all_still(&self) -> bool {
        self.watches.iter().all(|w| w.motion() == Motion::Still)
    }

    fn any_moving(&self) -> bool {
        self.watches.iter().any(|w| w.motion() != Motion::Still)
    }

    fn held_long_enough(&self) -> bool {
        self.watches
            .iter()
            .all(|w| w.held_us() >= self.setup.hold_us)
    }

    fn step(&mut self, now: HostTime) {
        // A wheel that has not been heard for a while says nothing about rest.
        let heard = self
            .watches
            .iter()
            .all(|w| w.last_at().is_some_and(|at| now.since_us(at) < 1_000_000));
        let result = match self.phase {
            Phase::AwaitStraight if heard && self.all_still() => {
                self.begin_rest(Phase::HoldStraight);
                Ok(())
            }
            Phase::Turning if heard && self.all_still() => {
                if let Some(next) = self.rest_kind() {
                    self.begin_rest(next);
                }
                Ok(())
            }
            Phase::HoldStraight | Phase::HoldStop | Phase::HoldReturn => self.hold(),
            Phase::AwaitTurn | Phase::StopTaken if self.any_moving() => {
                self.end_rest();
                self.phase = Phase::Turning;
                Ok(())
            }
            _ => Ok(()),
        };
        if let Err(refusal) = result {
            self.refuse(refusal);
        }
    }

    fn hold(&mut self) -> Result<(), Refusal> {
        if self.any_moving() {
            self.end_rest();
            self.phase = if self.straight.is_empty() {
                Phase::AwaitStraight
            } else {
                Phase::Turning
            };
            return Ok(());
        }
        if !self.held_long_enough() {
            return Ok(());
        }
        for watch in &mut self.watches {
            watch.take_rest()?;
        }
        match self.phase {
            Phase::HoldStraight => {
                self.straight.push(true);
                self.phase = Phase::AwaitTurn;
            }
            Phase::HoldStop => {
                self.straight.push(false);
                self.phase = Phase::StopTaken;
            }
            _ => {
                self.straight.push(true);
                self.end_rest();
                if self.plates_complete() {
                    self.finish();
                } else {
                    self.phase = Phase::AwaitPlates;
                }
            }
        }
        Ok(())
    }

    fn begin_rest(&mut self, phase: Phase) {
        for watch in &mut self.watches {
            watch.begin_rest();
        }
        if let Some(body) = &mut self.body {
            body.begin_rest();
        }
        self.phase = phase;
    }

    fn end_rest(&mut self) {
        let mut counted = false;
        for watch in &mut self.watches {
            counted |= watch.end_rest();
        }
        if let Some(body) = &mut self.body {
            body.end_rest(counted);
        }
    }

    /// What a rest at the present steer angle would be; none where it can be neither.
    fn rest_kind(&self) -> Option<Phase> {
        if self.setup.steer_source == SteerSource::Gyro {
            let steer = self.steer()?;
            if steer.abs() < STRAIGHT {
                return self.both_sides_taken().then_some(Phase::HoldReturn);
            }
            return (steer.abs() >= LEAST_STEER).then_some(Phase::HoldStop);
        }
        let stops = self.straight.iter().filter(|straight| !**straight).count();
        let leans: Vec<Angle> = self
            .watches
            .iter()
            .map(WheelWatch::lean_from_first)
            .collect::<Option<_>>()?;
        let back = leans.iter().all(|lean| *lean < STRAIGHT_LEAN);
        match (back, stops) {
            (true, 2..) => Some(Phase::HoldReturn),
            (true, _) => None,
            (false, _) => Some(Phase::HoldStop),
        }
    }

    /// Steer angles of the stops so far, mean of the wheels.
    fn stop_steers(&self) -> Vec<Angle> {
        let Some(watch) = self.watches.first() else {
            return Vec::new();
        };
        watch
            .rests
            .iter()
            .zip(&self.straight)
            .filter(|(_, straight)| !**straight)
            .filter_map(|(rest, _)| watch.rest_steer(rest))
            .chain(
                (self.phase == Phase::StopTaken)
                    .then(|| watch.steer())
                    .flatten(),
            )
            .collect()
    }

    fn both_sides_taken(&self) -> bool {
        let steers = self.stop_steers();
        steers.iter().any(|s| s.rad() > 0.0) && steers.iter().any(|s| s.rad() < 0.0)
    }

    fn hint(&self) -> Hint {
        match self.phase {
            Phase::AwaitStraight => Hint::RestStraight,
            Phase::HoldStraight | Phase::HoldStop | Phase::HoldReturn => Hint::HoldStill,
            Phase::AwaitTurn => Hint::SteerAside,
            Phase::Turning if self.all_still() => Hint::SteerFarther,
            Phase::Turning => Hint::KeepSteering,
            Phase::StopTaken => {
                let steers = self.stop_steers();
                match (steers.first(), self.both_sides_taken()) {
                    (Some(first), false) if first.rad() > 0.0 => Hint::SteerTo(Side::Right),
                    (Some(_), false) => Hint::SteerTo(Side::Left),
                    _ => Hint::SteerOnOrBack,
                }
            }
            Phase::AwaitPlates => Hint::EnterPlates,
            Phase::Done | Phase::Refused => Hint::Finished,
        }
    }

    /// Stops need a reading; straight-ahead rests are the plates' zero.
    fn plates_complete(&self) -> bool {
        self.setup.steer_source == SteerSource::Gyro
            || self.watches.iter().all(|w| {
                w.rests
                    .iter()
                    .zip(&self.straight)
                    .all(|(rest, straight)| *straight || rest.plate.is_some())
            })
    }

    fn refuse(&mut self, refusal: Refusal) {
        self.refusal = Some(refusal);
        self.phase = Phase::Refused;
    }

    fn finish(&mut self) {
        let rests = self.straight.len();
        if let Some(body) = &mut self.body {
            body.settle(&self.straight);
        }
        let body = self.body.as_ref().and_then(|body| body.evidence(rests));
        let session = session(&self.setup, body, rests);
        let candidates: Option<Vec<Candidate>> = self
            .watches
            .iter()
            .map(|w| candidate(&self.setup, w, &self.straight))
            .collect();
        match candidates {
            Some(candidates) => (self.outcome, self.differences) = outcome(&candidates, &session),
            None => {
                self.outcome = self
                    .watches
                    .iter()
                    .map(|w| {
                        Err(Refusal::NoAxis {
                            side: w.setup.wheel.side,
                        })
                    })
                    .collect();
            }
        }
        self.phase = Phase::Done;
    }
}
