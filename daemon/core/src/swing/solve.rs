//! The steering axis of one wheel from its rests.
//!
//! Unknown are tan C, tan S and two constants. Every rest gives two rows, E1
//! for the spindle and E2 for the hub's forward direction (see
//! [`super::exact`]): a vector v fixed in the hub satisfies
//!
//! ```text
//! tan C · v_x + tan S · v_y + c_v = v_z        (mirrored components)
//! ```
//!
//! because its component along the steering axis cannot change. The rows are
//! weighted by the covariance that the noise of gravity and of the steer angle
//! gives to the pair: a wrong steer angle moves E2 by tan S and hardly touches
//! E1, so that turn plates read by eye do not spoil what gravity knows.
//! What is common to all rests (offset, mounting, toe, floor, body) is no
//! noise; it goes through the whole computation in [`super::budget`].

use nalgebra::{DMatrix, DVector, Matrix2, Vector2};

use crate::angle::Angle;
use crate::attitude::{Stance, dot};
use crate::estimate::Estimate;
use crate::frames::{Board, Dir, Vec3};
use crate::side::Side;
use crate::swing::budget::{Budget, Nudge};
use crate::swing::exact::{AxisAngles, SpindlePosition, camber_at, two_reading_unequal};
use crate::swing::refusal::Refusal;
use crate::swing::{BodyMotion, SteerSource, SwingWheel};
use crate::time::HostTime;

/// Least steer to each side.
pub(crate) const LEAST_STEER: Angle = Angle::from_deg(7.5);
/// The linkage and the suspension may fail to come back by so much; beyond it something slipped.
const RETURN_ALLOWANCE: Angle = Angle::from_deg(0.12);
/// A rest may misfit by so much without having been disturbed.
const MISFIT_ALLOWANCE: Angle = Angle::from_deg(0.25);
/// Keeps the weights finite for a chip without noise.
const LEAST_NOISE: f64 = 1e-7;
/// Standard deviations that still count as noise.
const SIGMAS: f64 = 4.0;

/// Which angle a finding is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AngleKind {
    /// Camber at straight-ahead against the floor.
    Camber,
    /// Caster against the floor.
    Caster,
    /// Steering axis inclination against the floor.
    Sai,
    /// SAI plus camber.
    IncludedAngle,
}

impl AngleKind {
    /// All of them, in the order of covariances.
    pub const ALL: [Self; 4] = [Self::Camber, Self::Caster, Self::Sai, Self::IncludedAngle];
}

/// An angle, how far to trust it and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Which angle.
    pub angle: AngleKind,
    /// Value and standard uncertainty.
    pub estimate: Estimate,
    /// Where the uncertainty comes from.
    pub budget: Budget,
    /// The classic two-reading figure for the same angle, where there is one.
    pub two_reading: Option<Angle>,
}

/// What the steering axis gives.
#[derive(Debug, Clone, PartialEq)]
pub struct AxisFindings {
    /// Caster.
    pub caster: Finding,
    /// Steering axis inclination.
    pub sai: Finding,
    /// SAI plus camber.
    pub included: Finding,
    /// Covariance of camber, caster, SAI and included angle, rad².
    pub covariance_rad2: [[f64; 4]; 4],
    /// Largest misfit of a row after the fit.
    pub misfit: Angle,
}

/// What a swing found out about one wheel.
#[derive(Debug, Clone, PartialEq)]
pub struct WheelOutcome {
    /// Which side.
    pub side: Side,
    /// Time of the last reading used.
    pub at: HostTime,
    /// Camber at straight-ahead: stands even where the axis is refused.
    pub camber: Finding,
    /// The axis, or why there is none.
    pub axis: Result<AxisFindings, Refusal>,
}

/// One rest as the solver sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Position {
    pub(crate) accel_g: Vec3<Board>,
    pub(crate) direction_noise: Angle,
    pub(crate) seconds: f64,
    pub(crate) straight: bool,
    /// Steer from the first rest, + left.
    pub(crate) steer: Angle,
    /// Noise of that angle alone (plates), or of the turn from the rest before (gyro).
    pub(crate) steer_noise: Angle,
}

/// All that one wheel's solution depends on.
#[derive(Debug, Clone)]
pub(crate) struct Problem {
    pub(crate) wheel: SwingWheel,
    pub(crate) body: BodyMotion,
    pub(crate) source: SteerSource,
    pub(crate) positions: Vec<Position>,
    pub(crate) at: HostTime,
}

