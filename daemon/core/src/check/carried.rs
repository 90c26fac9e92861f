//! Toe by a board in a block that is carried from rim to rim, as a check that
//! goes on by itself: what was gathered is solved by [`crate::carried`].

use crate::angle::Angle;
use crate::carried::lean::FaceLeans;
use crate::carried::outlook::MOST_PASSES;
use crate::carried::{
    CarriedAngle, CarriedSetup, CarriedToe, LeftOut, Phase as Way, Place, Solved, solve as lay,
};
use crate::check::evidence::{CarriedEvidence, Evidence};
use crate::check::refusal::{CheckRefusal, FigureError, StartError};
use crate::check::result::{CheckCause, CheckFinding, CheckResult, Note, Quantity, Share};
use crate::check::running::{Procedure, Step, hold};
use crate::check::step::{Figure, Hint, Phase, Progress, Stop};
use crate::estimate::Estimate;
use crate::reading::Sample;
use crate::side::Side;
use crate::time::HostTime;

/// Longest time without a rest.
const REST_LIMIT_S: i64 = 300;
/// Fewest passes with the block one way round before it is turned.
const LEAST_EACH_WAY: usize = 2;

/// What a carried board is started with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarrySetup {
    /// All that carrying needs to know.
    pub toe: CarriedSetup,
    /// Whether it is carried to a straight edge as well, which is told by hand.
    pub with_edge: bool,
}

/// How far carrying is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CarriedNow {
    /// Where the block is, or was last; none while that is not known.
    pub place: Option<Place>,
    /// Whether it is turned end for end.
    pub turned: bool,
    /// Passes left out.
    pub left_out: usize,
    /// Why the last pass was left out, if it was.
    pub last_left_out: Option<LeftOut>,
    /// Total toe so far, + toe-in.
    pub so_far: Option<Estimate>,
    /// Half width that was asked for.
    pub asked: Angle,
    /// Whether a straight edge takes part.
    pub with_edge: bool,
}

#[derive(Debug, Clone)]
pub(super) struct Carrying {
    setup: CarrySetup,
    carried: CarriedToe,
    moving_since: Option<HostTime>,
    last: Option<HostTime>,
}

impl Carrying {
    pub(super) fn start(setup: &CarrySetup) -> Result<Self, StartError> {
        hold(setup.toe.hold_us)?;
        let asked = setup.toe.wanted.deg();
        if !(asked > 0.0 && asked <= 5.0) {
            return Err(StartError::Number {
                what: "uncertainty",
                found: asked,
            });
        }
        Ok(Self {
            carried: CarriedToe::strict(setup.toe)?,
            setup: *setup,
            moving_since: None,
            last: None,
        })
    }

    fn solved(&self) -> Option<&Solved> {
        self.carried.solved()?.as_ref().ok()
    }

    /// Passes each way round, as it is and turned.
    fn passes_each_way(&self) -> [usize; 2] {
        let rests = self.carried.rests();
        let turned = |carry: &&crate::carried::carry::Carry| rests[carry.before].turned;
        let turned = self.carried.carries().iter().filter(turned).count();
        [self.carried.carries().len() - turned, turned]
    }

    /// Is the block to be turned end for end now?
    fn turn_is_due(&self) -> bool {
        let progress = self.carried.progress();
        let half = progress.needed.map_or(LEAST_EACH_WAY, |all| all / 2);
        let each = self.passes_each_way();
        let (here, there) = (
            each[usize::from(progress.turned)],
            each[usize::from(!progress.turned)],
        );
        here >= there + half.max(LEAST_EACH_WAY)
    }

    fn is_through(&self) -> bool {
        let each = self.passes_each_way();
        let rests = self.carried.progress().phase;
        let rests = matches!(rests, Way::Taken | Way::Enough);
        let enough = self.carried.is_enough() && each[0].min(each[1]) >= LEAST_EACH_WAY;
        rests && !self.setup.with_edge && (enough || each[0] + each[1] >= MOST_PASSES)
    }

    fn since_a_rest_s(&self) -> i64 {
        self.last
            .zip(self.moving_since)
            .map_or(0, |(last, since)| last.since_us(since) / 1_000_000)
    }
}

impl Procedure for Carrying {
    fn sample(&mut self, _: Side, sample: &Sample) -> Step {
        self.carried.observe(sample);
        self.last = Some(sample.at);
        if matches!(
            self.carried.progress().phase,
            Way::AwaitStart | Way::Carried
        ) {
            self.moving_since.get_or_insert(sample.at);
        } else {
            self.moving_since = None;
        }
        let seconds = self.since_a_rest_s();
        if seconds > REST_LIMIT_S {
            return Step::Refuse(CheckRefusal::NotStill {
                seconds,
                limit: REST_LIMIT_S,
            });
        }
        if self.is_through() {
            return self.finish();
        }
        Step::Go
    }

