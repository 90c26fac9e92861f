//! What the end-to-end tests share: a simulated car on real wires and the real
//! program that listens to it.
//!
//! A test sees only what a user sees: the configuration file, the HTTP
//! interface, the command line and what the program prints.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "everything here runs inside a test, where failing loudly is the purpose"
)]

pub mod bench;
pub mod broker;
pub mod carried;
pub mod garage;
pub mod hands;
pub mod joint_cases;
pub mod killing;
pub mod measured;
pub mod memory;
pub mod program;
pub mod running;
pub mod skipped;
pub mod stream;
pub mod third_party;
pub mod tilt;
pub mod visiting;
pub mod wire;

pub use bench::Bench;
pub use garage::{Garage, board};
pub use program::{Finished, program, run};
pub use running::Daemon;
pub use skipped::skip;
pub use stream::{Event, Stream};
pub use visiting::Visiting;
pub use wire::Wire;
