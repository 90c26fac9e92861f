//! What a person tells of a format that does not explain itself: which number
//! stands where, in which unit.

mod field;
mod number;

pub use field::ToldError;
pub(crate) use field::{ToldField, all_usable};
pub(crate) use number::NumberKind;
