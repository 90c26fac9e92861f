//! Chips that the kernel itself reads: the Linux Industrial I/O subsystem.
//!
//! Two ways, tried in this order. *Buffered*: the kernel collects whole records at
//! the chip's own rate and hands them out with their times. *Polled*: the files
//! `in_accel_x_raw` and so on are read one after the other, which anybody may do.
//!
//! Where the buffer is off and we have the right to it, it is set up and switched
//! on, and all is put back when the line closes. That changes settings of the
//! kernel's driver, which are gone with the next start of the machine, and nothing
//! that a board keeps. Names and units: the kernel's
//! `Documentation/ABI/testing/sysfs-bus-iio`.

mod buffered;
mod channels;
mod polled;
mod refusal;
mod transport;
mod tree;

#[cfg(test)]
mod tests;

pub use refusal::IioRefusal;
pub use transport::{IioLine, IioTransport};
pub use tree::{IioDevice, IioTree};
