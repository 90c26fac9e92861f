//! Camber by a board on a straight bar held upright across the rim, taken and
//! taken again after bar and board were turned end for end.
//!
//! With `n` the axis of the board that faces away from the car at first and `u` its
//! axis along the bar, a take reads along n the lean
//!
//! ```text
//! y = s_n x + s_u e + b + (s_n < 0) s_u w
//! ```
//!
//! `x`: the lean of the wheel that is sought; `e`: board on bar, feet of the bar and
//! leak of the upright axis; `b`: offset of the accelerometer; `w`: wedge between
//! the bar's two faces; `s_n`, `s_u`: ±1, whether the axes still point where they
//! did. A turn about the bar's length changes `s_n` and takes `e` and `b` out; ends
//! swapped with the same face at the rim changes `s_u` and takes `e` out. All takes
//! go into one least squares with what is known of `e`, `b` and `w` beforehand, so any
//! mixture of turns is used for what it is worth.

mod solve;
mod turned;

pub(super) use solve::solve;

use crate::angle::Angle;
use crate::check::evidence::{BarEvidence, BarTake, Evidence, PlainAccel, PlainFloor, PlainRest};
use crate::check::refusal::{CheckRefusal, StartError};
use crate::check::running::{Procedure, Step, hold, repetitions};
use crate::check::step::{Hint, Phase, Progress, Stop};
use crate::check::still::{Seen, StillStop, StillWatch};
use crate::chip::ChipFigures;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir};
use crate::mounting::BoardAxis;
use crate::reading::Sample;
use crate::side::Side;

/// Pairs that a person has the patience for.
const MOST_PAIRS: usize = 20;
/// A bar that leans more from upright is not at a rim.
const UPRIGHT: Angle = Angle::from_deg(20.0);
/// A wheel that leans more is none.
const FACING: Angle = Angle::from_deg(15.0);
/// Longest time without a rest.
const REST_LIMIT_S: i64 = 300;

/// A half turn of bar and board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BarTurn {
    /// About the length of the bar: the other face to the rim, the same end up.
    OtherFace,
    /// The other end up, the same face to the rim.
    OtherEnd,
    /// The other end up and the other face to the rim.
    Both,
}

impl BarTurn {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::OtherFace, Self::OtherEnd, Self::Both];

    const fn turns_face(self) -> bool {
        matches!(self, Self::OtherFace | Self::Both)
    }

    const fn turns_end(self) -> bool {
        matches!(self, Self::OtherEnd | Self::Both)
    }
}

/// What camber by a bar needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarSetup {
    /// Which side of the car.
    pub side: Side,
    /// Figures of the board on the bar.
    pub chip: ChipFigures,
    /// Its axis that faces away from the car in the first take.
    pub outboard: BoardAxis,
    /// The floor.
    pub floor: FloorSlope,
    /// How long a take lasts, µs.
    pub hold_us: i64,
    /// How many pairs of takes end it.
    pub pairs: usize,
    /// How it is to be turned; none: any way.
    pub turn: Option<BarTurn>,
    /// One sigma of board on bar and of the bar's feet.
    pub seat: Angle,
    /// One sigma of the wedge between the bar's faces.
    pub faces: Angle,
    /// One sigma of how truly bar and rim come together, anew each time.
    pub reseat: Angle,
    /// One sigma of the rim against the spindle.
    pub rim: Angle,
}

impl BarSetup {
    /// Uncertainties of a planed bar of half a metre (common practice, no source:
    /// a millimetre at each foot, a quarter of one between the faces, a tenth of
    /// one at each new seat, half of one of rim run-out).
    pub const USUAL: [Angle; 4] = [
        Angle::from_deg(0.15),
        Angle::from_deg(0.03),
        Angle::from_deg(0.015),
        Angle::from_deg(0.04),
    ];
}

#[derive(Debug, Clone)]
pub(super) struct Bar {
    setup: BarSetup,
    watch: StillWatch,
    /// The printed axis that is nearest to up in the first take.
    length: Option<Dir<Board>>,
    takes: Vec<BarTake>,
    askew: bool,
}

impl Bar {
    pub(super) fn start(setup: &BarSetup) -> Result<Self, StartError> {
        hold(setup.hold_us)?;
        repetitions(setup.pairs, MOST_PAIRS)?;
        for sigma in [setup.seat, setup.faces, setup.reseat, setup.rim] {
            if !(sigma.rad() >= 0.0 && sigma.deg() <= 5.0) {
                return Err(StartError::Number {
                    what: "uncertainty",
                    found: sigma.deg(),
                });
            }
        }
        Ok(Self {
            watch: StillWatch::new(setup.chip, setup.hold_us),
            setup: *setup,
            length: None,
            takes: Vec::new(),
            askew: false,
        })
    }

