//! What was found of the floor and of how boards sit, as it is written down to outlive the daemon.
//!
//! Nobody can tell after a start whether a board was taken off meanwhile, so it is offered to the
//! person and in force only once they say that nothing was moved.

use std::collections::BTreeMap;

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::frames::{Dir, Vec3};
use hubplumb_core::joint::evidence::RunOutEvidence;
use hubplumb_core::levelling::{OutboardBy, RunOutResult, SpinAxis};
use hubplumb_core::side::Side;
use hubplumb_core::time::HostTime;
use serde::{Deserialize, Serialize};

use super::{Floor, FloorBy, LevelSnapshot};
use crate::axis::AxisName;
use crate::journal::LineNote;
use crate::mount::Mount;

/// Floor, heading and seats of an earlier life of the daemon. Angles in radians, in the axes of each board.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standing {
    pub(super) floor: Option<FloorKept>,
    /// The body board's axis that was declared to point forward, and one sigma.
    pub(super) forward: Option<(AxisName, f64)>,
    /// Identity of the board on the body.
    pub(super) body: Option<String>,
    /// By the name of the mount.
    pub(super) wheels: BTreeMap<String, WheelKept>,
}

/// A value and one sigma.
type Pair = (f64, f64);

#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FloorKept {
    by: FloorByKept,
    roll: Pair,
    pitch: Pair,
    twist_mm: Option<f64>,
    lines: Vec<(LineNote, Pair)>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FloorByKept {
    Configuration,
    Heights,
    Lines,
}

