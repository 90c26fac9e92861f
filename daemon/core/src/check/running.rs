//! The check that runs.

use crate::check::bar::{Bar, BarSetup};
use crate::check::carried::{CarrySetup, Carrying};
use crate::check::centring::{Centring, CentringSetup};
use crate::check::evidence::Evidence;
use crate::check::heights::{Heights, HeightsSetup};
use crate::check::hub::{Hub, HubSetup};
use crate::check::play::{Play, PlaySetup};
use crate::check::refusal::{CheckRefusal, FigureError, StartError};
use crate::check::result::CheckResult;
use crate::check::solve;
use crate::check::step::{Figure, Hint, Kind, Phase, Progress, Stop};
use crate::check::turns::{Turns, TurnsSetup};
use crate::reading::Sample;
use crate::side::Side;

/// Shortest rest that means anything.
const LEAST_HOLD_US: i64 = 500_000;
/// Longest rest that anybody waits for.
const MOST_HOLD_US: i64 = 120_000_000;

/// What a step of a procedure leads to.
pub(super) enum Step {
    /// It goes on.
    Go,
    /// It is over: this is what was gathered.
    Solve(Evidence),
    /// It is over, with nothing.
    Refuse(CheckRefusal),
}

/// What the checks have in common.
pub(super) trait Procedure {
    /// A calibrated reading of a wheel's board, or of the one board that takes part.
    fn sample(&mut self, side: Side, sample: &Sample) -> Step;

    /// Something was typed.
    fn figure(&mut self, _figure: Figure) -> Result<Step, FigureError> {
        Err(FigureError::NotWanted)
    }

    /// Somebody ends it with what is there.
    fn finish(&mut self) -> Step;

    /// Is anything gathered that would be lost?
    fn has_begun(&self) -> bool;

    fn phase(&self) -> Phase;

    fn progress(&self) -> Progress;

    fn stops(&self) -> Vec<Stop>;
}

pub(super) fn hold(hold_us: i64) -> Result<(), StartError> {
    if (LEAST_HOLD_US..=MOST_HOLD_US).contains(&hold_us) {
        return Ok(());
    }
    Err(StartError::Hold {
        hold_us,
        least_us: LEAST_HOLD_US,
        most_us: MOST_HOLD_US,
    })
}

pub(super) fn repetitions(found: usize, most: usize) -> Result<(), StartError> {
    if (1..=most).contains(&found) {
        return Ok(());
    }
    Err(StartError::Repetitions { found, most })
}

/// What a check is started with.
#[derive(Debug, Clone, PartialEq)]
pub enum CheckSetup {
    /// Camber by the board on a hub.
    CamberOnHub(HubSetup),
    /// Camber by a board on a bar.
    CamberOnBar(BarSetup),
    /// Play of a wheel.
    Play(PlaySetup),
    /// The steering from lock to lock.
    Centring(CentringSetup),
    /// Toe-out on turns.
    TurnOut(TurnsSetup),
    /// Camber against ride height.
    Heights(HeightsSetup),
    /// Toe by a carried board.
    CarriedToe(CarrySetup),
}

impl CheckSetup {
    /// Which check.
    pub const fn kind(&self) -> Kind {
        match self {
            Self::CamberOnHub(_) => Kind::CamberOnHub,
            Self::CamberOnBar(_) => Kind::CamberOnBar,
            Self::Play(_) => Kind::Play,
            Self::Centring(_) => Kind::Centring,
            Self::TurnOut(_) => Kind::TurnOut,
            Self::Heights(_) => Kind::Heights,
            Self::CarriedToe(_) => Kind::CarriedToe,
        }
    }
}

#[derive(Debug, Clone)]
enum Running {
    Hub(Hub),
    Bar(Bar),
    Play(Play),
    Centring(Centring),
    Turns(Turns),
    Heights(Heights),
    Carried(Box<Carrying>),
}

/// How a check ended.
#[derive(Debug, Clone, PartialEq)]
pub enum Ended {
    /// With findings.
    Found {
        /// What was gathered.
        evidence: Evidence,
        /// What [`solve`] makes of it.
        result: CheckResult,
    },
    /// Without.
    Refused {
        /// Why.
        refusal: CheckRefusal,
        /// What was gathered, if the refusal comes from that.
        evidence: Option<Evidence>,
    },
}

/// A running check, or one that is over.
#[derive(Debug, Clone)]
pub struct Check {
    setup: CheckSetup,
    running: Running,
    ended: Option<Ended>,
}

