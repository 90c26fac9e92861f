//! Finds the poses in the stream of a board that is laid down in turn.

use crate::angle::Angle;
use crate::calibration::Calibration;
use crate::chip::ChipFigures;
use crate::frames::{Board, Dir};
use crate::live::Rejected;
use crate::reading::{Motion, RawSample, Sample};
use crate::rest::RestTally;
use crate::stillness::StillnessDetector;

use super::coverage::Coverage;
use super::gate::Gate;
use super::pose::Pose;

/// How long a pose is held, unless asked otherwise, µs: the mean of the
/// noisiest chips is then known to 0.15 mg, a tenth of what their class keeps.
pub const HOLD_US: i64 = 4_000_000;
/// A pose nearer than this to one taken adds little.
const APART: Angle = Angle::from_deg(25.0);

/// What a reading did.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PoseProgress {
    /// Nothing: it is not used, and the pose begins anew.
    Rejected(Rejected),
    /// Too few readings yet to tell rest from motion.
    Settling,
    /// The board moves.
    Moving,
    /// It lies still as it did before.
    AlreadyTaken {
        /// In which pose, from 0.
        pose: usize,
    },
    /// It lies still in a new way.
    Holding {
        /// For how long, µs.
        held_us: i64,
        /// How long it has to, µs.
        needed_us: i64,
    },
    /// The pose is taken.
    Taken {
        /// Which it is, from 0.
        pose: usize,
    },
}

/// Collects poses in any order. At 25° apart there is room for less than a
/// hundred, which bounds them.
#[derive(Debug, Clone)]
pub struct PoseCollector {
    chip: ChipFigures,
    hold_us: i64,
    stillness: StillnessDetector,
    gate: Gate,
    tally: RestTally,
    warmth: Warming,
    poses: Vec<Pose>,
}

/// Mean temperature of a rest.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Warming {
    sum_c: f64,
    with: usize,
    count: usize,
}

impl Warming {
    pub(super) fn add(&mut self, sample: &Sample) {
        self.count += 1;
        if let Some(temperature_c) = sample.temperature_c {
            self.sum_c += temperature_c;
            self.with += 1;
        }
    }

    /// None when a reading came without.
    pub(super) fn mean_c(&self) -> Option<f64> {
        (self.count > 0 && self.with == self.count).then(|| self.sum_c / self.count as f64)
    }
}

impl PoseCollector {
    /// A collector for a board whose poses are held for [`HOLD_US`].
    pub fn new(chip: ChipFigures) -> Self {
        Self::with_hold(chip, HOLD_US)
    }

    /// A collector whose poses are held for `hold_us`.
    pub fn with_hold(chip: ChipFigures, hold_us: i64) -> Self {
        Self {
            chip,
            hold_us,
            stillness: StillnessDetector::new(),
            gate: Gate::new(&chip),
            tally: RestTally::new(),
            warmth: Warming::default(),
            poses: Vec::new(),
        }
    }

    /// Takes one reading, not calibrated.
    pub fn observe(&mut self, raw: &RawSample) -> PoseProgress {
        if let Err(why) = self.gate.admit(raw) {
            self.begin();
            return PoseProgress::Rejected(why);
        }
        let sample = Calibration::none().apply(raw);
        match self.stillness.observe(&sample) {
            Motion::Unknown => {
                self.begin();
                PoseProgress::Settling
            }
            Motion::Moving => {
                self.begin();
                PoseProgress::Moving
            }
            Motion::Still => self.rest(&sample),
        }
    }

    /// How long a pose is held, µs.
    pub const fn hold_us(&self) -> i64 {
        self.hold_us
    }

    /// The poses taken.
    pub fn poses(&self) -> &[Pose] {
        &self.poses
    }

    /// What they cover, and whether they are enough.
    pub fn coverage(&self) -> Coverage {
        Coverage::of(&self.poses.iter().filter_map(Pose::up).collect::<Vec<_>>())
    }

    /// Drops a pose, such as the one that fits the others worst, so that it can
    /// be taken again. None when there is no such pose; later ones move up.
    pub fn discard(&mut self, pose: usize) -> Option<Pose> {
        (pose < self.poses.len()).then(|| self.poses.remove(pose))
    }

    fn rest(&mut self, sample: &Sample) -> PoseProgress {
        let up = self
            .stillness
            .window_mean()
            .and_then(|(accel_g, _)| Dir::along(accel_g));
        let Some(up) = up else {
            self.begin();
            return PoseProgress::Settling;
        };
        if let Some(pose) = self.taken(&up) {
            self.begin();
            return PoseProgress::AlreadyTaken { pose };
        }
        self.tally.add(sample);
        self.warmth.add(sample);
        let held_us = self.tally.held_us();
        if held_us < self.hold_us {
            return PoseProgress::Holding {
                held_us,
                needed_us: self.hold_us,
            };
        }
        let Some(rest) = self.tally.measure(&self.chip) else {
            return PoseProgress::Settling;
        };
        self.poses
            .push(Pose::from_rest(&rest, self.warmth.mean_c()));
        self.begin();
        PoseProgress::Taken {
            pose: self.poses.len() - 1,
        }
    }

    fn taken(&self, up: &Dir<Board>) -> Option<usize> {
        self.poses
            .iter()
            .position(|pose| pose.up().is_some_and(|then| then.angle_to(up) < APART))
    }

    fn begin(&mut self) {
        self.tally = RestTally::new();
        self.warmth = Warming::default();
    }
}
