//! A car: what is known of it, and what its angles should be.
//!
//! One record serves the page, the files that are imported and the store. What
//! nobody has told stays missing: no figure is presumed, and what hangs on a
//! missing one is shown as missing too.

mod adjusters;
mod file;
mod judge;
mod record;
mod targets;

pub use adjusters::{AdjusterRecord, AdjusterWay, Bracket, EccentricMoves, RodSide, Thread};
pub use file::{CarFileError, read, write_json, write_toml};
pub use judge::{BadRecord, judge};
pub use record::{
    AxleRecord, CarRecord, Corner, Corners, LoadRecord, SteeringRecord, SuspensionWay,
};
pub use targets::{AxleTargets, CarTargets, Limits, SideLimits, TurnTargets};
