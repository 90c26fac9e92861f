//! How far the measuring is off: random cars of our own simulator, measured
//! and compared with the truth.
//!
//! One trial is one car, one operator and one chip, drawn from a seed. The
//! simulator shares no code with the estimation; the figures of the session
//! (rests, moves, errors of the operator) are those of the independent
//! reference cases.

mod conditions;
mod disturbed;
mod draws;
mod pair;
mod report;
mod statistics;
mod trial;
mod vehicle;

pub use conditions::{Chip, Conditions, Way};
pub use disturbed::{Disturbed, disturbed, rest, run_out, steer};
pub use pair::pair;
pub use report::report;
pub use statistics::{Figures, Summary};
pub use trial::{Off, Offs, trial};
pub use vehicle::Vehicle;
