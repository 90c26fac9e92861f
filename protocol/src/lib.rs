//! Bytes of a sensor board to [`Reading`]s, and back.
//!
//! One folder per board family: [`text`] for boards that print lines, [`ahrs55`]
//! for boards that send the 11-byte binary frames starting with 0x55. A
//! [`FrameReader`] takes the bytes as they arrive, an [`Encoder`] makes them, and
//! [`detect`] judges by listening which format a board speaks.
//!
//! The crate opens no port, reads no clock and starts no task: the same bytes
//! give the same frames, however they were cut on the way.
#![deny(clippy::indexing_slicing)] // Wire decoding must not be able to panic.
#![cfg_attr(
    test,
    allow(
        clippy::indexing_slicing,
        reason = "a test that indexes past the end should fail"
    )
)]

pub mod ahrs55;
mod ahrs55_radio;
mod bad_frame;
mod buffer;
mod compact;
pub mod detect;
mod encoder;
mod format;
mod frame_reader;
mod mavlink;
mod quaternion;
mod reading;
mod resync;
mod rvc;
pub mod text;
mod unwrap_count;
mod xbus;

pub use bad_frame::{BadFrame, BadReason, Evidence};
pub use encoder::Encoder;
pub use format::{UnknownFormat, WireFormat};
pub use frame_reader::{BUFFER_BYTES, Frame, FrameCounts, FrameReader, Packing};
pub use reading::{Reading, STANDARD_GRAVITY_MPS2};
pub use text::{AssumedUnits, ColumnMap, ColumnMapError, Columns};