impl Check {
    /// Begins a check.
    pub fn start(setup: CheckSetup) -> Result<Self, StartError> {
        let running = match &setup {
            CheckSetup::CamberOnHub(of) => Running::Hub(Hub::start(of)?),
            CheckSetup::CamberOnBar(of) => Running::Bar(Bar::start(of)?),
            CheckSetup::Play(of) => Running::Play(Play::start(of)?),
            CheckSetup::Centring(of) => Running::Centring(Centring::start(of)?),
            CheckSetup::TurnOut(of) => Running::Turns(Turns::start(of)?),
            CheckSetup::Heights(of) => Running::Heights(Heights::start(of)?),
            CheckSetup::CarriedToe(of) => Running::Carried(Box::new(Carrying::start(of)?)),
        };
        Ok(Self {
            setup,
            running,
            ended: None,
        })
    }

    fn procedure(&self) -> &dyn Procedure {
        match &self.running {
            Running::Hub(of) => of,
            Running::Bar(of) => of,
            Running::Play(of) => of,
            Running::Centring(of) => of,
            Running::Turns(of) => of,
            Running::Heights(of) => of,
            Running::Carried(of) => of.as_ref(),
        }
    }

    fn procedure_mut(&mut self) -> &mut dyn Procedure {
        match &mut self.running {
            Running::Hub(of) => of,
            Running::Bar(of) => of,
            Running::Play(of) => of,
            Running::Centring(of) => of,
            Running::Turns(of) => of,
            Running::Heights(of) => of,
            Running::Carried(of) => of.as_mut(),
        }
    }

    /// What it was started with.
    pub const fn setup(&self) -> &CheckSetup {
        &self.setup
    }

    /// Which check.
    pub const fn kind(&self) -> Kind {
        self.setup.kind()
    }

    /// How it ended, once it has.
    pub const fn ended(&self) -> Option<&Ended> {
        self.ended.as_ref()
    }

    /// Is it over, one way or the other?
    pub const fn is_over(&self) -> bool {
        self.ended.is_some()
    }

    /// The step at hand.
    pub fn phase(&self) -> Phase {
        match &self.ended {
            Some(Ended::Found { .. }) => Phase::Done,
            Some(Ended::Refused { .. }) => Phase::Refused,
            None => self.procedure().phase(),
        }
    }

    /// How far it is.
    pub fn progress(&self) -> Progress {
        let progress = self.procedure().progress();
        if self.is_over() {
            return Progress {
                hint: Hint::Finished,
                can_finish: false,
                ..progress
            };
        }
        progress
    }

    /// The stops taken so far.
    pub fn stops(&self) -> Vec<Stop> {
        self.procedure().stops()
    }

    /// Takes a calibrated reading of a wheel's board; for a bar, of the board on it.
    pub fn sample(&mut self, side: Side, sample: &Sample) {
        if !self.is_over() {
            let step = self.procedure_mut().sample(side, sample);
            self.settle(step);
        }
    }

    /// Takes what a person typed.
    pub fn figure(&mut self, figure: Figure) -> Result<(), FigureError> {
        if self.is_over() {
            return Err(FigureError::Over);
        }
        let step = self.procedure_mut().figure(figure)?;
        self.settle(step);
        Ok(())
    }

    /// Ends it with what is there.
    pub fn finish(&mut self) {
        if !self.is_over() {
            let step = self.procedure_mut().finish();
            self.settle(step);
        }
    }

    /// Gives up.
    pub fn cancel(&mut self) {
        if !self.is_over() {
            self.settle(Step::Refuse(CheckRefusal::Cancelled));
        }
    }

    /// A board that takes part reads at the end of its range.
    pub fn saturated(&mut self) {
        // A knock at rest is a motion like another; while it is turned or rocked it is a loss.
        // A carried board leaves out that pass alone.
        if !self.is_over()
            && self.kind() != Kind::CarriedToe
            && self.procedure().has_begun()
            && matches!(self.phase(), Phase::Moving | Phase::Rock)
        {
            self.settle(Step::Refuse(CheckRefusal::Saturated));
        }
    }

    /// A board that takes part is gone. Before anything is gathered that only means waiting.
    pub fn board_lost(&mut self) {
        if !self.is_over() && self.procedure().has_begun() {
            self.settle(Step::Refuse(CheckRefusal::BoardLost));
        }
    }

    fn settle(&mut self, step: Step) {
        self.ended = match step {
            Step::Go => return,
            Step::Refuse(refusal) => Some(Ended::Refused {
                refusal,
                evidence: None,
            }),
            Step::Solve(evidence) => Some(match solve(&evidence) {
                Ok(result) => Ended::Found { evidence, result },
                Err(refusal) => Ended::Refused {
                    refusal,
                    evidence: Some(evidence),
                },
            }),
        };
    }
}
