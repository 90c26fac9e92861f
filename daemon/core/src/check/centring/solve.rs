//! From positions of the steering to its locks.

use crate::angle::Angle;
use crate::check::evidence::{CentringEvidence, PlainSteer, TurnedBy};
use crate::check::hub::scatter_of_mean;
use crate::check::refusal::CheckRefusal;
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Note, Quantity};
use crate::check::steered::{mean_steer, straight};
use crate::gum::Uncertainty;
use crate::side::Side;

/// A lock is at least this far.
const LEAST_LOCK: Angle = Angle::from_deg(15.0);
/// The steering wheel turns at least this far to a lock.
const LEAST_STEERING_WHEEL: Angle = Angle::from_deg(90.0);
/// Locks of one side lie within this of each other, or one of them was none.
const REPEAT_WITHIN: Angle = Angle::from_deg(1.5);
/// The same for the steering wheel.
const REPEAT_STEERING_WHEEL: Angle = Angle::from_deg(20.0);
/// Straight ahead is found again within this.
const BACK_WITHIN: Angle = Angle::from_deg(2.0);
/// The same for the steering wheel.
const BACK_STEERING_WHEEL: Angle = Angle::from_deg(30.0);
/// A difference below this is nobody's trouble (common practice, no source).
const WORTH_SAYING: Angle = Angle::from_deg(0.5);

/// One lock of one wheel, mean of the rounds.
#[derive(Debug, Clone, Copy)]
struct Lock {
    /// Steer from straight ahead, rad, + left.
    steer: f64,
    /// Noise of gyro or typing.
    noise: f64,
    /// What the rounds scatter beyond that.
    scatter: Uncertainty,
    /// Largest less smallest of the rounds.
    spread: f64,
    rounds: usize,
}

/// A wheel's (or the steering wheel's, or the axle's mean) two locks.
#[derive(Debug, Clone, Copy)]
struct Locks {
    left: Lock,
    right: Lock,
    /// Uncertainty of straight ahead.
    straight: f64,
    scale: f64,
}

impl Locks {
    fn of(&self, side: Side) -> &Lock {
        match side {
            Side::Left => &self.left,
            Side::Right => &self.right,
        }
    }
}

/// Of each visit to a side the rest that is farthest, by the mean of the wheels.
fn farthest(positions: &[PlainSteer], side: Side) -> Vec<&PlainSteer> {
    let reach = |p: &PlainSteer| mean_steer(&p.steer_rad).map_or(0.0, f64::abs);
    let mut visits: Vec<&PlainSteer> = Vec::new();
    let mut before = None;
    for position in positions {
        if position.turned == Some(side) {
            match visits.last_mut() {
                Some(last) if before == Some(side) => {
                    if reach(position) > reach(last) {
                        *last = position;
                    }
                }
                _ => visits.push(position),
            }
        }
        before = position.turned;
    }
    visits
}

fn lock(
    evidence: &CentringEvidence,
    side: Side,
    zero: f64,
    pick: &dyn Fn(&PlainSteer) -> Option<[f64; 2]>,
) -> Option<Lock> {
    let visits: Vec<[f64; 2]> = farthest(&evidence.positions, side)
        .into_iter()
        .map(pick)
        .collect::<Option<_>>()?;
    if visits.is_empty() {
        return None;
    }
    let n = visits.len() as f64;
    let values: Vec<f64> = visits.iter().map(|visit| visit[0] - zero).collect();
    let steer = values.iter().sum::<f64>() / n;
    let noise = match evidence.by {
        // Grows from turn to turn, so it is shared by all rounds after.
        TurnedBy::Gyro => visits.iter().map(|visit| visit[1]).sum::<f64>() / n,
        _ => visits.iter().map(|v| v[1] * v[1]).sum::<f64>().sqrt() / n,
    };
    let each = noise * n.sqrt();
    let scatter =
        scatter_of_mean(&values, each).map_or(Uncertainty::certain(0.0), |(_, scatter)| scatter);
    let highest = values.iter().copied().fold(f64::MIN, f64::max);
    let lowest = values.iter().copied().fold(f64::MAX, f64::min);
    Some(Lock {
        steer,
        noise,
        scatter,
        spread: highest - lowest,
        rounds: visits.len(),
    })
}