    fn evidence(&self) -> BarEvidence {
        let outboard = self.setup.outboard.dir();
        BarEvidence {
            side: self.setup.side,
            outboard: outboard.vec().to_array(),
            floor: PlainFloor::of(&self.setup.floor),
            accel: PlainAccel::of(&self.setup.chip, &outboard),
            seat_rad: self.setup.seat.rad(),
            faces_rad: self.setup.faces.rad(),
            reseat_rad: self.setup.reseat.rad(),
            rim_rad: self.setup.rim.rad(),
            takes: self.takes.clone(),
        }
    }

    /// Does the bar stand upright with its board facing out of, or into, the car?
    fn stands(&mut self, up: Dir<Board>) -> bool {
        let outboard = self.setup.outboard.dir();
        let (a, b) = outboard.square_pair();
        let nearer = if a.dot(&up).abs() > b.dot(&up).abs() {
            a
        } else {
            b
        };
        let length = *self.length.get_or_insert(nearer);
        let stands =
            length.dot(&up).abs() > UPRIGHT.cos() && outboard.dot(&up).abs() < FACING.sin();
        if !stands && self.takes.is_empty() {
            self.length = None;
        }
        self.askew = !stands;
        stands
    }

    fn take(&mut self, stop: &StillStop) -> Step {
        let rest = PlainRest::of(&stop.measure);
        let Some(up) = rest.up() else {
            return Step::Refuse(CheckRefusal::NoCamber);
        };
        if !self.stands(up) {
            // Laid aside, or not set up yet: no take, and the turn goes on.
            return Step::Go;
        }
        let Some(length) = self.length else {
            return Step::Go;
        };
        let Some(before) = self.takes.last().copied() else {
            return self.keep(
                stop,
                BarTake {
                    rest,
                    faces_out: true,
                    same_end_up: true,
                    turn: None,
                },
            );
        };
        let axes = turned::Axes {
            outboard: self.setup.outboard.dir(),
            length,
        };
        let swapped = before
            .rest
            .up()
            .is_some_and(|then| axes.length.dot(&then) * axes.length.dot(&up) < 0.0);
        match turned::between(&axes, stop.moved, swapped, self.setup.turn) {
            Ok(Some(turn)) => {
                let take = BarTake {
                    rest,
                    faces_out: before.faces_out != turn.turns_face(),
                    same_end_up: before.same_end_up != turn.turns_end(),
                    turn: Some(turn),
                };
                self.keep(stop, take)
            }
            // The same take once more: the later rest stands for both.
            Ok(None) => {
                self.takes.pop();
                self.keep(stop, BarTake { rest, ..before })
            }
            Err(refusal) => Step::Refuse(refusal),
        }
    }

    fn keep(&mut self, stop: &StillStop, take: BarTake) -> Step {
        self.watch.keep(stop);
        self.takes.push(take);
        if self.takes.len() == 2 * self.setup.pairs {
            return self.finish();
        }
        Step::Go
    }
}

impl Procedure for Bar {
    fn sample(&mut self, _: Side, sample: &Sample) -> Step {
        match self.watch.observe(sample) {
            Seen::Stop(stop) => self.take(&stop),
            Seen::Same | Seen::Left => {
                let seconds = self.watch.moving_s();
                if seconds > REST_LIMIT_S {
                    return Step::Refuse(CheckRefusal::NotStill {
                        seconds,
                        limit: REST_LIMIT_S,
                    });
                }
                Step::Go
            }
        }
    }

    fn finish(&mut self) -> Step {
        Step::Solve(Evidence::CamberOnBar(self.evidence()))
    }

    fn has_begun(&self) -> bool {
        !self.takes.is_empty()
    }

    fn phase(&self) -> Phase {
        if self.watch.is_holding() {
            Phase::Hold
        } else if self.watch.is_moving() && !self.takes.is_empty() {
            Phase::Moving
        } else if self.takes.is_empty() {
            Phase::AwaitStill
        } else {
            Phase::Taken
        }
    }

    fn progress(&self) -> Progress {
        Progress {
            held_us: self.watch.held_us(),
            hold_needed_us: self.watch.hold_us(),
            taken: self.takes.len(),
            wanted: Some(2 * self.setup.pairs),
            steer: None,
            can_finish: self.takes.len() >= 2,
            hint: match self.phase() {
                Phase::Hold => Hint::HoldStill,
                _ if self.askew => Hint::SetBarUpright,
                Phase::Taken | Phase::Moving => Hint::TurnBar(self.setup.turn),
                _ => Hint::HoldBar,
            },
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        let evidence = self.evidence();
        let shown = |take: &BarTake| Stop {
            camber: solve::lean(&evidence, take)
                .map(|lean| Angle::from_rad(if take.faces_out { -lean } else { lean })),
            ..Stop::default()
        };
        self.takes.iter().map(shown).collect()
    }
}
