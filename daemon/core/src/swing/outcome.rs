//! From the rests of a swing to its findings.
//!
//! Each wheel is checked by itself; those that pass are solved together (see
//! [`crate::joint`]), so that what left and right share stays shared. A wheel
//! that fails keeps its camber, which needs no more than the first rest.

use crate::angle::Angle;
use crate::attitude::{Mirrored, Stance, dot};
use crate::estimate::Estimate;
use crate::finding::{AngleKind, Budget, Finding, coverage_95};
use crate::frames::Dir;
use crate::joint::evidence::{SwingEvidence, WheelEvidence};
use crate::joint::solve::{Solved, solve};
use crate::mounting::Mounting;
use crate::side::Side;
use crate::swing::exact::two_reading_unequal;
use crate::swing::refusal::Refusal;
use crate::time::HostTime;

/// Least steer to each side.
pub(crate) const LEAST_STEER: Angle = Angle::from_deg(7.5);
/// The linkage and the suspension may fail to come back by so much; beyond it something slipped.
const RETURN_ALLOWANCE: Angle = Angle::from_deg(0.12);
/// A row may misfit by so many of its standard deviations without having been disturbed.
const MISFIT_SIGMAS: f64 = 6.0;
/// No car that steers by itself leans its axes so far forward on both sides. A board on the other
/// side of the car shows caster with the wrong sign, and everything else of the other wheel.
const SWAPPED: Angle = Angle::from_deg(-2.0);
/// Standard deviations that still count as noise.
const SIGMAS: f64 = 4.0;
/// No car has more caster than this (common practice, no source): so much goes into camber of a wheel that is
/// not quite straight ahead again.
const MOST_CASTER: Angle = Angle::from_deg(15.0);

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
    /// Largest misfit of a row after the fit, in its standard deviations.
    pub misfit_sigmas: f64,
    /// Rests that were left out because they did not fit the others.
    pub left_out: Vec<usize>,
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

/// Left less right, with what both share taken into account.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Difference {
    /// Which angle.
    pub angle: AngleKind,
    /// Left less right.
    pub estimate: Estimate,
    /// Effective degrees of freedom of the standard uncertainty.
    pub degrees_of_freedom: f64,
    /// Correlation of left and right that was used.
    pub correlation: f64,
}

impl Difference {
    /// Half width of the 95 % interval.
    pub fn expanded(&self) -> Angle {
        self.estimate.standard * coverage_95(self.degrees_of_freedom)
    }
}

/// A rest as the checks see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Mark {
    /// Steer from the first rest, + left.
    pub(crate) steer: Angle,
    /// One sigma of it.
    pub(crate) steer_standard: Angle,
    /// Straight ahead, or a stop.
    pub(crate) straight: bool,
}

/// One wheel with its evidence.
#[derive(Debug, Clone)]
pub(crate) struct Candidate {
    pub(crate) evidence: WheelEvidence,
    pub(crate) mounting: Mounting,
    pub(crate) marks: Vec<Mark>,
    pub(crate) at: HostTime,
}

/// Findings of all wheels, and the differences between two.
pub(crate) fn outcome(
    candidates: &[Candidate],
    session: &SwingEvidence,
) -> (Vec<Result<WheelOutcome, Refusal>>, Vec<Difference>) {
    let checked: Vec<Result<(), Refusal>> = candidates.iter().map(|c| c.check(session)).collect();
    let sound: Vec<&Candidate> = candidates
        .iter()
        .zip(&checked)
        .filter(|(_, c)| c.is_ok())
        .map(|(c, _)| c)
        .collect();
    let fitted = fit(&sound, session);
    let mut differences = Vec::new();
    if let (Ok(fit), [_, _]) = (&fitted, sound.as_slice()) {
        differences = fit.differences(sound[0].evidence.side);
    }
    let outcomes: Vec<_> = candidates
        .iter()
        .zip(checked)
        .map(|(candidate, check)| {
            let place = sound
                .iter()
                .position(|s| s.evidence.side == candidate.evidence.side);
            let refusal = match (check, place, &fitted) {
                (Ok(()), Some(place), Ok(fit)) => return Ok(candidate.outcome(fit, place)),
                (Err(refusal), ..) => refusal,
                (_, _, Err(refusal)) => *refusal,
                (Ok(()), None, _) => Refusal::NoAxis {
                    side: candidate.evidence.side,
                },
            };
            candidate.camber_alone(session, refusal)
        })
        .collect();
    match sides_swapped(&outcomes) {
        // Not even camber is that of the wheel whose name it would have.
        Some(refusal) => (vec![Err(refusal); outcomes.len()], Vec::new()),
        None => (outcomes, differences),
    }
}

