//! What a link needs of a port, so that its waiting and retrying can be tried
//! on lines made of memory.

use std::collections::BTreeMap;
use std::future::Future;
use std::io;

use hubplumb_protocol::{Packing, WireFormat};
use thiserror::Error;
use tokio::io::AsyncRead;

use super::ble::BleRefusal;
use super::iio::IioRefusal;
use super::net::NetRefusal;
use super::refusal::{Holder, Permission};

/// An open line. It is read; the only thing that may be written to it is the
/// question of a told format that has to be asked.
///
/// Where the line [cuts](Self::packing) what it carries, each read gives one piece.
pub trait Line: AsyncRead + Unpin + Send {
    /// Changes the speed without closing the line, so that a board whose reset
    /// hangs on the port's control lines is not restarted by every guess.
    /// Bytes received at the old speed are thrown away; where it is the speed
    /// already, nothing happens. Lines without a speed have nothing to do.
    fn set_baud(&mut self, baud: u32) -> io::Result<()> {
        let _ = baud;
        Ok(())
    }

    /// Writes a question to the board. Only streams to one board, serial or
    /// TCP, carry questions; elsewhere it is an error of kind `Unsupported`.
    fn ask(&mut self, question: &[u8]) -> impl Future<Output = io::Result<()>> + Send {
        let _ = question;
        std::future::ready(Err(io::ErrorKind::Unsupported.into()))
    }

    /// How the line cuts what it carries.
    fn packing(&self) -> Packing {
        Packing::Stream
    }

    /// Has the line to be opened anew when nothing arrives? So it is where the end
    /// of a connection may never be told to us.
    fn silence_is_the_end(&self) -> bool {
        false
    }

    /// What arrived since this was last asked and was not given, by the code of the reason.
    fn left_out(&mut self) -> BTreeMap<&'static str, u64> {
        BTreeMap::new()
    }
}

/// A way to a board.
pub trait Transport: Send {
    /// What an opened line is.
    type Line: Line;

    /// Opens the line at `baud`, which means nothing where there is no
    /// [speed](Self::has_speed). The line before must have been dropped.
    fn open(&mut self, baud: u32) -> impl Future<Output = Result<Self::Line, OpenError>> + Send;

    /// The port by which the board is, or was last, reached.
    fn port(&self) -> String;

    /// Do its lines have a speed that has to be known?
    fn has_speed(&self) -> bool {
        true
    }

    /// The format of the line that was opened last, where the way itself knows it.
    /// It is never guessed then, and goes before what is configured.
    fn format(&self) -> Option<WireFormat> {
        None
    }

    /// Why there is no line after one has ended by itself.
    fn ended(&self) -> OpenError {
        OpenError::Absent {
            wanted: self.port(),
        }
    }

    /// What the board says of itself beside its readings, as far as that is known by now.
    fn about(&self) -> About {
        About::default()
    }
}

/// What a board says of itself beside its readings. Nothing is filled in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct About {
    /// Charge of its battery, percent.
    pub battery_percent: Option<u8>,
    /// Strength of its radio as received here, dBm.
    pub signal_dbm: Option<i16>,
    /// Who made it.
    pub maker: Option<String>,
    /// Its model.
    pub model: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// Version of its firmware.
    pub firmware: Option<String>,
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
    /// A Bluetooth board does not connect.
    #[error(transparent)]
    Ble(BleRefusal),
    /// A board on a network cannot be reached, or not be waited for.
    #[error(transparent)]
    Net(NetRefusal),
    /// A device of the kernel cannot be read.
    #[error(transparent)]
    Iio(IioRefusal),
    /// Anything else the system says.
    #[error("{port} cannot be opened: {why}")]
    Failed {
        /// Port.
        port: String,
        /// What the system says.
        why: String,
    },
}

impl OpenError {
    /// Is it only that the board is not there?
    pub const fn is_absence(&self) -> bool {
        matches!(
            self,
            Self::Absent { .. }
                | Self::Net(
                    NetRefusal::Unreachable { .. }
                        | NetRefusal::Ended { .. }
                        | NetRefusal::NoCaller { .. }
                )
                | Self::Ble(BleRefusal::NotSeen { .. } | BleRefusal::Ended { .. })
        )
    }
}
