//! Camber, and toe, against ride height: at each of several heights a still
//! stop, the height typed; a straight line and a quadratic through the points.
//!
//! Offset, seat and floor are the same at all heights: they are in the camber at
//! the ride height, not in the slope.

mod solve;

pub(super) use solve::solve;

use crate::angle::Angle;
use crate::check::SeatedWheel;
use crate::check::evidence::{Evidence, HeightStop, HeightsEvidence, PlainRest};
use crate::check::hub::{before_stops, camber};
use crate::check::refusal::{FigureError, StartError};
use crate::check::running::{Procedure, Step, hold};
use crate::check::step::{Figure, Hint, Phase, Progress, Stop};
use crate::check::still::{Moved, Seen, StillStop, StillWatch};
use crate::estimate::Estimate;
use crate::frames::{Board, Dir, Rot};
use crate::reading::Sample;
use crate::side::Side;

/// Heights that a person has the patience for.
const MOST_STOPS: usize = 60;
/// No car stands higher or lower, mm.
const HEIGHTS_MM: std::ops::RangeInclusive<f64> = -2000.0..=2000.0;
/// No wheel has more toe.
const TOE_LIMIT: Angle = Angle::from_deg(10.0);

/// What a height sweep needs to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeightsSetup {
    /// The wheel.
    pub seated: SeatedWheel,
    /// How long a stop lasts, µs.
    pub hold_us: i64,
    /// Where slopes are asked, mm; none: at the first height.
    pub ride_height_mm: Option<f64>,
    /// Step from height to height where none is typed, mm.
    pub step_mm: Option<f64>,
    /// One sigma of a height, mm.
    pub height_standard_mm: f64,
}

#[derive(Debug, Clone)]
pub(super) struct Heights {
    setup: HeightsSetup,
    watch: StillWatch,
    /// The height that is set, and toe there; none while it is being set.
    set: Option<(f64, Option<Estimate>)>,
    stops: Vec<HeightStop>,
}

impl Heights {
    pub(super) fn start(setup: &HeightsSetup) -> Result<Self, StartError> {
        hold(setup.hold_us)?;
        let number = |what, found: Option<f64>, good: bool| match found {
            Some(found) if !good => Err(StartError::Number { what, found }),
            _ => Ok(()),
        };
        number(
            "ride height",
            setup.ride_height_mm,
            setup
                .ride_height_mm
                .is_none_or(|mm| HEIGHTS_MM.contains(&mm)),
        )?;
        number(
            "step",
            setup.step_mm,
            setup
                .step_mm
                .is_none_or(|mm| mm.abs() > 0.0 && mm.abs() <= 500.0),
        )?;
        number(
            "uncertainty of a height",
            Some(setup.height_standard_mm),
            setup.height_standard_mm >= 0.0 && setup.height_standard_mm <= 50.0,
        )?;
        Ok(Self {
            watch: StillWatch::new(setup.seated.wheel.chip, setup.hold_us),
            setup: *setup,
            set: None,
            stops: Vec::new(),
        })
    }

    fn evidence(&self) -> HeightsEvidence {
        let first = self.stops.first().map_or(0.0, |stop| stop.height_mm);
        HeightsEvidence {
            wheel: before_stops(&self.setup.seated),
            ride_height_mm: self.setup.ride_height_mm.unwrap_or(first),
            height_standard_mm: self.setup.height_standard_mm,
            stops: self.stops.clone(),
        }
    }

    /// Toe since the stop before, + in, by the turn of the spindle about the vertical.
    fn toe_moved(&self, stop: &StillStop, before: &HeightStop) -> Option<[f64; 2]> {
        let Some(Moved::Turned {
            to_before, noise, ..
        }) = stop.moved
        else {
            return None;
        };
        let wheel = &self.setup.seated.wheel;
        let up = before.rest.up()?;
        let spindle = wheel.mounting.spindle(wheel.side);
        let turned = heading_turned(&up, &spindle, &to_before);
        // The left wheel's front goes out when it is steered to the left.
        Some([-wheel.side.sign() * turned, noise.rad()])
    }

