//! Why a device of the kernel cannot be read.

use thiserror::Error;

/// Why a device of the kernel cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum IioRefusal {
    /// It has no acceleration in three axes.
    #[error("{device} has no accelerometer")]
    NoAccelerometer {
        /// The device.
        device: String,
    },
    /// What it gives cannot be understood.
    #[error("the records of {device} cannot be read: {why}")]
    Layout {
        /// The device.
        device: String,
        /// What is wrong with them.
        why: String,
    },
    /// A file of it cannot be read.
    #[error("{file} of {device} cannot be read: {why}")]
    Unreadable {
        /// The device.
        device: String,
        /// The file.
        file: String,
        /// What the system says.
        why: String,
    },
}
