//! A visit: one car on one occasion, from preparing it to the sheet.
//!
//! Entries are what is stored ([`Entry`]); the visit as it stands is worked out
//! from them ([`Visit::of`]) and never stored, so that nothing can disagree.

mod entry;
mod prepare;
mod quantity;
mod standing;

pub use entry::{
    AfterMove, BoardUsed, Conditions, Entry, FindingRecord, Move, Procedure, Run, ShareRecord,
    Stage,
};
pub use prepare::Point;
pub use quantity::{Place, Quantity, Unit};
pub use standing::{Noted, Standing, Visit};

#[cfg(test)]
mod tests;