/// One evaluation of the model.
#[derive(Debug, Clone)]
pub(crate) struct Solved {
    pub(crate) axis: AxisAngles,
    pub(crate) camber: Angle,
    stances: Vec<Stance>,
    /// Misfit of E1 and E2 per position, rad.
    misfits: Vec<[f64; 2]>,
}

impl Solved {
    /// In the order of [`AngleKind::ALL`].
    pub(crate) fn angles(&self) -> [Angle; 4] {
        [
            self.camber,
            self.axis.caster,
            self.axis.sai,
            self.axis.sai + self.camber,
        ]
    }
}

/// Inverse of the 2×2 covariance square root per position: whitens a pair of rows.
type Weights = Vec<Matrix2<f64>>;

impl Problem {
    /// Solves the wheel, or says why not. Camber needs the straight-ahead
    /// rest only and is given whenever there is one.
    pub(crate) fn solve(&self) -> Result<WheelOutcome, Refusal> {
        let side = self.wheel.wheel.side;
        let no_axis = Refusal::NoAxis { side };
        let axis = self.axis();
        let (solved, budget) = if let Ok((solved, weights)) = &axis {
            let effect = |nudge: Option<&Nudge>| self.evaluate(nudge, weights).map(|s| s.angles());
            (solved.clone(), Budget::of(self, effect))
        } else {
            // Without an axis camber stands on the first rest alone.
            let positions = self.positions.iter().take(1).copied().collect();
            let first = Self {
                positions,
                ..self.clone()
            };
            let effect = |nudge: Option<&Nudge>| first.camber_only(nudge).map(|s| s.angles());
            (
                first.camber_only(None).ok_or(no_axis)?,
                Budget::of(&first, effect),
            )
        };
        let budget = budget.ok_or(no_axis)?;
        let finding = |kind: AngleKind, two_reading: Option<Angle>| {
            let index = kind as usize;
            Finding {
                angle: kind,
                estimate: Estimate::new(solved.angles()[index], budget.standard(index)),
                budget: budget.for_angle(index),
                two_reading,
            }
        };
        let camber = finding(AngleKind::Camber, None);
        let axis = axis.map(|(solved, _)| {
            let (caster, sai) = self.two_reading(&solved);
            AxisFindings {
                caster: finding(AngleKind::Caster, caster),
                sai: finding(AngleKind::Sai, sai),
                included: finding(AngleKind::IncludedAngle, None),
                covariance_rad2: budget.covariance_rad2(),
                misfit: Angle::from_rad(
                    solved
                        .misfits
                        .iter()
                        .flatten()
                        .fold(0.0, |most: f64, m| most.max(m.abs())),
                ),
            }
        });
        Ok(WheelOutcome {
            side,
            at: self.at,
            camber,
            axis,
        })
    }

    /// The fitted axis after all checks, with the weights it was fitted by.
    fn axis(&self) -> Result<(Solved, Weights), Refusal> {
        let side = self.wheel.wheel.side;
        let no_axis = Refusal::NoAxis { side };
        let left = self
            .positions
            .iter()
            .map(|p| p.steer.rad())
            .fold(0.0, f64::max);
        let right = self
            .positions
            .iter()
            .map(|p| -p.steer.rad())
            .fold(0.0, f64::max);
        if left.min(right) < LEAST_STEER.rad() {
            let (left, right) = (Angle::from_rad(left), Angle::from_rad(right));
            return Err(Refusal::ArcTooShort {
                side,
                left,
                right,
                least: LEAST_STEER,
            });
        }
        self.check_return()?;
        let equal = vec![Matrix2::identity(); self.positions.len()];
        let rough = self.evaluate(None, &equal).ok_or(no_axis)?;
        let weights = self.weights(&rough).ok_or(no_axis)?;
        let solved = self.evaluate(None, &weights).ok_or(no_axis)?;
        self.check_misfits(&solved)?;
        Ok((solved, weights))
    }

