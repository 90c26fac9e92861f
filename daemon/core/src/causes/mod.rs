//! What a wrong number can mean.
//!
//! Deviations with their uncertainties go in; candidates come out, each with a
//! grade, its evidence and the next check, after the two things that are always
//! ruled out first. Never a verdict: a measurement of angles does not see a part.

mod candidates;
mod cause;
mod clue;
mod signature;
mod weigh;

pub use candidates::{
    Candidate, Causes, Checked, Distinction, Evidence, Looked, Note, RuleOut, Strength,
};
pub use cause::{Cause, NextCheck, Pivot, Suspension};
pub use clue::{Against, CausesError, Clue, Compared, Kind, Seen, Target, compare};
