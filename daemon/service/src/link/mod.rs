//! The lines to the boards: finding ports, opening them, noticing that they
//! went, and reading what they say. The only thing that is ever written to a
//! board is the question of a format that has to be asked, and only where the
//! configuration or the command line names that format; never while a line is
//! listened to for finding out what it is. Nothing here knows what a reading means.

mod asking;
mod backoff;
pub mod ble;
mod foreseen;
mod identity;
mod iio;
mod late;
mod line_watch;
mod listen;
mod net;
mod refusal;
mod run;
mod serial;
mod status;
mod target;
mod timing;
mod transport;
mod ways;

#[cfg(test)]
mod tests;

pub use backoff::Backoff;
pub use foreseen::{foreseen, grabbers};
pub use identity::{FoundPort, PortTree};
pub use iio::{IioDevice, IioLine, IioRefusal, IioTransport, IioTree};
pub use line_watch::{LineState, LineWatch};
pub use net::{
    BadAddress, CalledLine, CallerLine, ListenAddress, NetRefusal, PeerAddress, TcpClient,
    TcpListen, UdpLine, UdpListen,
};
pub use refusal::{Holder, Membership, Permission};
pub use run::{LinkSettings, Observer, run};
pub use serial::{SerialLine, SerialTransport};
pub use status::{LinkState, LinkStatus, Speech, Unreadable};
pub use target::{BadTarget, Target};
pub use timing::{CANDIDATE_BAUDS, Timing};
pub use transport::{About, Line, OpenError, Transport};
pub use ways::Ways;
