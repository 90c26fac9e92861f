//! What must hold whatever goes wrong, checked against what is true.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;

use hubplumb::board::Board;
use hubplumb::swing::SwingSnapshot;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::reading::{Live, Missing};
use hubplumb_core::side::Side;
use hubplumb_core::swing::Phase;
use hubplumb_core::time::HostTime;
use hubplumb_sim::motion::Timeline;
use hubplumb_sim::{Fault, FaultKind, FaultName, FaultPlan, Mount, PlateReader, Truth, Wheel};

use crate::ear::Ear;
use crate::shift::{Hands, Shift, seconds};

/// A figure that is stated as good is within so many of its standard uncertainties.
const SIGMAS: f64 = 4.0;
/// What is shown as live is no older than this, s.
const FRESH_S: f64 = 1.0;
/// Between a reading and a look at it at most, s.
const LOOK_S: f64 = 0.25;
/// How often boards send: the last that a delay held up was sent so long before its end at most, s.
const BEAT_S: f64 = 0.02;
/// After a fault there is a fresh value within this time, s.
const RECOVERS_S: f64 = 2.0;
/// The same where a board began anew and its numbers went on: so long a line may be late before it
/// is the board that paused.
const RECOVERS_UNSEEN_S: f64 = 10.0 + RECOVERS_S;
/// So near to whole rounds of its numbers a delay cannot be told from a pause, s.
const ROUND_S: f64 = 0.05;
/// In so long the rate of a board is learned that sends numbers and no time, s.
const LEARNED_S: f64 = 3.0;
/// A window of rest, and what is before it.
const SETTLED_S: f64 = 1.2;

/// What was seen in a shift.
#[derive(Debug, Clone, Default)]
pub(crate) struct Verdict {
    pub(crate) seconds: f64,
    pub(crate) faults: BTreeMap<FaultName, u64>,
    /// Cambers of a resting wheel that were shown, and looks at which there was none.
    pub(crate) cambers: u64,
    pub(crate) missing: BTreeMap<&'static str, u64>,
    pub(crate) worst_camber: f64,
    /// Shown of a board that is swapped with another, on a line with one that it cannot be told
    /// from, or late from its first reading on; of no looks at it can anybody know better.
    pub(crate) unknowable: u64,
    pub(crate) swings: u64,
    pub(crate) findings: u64,
    pub(crate) refused: BTreeMap<String, u64>,
    pub(crate) worst_finding: f64,
    pub(crate) recoveries_s: Vec<f64>,
    /// Boards that began anew while their numbers went on by chance, and were back in the longer time.
    pub(crate) unseen_starts: u64,
    pub(crate) oldest_s: f64,
    pub(crate) broken: Vec<String>,
}

impl Verdict {
    /// That of this and of another shift.
    pub(crate) fn add(&mut self, other: Self) {
        self.seconds += other.seconds;
        for (name, count) in other.faults {
            *self.faults.entry(name).or_default() += count;
        }
        self.cambers += other.cambers;
        for (why, count) in other.missing {
            *self.missing.entry(why).or_default() += count;
        }
        self.worst_camber = self.worst_camber.max(other.worst_camber);
        self.unknowable += other.unknowable;
        self.swings += other.swings;
        self.findings += other.findings;
        for (why, count) in other.refused {
            *self.refused.entry(why).or_default() += count;
        }
        self.worst_finding = self.worst_finding.max(other.worst_finding);
        self.recoveries_s.extend(other.recoveries_s);
        self.unseen_starts += other.unseen_starts;
        self.oldest_s = self.oldest_s.max(other.oldest_s);
        self.broken.extend(other.broken);
    }

    /// Time of recovery that a share of all stayed below, s.
    pub(crate) fn recovery_s(&self, share: f64) -> f64 {
        let mut sorted = self.recoveries_s.clone();
        sorted.sort_by(f64::total_cmp);
        let place = (share * (sorted.len().saturating_sub(1)) as f64).round() as usize;
        sorted.get(place).copied().unwrap_or(0.0)
    }
}

