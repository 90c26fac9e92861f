//! The sketches for boards, compiled on this machine and run against a made-up chip;
//! what they send is read by the program's own decoder.

#![expect(
    clippy::expect_used,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a step that does not work must fail its test"
)]

mod compiled;
mod formats;
mod runs;
