//! NMEA 0183: sentences of text with a sum.
//!
//! Angles travel in `XDR` sentences, whose numbers have names that every maker
//! chooses anew, and in sentences of makers. What is in them is told by
//! [`Sentences`]; what most makers do is known beforehand.

mod sentence;
mod sentences;
mod stream;

pub use sentences::Sentences;
pub(crate) use stream::{SentenceStream, encode};
