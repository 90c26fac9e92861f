//! Chips by their names: the table in docs/CHIPS.md, and rules of thumb about tilt.

mod documented;
mod rules;