/// Do both wheels lean as each other's would?
fn sides_swapped(outcomes: &[Result<WheelOutcome, Refusal>]) -> Option<Refusal> {
    let caster = |side| {
        let of = |wheel: &&WheelOutcome| wheel.side == side;
        let wheel = outcomes.iter().flatten().find(of)?;
        let caster = wheel.axis.as_ref().ok()?.caster.estimate;
        (caster.value + caster.standard * SIGMAS < SWAPPED).then_some(caster.value)
    };
    Some(Refusal::SidesSwapped {
        left: caster(Side::Left)?,
        right: caster(Side::Right)?,
    })
}

/// A joint solution with the rests it did without.
struct Fit {
    solved: Solved,
    left_out: Vec<usize>,
}

/// Solves the sound wheels together. When a rest does not fit, it is left out
/// if enough remains; otherwise the whole is refused.
fn fit(sound: &[&Candidate], session: &SwingEvidence) -> Result<Fit, Refusal> {
    let Some(first) = sound.first() else {
        return Err(Refusal::Cancelled);
    };
    let side = first.evidence.side;
    let wheels: Vec<WheelEvidence> = sound.iter().map(|c| c.evidence.clone()).collect();
    let all = SwingEvidence {
        wheels,
        ..session.clone()
    };
    let solved = solve(&all).ok_or(Refusal::NoAxis { side })?;
    let Some((wheel, place, found)) = worst(&solved) else {
        return Ok(Fit {
            solved,
            left_out: Vec::new(),
        });
    };
    let side = all.wheels[wheel].side;
    let refusal = Refusal::RestDoesNotFit {
        side,
        rest: place,
        found_sigmas: found,
        limit_sigmas: MISFIT_SIGMAS,
    };
    // Any stop may be the bad one: the one without which the rest fits best.
    let best = (1..session.rests)
        .filter(|rest| sound.iter().all(|c| c.stands_without(*rest)))
        .filter_map(|rest| {
            let solved = solve(&all.without_rest(rest))?;
            worst(&solved)
                .is_none()
                .then(|| (rest, square(&solved), solved))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1));
    match best {
        Some((rest, _, solved)) => Ok(Fit {
            solved,
            left_out: vec![rest],
        }),
        None => Err(refusal),
    }
}

/// The row that misfits most beyond the limit: wheel, place of the rest, sigmas.
fn worst(solved: &Solved) -> Option<(usize, usize, f64)> {
    let most = solved
        .misfits
        .iter()
        .zip(&solved.rests)
        .filter_map(|(misfit, at)| at.map(|(wheel, place)| (wheel, place, misfit.abs())))
        .max_by(|a, b| a.2.total_cmp(&b.2))?;
    (most.2 > MISFIT_SIGMAS).then_some(most)
}

fn square(solved: &Solved) -> f64 {
    solved.misfits.iter().map(|m| m * m).sum()
}

impl Fit {
    fn finding(&self, place: usize, angle: AngleKind, two_reading: Option<Angle>) -> Finding {
        let index = 4 * place + angle as usize;
        let standard = Angle::from_rad(self.solved.covariance_rad2[(index, index)].max(0.0).sqrt());
        Finding {
            angle,
            estimate: Estimate::new(self.solved.wheels[place][angle as usize], standard),
            degrees_of_freedom: self.solved.degrees_of_freedom(&[(index, 1.0)]),
            budget: Budget::from_variances(|cause| self.solved.variance_by(cause, index)),
            two_reading,
        }
    }