    /// The last straight-ahead rest against the first, predicted by the fit of
    /// the others: a hub that rolled shows in E2, a board that slipped in E1.
    fn check_return(&self) -> Result<(), Refusal> {
        let side = self.wheel.wheel.side;
        let no_axis = Refusal::NoAxis { side };
        let (Some(first), Some(last)) = (self.positions.first(), self.positions.last()) else {
            return Err(no_axis);
        };
        if !last.straight || self.positions.len() < 4 {
            return Ok(());
        }
        let before = Self {
            positions: self.positions[..self.positions.len() - 1].to_vec(),
            ..self.clone()
        };
        let equal = vec![Matrix2::identity(); before.positions.len()];
        let fit = before.evaluate(None, &equal).ok_or(no_axis)?;
        let then = self.stance(0, None).ok_or(no_axis)?;
        let now = self.stance(self.positions.len() - 1, None).ok_or(no_axis)?;
        let level = |v: &[f64; 3]| v[2] - fit.axis.caster.tan() * v[0] - fit.axis.sai.tan() * v[1];
        let noise = first
            .direction_noise
            .rad()
            .hypot(last.direction_noise.rad());
        let steer = self.steer_spread(self.positions.len() - 1).rad();
        let allowed =
            |lever: f64| RETURN_ALLOWANCE + Angle::from_rad(SIGMAS * noise.hypot(lever * steer));
        let rolled = Angle::from_rad(level(&now.forward) - level(&then.forward));
        let limit = allowed(fit.axis.sai.tan());
        if rolled.abs() > limit {
            return Err(Refusal::HubRolled {
                side,
                found: rolled,
                limit,
            });
        }
        let slipped = Angle::from_rad(level(&then.spindle) - level(&now.spindle)).abs();
        let limit = allowed(fit.axis.caster.tan());
        if slipped > limit {
            return Err(Refusal::BoardSlipped {
                side,
                found: slipped,
                limit,
            });
        }
        Ok(())
    }

    fn check_misfits(&self, solved: &Solved) -> Result<(), Refusal> {
        let side = self.wheel.wheel.side;
        for (rest, misfits) in solved.misfits.iter().enumerate() {
            let noise = self.positions[rest].direction_noise.rad();
            let steer = self.steer_spread(rest).rad();
            for (misfit, lever) in misfits
                .iter()
                .zip([solved.axis.caster.tan(), solved.axis.sai.tan()])
            {
                let limit = MISFIT_ALLOWANCE + Angle::from_rad(SIGMAS * noise.hypot(lever * steer));
                let found = Angle::from_rad(misfit.abs());
                if found > limit {
                    return Err(Refusal::RestDoesNotFit {
                        side,
                        rest,
                        found,
                        limit,
                    });
                }
            }
        }
        Ok(())
    }

    /// One sigma of a rest's steer angle.
    fn steer_spread(&self, index: usize) -> Angle {
        let scale = self.wheel.wheel.chip.gyro_scale * self.positions[index].steer.rad();
        match self.source {
            SteerSource::Plates => self.positions[index].steer_noise,
            SteerSource::Gyro => {
                let walked: f64 = self.positions[..=index]
                    .iter()
                    .map(|p| p.steer_noise.rad().powi(2))
                    .sum();
                Angle::from_rad(walked.sqrt().hypot(scale))
            }
        }
    }

    fn stance(&self, index: usize, nudge: Option<&Nudge>) -> Option<Stance> {
        let wheel = &self.wheel.wheel;
        let none = Nudge::none();
        let nudge = nudge.unwrap_or(&none);
        let position = &self.positions[index];
        let up = Dir::along(nudge.accel(index, &position.accel_g))?;
        let steer = nudge.steer(index, position.steer);
        let toe = self.wheel.toe.value + nudge.toe() - steer * wheel.side.sign();
        let floor_up = nudge.floor_up(&wheel.floor, steer);
        Stance::at_heading(
            wheel.side,
            &nudge.mounting(&wheel.mounting),
            floor_up,
            up,
            toe,
        )
    }

    /// The model with one input nudged.
    pub(crate) fn evaluate(&self, nudge: Option<&Nudge>, weights: &Weights) -> Option<Solved> {
        let count = self.positions.len();
        let stances: Vec<Stance> = (0..count)
            .map(|i| self.stance(i, nudge))
            .collect::<Option<_>>()?;
        let mut design = DMatrix::zeros(2 * count, 4);
        let mut right = DVector::zeros(2 * count);
        for (i, (stance, whiten)) in stances.iter().zip(weights).enumerate() {
            let rows = [
                [stance.spindle[0], stance.spindle[1], 1.0, 0.0],
                [stance.forward[0], stance.forward[1], 0.0, 1.0],
            ];
            let white = whiten * Vector2::new(stance.spindle[2], stance.forward[2]);
            for row in 0..2 {
                right[2 * i + row] = white[row];
                for column in 0..4 {
                    design[(2 * i + row, column)] =
                        whiten[(row, 0)] * rows[0][column] + whiten[(row, 1)] * rows[1][column];
                }
            }
        }
        let svd = design.svd(true, true);
        let (most, least) = svd
            .singular_values
            .iter()
            .fold((0.0_f64, f64::INFINITY), |(a, b), &s| (a.max(s), b.min(s)));
        if least.is_nan() || least < 1e-9 * most {
            return None;
        }
        let fit = svd.solve(&right, 0.0).ok()?;
        let misfits = stances
            .iter()
            .map(|s| {
                let along =
                    |v: &[f64; 3], constant: f64| v[2] - dot(v, &[fit[0], fit[1], 0.0]) - constant;
                [along(&s.spindle, fit[2]), along(&s.forward, fit[3])]
            })
            .collect();
        let axis = AxisAngles {
            caster: Angle::from_rad(fit[0].atan()),
            sai: Angle::from_rad(fit[1].atan()),
        };
        Some(Solved {
            axis,
            camber: self.camber(&stances, axis, nudge)?,
            stances,
            misfits,
        })
    }

