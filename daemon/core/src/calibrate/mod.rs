//! Calibrating a board by laying it down in several ways.
//!
//! A still accelerometer feels one gravity whichever way it lies. So the poses
//! need no jig: `|M (read − b)| = 1` for each of them gives the offset `b` and
//! the matrix `M`. [`PoseCollector`] finds the poses in the stream, [`fit_poses`]
//! solves them, [`Reversal`] does the one offset that camber hangs on alone.
//! [`CalibrationProcedure`] guides a person through either, and
//! [`KeptCalibration`] says how far to trust the result later.
//!
//! # What the poses cannot tell
//!
//! Lengths do not change when `M` is followed by a rotation, so only six of its
//! nine numbers can be found, and the other three are a choice. Here `M` is
//! **symmetric**: of all matrices that fit it is the one nearest to no change at
//! all, for the rotation taken out is the polar factor, the nearest rotation in
//! least squares. The axes are treated alike, and the cross-axis errors that
//! data sheets give per pair of axes halve their square: of two independent ones
//! their mean stays in `M` and their half difference is the rotation. A
//! triangular `M` would hold one axis to be without error, and push all of its
//! misalignment onto the others and into the rotation.
//!
//! The rotation left is a turn of the whole board, which is part of how the
//! board is mounted, and is found or declared there. It turns the accelerometer
//! against the gyro too; that is the gyro's cross-axis figure.
//!
//! The unit of length is the gravity at the bench: a calibrated reading is in
//! local gravities, and the scales hold the 0.3 % by which those differ.

mod collect;
mod coverage;
mod fit;
mod gate;
mod model;
mod pose;
mod poses;
mod procedure;
mod refusal;
mod reversal;
mod standing;
mod turn_over;

pub use collect::{HOLD_US, PoseCollector, PoseProgress};
pub use coverage::{Coverage, Edge, Enough, Face};
pub use fit::{CalibrationFit, Quality, WorstPose, fit_poses};
pub use model::Parameter;
pub use pose::{GyroRest, Pose, Warmth};
pub use poses::{NoSuchPose, PosesProcedure};
pub use procedure::{CalibrationProcedure, Ended, Hint, Hold, Phase};
pub use refusal::FitError;
pub use reversal::{NotReversed, Reversal, ReversalSetup, TurnSeen};
pub use standing::{
    Ages, FAR_FROM_C, KeptAxis, KeptCalibration, LeftFigures, OLD_AFTER_DAYS, OldReason, Standing,
};
pub use turn_over::{ReversalProcedure, ReversalResult, SEAT, TurnEvidence};
