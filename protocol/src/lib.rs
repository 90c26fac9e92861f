//! Bytes of a sensor board to [`Reading`]s, and back.
//!
//! One folder per board family: [`text`] for boards that print lines, [`ahrs55`]
//! for boards that send the 11-byte binary frames starting with 0x55, and others
//! that a person has to tell more of than their name, or that must be asked. A
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
pub(crate) mod bno055;
mod buffer;
mod compact;
pub mod detect;
mod encoder;
mod format;
mod frame_reader;
mod iio_scan;
mod mavlink;
mod modbus;
mod nmea;
mod options;
mod quaternion;
mod question;
mod reading;
mod resync;
mod rvc;
pub mod text;
mod told;
mod unwrap_count;
mod values;
mod xbus;

pub use bad_frame::{BadFrame, BadReason, Evidence};
pub use encoder::Encoder;
pub use format::{UnknownFormat, WireFormat};
pub use frame_reader::{BUFFER_BYTES, Frame, FrameCounts, FrameReader, Packing};
pub use iio_scan::{ScanElement, ScanError, ScanLayout};
pub use modbus::RegisterMap;
pub use nmea::Sentences;
pub use options::FormatOptions;
pub use question::Question;
pub use reading::{Reading, STANDARD_GRAVITY_MPS2};
pub use text::{AssumedUnits, ColumnMap, ColumnMapError, Columns};
pub use told::ToldError;
pub use values::ValueLayout;
