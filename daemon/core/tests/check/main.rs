//! Guided checks on made readings.
//!
//! The truth is made with nalgebra's rotations in ISO 8855 axes: poses of a board
//! in the room, its rates by the logarithm of the turn from reading to reading.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
#![allow(missing_docs, reason = "a test has no public documentation")]
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "sample counts of a made recording"
)]

mod bar;
mod heights;
mod hub_and_play;
mod made;
mod steering;
