//! Calibrating made boards, whose errors are known.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

mod collect;
mod coverage;
mod fit;
mod made_board;
mod procedure;
mod reference;
mod reversal;
