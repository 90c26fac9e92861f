//! The body board during a swing: optional help that is given up, and told,
//! rather than waited for.

use thiserror::Error;

use crate::angle::Angle;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir};
use crate::joint::evidence::{BodyEvidence, Jackings, RestEvidence};
use crate::levelling::StillBody;
use crate::reading::Sample;
use crate::rest::RestMeasure;

/// What is known of the body board beforehand. It may be mounted anyhow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingBody {
    /// The chip's figures after its calibration.
    pub chip: ChipFigures,
    /// What it showed while each front corner was jacked: tells its heading.
    pub jacked: Option<Jackings>,
    /// Declared forward direction in the board's axes, with one sigma of its heading.
    pub forward: Option<(Dir<Board>, Angle)>,
}

/// Why a swing goes on without its body board.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum BodyGivenUp {
    /// Neither jackings nor a declaration say which way the board points.
    #[error("the body board's heading is not known")]
    NoHeading,
    /// It went away.
    #[error("the body board is gone")]
    Lost,
    /// It was not still while the wheels rested.
    #[error("the body board was not still at rest {rest}")]
    NotStill {
        /// Number of the rest, from 0.
        rest: usize,
    },
    /// It did not come back with the wheels: it slid, or was knocked.
    #[error("the body board came back leaning by {found_deg:.2}°, {limit_deg:.2}° is the limit", found_deg = found.deg(), limit_deg = limit.deg())]
    Slipped {
        /// How far.
        found: Angle,
        /// What noise and springs explain.
        limit: Angle,
    },
    /// It read at the end of its range.
    #[error("the body board was at the end of its range")]
    Saturated,
}

/// What the body board does in a swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BodyUse {
    /// There is none: body motion is an uncertainty.
    None,
    /// It watches.
    Watching,
    /// There was one, and the swing goes on without.
    GivenUp(BodyGivenUp),
}

/// A body settles on its springs within this (common practice, no source).
const RETURN_ALLOWANCE: Angle = Angle::from_deg(0.15);
/// Standard deviations that still count as noise.
const SIGMAS: f64 = 4.0;

#[derive(Debug, Clone)]
pub(crate) struct BodyWatch {
    setup: SwingBody,
    still: StillBody,
    rests: Vec<RestMeasure>,
    given_up: Option<BodyGivenUp>,
}

impl BodyWatch {
    pub(crate) fn new(setup: &SwingBody) -> Self {
        let known = setup.jacked.is_some() || setup.forward.is_some();
        Self {
            setup: *setup,
            still: StillBody::default(),
            rests: Vec::new(),
            given_up: (!known).then_some(BodyGivenUp::NoHeading),
        }
    }

    pub(crate) fn state(&self) -> BodyUse {
        self.given_up.map_or(BodyUse::Watching, BodyUse::GivenUp)
    }

    pub(crate) fn observe(&mut self, sample: &Sample) {
        self.still.observe(sample);
    }

    pub(crate) fn give_up(&mut self, why: BodyGivenUp) {
        self.given_up.get_or_insert(why);
    }

    /// The wheels begin to rest.
    pub(crate) fn begin_rest(&mut self) {
        self.still.begin();
    }

    /// The wheels' rest is over; `counted` if it was long enough.
    pub(crate) fn end_rest(&mut self, counted: bool) {
        let measure = self.still.measure(&self.setup.chip);
        self.still.end();
        if !counted {
            return;
        }
        match measure {
            Some(measure) => self.rests.push(measure),
            None => self.give_up(BodyGivenUp::NotStill {
                rest: self.rests.len(),
            }),
        }
    }

    /// All rests are there: did it come back where the wheels came back?
    pub(crate) fn settle(&mut self, straight: &[bool]) {
        let Some(first) = self.rests.first().copied() else {
            return;
        };
        for (rest, _) in self.rests.iter().zip(straight).filter(|(_, s)| **s) {
            let (Some(then), Some(now)) = (Dir::along(first.accel_g), Dir::along(rest.accel_g))
            else {
                continue;
            };
            let noise = first
                .direction_noise
                .rad()
                .hypot(rest.direction_noise.rad());
            let (found, limit) = (
                then.angle_to(&now),
                RETURN_ALLOWANCE + Angle::from_rad(SIGMAS * noise),
            );
            if found > limit {
                self.given_up
                    .get_or_insert(BodyGivenUp::Slipped { found, limit });
            }
        }
    }

    /// Evidence of all `rests`; none once it was given up.
    pub(crate) fn evidence(&self, rests: usize) -> Option<BodyEvidence> {
        if self.given_up.is_some() || self.rests.len() != rests {
            return None;
        }
        Some(BodyEvidence {
            chip: self.setup.chip,
            rests: self
                .rests
                .iter()
                .enumerate()
                .map(|(rest, measure)| RestEvidence::rested(rest, measure, None))
                .collect(),
            jacked: self.setup.jacked,
            forward: self.setup.forward,
        })
    }
}
