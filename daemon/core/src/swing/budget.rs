//! Where the uncertainty of a finding comes from.
//!
//! Every input of the computation is nudged by its standard uncertainty, up
//! and down, and sent through the whole of it (JCGM 100:2008, 5.1.4 note 2);
//! half the difference is that input's contribution. Contributions of one
//! cause are added in squares, and the cause with the largest sum is named.

use crate::angle::Angle;
use crate::floor::{FloorSlope, up_at};
use crate::frames::{Board, Dir, Floor, Vec3};
use crate::mounting::Mounting;
use crate::swing::SteerSource;
use crate::swing::solve::Problem;

/// Steer at which body motion is stated.
const BODY_MOTION_AT: Angle = Angle::from_deg(20.0);

/// What an uncertainty comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// Noise of gravity's direction at the rests.
    TiltNoise,
    /// Accelerometer offset.
    AccelOffset,
    /// Accelerometer scale and cross-axis sensitivity.
    AccelScale,
    /// Steer angles: plate readings, or gyro noise, drift and scale.
    SteerAngle,
    /// How the board sits on the hub, turned about the vertical.
    MountHeading,
    /// How the board sits on the hub, leaning.
    MountTilt,
    /// Toe at straight-ahead.
    Toe,
    /// Slope of the floor.
    Floor,
    /// Roll and pitch of the body while steering.
    BodyMotion,
}

/// One cause's share.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contribution {
    /// The cause.
    pub cause: Cause,
    /// Its standard uncertainty in the finding.
    pub standard: Angle,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// Contributions to the four angles of a swing, or to one of them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Budget {
    /// Cause and what one sigma of the input does to each angle, rad.
    effects: Vec<(Cause, [f64; 4])>,
    angle: usize,
}

/// An input of the computation.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Input {
    None,
    /// Gravity at one rest, along one of two square directions.
    Tilt(usize, bool),
    /// Steer angle of one rest.
    Steer(usize),
    /// Steer angle of one rest and all after it.
    SteerFrom(usize),
    SteerScale,
    AccelOffset(usize),
    AccelMatrix(usize, usize),
    /// Mounting, about one of the hub's axes.
    Mount(usize),
    Toe,
    FloorRoll,
    FloorPitch,
    BodyRoll,
    BodyPitch,
}

/// One input moved by an amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Nudge {
    input: Input,
    amount: f64,
}

impl Nudge {
    pub(crate) const fn none() -> Self {
        Self {
            input: Input::None,
            amount: 0.0,
        }
    }

    pub(crate) fn accel(&self, rest: usize, accel_g: &Vec3<Board>) -> Vec3<Board> {
        let mut parts = accel_g.to_array();
        match self.input {
            Input::Tilt(at, second) if at == rest => {
                let Some(up) = Dir::along(*accel_g) else {
                    return *accel_g;
                };
                let (a, b) = up.square_pair();
                let across = if second { b } else { a };
                return *accel_g + across.vec() * (self.amount * accel_g.norm());
            }
            Input::AccelOffset(axis) => parts[axis] += self.amount,
            Input::AccelMatrix(row, column) => {
                parts[row] += self.amount * accel_g.to_array()[column];
            }
            _ => {}
        }
        Vec3::from_array(parts)
    }

    pub(crate) fn steer(&self, rest: usize, steer: Angle) -> Angle {
        match self.input {
            Input::Steer(at) if at == rest => steer + Angle::from_rad(self.amount),
            Input::SteerFrom(at) if at <= rest => steer + Angle::from_rad(self.amount),
            Input::SteerScale => steer * (1.0 + self.amount),
            _ => steer,
        }
    }

    pub(crate) fn toe(&self) -> Angle {
        if self.input == Input::Toe {
            Angle::from_rad(self.amount)
        } else {
            Angle::ZERO
        }
    }

    pub(crate) fn mounting(&self, mounting: &Mounting) -> Mounting {
        match self.input {
            Input::Mount(axis) => {
                let mut turn = [0.0; 3];
                turn[axis] = self.amount;
                mounting.turned(turn)
            }
            _ => *mounting,
        }
    }

    /// The floor as the wheel sees it when the body has moved: a body that
    /// rolls with its axes and wheels is a floor that rolls.
    pub(crate) fn floor_up(&self, floor: &FloorSlope, steer: Angle) -> Dir<Floor> {
        let moved = Angle::from_rad(self.amount);
        let (mut roll, mut pitch) = (floor.roll.value, floor.pitch.value);
        match self.input {
            Input::FloorRoll => roll += moved,
            Input::FloorPitch => pitch += moved,
            Input::BodyRoll => roll += moved * (steer.sin() / BODY_MOTION_AT.sin()),
            Input::BodyPitch => {
                pitch += moved * ((1.0 - steer.cos()) / (1.0 - BODY_MOTION_AT.cos()));
            }
            _ => {}
        }
        up_at(roll, pitch)
    }
}

