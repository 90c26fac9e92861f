//! Advice for adjusting and candidate causes, against printed examples and
//! rotations in space.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]
#![allow(missing_docs, reason = "a test has no public documentation")]

mod cam_and_plate;
mod causes_model;
mod causes_rules;
mod causes_table;
mod learning;
mod order;
mod printed;
mod shims;
mod target;
mod tie_rod;