/// What turning a wheel told of its board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct WheelKept {
    /// Identity of the board that was there.
    pub(super) board: String,
    outboard: [f64; 3],
    covariance_rad2: [[f64; 3]; 3],
    outboard_by: OutboardByKept,
    arc: f64,
    stops: usize,
    spins: usize,
    wobble_watched: bool,
    off_cone: f64,
    lean_there: f64,
    jacked: bool,
    off_declared: Option<f64>,
    evidence: Vec<Vec<RestKept>>,
    body: Option<RestKept>,
    at_us: i64,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum OutboardByKept {
    DeclaredFace,
    AwayFromCar,
    ForwardRolling,
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RestKept {
    accel_g: [f64; 3],
    noise_g: f64,
    /// None: the uncertainty is known as if from readings without end.
    degrees_of_freedom: Option<f64>,
    still: bool,
}

impl Standing {
    /// What a snapshot knows, and of what it does not know what is still offered to it. `body` is the
    /// identity of the board on the body.
    pub fn of(snapshot: &LevelSnapshot, body: Option<String>) -> Self {
        let mut earlier = snapshot
            .earlier
            .as_ref()
            .map_or_else(Self::default, |earlier| earlier.standing.clone());
        let results = snapshot
            .run_outs
            .values()
            .filter_map(|run_out| run_out.result.as_ref());
        let watched = results.clone().any(|result| result.body.is_some());
        if snapshot.forward.is_some() || watched {
            if earlier.body != body {
                earlier.leave_body();
            }
            earlier.body = body;
        }
        let mut wheels = earlier.wheels;
        for (mount, run_out) in &snapshot.run_outs {
            if let Some(result) = &run_out.result {
                let kept = WheelKept::of(result, run_out.board.clone());
                wheels.insert(mount.name().to_owned(), kept);
            }
        }
        let forward = snapshot
            .forward
            .map(|(axis, standard)| (axis.into(), standard.rad()));
        Self {
            floor: FloorKept::of(&snapshot.floor).or(earlier.floor),
            forward: forward.or(earlier.forward),
            body: earlier.body,
            wheels,
        }
    }

    /// What a board on the body saw is of another one.
    pub(super) fn leave_body(&mut self) {
        self.body = None;
        self.forward = None;
        for wheel in self.wheels.values_mut() {
            wheel.body = None;
        }
    }

    /// Is there nothing worth being kept?
    pub fn is_empty(&self) -> bool {
        self.floor.is_none() && self.forward.is_none() && self.wheels.is_empty()
    }

    /// The same as a clock tells it that is so much ahead.
    #[must_use]
    pub fn later_by(mut self, us: i64) -> Self {
        for wheel in self.wheels.values_mut() {
            wheel.at_us = wheel.at_us.saturating_add(us);
        }
        self
    }

    /// Was the floor surveyed?
    pub const fn has_floor(&self) -> bool {
        self.floor.is_some()
    }

    /// Was it said which way the board on the body points?
    pub const fn has_forward(&self) -> bool {
        self.forward.is_some()
    }

    /// Wheels whose boards were found to sit so.
    pub fn mounts(&self) -> impl Iterator<Item = Mount> {
        self.wheels.keys().filter_map(|name| Mount::named(name))
    }
}

impl FloorKept {
    pub(super) fn of(floor: &Floor) -> Option<Self> {
        let by = match floor.by {
            FloorBy::Configuration if floor.lines.is_empty() => return None,
            // One line alone is no slope yet, and worth as much trouble.
            FloorBy::Configuration => FloorByKept::Configuration,
            FloorBy::Heights => FloorByKept::Heights,
            FloorBy::Lines => FloorByKept::Lines,
        };
        let lines = floor.lines.iter();
        Some(Self {
            by,
            roll: pair(&floor.slope.roll),
            pitch: pair(&floor.slope.pitch),
            twist_mm: floor.twist_mm,
            lines: lines
                .map(|(line, slope)| ((*line).into(), pair(slope)))
                .collect(),
        })
    }

    pub(super) fn floor(&self) -> Floor {
        let lines = self.lines.iter();
        Floor {
            slope: FloorSlope {
                roll: estimate(self.roll),
                pitch: estimate(self.pitch),
            },
            by: match self.by {
                FloorByKept::Configuration => FloorBy::Configuration,
                FloorByKept::Heights => FloorBy::Heights,
                FloorByKept::Lines => FloorBy::Lines,
            },
            twist_mm: self.twist_mm,
            lines: lines
                .map(|(line, slope)| ((*line).into(), estimate(*slope)))
                .collect(),
            half: None,
        }
    }
}

impl WheelKept {
    fn of(result: &RunOutResult, board: String) -> Self {
        let rests = |rests: &Vec<RunOutEvidence>| rests.iter().map(RestKept::of).collect();
        Self {
            board,
            outboard: result.axis.outboard.vec().to_array(),
            covariance_rad2: result.axis.covariance_rad2,
            outboard_by: match result.outboard_by {
                OutboardBy::DeclaredFace => OutboardByKept::DeclaredFace,
                OutboardBy::AwayFromCar => OutboardByKept::AwayFromCar,
                OutboardBy::ForwardRolling => OutboardByKept::ForwardRolling,
            },
            arc: result.arc.rad(),
            stops: result.stops,
            spins: result.spins,
            wobble_watched: result.wobble_watched,
            off_cone: result.off_cone.rad(),
            lean_there: result.lean_there.rad(),
            jacked: result.jacked,
            off_declared: result.off_declared.map(Angle::rad),
            evidence: result.evidence.iter().map(rests).collect(),
            body: result.body.as_ref().map(RestKept::of),
            at_us: result.at.us(),
        }
    }

    /// As it was found, of a wheel on that side; none of a direction that is none.
    pub(super) fn result(&self, side: Side) -> Option<RunOutResult> {
        let rests = |rests: &Vec<RestKept>| rests.iter().map(RestKept::rest).collect();
        Some(RunOutResult {
            side,
            axis: SpinAxis {
                outboard: Dir::along(Vec3::from_array(self.outboard))?,
                covariance_rad2: self.covariance_rad2,
            },
            outboard_by: match self.outboard_by {
                OutboardByKept::DeclaredFace => OutboardBy::DeclaredFace,
                OutboardByKept::AwayFromCar => OutboardBy::AwayFromCar,
                OutboardByKept::ForwardRolling => OutboardBy::ForwardRolling,
            },
            arc: Angle::from_rad(self.arc),
            stops: self.stops,
            spins: self.spins,
            wobble_watched: self.wobble_watched,
            off_cone: Angle::from_rad(self.off_cone),
            lean_there: Angle::from_rad(self.lean_there),
            jacked: self.jacked,
            off_declared: self.off_declared.map(Angle::from_rad),
            evidence: self.evidence.iter().map(rests).collect(),
            body: self.body.as_ref().map(RestKept::rest),
            at: HostTime::from_us(self.at_us),
        })
    }
}

impl RestKept {
    fn of(rest: &RunOutEvidence) -> Self {
        Self {
            accel_g: rest.accel_g.to_array(),
            noise_g: rest.noise_g,
            degrees_of_freedom: Some(rest.degrees_of_freedom).filter(|of| of.is_finite()),
            still: rest.still,
        }
    }

    fn rest(&self) -> RunOutEvidence {
        RunOutEvidence {
            accel_g: Vec3::from_array(self.accel_g),
            noise_g: self.noise_g,
            degrees_of_freedom: self.degrees_of_freedom.unwrap_or(f64::INFINITY),
            still: self.still,
        }
    }
}

const fn pair(estimate: &Estimate) -> Pair {
    (estimate.value.rad(), estimate.standard.rad())
}

const fn estimate((value, standard): Pair) -> Estimate {
    Estimate::new(Angle::from_rad(value), Angle::from_rad(standard))
}
