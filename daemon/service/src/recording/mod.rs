//! Recordings: writing them down while a swing runs, and solving them later.
//!
//! - [`csv_read`]: a table of readings of one board;
//! - [`session_file`]: what else is needed to solve it, and [`load`] to judge that;
//! - [`before`]: what was measured before a recording began;
//! - [`solve`]: through the core; [`solution`]: what comes out;
//! - [`recorder`]: writing swings down while they run;
//! - [`spectrum`]: the noise of a resting board.

pub mod before;
pub mod chip_name;
pub mod csv_error;
pub mod csv_read;
mod judged;
pub mod load;
pub mod recorder;
pub mod session_error;
pub mod session_file;
pub mod solution;
pub mod solve;
pub mod spectrum;
mod written;

pub use csv_error::CsvError;
pub use session_error::InputError;

/// Name of the session file in a folder of recordings.
pub const SESSION_FILE: &str = "session.json";