    fn figure(&mut self, figure: Figure) -> Result<Step, FigureError> {
        if figure != Figure::EdgeNext || !self.setup.with_edge {
            return Err(FigureError::NotWanted);
        }
        self.carried.next_is_edge();
        Ok(Step::Go)
    }

    fn finish(&mut self) -> Step {
        match self.carried.finish() {
            Ok(_) => Step::Solve(Evidence::CarriedToe(CarriedEvidence::of(
                &self.setup.toe,
                self.carried.rests(),
                self.carried.carries(),
            ))),
            Err(refusal) => Step::Refuse(CheckRefusal::Carried(refusal)),
        }
    }

    fn has_begun(&self) -> bool {
        !self.carried.carries().is_empty()
    }

    fn phase(&self) -> Phase {
        match self.carried.progress().phase {
            Way::AwaitStart => Phase::AwaitStill,
            Way::Holding(_) => Phase::Hold,
            Way::Taken | Way::Enough => Phase::Taken,
            Way::Carried => Phase::Moving,
        }
    }

    fn progress(&self) -> Progress {
        let progress = self.carried.progress();
        let held_us = match progress.phase {
            Way::Holding(missing) => self.setup.toe.hold_us - missing,
            Way::Taken | Way::Enough => self.setup.toe.hold_us,
            _ => 0,
        };
        let start = self.setup.toe.start;
        let so_far = self.solved().and_then(|s| s.total(start.is_front()));
        Progress {
            held_us,
            hold_needed_us: self.setup.toe.hold_us,
            taken: progress.passes,
            wanted: progress
                .needed
                .filter(|needed| !self.setup.with_edge && progress.passes <= *needed),
            steer: None,
            can_finish: self.solved().is_some(),
            hint: match progress.phase {
                Way::AwaitStart => Hint::HoldBlock(start),
                Way::Holding(_) => Hint::HoldStill,
                // A rest that nothing goes on from: it begins anew.
                Way::Taken | Way::Enough if progress.place.is_none() => Hint::HoldBlock(start),
                Way::Taken | Way::Enough if self.turn_is_due() => Hint::TurnBlock,
                Way::Taken | Way::Enough => Hint::CarryBlock(progress.place.unwrap_or(start)),
                Way::Carried => Hint::SetBlock,
            },
            carried: Some(CarriedNow {
                place: progress.place,
                turned: progress.turned,
                left_out: progress.left_out,
                last_left_out: progress.last_left_out,
                so_far: so_far.map(|total| total.estimate),
                asked: self.setup.toe.wanted,
                with_edge: self.setup.with_edge,
            }),
        }
    }

    fn stops(&self) -> Vec<Stop> {
        Vec::new()
    }
}

pub(super) fn solve(evidence: &CarriedEvidence) -> Result<CheckResult, CheckRefusal> {
    let (setup, rests, carries) = evidence.lifted().ok_or(CheckRefusal::Evidence)?;
    let solved = lay(&rests, &carries, &setup).map_err(CheckRefusal::Carried)?;
    let first = setup.start.is_front();
    let mut findings: Vec<CheckFinding> = [first, !first]
        .into_iter()
        .filter_map(|front| {
            let total = solved.total(front)?;
            Some(finding(Quantity::CarriedTotalToe { front }, None, total))
        })
        .collect();
    findings.extend(single_wheels(&solved));
    if findings.is_empty() {
        return Err(CheckRefusal::Evidence);
    }
    let leans = FaceLeans::by_rests(&rests, &setup).value_rad;
    let mut notes = vec![Note::Passes(solved.passes)];
    if rests.iter().any(|rest| rest.turned) && rests.iter().any(|rest| !rest.turned) {
        notes.push(Note::BoardLeans(Angle::from_rad(0.5 * leans.sum())));
    } else {
        notes.push(Note::NeverTurned);
    }
    notes.push(Note::RimsRunOut);
    if solved.widened > 1.0 {
        notes.push(Note::PassesScatter(solved.widened));
    }
    if findings[0].expanded() > setup.wanted {
        notes.push(Note::WiderThanAsked(setup.wanted));
    }
    Ok(CheckResult {
        findings,
        notes,
        ..CheckResult::default()
    })
}

/// Toe of each wheel against the straight edge, or of the front ones against the thrust line.
fn single_wheels(solved: &Solved) -> Vec<CheckFinding> {
    let by_edge = solved.places().contains(&Place::Edge);
    solved
        .places()
        .iter()
        .filter(|place| **place != Place::Edge && (by_edge || place.is_front()))
        .filter_map(|wheel| {
            let toe = if by_edge {
                solved.to_edge(*wheel)
            } else {
                solved.to_thrust(*wheel)
            };
            let quantity = Quantity::CarriedToe {
                front: wheel.is_front(),
            };
            Some(finding(quantity, Some(wheel.side()), toe?))
        })
        .collect()
}