    fn take(&mut self, stop: &StillStop, height_mm: f64, toe: Option<Estimate>) -> Step {
        let toe_moved_rad = self
            .stops
            .last()
            .and_then(|before| self.toe_moved(stop, before));
        self.watch.keep(stop);
        self.stops.push(HeightStop {
            height_mm,
            rest: PlainRest::of(&stop.measure),
            toe_typed_rad: toe.map(|toe| [toe.value.rad(), toe.standard.rad()]),
            toe_moved_rad,
        });
        self.set = None;
        if self.stops.len() == MOST_STOPS {
            return self.finish();
        }
        Step::Go
    }
}

/// By how much a direction went round `up`, rad, right-handed.
fn heading_turned(up: &Dir<Board>, of: &Dir<Board>, to_before: &Rot<Board, Board>) -> f64 {
    let (up, then, now) = (up.vec(), of.vec(), to_before.apply(&of.vec()));
    let level = then.dot(&now) - up.dot(&then) * up.dot(&now);
    up.dot(&then.cross(&now)).atan2(level)
}

impl Procedure for Heights {
    fn sample(&mut self, _: Side, sample: &Sample) -> Step {
        match (self.watch.observe(sample), self.set) {
            (Seen::Stop(stop), Some((height_mm, toe))) => self.take(&stop, height_mm, toe),
            // A rest that nobody typed a height for is none.
            _ => Step::Go,
        }
    }

    fn figure(&mut self, figure: Figure) -> Result<Step, FigureError> {
        let Figure::Height { height_mm, toe } = figure else {
            return Err(FigureError::NotWanted);
        };
        let last = self.stops.last().map(|stop| stop.height_mm);
        let stepped = || last.zip(self.setup.step_mm).map(|(last, step)| last + step);
        let height_mm = height_mm.or_else(stepped).ok_or(FigureError::NoStep)?;
        if !HEIGHTS_MM.contains(&height_mm) {
            return Err(FigureError::Impossible {
                what: "ride height",
                found: height_mm,
            });
        }
        if let Some(toe) = toe {
            // Written so that what is no number is refused too.
            for good in [toe.value.abs() <= TOE_LIMIT, toe.standard <= TOE_LIMIT] {
                if !good {
                    return Err(FigureError::Impossible {
                        what: "toe",
                        found: toe.value.deg(),
                    });
                }
            }
        }
        // What rested before the height was set does not count.
        self.watch.begin_anew();
        self.set = Some((height_mm, toe));
        Ok(Step::Go)
    }

    fn finish(&mut self) -> Step {
        Step::Solve(Evidence::Heights(self.evidence()))
    }

    fn has_begun(&self) -> bool {
        !self.stops.is_empty()
    }

    fn phase(&self) -> Phase {
        match self.set {
            None => Phase::AwaitFigure,
            Some(_) if self.watch.is_holding() => Phase::Hold,
            Some(_) => Phase::AwaitStill,
        }
    }

    fn progress(&self) -> Progress {
        let phase = self.phase();
        Progress {
            held_us: match phase {
                Phase::Hold => self.watch.held_us(),
                _ => 0,
            },
            hold_needed_us: self.watch.hold_us(),
            taken: self.stops.len(),
            wanted: None,
            steer: None,
            can_finish: self.stops.len() >= solve::LEAST_STOPS,
            hint: match phase {
                Phase::Hold => Hint::HoldStill,
                Phase::AwaitStill => Hint::LetRest,
                _ => Hint::SetHeight,
            },
            carried: None,
        }
    }

    fn stops(&self) -> Vec<Stop> {
        let known = before_stops(&self.setup.seated);
        let shown = |stop: &HeightStop| Stop {
            camber: camber(&known, &stop.rest),
            height_mm: Some(stop.height_mm),
            toe: stop.toe_typed_rad.map(|toe| Angle::from_rad(toe[0])),
            ..Stop::default()
        };
        self.stops.iter().map(shown).collect()
    }
}