/// Looks at one shift.
pub(crate) struct Judge {
    seed: u64,
    tells_twins: bool,
    has_no_gyro: bool,
    round_s: Option<f64>,
    plans: Vec<(Mount, FaultPlan)>,
    truth: Truth,
    plates: PlateReader,
    /// Faults that ended and were not recovered from yet.
    ended: Vec<(usize, Fault)>,
    judged_run: u64,
    /// When the wheels last moved, s.
    moved_s: f64,
    seen: Verdict,
}

impl Judge {
    pub(crate) fn new(shift: &Shift) -> Self {
        let scenario = &shift.scenario;
        let plans: Vec<_> = [Mount::FrontLeft, Mount::FrontRight]
            .into_iter()
            .map(|mount| (mount, scenario.faults().of(mount)))
            .collect();
        let mut seen = Verdict::default();
        for fault in scenario.faults().faults() {
            *seen.faults.entry(fault.kind.name()).or_default() += 1;
        }
        let ended = plans
            .iter()
            .enumerate()
            .flat_map(|(place, (_, plan))| plan.faults().iter().map(move |fault| (place, *fault)))
            .collect();
        Self {
            seed: shift.seed,
            tells_twins: shift.tells_twins(),
            has_no_gyro: shift.has_no_gyro(),
            round_s: shift.round_s(),
            truth: scenario.truth(),
            plates: PlateReader::new(scenario),
            ended,
            plans,
            judged_run: 0,
            moved_s: 0.0,
            seen,
        }
    }

    fn breaks(&mut self, what: &str) {
        // The first few tell enough; the count of all is what fails.
        if self.seen.broken.len() < 20 {
            self.seen.broken.push(format!("seed {}: {what}", self.seed));
        }
    }

    /// Looks at what is shown live.
    pub(crate) fn look(
        &mut self,
        boards: &[Arc<Board>],
        ears: &[Ear],
        timeline: &Timeline,
        now_s: f64,
        now: HostTime,
    ) {
        self.seen.seconds = now_s;
        let state = timeline.state(now_s);
        let before = timeline.state(now_s - 0.1);
        if (state.steer.value - before.steer.value).abs() > 1e-9 {
            self.moved_s = now_s;
        }
        let wheels = self.plates.read(timeline.car_at(now_s), &state);
        for place in 0..self.plans.len() {
            let camber = boards[place].look(now).live.camber;
            let fresh = match camber {
                Live::Known { value, at } => {
                    self.known(
                        place,
                        value,
                        now_s - seconds(at),
                        wheels[place].camber_deg,
                        now_s,
                    );
                    true
                }
                Live::Missing(why) => {
                    *self.seen.missing.entry(why.code()).or_default() += 1;
                    why == Missing::Moving
                }
            };
            self.recovery(place, fresh, &ears[place], now_s);
        }
    }

    /// A value is shown of a board, so old as is said.
    fn known(&mut self, place: usize, shown: Estimate, age_s: f64, true_deg: f64, now_s: f64) {
        let (mount, plan) = &self.plans[place];
        let mount = *mount;
        // What was over a while ago may be what is to blame.
        let near = |fault: &&Fault| fault.from_s <= now_s && now_s < over_s(fault) + 5.0;
        let faults: Vec<String> = plan
            .faults()
            .iter()
            .filter(near)
            .map(ToString::to_string)
            .collect();
        let newest_s = newest_possible_s(plan, now_s);
        let oldest_s = (now_s - newest_s).max(age_s);
        let unknowable = plan.faults().iter().any(|fault| {
            let secret = match fault.kind {
                FaultKind::Swapped { .. } => true,
                FaultKind::Twin { .. } => !self.tells_twins,
                FaultKind::StuckAxis { .. } => self.has_no_gyro,
                _ => false,
            };
            secret && fault.from_s <= now_s && now_s < fault.to_s + SETTLED_S
        });
        let learned_s = self.round_s.map_or(0.0, |_| LEARNED_S);
        let secretly_late =
            late_from_its_start(plan, now_s, learned_s) || self.late_by_rounds(plan, now_s);
        if oldest_s > FRESH_S + LOOK_S && secretly_late {
            self.seen.unknowable += 1;
        } else if oldest_s > FRESH_S + LOOK_S {
            self.breaks(&format!(
                "{mount} at {now_s:.1} s: a value {oldest_s:.2} s old is shown as live; {faults:?}"
            ));
        } else {
            self.seen.oldest_s = self.seen.oldest_s.max(oldest_s);
        }
        if now_s - self.moved_s < SETTLED_S {
            return;
        }
        if unknowable {
            self.seen.unknowable += 1;
            return;
        }
        self.seen.cambers += 1;
        let off = (shown.value.deg() - true_deg).abs() / shown.standard.deg();
        self.seen.worst_camber = self.seen.worst_camber.max(off);
        if off > SIGMAS {
            self.breaks(&format!(
                "{mount} at {now_s:.1} s: camber {:.3} ± {:.3} (u) shown, {true_deg:.3} true; {faults:?}",
                shown.value.deg(),
                shown.standard.deg()
            ));
        }
    }

