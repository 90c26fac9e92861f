//! The real program on real wires: what a user sees, and nothing else.

#![expect(
    clippy::expect_used,
    clippy::panic,
    reason = "a step that does not work must fail its test"
)]

mod asked;
mod bluetooth;
mod bluetooth_board;
mod boards;
mod broken_store;
mod calibration;
mod carried;
mod checks;
mod command_line;
mod demo;
mod doctor;
mod door;
mod eight_boards;
mod faults;
mod interface;
mod journal;
mod killed;
mod levelling;
mod links;
mod metrics;
mod network;
mod once;
mod placing;
mod publishing;
mod recompute;
mod recording;
mod solving;
mod supervised;
mod swing;
mod traces;
mod visiting;
mod visits_command_line;
mod whole_visit;
