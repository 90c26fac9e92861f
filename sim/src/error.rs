//! What can go wrong while a scenario runs.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::car::Mount;
use crate::motion::ScriptError;

/// A run that cannot be started or changed.
#[derive(Debug, Error)]
pub enum SimError {
    /// A step that cannot be done.
    #[error(transparent)]
    Script(#[from] ScriptError),
    /// The system gives no pseudo-terminal.
    #[error("no pseudo-terminal for {mount}: {source}; is /dev/pts mounted?")]
    Pty {
        /// For which board.
        mount: Mount,
        /// What the system says.
        source: io::Error,
    },
    /// The system gives no place on the network.
    #[error("{mount}: {what}: {source}")]
    Net {
        /// For which board.
        mount: Mount,
        /// What was tried.
        what: String,
        /// What the system says.
        source: io::Error,
    },
    /// No Bluetooth, not even a made-up one.
    #[error("no Bluetooth for {mount}: {why}")]
    Bluetooth {
        /// For which board.
        mount: Mount,
        /// What hinders it.
        why: String,
    },
    /// A file or link could not be made.
    #[error("{}: {source}", path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// What the system says.
        source: io::Error,
    },
    /// The place of a port's link is taken by something that is not a link.
    #[error("{} is in the way and not a link; move it or choose another folder", path.display())]
    InTheWay {
        /// What is in the way.
        path: PathBuf,
    },
    /// The system gives no thread.
    #[error("no thread for {mount}: {source}")]
    Thread {
        /// For which board.
        mount: Mount,
        /// What the system says.
        source: io::Error,
    },
    /// No board is on that mount.
    #[error("the scenario has no board on {mount}")]
    NoBoard {
        /// Which mount.
        mount: Mount,
    },
    /// A speed that makes no sense.
    #[error("a speed of {speed} is not possible; give a number above 0")]
    Speed {
        /// What was given.
        speed: f64,
    },
}
