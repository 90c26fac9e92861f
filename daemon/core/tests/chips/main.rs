//! Chips by their names: the table in docs/CHIPS.md, and rules of thumb about tilt.

#![expect(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a step that does not work must fail its test"
)]

mod documented;
mod rules;
