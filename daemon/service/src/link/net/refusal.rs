//! Why a board on a network cannot be reached, or not be waited for.

use std::io;
use std::net::SocketAddr;

use thiserror::Error;

/// Why a board on a network cannot be reached, or not be waited for.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NetRefusal {
    /// The machine answers, and nothing listens at that port.
    #[error("the connection to {peer} is refused")]
    ConnectionRefused {
        /// Whom we called.
        peer: String,
    },
    /// Nobody answers at that address.
    #[error("{peer} cannot be reached: {why}")]
    Unreachable {
        /// Whom we called.
        peer: String,
        /// What the system says.
        why: String,
    },
    /// No machine is known by that name.
    #[error("no machine named {host} is found: {why}")]
    NameUnknown {
        /// The name.
        host: String,
        /// What the system says.
        why: String,
    },
    /// The board closed the connection.
    #[error("the connection with {peer} has ended")]
    Ended {
        /// The board, or where it had called.
        peer: String,
    },
    /// We listen, and no board has called.
    #[error("no board has called at {at}")]
    NoCaller {
        /// Where we listen.
        at: String,
    },
    /// Somebody else listens there.
    #[error("{at} is in use")]
    AddressInUse {
        /// Where we wanted to listen.
        at: SocketAddr,
    },
    /// Ports below 1024 are for those with the right to them.
    #[error("no permission to listen at {at}")]
    PortDenied {
        /// Where we wanted to listen.
        at: SocketAddr,
    },
    /// This machine has no such address.
    #[error("{at} is no address of this machine")]
    AddressForeign {
        /// Where we wanted to listen.
        at: SocketAddr,
    },
    /// Anything else the system says.
    #[error("{what} failed: {why}")]
    Failed {
        /// What was tried.
        what: String,
        /// What the system says.
        why: String,
    },
}

impl NetRefusal {
    /// Why a call came to nothing.
    pub(super) fn of_call(peer: &str, error: &io::Error) -> Self {
        use io::ErrorKind as Kind;
        let peer = peer.to_owned();
        match error.kind() {
            Kind::ConnectionRefused | Kind::ConnectionReset => Self::ConnectionRefused { peer },
            Kind::HostUnreachable | Kind::NetworkUnreachable | Kind::TimedOut => {
                Self::Unreachable {
                    peer,
                    why: error.to_string(),
                }
            }
            _ => Self::Failed {
                what: format!("the call to {peer}"),
                why: error.to_string(),
            },
        }
    }

    /// Why we may not listen.
    pub(super) fn of_bind(at: SocketAddr, error: &io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::AddrInUse => Self::AddressInUse { at },
            io::ErrorKind::PermissionDenied => Self::PortDenied { at },
            io::ErrorKind::AddrNotAvailable => Self::AddressForeign { at },
            _ => Self::Failed {
                what: format!("listening at {at}"),
                why: error.to_string(),
            },
        }
    }
}