    fn differences(&self, first: Side) -> Vec<Difference> {
        let (left, right) = if first == Side::Left { (0, 1) } else { (1, 0) };
        AngleKind::ALL
            .iter()
            .map(|angle| {
                let (l, r) = (4 * left + *angle as usize, 4 * right + *angle as usize);
                let covariance = &self.solved.covariance_rad2;
                let (ll, rr, lr) = (covariance[(l, l)], covariance[(r, r)], covariance[(l, r)]);
                let value = self.solved.wheels[left][*angle as usize]
                    - self.solved.wheels[right][*angle as usize];
                let standard = Angle::from_rad((ll + rr - 2.0 * lr).max(0.0).sqrt());
                let spread = (ll * rr).sqrt();
                Difference {
                    angle: *angle,
                    estimate: Estimate::new(value, standard),
                    degrees_of_freedom: self.solved.degrees_of_freedom(&[(l, 1.0), (r, -1.0)]),
                    correlation: if spread > 0.0 { lr / spread } else { 0.0 },
                }
            })
            .collect()
    }
}

impl Candidate {
    fn side(&self) -> Side {
        self.evidence.side
    }

    fn check(&self, session: &SwingEvidence) -> Result<(), Refusal> {
        let side = self.side();
        let left = self.marks.iter().map(|m| m.steer.rad()).fold(0.0, f64::max);
        let right = self
            .marks
            .iter()
            .map(|m| -m.steer.rad())
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
        self.check_return(session)
    }

    /// Would both sides still have a stop without this rest?
    fn stands_without(&self, rest: usize) -> bool {
        let left = self.marks.iter().enumerate().filter(|(i, _)| *i != rest);
        let (mut to_left, mut to_right) = (false, false);
        for (_, mark) in left {
            to_left |= mark.steer >= LEAST_STEER;
            to_right |= mark.steer <= -LEAST_STEER;
        }
        to_left && to_right
    }

    /// The last straight-ahead rest against the first, predicted by the fit of
    /// the others. A hub that rolled shows in its forward direction, a board
    /// that slipped in its spindle.
    fn check_return(&self, session: &SwingEvidence) -> Result<(), Refusal> {
        let side = self.side();
        let no_axis = Refusal::NoAxis { side };
        let last = self.marks.len() - 1;
        let (mark, rest) = (self.marks[last], &self.evidence.rests[last]);
        if !mark.straight || self.marks.len() < 4 {
            return Ok(());
        }
        let alone = SwingEvidence {
            wheels: vec![self.evidence.clone()],
            body: None,
            ..session.clone()
        };
        let before = solve(&alone.without_rest(last)).ok_or(no_axis)?;
        let [_, caster, sai, _] = before.wheels[0];
        let (then, now) = (
            self.stance(0, session).ok_or(no_axis)?,
            self.stance(last, session).ok_or(no_axis)?,
        );
        let level = |v: &Mirrored| v[2] - dot(v, &[caster.tan(), sai.tan(), 0.0]);
        let noise = self.evidence.rests[0].noise_g.hypot(rest.noise_g);
        let allowed = |lever: f64| {
            RETURN_ALLOWANCE
                + Angle::from_rad(SIGMAS * noise.hypot(lever * mark.steer_standard.rad()))
        };
        let found = Angle::from_rad(level(&now.forward) - level(&then.forward));
        let limit = allowed(sai.tan());
        if found.abs() > limit {
            return Err(Refusal::HubRolled { side, found, limit });
        }
        let found = Angle::from_rad(level(&then.spindle) - level(&now.spindle)).abs();
        let limit = allowed(caster.tan());
        if found > limit {
            return Err(Refusal::BoardSlipped { side, found, limit });
        }
        Ok(())
    }

    /// Did the wheel come back to the camber that it had? None where it did not come back straight ahead.
    fn leans_as_before(&self, session: &SwingEvidence) -> Option<bool> {
        let last = self.marks.len().checked_sub(1).filter(|last| *last > 0)?;
        let mark = self.marks.get(last).filter(|mark| mark.straight)?;
        let (then, now) = (self.stance(0, session)?, self.stance(last, session)?);
        let rests = &self.evidence.rests;
        let noise = SIGMAS * rests[0].noise_g.hypot(rests[last].noise_g);
        let steer = mark.steer.rad().abs() + SIGMAS * mark.steer_standard.rad();
        let limit = RETURN_ALLOWANCE.rad() + noise + MOST_CASTER.tan() * steer;
        Some((now.camber - then.camber).abs().rad() <= limit)
    }