    /// Mean camber of the straight-ahead rests, weighted by their length; a
    /// rest that is a little off straight-ahead is moved there by the axis.
    fn camber(&self, stances: &[Stance], axis: AxisAngles, nudge: Option<&Nudge>) -> Option<Angle> {
        let none = Nudge::none();
        let nudge = nudge.unwrap_or(&none);
        let toe0 = self.wheel.toe.value + nudge.toe();
        let first = SpindlePosition {
            heading: toe0,
            camber: stances.first()?.camber,
        };
        let (mut sum, mut weight) = (Angle::ZERO, 0.0);
        for (index, (position, stance)) in self
            .positions
            .iter()
            .zip(stances)
            .enumerate()
            .filter(|(_, (p, _))| p.straight)
        {
            let toe = toe0 - nudge.steer(index, position.steer) * self.wheel.wheel.side.sign();
            let moved = camber_at(toe, axis, first) - first.camber;
            sum += (stance.camber - moved) * position.seconds;
            weight += position.seconds;
        }
        (weight > 0.0).then(|| sum / weight)
    }

    /// The first rest alone: camber, and no axis.
    fn camber_only(&self, nudge: Option<&Nudge>) -> Option<Solved> {
        let stance = self.stance(0, nudge)?;
        let axis = AxisAngles {
            caster: Angle::ZERO,
            sai: Angle::ZERO,
        };
        Some(Solved {
            axis,
            camber: stance.camber,
            stances: vec![stance],
            misfits: Vec::new(),
        })
    }

    /// Whitening per rest: inverse Cholesky factor of the covariance of (E1, E2).
    fn weights(&self, rough: &Solved) -> Option<Weights> {
        let (tan_c, tan_s) = (rough.axis.caster.tan(), rough.axis.sai.tan());
        rough
            .stances
            .iter()
            .enumerate()
            .map(|(i, stance)| {
                let noise = self.positions[i].direction_noise.rad().max(LEAST_NOISE);
                // How the two rows answer to a turn of the heading.
                let answer = Vector2::new(
                    tan_c * stance.spindle[1] - tan_s * stance.spindle[0],
                    tan_c * stance.forward[1] - tan_s * stance.forward[0],
                );
                let steer = self.steer_spread(i).rad();
                // Gravity's noise reaches a row through all three components.
                let gain = 1.0 + tan_c * tan_c + tan_s * tan_s;
                let covariance = Matrix2::identity() * (noise * noise * gain)
                    + answer * answer.transpose() * (steer * steer);
                covariance.cholesky()?.l().try_inverse()
            })
            .collect()
    }

    /// The classic figures from the farthest stops: caster from camber, SAI from hub pitch.
    fn two_reading(&self, solved: &Solved) -> (Option<Angle>, Option<Angle>) {
        let by_steer = |a: &usize, b: &usize| {
            self.positions[*a]
                .steer
                .rad()
                .total_cmp(&self.positions[*b].steer.rad())
        };
        let order = 0..self.positions.len();
        let (Some(rightmost), Some(leftmost)) =
            (order.clone().min_by(by_steer), order.max_by(by_steer))
        else {
            return (None, None);
        };
        // The left wheel's front goes inboard when it is steered to the right.
        let (inward, outward) = match self.wheel.wheel.side {
            Side::Left => (rightmost, leftmost),
            Side::Right => (leftmost, rightmost),
        };
        let figure = |angle: fn(&Stance) -> Angle| {
            two_reading_unequal(
                angle(&solved.stances[inward]),
                angle(&solved.stances[outward]),
                self.positions[inward].steer,
                self.positions[outward].steer,
            )
        };
        (Some(figure(|s| s.camber)), Some(figure(|s| s.hub_pitch)))
    }
}