fn locks(evidence: &CentringEvidence, wheel: usize) -> Option<Locks> {
    let (zero, straight) = straight(&evidence.positions, wheel)?;
    let pick = |position: &PlainSteer| position.steer_rad[wheel];
    // A typed zero is as uncertain as any other typed figure.
    let typed = match evidence.by {
        TurnedBy::Gyro => 0.0,
        _ => evidence.positions.first()?.steer_rad[wheel]?[1] / 2f64.sqrt(),
    };
    Some(Locks {
        left: lock(evidence, Side::Left, zero, &pick)?,
        right: lock(evidence, Side::Right, zero, &pick)?,
        straight: straight.hypot(typed),
        scale: evidence.scale[wheel],
    })
}

const fn noise_cause(by: TurnedBy) -> CheckCause {
    match by {
        TurnedBy::Gyro => CheckCause::GyroNoise,
        _ => CheckCause::Typed,
    }
}

fn lock_finding(by: TurnedBy, locks: &Locks, side: Side, wheel: Option<Side>) -> CheckFinding {
    let of = locks.of(side);
    let quantity = match side {
        Side::Left => Quantity::LockLeft,
        Side::Right => Quantity::LockRight,
    };
    let certain = Uncertainty::certain;
    CheckFinding::of(
        quantity,
        wheel,
        of.steer * side.sign(),
        &[
            (noise_cause(by), certain(of.noise)),
            (CheckCause::Straight, certain(locks.straight)),
            (CheckCause::GyroScale, certain(locks.scale * of.steer)),
            (CheckCause::Scatter, of.scatter),
        ],
    )
}

/// Half of left lock less right lock, of one wheel or several alike.
fn off_centre(by: TurnedBy, all: &[Locks]) -> CheckFinding {
    let n = all.len() as f64;
    let half = |locks: &Locks| 0.5 * (locks.left.steer + locks.right.steer);
    let value = all.iter().map(half).sum::<f64>() / n;
    let mut parts = vec![(
        // The wheels are set straight together, so that this does not average out.
        CheckCause::Straight,
        Uncertainty::certain(all.iter().map(|l| l.straight).sum::<f64>() / n),
    )];
    for locks in all {
        for lock in [&locks.left, &locks.right] {
            parts.push((noise_cause(by), Uncertainty::certain(0.5 * lock.noise / n)));
            parts.push((CheckCause::Scatter, lock.scatter.times(0.5 / n)));
        }
        let by_scale = locks.scale * half(locks) / n;
        parts.push((CheckCause::GyroScale, Uncertainty::certain(by_scale)));
    }
    CheckFinding::of(Quantity::OffCentre, None, value, &merged(&parts))
}

/// Contributions of one cause as one.
fn merged(parts: &[(CheckCause, Uncertainty)]) -> Vec<(CheckCause, Uncertainty)> {
    let mut causes: Vec<CheckCause> = Vec::new();
    for (cause, _) in parts {
        if !causes.contains(cause) {
            causes.push(*cause);
        }
    }
    causes
        .into_iter()
        .map(|cause| {
            let of: Vec<Uncertainty> = parts
                .iter()
                .filter(|(other, _)| *other == cause)
                .map(|(_, u)| *u)
                .collect();
            (cause, Uncertainty::combined(&of))
        })
        .collect()
}

/// Locks that should be alike: of `a` to the left, of `b` to the right.
fn differ(quantity: Quantity, by: TurnedBy, a: &Locks, b: &Locks) -> CheckFinding {
    let (to_left, to_right) = (&a.left, &b.right);
    let certain = Uncertainty::certain;
    CheckFinding::of(
        quantity,
        None,
        to_left.steer + to_right.steer,
        &merged(&[
            (noise_cause(by), certain(to_left.noise)),
            (noise_cause(by), certain(to_right.noise)),
            (CheckCause::Scatter, to_left.scatter),
            (CheckCause::Scatter, to_right.scatter),
            (CheckCause::Straight, certain(a.straight + b.straight)),
            (CheckCause::GyroScale, certain(a.scale * to_left.steer)),
            (CheckCause::GyroScale, certain(b.scale * to_right.steer)),
        ]),
    )
}

