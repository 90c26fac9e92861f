//! Boards on Bluetooth LE.
//!
//! [`Radio`] and [`Peer`] are what is needed of the machine's Bluetooth;
//! [`blue`] is the real one, and a test puts one of memory in its place. Boards
//! are looked for and connected one at a time, because most adapters do no
//! more; a coordinator that all links share sees to it. Everything that is
//! asked of the radio has a time limit: after the bus is lost calls hang, and
//! only a session made anew helps.

mod address;
mod blue;
mod bus;
mod choose;
mod find;
mod inbox;
mod radio;
mod refusal;
#[cfg(test)]
mod tests;
mod transport;
mod within;

pub use address::{BadBleAddress, BleAddress, BleBoard, characteristic};
pub use blue::{Blue, scan};
pub use choose::{Choice, Offered, choose, known_service};
pub use radio::{Events, Peer, PeerEvent, Radio, RadioTrouble, Seen};
pub use refusal::BleRefusal;
pub use transport::{BleLine, BleTransport, Coordinator, address_words};
