//! Numbers in a row, without head or sum: what hobby sketches put into a
//! Bluetooth notification or a datagram. The link says where a frame begins, a
//! person says what is in it.

mod layout;
mod stream;

pub use layout::ValueLayout;
pub(crate) use stream::{ValueStream, encode};
