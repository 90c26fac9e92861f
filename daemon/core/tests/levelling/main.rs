//! Turns of made wheels through the run-out procedure, and floors.
//!
//! The truth is a rotation model of its own (Rodrigues' formula); the floor is
//! compared with numpy's least squares.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
#![allow(missing_docs, reason = "a test has no public documentation")]
#![allow(
    clippy::cast_possible_truncation,
    reason = "sample counts of a made recording"
)]

mod floor;
mod made_wheel;
mod run_out;

#[path = "../swing/made_car.rs"]
#[allow(dead_code, reason = "only its vectors are used here")]
mod made_car;