    /// Is the line late by as long as the numbers take to come round? Then as many readings may be lost.
    fn late_by_rounds(&self, plan: &FaultPlan, now_s: f64) -> bool {
        let Some(round_s) = self.round_s else {
            return false;
        };
        plan.faults().iter().any(|fault| match fault.kind {
            FaultKind::Delay { by_s } => {
                let rounds = (by_s / round_s).round();
                let on = fault.from_s <= now_s && now_s < over_s(fault);
                on && rounds >= 1.0 && (by_s - rounds * round_s).abs() < ROUND_S
            }
            _ => false,
        })
    }

    /// Is the board back in time after each of its faults?
    fn recovery(&mut self, place: usize, fresh: bool, ear: &Ear, now_s: f64) {
        let plan = &self.plans[place].1;
        let mut late = Vec::new();
        let seen = &mut self.seen;
        self.ended.retain(|(of, fault)| {
            let over_s = over_s(fault);
            if *of != place || now_s < over_s {
                return true;
            }
            // Another one that came meanwhile has its own end.
            let disturbed = plan.faults().iter().any(|other| {
                other != fault && other.from_s < now_s && self::over_s(other) >= fault.to_s
            });
            if disturbed {
                return false;
            }
            let anew = matches!(fault.kind, FaultKind::Reset | FaultKind::Unplug);
            let unseen = anew && ear.went_on(over_s, over_s + RECOVERS_S);
            if fresh {
                if unseen && now_s - over_s > RECOVERS_S {
                    seen.unseen_starts += 1;
                } else {
                    seen.recoveries_s.push(now_s - over_s);
                }
                return false;
            }
            let within_s = if unseen {
                RECOVERS_UNSEEN_S
            } else {
                RECOVERS_S
            };
            if now_s - over_s > within_s {
                late.push(format!(
                    "at {now_s:.1} s no fresh value {within_s} s after {fault}"
                ));
                return false;
            }
            true
        });
        for what in late {
            self.breaks(&what);
        }
    }

    /// Looks at a swing that has come to its end.
    pub(crate) fn swing(&mut self, snapshot: &SwingSnapshot, hands: &Hands) {
        let Some(current) = snapshot
            .current
            .as_ref()
            .filter(|current| current.is_over())
        else {
            return;
        };
        if snapshot.run <= self.judged_run {
            return;
        }
        self.judged_run = snapshot.run;
        self.seen.swings += 1;
        let whys = current.refusal.iter().chain(&current.refused_wheels);
        for why in whys {
            let text = format!("{why:?}");
            let name = text.split([' ', '{']).next().unwrap_or_default().to_owned();
            *self.seen.refused.entry(name).or_default() += 1;
        }
        if current.phase != Phase::Done {
            return;
        }
        let found: Vec<_> = snapshot
            .found
            .iter()
            .filter(|found| found.run == snapshot.run)
            .collect();
        for found in found {
            let (wheel, place) = match found.wheel.side {
                Side::Left => (Wheel::FrontLeft, 0),
                Side::Right => (Wheel::FrontRight, 1),
            };
            let truth = self.truth.wheel(wheel).copied().expect("a wheel");
            let mut figures = vec![("camber", found.wheel.camber.estimate, truth.camber_deg)];
            if let Ok(axis) = &found.wheel.axis {
                figures.push((
                    "caster",
                    axis.caster.estimate,
                    truth.caster_deg.unwrap_or(0.0),
                ));
                figures.push(("SAI", axis.sai.estimate, truth.sai_deg.unwrap_or(0.0)));
            }
            for (name, shown, true_deg) in figures {
                self.finding(place, name, shown, true_deg, hands.began_s);
            }
        }
    }

