//! Why poses have no calibration in them.

use thiserror::Error;

use crate::calibration::CalibrationError;

use super::coverage::Face;

/// Why poses have no calibration in them. Poses are counted from 0.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    /// Too few poses.
    #[error("{found} poses, at least {needed} are needed")]
    TooFewPoses {
        /// Poses given.
        found: usize,
        /// Poses needed.
        needed: usize,
    },
    /// Too few poses to do without every face, and not every face was up.
    #[error("the board was never laid with {missing:?} up")]
    FacesMissing {
        /// Faces that were not up.
        missing: Vec<Face>,
    },
    /// A number is not finite, or a noise or a length below zero.
    #[error("pose {pose} holds a number that cannot be")]
    NotANumber {
        /// Which pose.
        pose: usize,
    },
    /// A reading is too far from one gravity: another unit, or not at rest.
    #[error("pose {pose} reads {found_g} g, not near 1 g")]
    NotOneGravity {
        /// Which pose.
        pose: usize,
        /// Length of its mean, g.
        found_g: f64,
    },
    /// Many poses, but to one side: they leave some number open.
    #[error("the poses lie too much to one side: condition number {condition:.1}, {limit} at most")]
    IllConditioned {
        /// Condition number of the nine numbers.
        condition: f64,
        /// The limit.
        limit: f64,
    },
    /// The steps did not come to rest.
    #[error("no solution after {rounds} rounds")]
    NotConverged {
        /// Rounds made.
        rounds: usize,
    },
    /// The poses contradict each other: one was not still, or the board flexed.
    #[error(
        "the poses contradict each other by {scatter_g} g, {limit_g} g at most; \
         pose {worst} most, by {worst_g} g: it was not still or the board flexed"
    )]
    PosesDisagree {
        /// Scatter of the residuals for the poses in excess, g.
        scatter_g: f64,
        /// The limit, g.
        limit_g: f64,
        /// The pose that fits the others worst.
        worst: usize,
        /// How far it is from what the others foretell, g.
        worst_g: f64,
    },
    /// The solution is no chip's.
    #[error(transparent)]
    NoChip(#[from] CalibrationError),
}
