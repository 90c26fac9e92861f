//! Toe-out on turns: steer of inner and outer wheel at stops where the inner one
//! stands at about 20°, to both sides, by the gyros or by turn plates.
//!
//! From one stop the difference of the two angles' cotangents is carried on to 20°;
//! between several the difference of the angles goes with the square and the cube of
//! the inner one, as it does near straight ahead.

mod solve;

pub(super) use solve::solve;

use crate::angle::Angle;
use crate::check::centring::{is_axle, scales};
use crate::check::evidence::{Evidence, PlainSteer, PlainTurn, TurnedBy, TurnsEvidence};
use crate::check::refusal::{CheckRefusal, FigureError, StartError};
use crate::check::running::{Procedure, Step, hold};
use crate::check::steered::{STRAIGHT, SteeredWheels, mean_steer, straight};
use crate::check::step::{Figure, Hint, Phase, Position, Progress, Stop, Wanted};
use crate::reading::Sample;
use crate::side::Side;
use crate::swing::{SteerSource, SwingProcedure, SwingWheel};

/// Stops that a person has the patience for.
const MOST_STOPS: usize = 60;
/// A stop nearer to straight ahead tells nothing of a turn.
const LEAST_TURN: Angle = Angle::from_deg(7.5);
/// No wheel steers farther.
const LIMIT: Angle = Angle::from_deg(70.0);

/// What toe-out on turns needs to know beforehand.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnsSetup {
    /// Where angles come from: gyro or plates.
    pub by: TurnedBy,
    /// Both steered wheels; none are needed where figures are typed.
    pub wheels: Vec<SwingWheel>,
    /// How long a rest lasts, µs.
    pub hold_us: i64,
    /// One sigma of a turn-plate reading.
    pub typed_standard: Angle,
}

#[derive(Debug, Clone)]
pub(super) struct Turns {
    setup: TurnsSetup,
    wheels: SteeredWheels,
    positions: Vec<PlainSteer>,
    pending: [Option<f64>; 2],
}

/// To which side, if the wheels stand aside far enough for a stop.
fn turned(steer_rad: &[Option<[f64; 2]>; 2]) -> Option<Side> {
    let mean = Angle::from_rad(mean_steer(steer_rad)?);
    if mean.abs() < LEAST_TURN {
        return None;
    }
    Some(if mean.rad() > 0.0 {
        Side::Left
    } else {
        Side::Right
    })
}

/// The evidence of positions of both wheels, the first straight ahead.
fn evidence(by: TurnedBy, positions: &[PlainSteer], scale: [f64; 2]) -> Option<TurnsEvidence> {
    let zeros = [straight(positions, 0)?, straight(positions, 1)?];
    let mut turns = Vec::new();
    for position in positions {
        let (Some(turn), [Some(left), Some(right)]) = (position.turned, position.steer_rad) else {
            continue;
        };
        let of = |steer: [f64; 2], zero: f64| [(steer[0] - zero) * turn.sign(), steer[1]];
        let (left, right) = (of(left, zeros[0].0), of(right, zeros[1].0));
        let (inner_rad, outer_rad) = match turn {
            Side::Left => (left, right),
            Side::Right => (right, left),
        };
        turns.push(PlainTurn {
            turn,
            inner_rad,
            outer_rad,
        });
    }
    let mut straights = positions.iter().filter(|p| p.turned.is_none());
    let first = straights.next().and_then(|p| mean_steer(&p.steer_rad));
    let last = straights.next_back().and_then(|p| mean_steer(&p.steer_rad));
    Some(TurnsEvidence {
        by,
        turns,
        scale,
        straight_rad: [zeros[0].1, zeros[1].1],
        return_rad: last.zip(first).map_or(0.0, |(last, first)| last - first),
    })
}

/// What a finished swing of both wheels tells of toe-out on turns, so that nobody has
/// to steer twice; none where a wheel is missing or no rest has both angles.
pub fn evidence_of_swing(swing: &SwingProcedure) -> Option<TurnsEvidence> {
    let setup = swing.setup();
    if setup.wheels.len() != 2 {
        return None;
    }
    let by = match setup.steer_source {
        SteerSource::Gyro => TurnedBy::Gyro,
        SteerSource::Plates => TurnedBy::Plates,
    };
    let positions: Vec<PlainSteer> = swing
        .rests()
        .iter()
        .enumerate()
        .filter_map(|(index, rest)| {
            let steer_rad = swing.steers(index);
            let turned = turned(&steer_rad);
            // A stop too near straight ahead is neither.
            (rest.straight || turned.is_some()).then_some(PlainSteer {
                turned: turned.filter(|_| !rest.straight),
                steer_rad,
            })
        })
        .collect();
    let evidence = evidence(by, &positions, scales(by, &setup.wheels))?;
    (!evidence.turns.is_empty()).then_some(evidence)
}

