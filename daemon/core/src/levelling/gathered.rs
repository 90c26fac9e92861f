//! What the stops and turns of a run-out say together.

use crate::angle::Angle;
use crate::frames::{Board, Dir};
use crate::joint::evidence::RunOutEvidence;
use crate::levelling::body;
use crate::levelling::cone::{self, Cone};
use crate::levelling::refusal::{DirectionUnknown, RunOutRefusal};
use crate::levelling::result::{OutboardBy, RunOutResult};
use crate::levelling::step::RunOutSetup;
use crate::levelling::turned::Turned;
use crate::levelling::{LEAST_ARC, Outboard};
use crate::rest::RestMeasure;
use crate::side::Side;
use crate::time::HostTime;

/// Stops that end a run-out by themselves, with no larger hole between them.
const ENOUGH_STOPS: usize = 4;
const LARGEST_HOLE: Angle = Angle::from_deg(115.0);
/// Fewest stops that fix a cone.
const LEAST_STOPS: usize = 3;
/// A bearing's play and a settling jack lean a stop by so much (common practice, no source).
const PLAY: Angle = Angle::from_deg(0.12);
/// Standard deviations that still count as noise.
const SIGMAS: f64 = 4.0;
/// Outboard is looked for within this of what was declared.
const DECLARED_LIMIT: Angle = Angle::from_deg(60.0);

/// All that a run-out has gathered.
#[derive(Debug, Clone, Default)]
pub(super) struct Gathered {
    pub(super) stops: Vec<RestMeasure>,
    pub(super) bodies: Vec<RestMeasure>,
    pub(super) moves: Vec<Turned>,
    pub(super) spins: Vec<Vec<RunOutEvidence>>,
}

impl Gathered {
    fn groups(&self) -> Vec<Vec<RunOutEvidence>> {
        let stops: Vec<RunOutEvidence> = self.stops.iter().map(RunOutEvidence::rested).collect();
        // A pushed wheel leans; where it rested often enough nothing else is asked.
        if stops.len() >= LEAST_STOPS {
            vec![stops]
        } else {
            self.spins.clone()
        }
    }

    fn cone(&self, setup: &RunOutSetup) -> Option<Cone> {
        let groups = self.groups();
        if groups.is_empty() {
            return None;
        }
        cone::fit(&groups, &setup.chip)
    }

    /// How far gravity went round so far.
    pub(super) fn arc(&self, setup: &RunOutSetup) -> Angle {
        self.cone(setup).map_or(Angle::ZERO, |cone| cone.arc)
    }

    /// Would it do as it is?
    pub(super) fn would_do(&self, setup: &RunOutSetup) -> bool {
        self.cone(setup)
            .is_some_and(|cone| cone.arc >= LEAST_ARC && !wobbles(&cone))
    }

    /// Nothing more is to be had by going on.
    pub(super) fn enough(&self, setup: &RunOutSetup) -> bool {
        let round = Angle::from_deg(360.0) - LARGEST_HOLE;
        (self.stops.len() >= ENOUGH_STOPS || !self.spins.is_empty())
            && self.cone(setup).is_some_and(|cone| cone.arc >= round)
    }

    /// The result at `at`, or why there is none.
    pub(super) fn solve(
        &self,
        setup: &RunOutSetup,
        at: HostTime,
    ) -> Result<RunOutResult, RunOutRefusal> {
        let groups = self.groups();
        let stops = &self.stops;
        if groups.is_empty() {
            return Err(RunOutRefusal::TooFewStops {
                found: stops.len(),
                least: LEAST_STOPS,
            });
        }
        let cone = cone::fit(&groups, &setup.chip).ok_or(RunOutRefusal::NoAxis)?;
        if cone.arc < LEAST_ARC {
            return Err(RunOutRefusal::ShortArc {
                found: cone.arc,
                least: LEAST_ARC,
            });
        }
        if wobbles(&cone) {
            return Err(RunOutRefusal::Wobbled {
                found: cone.off,
                limit: off_limit(&cone),
            });
        }
        let (reversed, outboard_by, off_declared) = self.outboard(setup, cone.axis.outboard)?;
        let (axis, along_g) = if reversed {
            (cone.axis.reversed(), -cone.along_g)
        } else {
            (cone.axis, cone.along_g)
        };
        Ok(RunOutResult {
            side: setup.side,
            axis,
            outboard_by,
            arc: cone.arc,
            stops: stops.len(),
            spins: if stops.len() >= LEAST_STOPS {
                0
            } else {
                self.spins.len()
            },
            wobble_watched: cone.spare > 0,
            off_cone: cone.off,
            lean_there: Angle::from_rad(-along_g.clamp(-1.0, 1.0).asin()),
            jacked: setup.jacked,
            off_declared,
            evidence: groups,
            body: if setup.jacked {
                body::mean_rest(&self.bodies)
            } else {
                None
            },
            at,
        })
    }

    /// Is the axis to be turned round, by what is that known, and how far is it
    /// from what was declared?
    fn outboard(
        &self,
        setup: &RunOutSetup,
        axis: Dir<Board>,
    ) -> Result<(bool, OutboardBy, Option<Angle>), RunOutRefusal> {
        let near = |declared: Dir<Board>, by| {
            let reversed = axis.dot(&declared) < 0.0;
            let found = if reversed { -axis } else { axis }.angle_to(&declared);
            if found > DECLARED_LIMIT {
                return Err(RunOutRefusal::OffDeclared {
                    found,
                    limit: DECLARED_LIMIT,
                });
            }
            Ok((reversed, by, Some(found)))
        };
        match setup.outboard {
            Outboard::Declared(face) => near(face, OutboardBy::DeclaredFace),
            Outboard::AwayFromCar(away) => near(away, OutboardBy::AwayFromCar),
            Outboard::ForwardRolling => {
                let forward = self.rolled(axis).map_err(RunOutRefusal::DirectionUnknown)?;
                // Rolling forward is a turn about the car's left: outboard on
                // the left, inboard on the right.
                let reversed = (forward > 0.0) != (setup.side == Side::Left);
                Ok((reversed, OutboardBy::ForwardRolling, None))
            }
        }
    }

    /// Which way round the axis the wheel was turned, rad.
    fn rolled(&self, axis: Dir<Board>) -> Result<f64, DirectionUnknown> {
        /// Turned the other way by less than this share, it was turned one way.
        const ONE_WAY: f64 = 0.8;
        let mut net = 0.0;
        let mut gross = 0.0;
        for moved in &self.moves {
            let vector = moved.vector_rad.ok_or(DirectionUnknown::NoGyro)?;
            net += vector.dot(&axis.vec());
            gross += moved.gross.rad();
        }
        if net.abs() < ONE_WAY * gross || net.abs() < LEAST_ARC.rad() {
            return Err(DirectionUnknown::BothWays {
                net_deg: whole_deg(net.abs()),
                gross_deg: whole_deg(gross),
            });
        }
        Ok(net)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a few turns of a wheel, never negative"
)]
fn whole_deg(rad: f64) -> u32 {
    rad.to_degrees().round() as u32
}

fn off_limit(cone: &Cone) -> Angle {
    PLAY + cone.off_noise * SIGMAS
}

fn wobbles(cone: &Cone) -> bool {
    cone.spare > 0 && cone.off > off_limit(cone)
}
