//! Boards on a network: called over TCP, calling us over TCP, or sending
//! datagrams. Nothing is ever written to them.

mod address;
mod refusal;
mod sockets;
mod tcp_client;
mod tcp_listener;
mod udp;

pub use address::{BadAddress, ListenAddress, PeerAddress};
pub use refusal::NetRefusal;
pub use tcp_client::{CalledLine, TcpClient};
pub use tcp_listener::{CallerLine, TcpListen};
pub use udp::{UdpLine, UdpListen};

pub(super) use sockets::Sockets;
pub(super) use tcp_listener::ListeningPort;
pub(super) use udp::DatagramPort;