impl Turns {
    pub(super) fn start(setup: &TurnsSetup) -> Result<Self, StartError> {
        hold(setup.hold_us)?;
        let both = setup.wheels.len() == 2 && is_axle(&setup.wheels);
        if setup.by == TurnedBy::Gyro && !both {
            return Err(StartError::Wheels {
                found: setup.wheels.len(),
                least: 2,
            });
        }
        if setup.by == TurnedBy::SteeringWheel {
            return Err(StartError::Wheels { found: 0, least: 2 });
        }
        if !(setup.typed_standard.rad() >= 0.0 && setup.typed_standard.deg() <= 10.0) {
            return Err(StartError::Number {
                what: "uncertainty",
                found: setup.typed_standard.deg(),
            });
        }
        let mut positions = Vec::new();
        if setup.by == TurnedBy::Plates {
            // Plates are zeroed straight ahead: nobody types that.
            positions.push(PlainSteer {
                turned: None,
                steer_rad: [Some([0.0, setup.typed_standard.rad()]); 2],
            });
        }
        Ok(Self {
            wheels: SteeredWheels::new(&setup.wheels, setup.hold_us),
            setup: setup.clone(),
            positions,
            pending: [None; 2],
        })
    }

    fn has(&self, side: Side) -> bool {
        self.positions.iter().any(|p| p.turned == Some(side))
    }

    fn rest_taken(&mut self) -> Step {
        let Some(steer_rad) = self.wheels.at(self.wheels.taken() - 1) else {
            return Step::Refuse(CheckRefusal::NoGyro);
        };
        let straight = mean_steer(&steer_rad).is_some_and(|mean| mean.abs() < STRAIGHT.rad());
        let both = self.has(Side::Left) && self.has(Side::Right);
        let turned = turned(&steer_rad);
        if self.positions.is_empty() || (straight && both) || turned.is_some() {
            let turned = turned.filter(|_| !self.positions.is_empty());
            self.positions.push(PlainSteer { turned, steer_rad });
        }
        if (straight && both) || self.positions.len() > MOST_STOPS {
            return self.finish();
        }
        Step::Go
    }
}

impl Procedure for Turns {
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
        let (TurnedBy::Plates, Figure::Plate { side, plate }) = (self.setup.by, figure) else {
            return Err(FigureError::NotWanted);
        };
        if plate.rad().is_nan() || plate.abs() > LIMIT {
            return Err(FigureError::Impossible {
                what: "turn-plate reading",
                found: plate.deg(),
            });
        }
        self.pending[usize::from(side == Side::Right)] = Some(plate.rad());
        if self.pending.iter().all(Option::is_some) {
            let standard = self.setup.typed_standard.rad();
            let steer_rad = self.pending.map(|value| value.map(|v| [v, standard]));
            self.pending = [None; 2];
            let turned = turned(&steer_rad).ok_or(FigureError::Impossible {
                what: "reading of a stop",
                found: plate.deg(),
            })?;
            self.positions.push(PlainSteer {
                turned: Some(turned),
                steer_rad,
            });
        }
        Ok(Step::Go)
    }

    fn finish(&mut self) -> Step {
        let scale = scales(self.setup.by, &self.setup.wheels);
        match evidence(self.setup.by, &self.positions, scale) {
            Some(evidence) => Step::Solve(Evidence::TurnOut(evidence)),
            None => Step::Refuse(CheckRefusal::TooFew { found: 0, least: 1 }),
        }
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
        let (left, right) = (self.has(Side::Left), self.has(Side::Right));
        let next = match (left, right) {
            (true, false) => Side::Right,
            _ => Side::Left,
        };
        let hint = if typed {
            Hint::Type(Wanted::Plates(Position::Turned(next)))
        } else if self.wheels.is_holding() {
            Hint::HoldStill
        } else if self.positions.is_empty() {
            Hint::PointStraight
        } else if left && right {
            Hint::SteerOnOrBack
        } else {
            Hint::SteerToStop(next)
        };
        Progress {
            held_us: if typed { 0 } else { self.wheels.held_us() },
            hold_needed_us: if typed { 0 } else { self.setup.hold_us },
            taken: self.positions.len(),
            wanted: None,
            steer: self.wheels.steer(),
            can_finish: left || right,
            hint,
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        let shown = |position: &PlainSteer| {
            let [left, right] = position
                .steer_rad
                .map(|steer| steer.map(|steer| Angle::from_rad(steer[0])));
            Stop {
                steer_left: left,
                steer_right: right,
                ..Stop::default()
            }
        };
        self.positions.iter().map(shown).collect()
    }
}
