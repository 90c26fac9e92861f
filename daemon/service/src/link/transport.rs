//! What a link needs of a port, so that its waiting and retrying can be tried
//! on lines made of memory.

use std::future::Future;
use std::io;

use thiserror::Error;
use tokio::io::AsyncRead;

use super::refusal::{Holder, Permission};

/// An open line. It is only ever read: nothing in this crate writes to a board.
pub trait Line: AsyncRead + Unpin + Send {
    /// Changes the speed without closing the line, so that a board whose reset
    /// hangs on the port's control lines is not restarted by every guess.
    /// Bytes received at the old speed are thrown away; where it is the speed
    /// already, nothing happens.
    fn set_baud(&mut self, baud: u32) -> io::Result<()>;
}

/// A way to a board.
pub trait Transport: Send {
    /// What an opened line is.
    type Line: Line;

    /// Opens the line at `baud`. The line before must have been dropped.
    fn open(&mut self, baud: u32) -> impl Future<Output = Result<Self::Line, OpenError>> + Send;

    /// The port by which the board is, or was last, reached.
    fn port(&self) -> String;
}

/// Why a port could not be opened.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum OpenError {
    /// No such port, or no port with that identity.
    #[error("{wanted} is not there")]
    Absent {
        /// Port or identity that was looked for.
        wanted: String,
    },
    /// More than one port answers to the configured identity.
    #[error("{id} names more than one port: {}", nodes.join(", "))]
    Ambiguous {
        /// Identity that was looked for.
        id: String,
        /// Ports that answer to it.
        nodes: Vec<String>,
    },
    /// The system's permissions forbid it.
    #[error("no permission to open {port}")]
    Denied {
        /// Port.
        port: String,
        /// Who may open it and who we are.
        permission: Permission,
    },
    /// Another program has it.
    #[error("{port} is in use by another program")]
    Busy {
        /// Port.
        port: String,
        /// The program, where it can be seen.
        holder: Option<Holder>,
    },
    /// The path exists and is no serial port.
    #[error("{port} is not a serial port: {why}")]
    NotSerial {
        /// Path.
        port: String,
        /// What the system says.
        why: String,
    },
    /// Anything else the system says.
    #[error("{port} cannot be opened: {why}")]
    Failed {
        /// Port.
        port: String,
        /// What the system says.
        why: String,
    },
}