fn check(evidence: &CentringEvidence, all: &[Locks]) -> Result<(), CheckRefusal> {
    let (least, repeat, back) = match evidence.by {
        TurnedBy::SteeringWheel => (
            LEAST_STEERING_WHEEL,
            REPEAT_STEERING_WHEEL,
            BACK_STEERING_WHEEL,
        ),
        _ => (LEAST_LOCK, REPEAT_WITHIN, BACK_WITHIN),
    };
    let found = Angle::from_rad(returned(&evidence.positions).unwrap_or(0.0).abs());
    if found > back {
        return Err(CheckRefusal::NotBack { found, limit: back });
    }
    for locks in all {
        for side in Side::BOTH {
            let of = locks.of(side);
            let found = Angle::from_rad(of.steer * side.sign());
            if found.rad().is_nan() || found < least {
                return Err(CheckRefusal::NoLock { side, found, least });
            }
            let found = Angle::from_rad(of.spread);
            if found > repeat {
                return Err(CheckRefusal::LocksVary {
                    side,
                    found,
                    limit: repeat,
                });
            }
        }
    }
    Ok(())
}

/// Last straight-ahead rest less the first, mean of the wheels, rad.
fn returned(positions: &[PlainSteer]) -> Option<f64> {
    let mut straights = positions.iter().filter(|p| p.turned.is_none());
    let first = mean_steer(&straights.next()?.steer_rad)?;
    let last = mean_steer(&straights.next_back()?.steer_rad)?;
    Some(last - first)
}

pub(in crate::check) fn solve(evidence: &CentringEvidence) -> Result<CheckResult, CheckRefusal> {
    let by = evidence.by;
    let found: Vec<(usize, Locks)> = (0..2)
        .filter(|wheel| {
            let known = |position: &PlainSteer| position.steer_rad[*wheel].is_some();
            evidence.positions.iter().any(known)
        })
        .map(|wheel| locks(evidence, wheel).map(|locks| (wheel, locks)))
        .collect::<Option<_>>()
        .ok_or(CheckRefusal::TooFew {
            found: evidence.positions.len(),
            least: 4,
        })?;
    if found.is_empty() {
        return Err(CheckRefusal::TooFew { found: 0, least: 4 });
    }
    let all: Vec<Locks> = found.iter().map(|(_, locks)| *locks).collect();
    check(evidence, &all)?;
    let mut findings = Vec::new();
    let mut notes = Vec::new();
    if by == TurnedBy::SteeringWheel || all.len() == 2 {
        findings.push(off_centre(by, &all));
    } else {
        notes.push(Note::OneWheelOnly);
    }
    for (wheel, locks) in &found {
        let wheel = (by != TurnedBy::SteeringWheel).then_some(Side::BOTH[*wheel]);
        for side in Side::BOTH {
            findings.push(lock_finding(by, locks, side, wheel));
        }
    }
    if let [left, right] = all.as_slice() {
        let inner = differ(Quantity::InnerLocksDiffer, by, left, right);
        let outer = differ(Quantity::OuterLocksDiffer, by, right, left);
        let disagree = |finding: &CheckFinding| {
            let found = finding.estimate.value.abs();
            found > finding.expanded() && found > WORTH_SAYING
        };
        if disagree(&inner) || disagree(&outer) {
            notes.push(Note::LocksDisagree);
        }
        findings.extend([inner, outer]);
    }
    if let Some(back) = returned(&evidence.positions) {
        notes.push(Note::Return(Angle::from_rad(back)));
    }
    for side in Side::BOTH {
        let spread = all.iter().map(|l| l.of(side).spread).fold(0.0, f64::max);
        if all.iter().all(|locks| locks.of(side).rounds > 1) {
            notes.push(Note::Repeat {
                side,
                spread: Angle::from_rad(spread),
            });
        }
    }
    Ok(CheckResult {
        findings,
        notes,
        ..CheckResult::default()
    })
}
