//! The steering from lock to lock: straight ahead, to one lock, to the other,
//! and back, once or more, by the gyros or by figures typed.
//!
//! Each wheel's lock is counted from the mean of its straight-ahead rests, so
//! that half of what gyro and hands failed to come back by drops out; the other
//! half is in the uncertainty. Pauses on the way do no harm: of the rests on one
//! side the farthest is the lock.

mod solve;

pub(super) use solve::solve;

use crate::angle::Angle;
use crate::check::evidence::{CentringEvidence, Evidence, PlainSteer, TurnedBy};
use crate::check::refusal::{CheckRefusal, FigureError, StartError};
use crate::check::running::{Procedure, Step, hold, repetitions};
use crate::check::steered::{STRAIGHT, SteeredWheels, mean_steer};
use crate::check::step::{Figure, Hint, Phase, Position, Progress, Stop, Wanted};
use crate::reading::Sample;
use crate::side::Side;
use crate::swing::SwingWheel;

/// Rounds that a person has the patience for.
const MOST_ROUNDS: usize = 10;
/// No wheel steers farther.
const WHEEL_LIMIT: Angle = Angle::from_deg(70.0);
/// No steering wheel turns farther to one side: five turns in all and more.
const STEERING_WHEEL_LIMIT: Angle = Angle::from_deg(1200.0);

/// What a check of the locks needs to know beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct CentringSetup {
    /// Where angles come from.
    pub by: TurnedBy,
    /// The steered wheels; none are needed where figures are typed.
    pub wheels: Vec<SwingWheel>,
    /// How long a rest lasts, µs.
    pub hold_us: i64,
    /// How often each lock is gone to.
    pub rounds: usize,
    /// One sigma of a typed figure.
    pub typed_standard: Angle,
}

#[derive(Debug, Clone)]
pub(super) struct Centring {
    setup: CentringSetup,
    wheels: SteeredWheels,
    positions: Vec<PlainSteer>,
    /// Typed for the position at hand.
    pending: [Option<f64>; 2],
}

impl Centring {
    pub(super) fn start(setup: &CentringSetup) -> Result<Self, StartError> {
        hold(setup.hold_us)?;
        repetitions(setup.rounds, MOST_ROUNDS)?;
        if setup.by == TurnedBy::Gyro && !is_axle(&setup.wheels) {
            return Err(StartError::Wheels {
                found: setup.wheels.len(),
                least: 1,
            });
        }
        if !(setup.typed_standard.rad() >= 0.0 && setup.typed_standard.deg() <= 90.0) {
            return Err(StartError::Number {
                what: "uncertainty",
                found: setup.typed_standard.deg(),
            });
        }
        Ok(Self {
            wheels: SteeredWheels::new(&setup.wheels, setup.hold_us),
            setup: setup.clone(),
            positions: Vec::new(),
            pending: [None; 2],
        })
    }

    /// How often a side was gone to: neighbouring rests on it count once.
    fn visits(&self, side: Side) -> usize {
        let mut visits = 0;
        let mut before = None;
        for position in &self.positions {
            if position.turned == Some(side) && before != Some(side) {
                visits += 1;
            }
            before = position.turned;
        }
        visits
    }

    fn both_done(&self) -> bool {
        Side::BOTH
            .iter()
            .all(|side| self.visits(*side) >= self.setup.rounds)
    }

    /// The position whose figures are typed next.
    fn next(&self) -> Position {
        let taken = self.positions.len();
        if taken == 0 || taken > 2 * self.setup.rounds {
            Position::Straight
        } else if taken % 2 == 1 {
            Position::Turned(Side::Left)
        } else {
            Position::Turned(Side::Right)
        }
    }

    fn evidence(&self) -> CentringEvidence {
        CentringEvidence {
            by: self.setup.by,
            positions: self.positions.clone(),
            scale: scales(self.setup.by, &self.setup.wheels),
        }
    }

    fn rest_taken(&mut self) -> Step {
        let Some(steer_rad) = self.wheels.at(self.wheels.taken() - 1) else {
            return Step::Refuse(CheckRefusal::NoGyro);
        };
        let Some(mean) = mean_steer(&steer_rad).map(Angle::from_rad) else {
            return Step::Refuse(CheckRefusal::NoGyro);
        };
        if self.positions.is_empty() {
            self.positions.push(PlainSteer {
                turned: None,
                steer_rad,
            });
        } else if mean.abs() < STRAIGHT {
            if self.both_done() {
                self.positions.push(PlainSteer {
                    turned: None,
                    steer_rad,
                });
                return self.finish();
            }
        } else {
            let side = if mean.rad() > 0.0 {
                Side::Left
            } else {
                Side::Right
            };
            self.positions.push(PlainSteer {
                turned: Some(side),
                steer_rad,
            });
        }
        Step::Go
    }

    fn typed(&mut self) -> Step {
        let standard = self.setup.typed_standard.rad();
        let steer_rad = self.pending.map(|value| value.map(|v| [v, standard]));
        let turned = match self.next() {
            Position::Straight => None,
            Position::Turned(side) => Some(side),
        };
        self.positions.push(PlainSteer { turned, steer_rad });
        self.pending = [None; 2];
        if self.positions.len() == 2 * self.setup.rounds + 2 {
            return self.finish();
        }
        Step::Go
    }
}

