//! Our own compact frames for home-made firmware that measures up to a thousand
//! times a second. docs/formats/compact.md specifies them to the byte.

mod contents;
mod encode;
mod frame;
mod stream;

pub(crate) use encode::encode;
pub(crate) use frame::DELIMITER;
pub(crate) use stream::CompactStream;

/// Width of the running number.
pub(crate) const SEQUENCE_BITS: u8 = 16;
