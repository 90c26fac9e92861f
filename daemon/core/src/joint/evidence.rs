//! What a measuring session knows, reduced to what carries information.
//!
//! A still board says one mean vector per rest; a turning gyro says one
//! rotation vector per turn; a turn of the wheel on its bearing says a set of
//! mean vectors that share their angle to the spindle.

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::estimate::Estimate;
use crate::floor::FloorSlope;
use crate::frames::{Board, Dir, Rot, Vec3};
use crate::rest::RestMeasure;
use crate::side::Side;
use crate::swing::BodyMotion;

/// Mean specific force of a board over one rest of the whole car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RestEvidence {
    /// Number of the rest; boards that rested together share it.
    pub rest: usize,
    /// Mean specific force, g.
    pub accel_g: Vec3<Board>,
    /// Standard uncertainty of that mean by noise, per axis, g.
    pub noise_g: f64,
    /// Degrees of freedom of that uncertainty.
    pub degrees_of_freedom: f64,
    /// Turn-plate reading, + left, zero at the first rest.
    pub plate: Option<Estimate>,
    /// For a moment of a sweep, what the board's distance from the steering
    /// axis does to the reading: g per metre, row by row, in the board's axes.
    pub per_metre_g: Option<[f64; 9]>,
}

/// Rotation of a board between two of its rests, from its gyro.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnEvidence {
    /// Place of the earlier rest in the wheel's list.
    pub from: usize,
    /// Place of the later one.
    pub to: usize,
    /// Rotation vector in the board's axes, rad: board axes then → now.
    pub turn_rad: Vec3<Board>,
    /// Standard uncertainty by noise and offset drift, per axis, rad.
    pub noise_rad: f64,
}

/// One position of the wheel on its bearing, or of the jacked body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RunOutEvidence {
    /// Mean specific force, g.
    pub accel_g: Vec3<Board>,
    /// Standard uncertainty by noise, per axis, g.
    pub noise_g: f64,
    /// Degrees of freedom of that uncertainty.
    pub degrees_of_freedom: f64,
    /// Did it rest, so that it felt gravity and nothing else?
    pub still: bool,
}

/// The spindle as somebody declared it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeclaredSpindle {
    /// Outboard, in the board's axes.
    pub outboard: Dir<Board>,
    /// One sigma of its heading, about the vertical.
    pub heading: Angle,
    /// One sigma of its lean, about the hub's forward direction.
    pub lean: Angle,
}

/// One wheel's board.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelEvidence {
    /// Which side.
    pub side: Side,
    /// The chip's one-sigma figures after its calibration.
    pub chip: ChipFigures,
    /// Rests in order of time; the first is straight ahead.
    pub rests: Vec<RestEvidence>,
    /// Turns between them, where there is a gyro.
    pub turns: Vec<TurnEvidence>,
    /// Turns of the wheel on its bearing: each group shares one lean of the spindle.
    pub run_out: Vec<Vec<RunOutEvidence>>,
    /// How the board was said to sit.
    pub declared: Option<DeclaredSpindle>,
    /// Measured static toe, + toe-in.
    pub toe: Estimate,
}

/// The board on the body.
#[derive(Debug, Clone, PartialEq)]
pub struct BodyEvidence {
    /// The chip's one-sigma figures after its calibration.
    pub chip: ChipFigures,
    /// Rests, numbered like the wheels'; the first is straight ahead.
    pub rests: Vec<RestEvidence>,
    /// Rests with the left and with the right front corner jacked, if there were.
    pub jacked: Option<Jackings>,
    /// Declared forward direction, in the board's axes, with one sigma of its heading.
    pub forward: Option<(Dir<Board>, Angle)>,
}

/// The body board while each front corner was jacked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jackings {
    /// Left front corner up.
    pub left: RunOutEvidence,
    /// Right front corner up.
    pub right: RunOutEvidence,
    /// One sigma of the difference of the body's pitch between the two, which
    /// is what the heading rests on.
    pub pitch_difference: Angle,
}

/// A whole session.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingEvidence {
    /// The floor as surveyed or presumed.
    pub floor: FloorSlope,
    /// One or two wheels.
    pub wheels: Vec<WheelEvidence>,
    /// The body, if a board watched it.
    pub body: Option<BodyEvidence>,
    /// How much the body may have moved if none did.
    pub unwatched: BodyMotion,
    /// Number of rests of the car.
    pub rests: usize,
}

impl RestEvidence {
    /// Rest of this number, as it was measured.
    pub fn rested(rest: usize, measure: &RestMeasure, plate: Option<Estimate>) -> Self {
        Self {
            rest,
            accel_g: measure.accel_g,
            // The turn of a vector of one gravity, in rad, is its change across in g.
            noise_g: measure.direction_noise.rad(),
            degrees_of_freedom: measure.degrees_of_freedom,
            plate,
            per_metre_g: None,
        }
    }
}

impl RunOutEvidence {
    /// A position that was rested in.
    pub fn rested(measure: &RestMeasure) -> Self {
        Self {
            accel_g: measure.accel_g,
            noise_g: measure.direction_noise.rad(),
            degrees_of_freedom: measure.degrees_of_freedom,
            still: true,
        }
    }
}

impl SwingEvidence {
    /// The same session without what was measured at one rest. Rests keep
    /// their numbers; turns that led through it are joined.
    #[must_use]
    pub fn without_rest(&self, rest: usize) -> Self {
        let mut less = self.clone();
        for wheel in &mut less.wheels {
            wheel.drop_rest(rest);
        }
        if let Some(body) = &mut less.body {
            body.rests.retain(|r| r.rest != rest);
        }
        less
    }
}

impl WheelEvidence {
    fn drop_rest(&mut self, rest: usize) {
        let Some(place) = self.rests.iter().position(|r| r.rest == rest) else {
            return;
        };
        self.rests.remove(place);
        let into = self.turns.iter().position(|t| t.to == place);
        let out = self.turns.iter().position(|t| t.from == place);
        if let (Some(into), Some(out)) = (into, out) {
            let (a, b) = (self.turns[into], self.turns[out]);
            // Board axes at the end → in the middle → at the beginning.
            let (first, second): (Rot<Board, Board>, Rot<Board, Board>) =
                (Rot::by_vector(&a.turn_rad), Rot::by_vector(&b.turn_rad));
            self.turns[into] = TurnEvidence {
                from: a.from,
                to: b.to,
                turn_rad: second.then(&first).to_vector(),
                noise_rad: a.noise_rad.hypot(b.noise_rad),
            };
            self.turns.remove(out);
        } else {
            self.turns.retain(|t| t.to != place && t.from != place);
        }
        for turn in &mut self.turns {
            for end in [&mut turn.from, &mut turn.to] {
                if *end > place {
                    *end -= 1;
                }
            }
        }
    }
}
