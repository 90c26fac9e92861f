//! The guided calibration by poses: readings and commands in, what to do next out.

use thiserror::Error;

use crate::chip::ChipFigures;
use crate::reading::RawSample;

use super::collect::{HOLD_US, PoseCollector, PoseProgress};
use super::coverage::{Coverage, Edge, Enough, Face};
use super::fit::{CalibrationFit, fit_poses};
use super::pose::Pose;
use super::procedure::{Ended, Hint, Hold, Phase};
use super::refusal::FitError;

/// Flat as it lies comes first: that is how a board is put on a table.
const FACES_IN_TURN: [Face; 6] = [
    Face::PlusZ,
    Face::MinusZ,
    Face::PlusX,
    Face::MinusX,
    Face::PlusY,
    Face::MinusY,
];

/// So many poses are solved without being asked: nine leave no freedom to see a
/// bad one by, and with three to spare it can be told which one it is.
const COMPLETE: usize = 12;

/// There is no such pose to take back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("pose {pose} was named, and {taken} are taken")]
pub struct NoSuchPose {
    /// Pose named, from 0.
    pub pose: usize,
    /// Poses taken.
    pub taken: usize,
}

/// A calibration by poses while it is done. It solves by itself after twelve poses
/// that show every face and every pair of axes, or before, when it is told to. Poses
/// that have no calibration in them do not end it: one of them can be taken back
/// and done again.
#[derive(Debug, Clone)]
pub struct PosesProcedure {
    collector: PoseCollector,
    progress: PoseProgress,
    trouble: Option<FitError>,
    end: Option<Result<CalibrationFit, Ended>>,
}

impl PosesProcedure {
    /// Begins, with poses held for [`HOLD_US`].
    pub fn start(chip: ChipFigures) -> Self {
        Self::start_with_hold(chip, HOLD_US)
    }

    /// Begins, with poses held for `hold_us`.
    pub fn start_with_hold(chip: ChipFigures, hold_us: i64) -> Self {
        Self {
            collector: PoseCollector::with_hold(chip, hold_us),
            progress: PoseProgress::Settling,
            trouble: None,
            end: None,
        }
    }

    /// Takes one reading, not calibrated.
    pub fn observe(&mut self, raw: &RawSample) {
        if self.end.is_some() {
            return;
        }
        self.progress = self.collector.observe(raw);
        if matches!(self.progress, PoseProgress::Taken { .. }) {
            self.trouble = None;
            if self.is_complete() {
                // What is wrong with the poses is kept for whoever looks.
                let _ = self.solve();
            }
        }
    }

    /// Solves the poses taken so far, if they are enough.
    pub fn solve(&mut self) -> Result<(), FitError> {
        if self.end.is_some() {
            return Ok(());
        }
        match fit_poses(self.collector.poses()) {
            Ok(fit) => {
                self.trouble = None;
                self.end = Some(Ok(fit));
                Ok(())
            }
            Err(error) => {
                self.trouble = Some(error.clone());
                Err(error)
            }
        }
    }

    /// Drops a pose, the last one if none is named, so that it can be done again.
    /// A result that was there is given up with it.
    pub fn take_back(&mut self, pose: Option<usize>) -> Result<Pose, NoSuchPose> {
        let taken = self.collector.poses().len();
        let pose = pose.unwrap_or(taken.saturating_sub(1));
        let back = self
            .collector
            .discard(pose)
            .ok_or(NoSuchPose { pose, taken })?;
        self.trouble = None;
        if matches!(self.end, Some(Ok(_))) {
            self.end = None;
        }
        self.progress = PoseProgress::Settling;
        Ok(back)
    }

    /// Ends without a result, unless there is one.
    pub fn end(&mut self, why: Ended) {
        self.end.get_or_insert(Err(why));
    }

    /// The step at hand.
    pub fn phase(&self) -> Phase {
        match &self.end {
            Some(Ok(_)) => Phase::Solved,
            Some(Err(_)) => Phase::Ended,
            None => match self.progress {
                PoseProgress::Holding { .. } => Phase::Hold,
                PoseProgress::Taken { .. } | PoseProgress::AlreadyTaken { .. } => Phase::Taken,
                PoseProgress::Rejected(_) | PoseProgress::Settling | PoseProgress::Moving => {
                    Phase::Lay
                }
            },
        }
    }

    /// What to do now.
    pub fn hint(&self) -> Hint {
        if self.end.is_some() {
            return Hint::Finished;
        }
        if let Some(FitError::PosesDisagree { worst, .. }) = self.trouble {
            return Hint::TakeBack(worst);
        }
        if self.phase() == Phase::Hold {
            return Hint::HoldStill;
        }
        self.next()
    }

    /// How far the hold is; nothing held unless the board lies still in a new way.
    pub fn hold(&self) -> Hold {
        match self.progress {
            PoseProgress::Holding { held_us, needed_us } => Hold { held_us, needed_us },
            _ => Hold {
                held_us: 0,
                needed_us: self.collector.hold_us(),
            },
        }
    }

    /// The poses taken.
    pub fn poses(&self) -> &[Pose] {
        self.collector.poses()
    }

    /// What they cover.
    pub fn coverage(&self) -> Coverage {
        self.collector.coverage()
    }

    /// Faces that have not been up, the one to lay next first.
    pub fn missing_faces(&self) -> impl Iterator<Item = Face> {
        let coverage = self.coverage();
        FACES_IN_TURN
            .into_iter()
            .filter(move |face| !coverage.has(*face))
    }

    /// How many more poses are wanted before it solves by itself, at least.
    pub fn poses_to_go(&self) -> usize {
        let coverage = self.coverage();
        let unseen = coverage.missing_faces().count() + coverage.missing_edges().count();
        COMPLETE.saturating_sub(coverage.poses()).max(unseen)
    }

    /// Pairs of axes that no pose tells of yet.
    pub fn missing_edges(&self) -> Vec<Edge> {
        self.coverage().missing_edges().collect()
    }

    /// Are the poses enough to be solved on command?
    pub fn can_solve(&self) -> bool {
        self.end.is_none() && self.coverage().enough() != Enough::No
    }

    /// Why the poses have no calibration in them, since it was last tried.
    pub const fn trouble(&self) -> Option<&FitError> {
        self.trouble.as_ref()
    }

    /// Result, or why there is none; nothing while it is under way.
    pub fn outcome(&self) -> Option<Result<&CalibrationFit, Ended>> {
        self.end
            .as_ref()
            .map(|end| end.as_ref().map_err(|ended| *ended))
    }

    fn is_complete(&self) -> bool {
        let coverage = self.coverage();
        coverage.poses() >= COMPLETE
            && coverage.enough() == Enough::Everything
            && coverage.missing_faces().next().is_none()
            && coverage.missing_edges().next().is_none()
    }

    fn next(&self) -> Hint {
        if let Some(face) = self.missing_faces().next() {
            return Hint::LayFace(face);
        }
        match self.missing_edges().first() {
            Some(edge) => Hint::LayEdge(*edge),
            // All have been shown; more of them check each other.
            None => Hint::LayAnyOtherWay,
        }
    }
}