fn finding(quantity: Quantity, side: Option<Side>, angle: CarriedAngle) -> CheckFinding {
    let variance = angle.estimate.standard.rad().powi(2);
    CheckFinding {
        quantity,
        side,
        estimate: angle.estimate,
        degrees_of_freedom: f64::INFINITY,
        shares: angle
            .budget
            .into_iter()
            .map(|(cause, standard)| Share {
                cause: CheckCause::Carried(cause),
                standard,
                share: standard.rad().powi(2) / variance,
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::carried::staged::{Staged, TOE_DEG, four_passes};
    use crate::check::{Check, CheckSetup, Ended};
    use crate::chip::ChipFigures;
    use crate::floor::FloorSlope;
    use crate::frames::Dir;

    fn setup(with_edge: bool) -> CarrySetup {
        let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
        CarrySetup {
            toe: CarriedSetup::usual(ChipFigures::GOOD, Dir::y_axis(), floor),
            with_edge,
        }
    }

    /// After so many of the ways of four passes.
    fn after(ways: usize, with_edge: bool) -> Check {
        let mut check = Check::start(CheckSetup::CarriedToe(setup(with_edge))).unwrap();
        for sample in &Staged::following(&four_passes()[..ways]).samples {
            check.sample(Side::Left, sample);
        }
        check
    }

    #[test]
    fn it_says_what_is_next_and_ends_by_itself() {
        let check = |ways, hint, passes| {
            let check = after(ways, false);
            let progress = check.progress();
            assert_eq!((progress.hint, progress.taken), (hint, passes), "{ways}");
            assert_eq!(progress.can_finish, passes >= 2 && !check.is_over());
        };
        check(0, Hint::CarryBlock(Place::FrontLeft), 0);
        check(1, Hint::CarryBlock(Place::FrontRight), 1);
        check(2, Hint::TurnBlock, 2);
        check(3, Hint::CarryBlock(Place::FrontLeft), 2);
        check(4, Hint::CarryBlock(Place::FrontRight), 3);
        check(5, Hint::Finished, 4);
    }

    #[test]
    fn what_is_kept_gives_the_same_finding() {
        let check = after(5, false);
        let Some(Ended::Found { evidence, result }) = check.ended() else {
            panic!("{:?}", check.ended());
        };
        let total = &result.findings[0];
        assert_eq!(total.quantity, Quantity::CarriedTotalToe { front: true });
        let error = total.estimate.value.deg() - TOE_DEG[0] - TOE_DEG[1];
        assert!(error.abs() < 2e-4, "{error}");
        let shares: f64 = total.shares.iter().map(|share| share.share).sum();
        assert!((shares - 1.0).abs() < 1e-9);
        let Evidence::CarriedToe(kept) = evidence else {
            panic!("{evidence:?}");
        };
        assert_eq!(solve(kept).as_ref(), Ok(result));
        let mut broken = kept.clone();
        broken.passes[0].after = kept.rests.len();
        assert_eq!(solve(&broken), Err(CheckRefusal::Evidence));
        let one_way = CarriedEvidence {
            passes: kept.passes[..1].to_vec(),
            ..kept.clone()
        };
        assert!(matches!(solve(&one_way), Err(CheckRefusal::Carried(_))));
    }

    #[test]
    fn with_an_edge_somebody_ends_it() {
        let mut check = after(5, true);
        assert!(!check.is_over());
        assert_eq!(check.figure(Figure::EdgeNext), Ok(()));
        check.finish();
        assert!(matches!(check.ended(), Some(Ended::Found { .. })));
        let mut without = after(1, false);
        assert_eq!(
            without.figure(Figure::EdgeNext),
            Err(FigureError::NotWanted)
        );
        without.cancel();
        assert_eq!(without.phase(), Phase::Refused);
    }

    #[test]
    fn what_cannot_be_is_told_before_it_begins() {
        let with = |wanted_deg: f64, hold_us: i64| {
            let toe = CarriedSetup {
                wanted: Angle::from_deg(wanted_deg),
                hold_us,
                ..setup(false).toe
            };
            Carrying::start(&CarrySetup {
                toe,
                with_edge: false,
            })
            .map(|_| ())
        };
        assert_eq!(with(0.05, 2_000_000), Ok(()));
        assert!(matches!(with(0.05, 1), Err(StartError::Hold { .. })));
        assert!(matches!(
            with(0.0, 2_000_000),
            Err(StartError::Number { .. })
        ));
        assert!(matches!(
            with(0.005, 2_000_000),
            Err(StartError::Carried(_))
        ));
    }
}
