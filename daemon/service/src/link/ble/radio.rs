//! What is needed of a machine's Bluetooth.

use std::future::Future;
use std::pin::Pin;
use std::time::Duration;

use futures_util::Stream;
use thiserror::Error;
use uuid::Uuid;

use super::choose::Offered;
use crate::link::About;

/// A board that the radio sees.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Its address.
    pub address: [u8; 6],
    /// Its name, if it says one.
    pub name: Option<String>,
    /// Strength of its signal, dBm; none where the service only remembers it.
    pub signal_dbm: Option<i16>,
    /// Services it says it has.
    pub services: Vec<Uuid>,
    /// Is somebody on this machine connected to it?
    pub connected: bool,
}

/// Why the radio does not do what it is asked.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RadioTrouble {
    /// There is no service for Bluetooth on this machine, or it cannot be reached.
    #[error("there is no Bluetooth service: {why}")]
    NoService {
        /// What the system says.
        why: String,
    },
    /// The system does not let us.
    #[error("the Bluetooth service does not let this user in")]
    Denied,
    /// No adapter is there.
    #[error("there is no Bluetooth adapter")]
    NoAdapter,
    /// The adapter is switched off.
    #[error("the Bluetooth adapter is switched off")]
    Off,
    /// It was not done in time.
    #[error("{what} took longer than {seconds} s")]
    TooLong {
        /// What was asked for.
        what: &'static str,
        /// The limit.
        seconds: u64,
    },
    /// Anything else.
    #[error("{what}: {why}")]
    Failed {
        /// What was asked for.
        what: &'static str,
        /// What the system says.
        why: String,
    },
}

impl RadioTrouble {
    /// Does only a new session with the service help?
    pub fn is_of_session(&self) -> bool {
        matches!(
            self,
            Self::NoService { .. }
                | Self::Denied
                | Self::NoAdapter
                // Another adapter may be on.
                | Self::Off
                | Self::TooLong { .. }
        )
    }
}

/// A session with the machine's Bluetooth service.
pub trait Radio: Send + Sized + 'static {
    /// A board that is connected.
    type Peer: Peer;

    /// Begins a session.
    fn begin() -> impl Future<Output = Result<Self, RadioTrouble>> + Send;

    /// Is there an adapter, and is it on?
    fn ready(&mut self) -> impl Future<Output = Result<(), RadioTrouble>> + Send;

    /// Begins or ends looking for boards.
    fn look(&mut self, on: bool) -> impl Future<Output = Result<(), RadioTrouble>> + Send;

    /// The boards that are seen now.
    fn seen(&mut self) -> impl Future<Output = Result<Vec<Seen>, RadioTrouble>> + Send;

    /// Connects to a board and finds out what it offers. After `limit` the call
    /// is taken back, so that the adapter is free for others.
    fn connect(
        &mut self,
        address: [u8; 6],
        limit: Duration,
    ) -> impl Future<Output = Result<Self::Peer, RadioTrouble>> + Send;
}

/// A connected board. Dropping it does not disconnect it.
pub trait Peer: Send + 'static {
    /// What it offers.
    fn offered(&self) -> Vec<Offered>;

    /// What it says of itself. What it does not say is left out.
    fn about(&mut self) -> impl Future<Output = About> + Send;

    /// Has it notify by a characteristic, and by its battery's where it has one.
    fn subscribe(
        &mut self,
        to: &Offered,
    ) -> impl Future<Output = Result<Events, RadioTrouble>> + Send;

    /// Lets it go.
    fn disconnect(&mut self) -> impl Future<Output = ()> + Send;
}

/// What a board does while it is connected. The real stream never ends by itself.
pub type Events = Pin<Box<dyn Stream<Item = PeerEvent> + Send>>;

/// What a board does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PeerEvent {
    /// A notification.
    Value(Vec<u8>),
    /// Charge of its battery, percent.
    Battery(u8),
    /// Strength of its signal, dBm.
    Signal(i16),
    /// It is gone.
    Gone,
}
