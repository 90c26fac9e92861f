//! Why a device is not paired, or not known.

use thiserror::Error;

use super::{MOST_DEVICES, TRIES};

/// Why a device is not paired, or not known.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PairingFault {
    /// What was typed has not the form of a code.
    #[error("a code has eight digits")]
    NoCodeTyped,
    /// A guess came right after another.
    #[error("a code was tried a moment ago")]
    TooSoon,
    /// No code is offered: none was made, it was used, guessed at too often, or is too old.
    #[error("no code is good now")]
    NoCode,
    /// It is another code.
    #[error("that is not the code; {left} of {TRIES} tries are left")]
    WrongCode {
        /// Tries that are left.
        left: u8,
    },
    /// So many devices are paired already.
    #[error("{MOST_DEVICES} devices are paired already")]
    Full,
    /// The system gives no random numbers.
    #[error("the system gives no random numbers: {0}")]
    NoChance(String),
    /// The file cannot be read or written.
    #[error("{0}")]
    File(String),
    /// The file is of another kind or of a newer program.
    #[error("{0}")]
    NotUnderstood(String),
    /// There is no folder for the file.
    #[error("there is no folder to keep paired devices in")]
    NoFolder,
    /// The daemon is ending.
    #[error("the daemon is ending")]
    Ended,
}