    fn stance(&self, place: usize, session: &SwingEvidence) -> Option<Stance> {
        let up = Dir::along(self.evidence.rests[place].accel_g)?;
        let toe = self.evidence.toe.value - self.marks[place].steer * self.side().sign();
        Stance::at_heading(self.side(), &self.mounting, session.floor.up(), up, toe)
    }

    fn outcome(&self, fit: &Fit, place: usize) -> WheelOutcome {
        let (caster, sai) = self
            .two_reading()
            .map_or((None, None), |(c, s)| (Some(c), Some(s)));
        let mut covariance_rad2 = [[0.0; 4]; 4];
        for (row, cells) in covariance_rad2.iter_mut().enumerate() {
            for (column, cell) in cells.iter_mut().enumerate() {
                *cell = fit.solved.covariance_rad2[(4 * place + row, 4 * place + column)];
            }
        }
        WheelOutcome {
            side: self.side(),
            at: self.at,
            camber: fit.finding(place, AngleKind::Camber, None),
            axis: Ok(AxisFindings {
                caster: fit.finding(place, AngleKind::Caster, caster),
                sai: fit.finding(place, AngleKind::Sai, sai),
                included: fit.finding(place, AngleKind::IncludedAngle, None),
                covariance_rad2,
                misfit_sigmas: fit
                    .solved
                    .misfits
                    .iter()
                    .fold(0.0, |most: f64, m| most.max(m.abs())),
                left_out: fit.left_out.clone(),
            }),
        }
    }

    /// Camber from the first rest, where the axis is refused.
    fn camber_alone(
        &self,
        session: &SwingEvidence,
        refusal: Refusal,
    ) -> Result<WheelOutcome, Refusal> {
        // Where rests contradict each other the first may be the one that is wrong.
        let is_doubted = matches!(refusal, Refusal::RestDoesNotFit { .. });
        if !self.leans_as_before(session).unwrap_or(!is_doubted) {
            return Err(refusal);
        }
        let mut first = self.evidence.clone();
        first.rests.truncate(1);
        for rest in &mut first.rests {
            // It is the only one now, whichever it was.
            rest.rest = 0;
        }
        first.turns.clear();
        let alone = SwingEvidence {
            wheels: vec![first],
            body: None,
            rests: 1,
            ..session.clone()
        };
        let solved = solve(&alone).ok_or(refusal)?;
        let fit = Fit {
            solved,
            left_out: Vec::new(),
        };
        let camber = fit.finding(0, AngleKind::Camber, None);
        Ok(WheelOutcome {
            side: self.side(),
            at: self.at,
            camber,
            axis: Err(refusal),
        })
    }

    /// The classic figures from the farthest stops: caster from camber, SAI
    /// from hub pitch, both against gravity as a maker would read them.
    fn two_reading(&self) -> Option<(Angle, Angle)> {
        let steers = self.marks.iter().map(|m| m.steer.rad()).enumerate();
        let (leftmost, _) = steers.clone().max_by(|a, b| a.1.total_cmp(&b.1))?;
        let (rightmost, _) = steers.min_by(|a, b| a.1.total_cmp(&b.1))?;
        // The left wheel's front goes inboard when it is steered to the right.
        let (inward, outward) = match self.side() {
            Side::Left => (rightmost, leftmost),
            Side::Right => (leftmost, rightmost),
        };
        let reading = |place: usize| {
            let up = Dir::along(self.evidence.rests[place].accel_g)?;
            Stance::at_heading(self.side(), &self.mounting, Dir::z_axis(), up, Angle::ZERO)
        };
        let (a, b) = (reading(inward)?, reading(outward)?);
        let figure = |a: Angle, b: Angle| {
            two_reading_unequal(a, b, self.marks[inward].steer, self.marks[outward].steer)
        };
        Some((figure(a.camber, b.camber), figure(a.hub_pitch, b.hub_pitch)))
    }
}
