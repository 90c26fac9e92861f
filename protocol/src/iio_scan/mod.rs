//! Records of a buffer of the Linux Industrial I/O subsystem.
//!
//! The kernel hands out records of a fixed length. Which channel lies where in
//! them follows from the files of `scan_elements` in sysfs, which whoever opens
//! the device reads and gives to [`ScanLayout::parse`]; nothing of it is written
//! by a person. Sources: the kernel's `Documentation/ABI/testing/sysfs-bus-iio`
//! for names, units and types; natural alignment from memory.

mod element;
mod layout;
mod records;

pub use element::{ScanElement, ScanError};
pub use layout::ScanLayout;
pub(crate) use records::{Records, encode};
