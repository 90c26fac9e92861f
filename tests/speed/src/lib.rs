//! How fast the way of a sample is, and how much the daemon bears.
//!
//! [`families`] makes the bytes that boards of every format send, [`way`] is the work on them without
//! port, task and lock: frames, times, calibration, stillness and tilt. It is what instructions are
//! counted of. What the daemon does around it for each read of a line is in the benchmarks
//! (`benches`), which take the daemon's own code, and in [`load`], which takes the running program.

pub mod alone;
pub mod counting;
pub mod criterion;
pub mod families;
pub mod load;
pub mod way;
pub mod worked;

pub use families::{Family, Kind, Stream};
pub use way::Way;