/// One or two wheels of different sides?
pub(super) fn is_axle(wheels: &[SwingWheel]) -> bool {
    match wheels {
        [_] => true,
        [a, b] => a.wheel.side != b.wheel.side,
        _ => false,
    }
}

/// One sigma of each gyro's scale.
pub(super) fn scales(by: TurnedBy, wheels: &[SwingWheel]) -> [f64; 2] {
    let mut scale = [0.0; 2];
    for wheel in wheels.iter().filter(|_| by == TurnedBy::Gyro) {
        let chip = &wheel.wheel.chip;
        scale[usize::from(wheel.wheel.side == Side::Right)] = chip.gyro_scale;
    }
    scale
}

impl Procedure for Centring {
    fn sample(&mut self, side: Side, sample: &Sample) -> Step {
        if self.setup.by != TurnedBy::Gyro {
            return Step::Go;
        }
        match self.wheels.observe(side, sample) {
            Ok(true) => self.rest_taken(),
            Ok(false) => Step::Go,
            Err(refusal) => Step::Refuse(refusal),
        }
    }

    fn figure(&mut self, figure: Figure) -> Result<Step, FigureError> {
        let (place, angle, limit, what) = match (self.setup.by, figure) {
            (TurnedBy::Plates, Figure::Plate { side, plate }) => (
                usize::from(side == Side::Right),
                plate,
                WHEEL_LIMIT,
                "turn-plate reading",
            ),
            (TurnedBy::SteeringWheel, Figure::SteeringWheel(angle)) => {
                (0, angle, STEERING_WHEEL_LIMIT, "angle of a steering wheel")
            }
            _ => return Err(FigureError::NotWanted),
        };
        let wrong_side = match self.next() {
            Position::Straight => false,
            Position::Turned(Side::Left) => angle.rad() <= 0.0,
            Position::Turned(Side::Right) => angle.rad() >= 0.0,
        };
        if angle.rad().is_nan() || angle.abs() > limit || wrong_side {
            return Err(FigureError::Impossible {
                what,
                found: angle.deg(),
            });
        }
        self.pending[place] = Some(angle.rad());
        let complete = match self.setup.by {
            TurnedBy::Plates => self.pending.iter().all(Option::is_some),
            _ => true,
        };
        Ok(if complete { self.typed() } else { Step::Go })
    }

    fn finish(&mut self) -> Step {
        Step::Solve(Evidence::Centring(self.evidence()))
    }

    fn has_begun(&self) -> bool {
        !self.positions.is_empty()
    }

    fn phase(&self) -> Phase {
        if self.setup.by != TurnedBy::Gyro {
            return Phase::AwaitFigure;
        }
        match (
            self.wheels.is_holding(),
            self.wheels.is_in_rest(),
            self.positions.is_empty(),
        ) {
            (true, ..) => Phase::Hold,
            (_, true, _) => Phase::Taken,
            (_, _, true) => Phase::AwaitStill,
            _ => Phase::Moving,
        }
    }

    fn progress(&self) -> Progress {
        let typed = self.setup.by != TurnedBy::Gyro;
        let aside = |steer: Option<Angle>| match steer {
            Some(steer) if steer.abs() >= STRAIGHT && steer.rad() > 0.0 => Some(Side::Left),
            Some(steer) if steer.abs() >= STRAIGHT => Some(Side::Right),
            _ => None,
        };
        let hint = match self.setup.by {
            TurnedBy::Plates => Hint::Type(Wanted::Plates(self.next())),
            TurnedBy::SteeringWheel => Hint::Type(Wanted::SteeringWheel(self.next())),
            TurnedBy::Gyro if self.wheels.is_holding() => Hint::HoldStill,
            TurnedBy::Gyro if self.positions.is_empty() => Hint::PointStraight,
            TurnedBy::Gyro if self.both_done() => Hint::SteerBack,
            TurnedBy::Gyro => match aside(self.wheels.steer()) {
                Some(side) if self.wheels.is_in_rest() => Hint::SteerToLock(match side {
                    Side::Left => Side::Right,
                    Side::Right => Side::Left,
                }),
                Some(side) => Hint::SteerToLock(side),
                None => Hint::SteerToLock(Side::Left),
            },
        };
        Progress {
            held_us: if typed { 0 } else { self.wheels.held_us() },
            hold_needed_us: if typed { 0 } else { self.setup.hold_us },
            taken: self.positions.len(),
            wanted: Some(2 * self.setup.rounds + 2),
            steer: self.wheels.steer(),
            can_finish: self.both_done(),
            hint,
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        let shown = |position: &PlainSteer| {
            let [left, right] = position
                .steer_rad
                .map(|steer| steer.map(|steer| Angle::from_rad(steer[0])));
            if self.setup.by == TurnedBy::SteeringWheel {
                return Stop {
                    steering_wheel: left,
                    ..Stop::default()
                };
            }
            Stop {
                steer_left: left,
                steer_right: right,
                ..Stop::default()
            }
        };
        self.positions.iter().map(shown).collect()
    }
}