impl Budget {
    /// Sends every input through `evaluate`; none when the model fails on the way.
    pub(crate) fn of(
        problem: &Problem,
        evaluate: impl Fn(Option<&Nudge>) -> Option<[Angle; 4]>,
    ) -> Option<Self> {
        let mut effects = Vec::new();
        for (cause, input, sigma) in inputs(problem) {
            if sigma == 0.0 {
                continue;
            }
            let up = evaluate(Some(&Nudge {
                input,
                amount: sigma,
            }))?;
            let down = evaluate(Some(&Nudge {
                input,
                amount: -sigma,
            }))?;
            let mut effect = [0.0; 4];
            for (slot, (a, b)) in effect.iter_mut().zip(up.iter().zip(&down)) {
                *slot = 0.5 * (*a - *b).rad();
            }
            effects.push((cause, effect));
        }
        Some(Self { effects, angle: 0 })
    }

    pub(crate) fn for_angle(&self, angle: usize) -> Self {
        Self {
            angle,
            ..self.clone()
        }
    }

    pub(crate) fn standard(&self, angle: usize) -> Angle {
        Angle::from_rad(
            self.effects
                .iter()
                .map(|(_, e)| e[angle] * e[angle])
                .sum::<f64>()
                .sqrt(),
        )
    }

    /// Covariance of the four angles, rad².
    pub(crate) fn covariance_rad2(&self) -> [[f64; 4]; 4] {
        let mut covariance = [[0.0; 4]; 4];
        for (_, effect) in &self.effects {
            for (row, a) in covariance.iter_mut().zip(effect) {
                for (cell, b) in row.iter_mut().zip(effect) {
                    *cell += a * b;
                }
            }
        }
        covariance
    }

    /// Causes by falling share; those without effect are left out.
    pub fn contributions(&self) -> Vec<Contribution> {
        let mut squares: Vec<(Cause, f64)> = Vec::new();
        for (cause, effect) in &self.effects {
            let square = effect[self.angle] * effect[self.angle];
            match squares.iter_mut().find(|(known, _)| known == cause) {
                Some((_, sum)) => *sum += square,
                None => squares.push((*cause, square)),
            }
        }
        let total: f64 = squares.iter().map(|(_, s)| s).sum();
        squares.retain(|(_, s)| *s > 0.0);
        squares.sort_by(|a, b| b.1.total_cmp(&a.1));
        squares
            .into_iter()
            .map(|(cause, square)| Contribution {
                cause,
                standard: Angle::from_rad(square.sqrt()),
                share: square / total,
            })
            .collect()
    }

    /// The cause with the largest share; none when nothing is uncertain.
    pub fn largest(&self) -> Option<Contribution> {
        self.contributions().first().copied()
    }
}

/// All inputs with their causes and standard uncertainties.
fn inputs(problem: &Problem) -> Vec<(Cause, Input, f64)> {
    let wheel = &problem.wheel.wheel;
    let (chip, trust) = (&wheel.chip, wheel.mounting.trust());
    let mut all = Vec::new();
    for (rest, position) in problem.positions.iter().enumerate() {
        for second in [false, true] {
            all.push((
                Cause::TiltNoise,
                Input::Tilt(rest, second),
                position.direction_noise.rad(),
            ));
        }
        let steer = match problem.source {
            SteerSource::Plates => Input::Steer(rest),
            SteerSource::Gyro => Input::SteerFrom(rest),
        };
        all.push((Cause::SteerAngle, steer, position.steer_noise.rad()));
    }
    if problem.source == SteerSource::Gyro {
        all.push((Cause::SteerAngle, Input::SteerScale, chip.gyro_scale));
    }
    for row in 0..3 {
        all.push((
            Cause::AccelOffset,
            Input::AccelOffset(row),
            chip.accel_offset_g,
        ));
        for column in 0..3 {
            let sigma = if row == column {
                chip.accel_scale
            } else {
                chip.accel_cross_rad
            };
            all.push((Cause::AccelScale, Input::AccelMatrix(row, column), sigma));
        }
    }
    all.extend([
        (Cause::MountTilt, Input::Mount(0), trust.camber.rad()),
        (Cause::MountTilt, Input::Mount(1), trust.pitch.rad()),
        (Cause::MountHeading, Input::Mount(2), trust.heading.rad()),
        (Cause::Toe, Input::Toe, problem.wheel.toe.standard.rad()),
        (
            Cause::Floor,
            Input::FloorRoll,
            wheel.floor.roll.standard.rad(),
        ),
        (
            Cause::Floor,
            Input::FloorPitch,
            wheel.floor.pitch.standard.rad(),
        ),
        (Cause::BodyMotion, Input::BodyRoll, problem.body.roll.rad()),
        (
            Cause::BodyMotion,
            Input::BodyPitch,
            problem.body.pitch.rad(),
        ),
    ]);
    all
}