    fn finding(&mut self, place: usize, name: &str, shown: Estimate, true_deg: f64, began_s: f64) {
        self.seen.findings += 1;
        let off = (shown.value.deg() - true_deg).abs() / shown.standard.deg();
        let now_s = self.seen.seconds;
        let (mount, plan) = &self.plans[place];
        let over = |fault: &&Fault| fault.to_s >= began_s && fault.from_s < now_s;
        let secret = plan
            .faults()
            .iter()
            .filter(over)
            .any(|fault| matches!(fault.kind, FaultKind::Twin { .. }) && !self.tells_twins);
        if secret {
            self.seen.unknowable += 1;
            return;
        }
        if off > SIGMAS {
            let mut faults = String::new();
            for fault in plan.faults().iter().filter(over) {
                let _ = write!(faults, "[{fault}] ");
            }
            let mount = *mount;
            self.breaks(&format!(
                "{mount}, swing from {began_s:.1} to {now_s:.1} s: {name} {:.3} ± {:.3} (u) found, {true_deg:.3} true; {faults}",
                shown.value.deg(),
                shown.standard.deg()
            ));
        }
        self.seen.worst_finding = self.seen.worst_finding.max(off);
    }

    pub(crate) fn verdict(self) -> Verdict {
        self.seen
    }
}

/// When nothing of a fault is left on the line, s. What a line delays comes in its order, so for as
/// long as the delay was nothing arrives after its end but what is as late as that: no reading that
/// is fresh is there for anybody before the last late byte has arrived.
fn over_s(fault: &Fault) -> f64 {
    match fault.kind {
        FaultKind::Delay { by_s } => fault.to_s + by_s,
        _ => fault.to_s,
    }
}

/// Does a board say its first after a new start over a line that is late already? Its clock and its
/// numbers begin with what arrives, so it looks as one that started so much later. Of a board that sends
/// numbers alone nothing tells before its rate was learned, `learned_s` after its start.
fn late_from_its_start(plan: &FaultPlan, now_s: f64, learned_s: f64) -> bool {
    let begins_anew = |fault: &Fault| matches!(fault.kind, FaultKind::Reset | FaultKind::Unplug);
    let starts_s = || {
        plan.faults()
            .iter()
            .filter(|fault| begins_anew(fault))
            .map(|fault| fault.to_s)
    };
    plan.faults().iter().any(|late| {
        matches!(late.kind, FaultKind::Delay { .. })
            && now_s < over_s(late)
            && starts_s().any(|at_s| late.from_s <= at_s + learned_s && at_s < late.to_s.min(now_s))
    })
}

/// When the newest reading was taken that can have arrived by now, s.
fn newest_possible_s(plan: &FaultPlan, now_s: f64) -> f64 {
    plan.faults()
        .iter()
        .filter(|fault| fault.from_s <= now_s && now_s < over_s(fault) - BEAT_S)
        .map(|fault| match fault.kind {
            FaultKind::Mute | FaultKind::Unplug | FaultKind::Reset | FaultKind::Stall => {
                fault.from_s
            }
            // What was on the way before arrives still.
            FaultKind::Delay { by_s } => fault.from_s.max(now_s - by_s),
            _ => now_s,
        })
        .fold(now_s, f64::min)
}
