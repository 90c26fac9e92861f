//! A Bluetooth board as a transport.

use std::collections::BTreeMap;
use std::fmt;
use std::future::Future;
use std::io;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;

use futures_util::StreamExt as _;
use hubplumb_protocol::Packing;
use tokio::io::{AsyncRead, ReadBuf};
use tokio::task::JoinHandle;
use tokio::time::timeout;
use tokio_util::sync::{CancellationToken, DropGuard};
use tokio_util::task::TaskTracker;

use super::address::{BleAddress, written};
use super::choose::{Choice, Offered, choose};
use super::find::find;
use super::inbox::Inbox;
use super::radio::{Events, Peer, PeerEvent, Radio, RadioTrouble};
use super::refusal::BleRefusal;
use super::within::{CALL, within};
use crate::link::{About, Line, OpenError, Transport};

/// Limit of connecting to a board that was just seen, and finding out what it
/// offers. A call takes the adapter up to 20 s before it gives up by itself
/// (kernel's default for LE; from memory).
const CONNECT: Duration = Duration::from_secs(30);
/// The same for a board that was connected before and may be out of reach now:
/// others wait meanwhile, and a board that is there answers in two or three seconds.
const CONNECT_AGAIN: Duration = Duration::from_secs(12);

/// Sees to it that the radio does one thing at a time, and keeps the session.
pub struct Coordinator<R>(Arc<tokio::sync::Mutex<Option<R>>>);

impl<R> Clone for Coordinator<R> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<R> Default for Coordinator<R> {
    fn default() -> Self {
        Self(Arc::default())
    }
}

impl<R> fmt::Debug for Coordinator<R> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Coordinator")
    }
}

/// A board on Bluetooth.
#[derive(Debug)]
pub struct BleTransport<R> {
    address: BleAddress,
    shared: Coordinator<R>,
    about: Arc<Mutex<About>>,
    /// Where it was seen, so that a name need not be looked for again.
    known: Option<[u8; 6]>,
    pump: Option<JoinHandle<()>>,
    pumps: TaskTracker,
}

impl<R: Radio> BleTransport<R> {
    /// A board that is looked for with the radio of `shared`; nothing is done yet.
    pub fn new(address: BleAddress, shared: Coordinator<R>) -> Self {
        Self {
            address,
            shared,
            about: Arc::default(),
            known: None,
            pump: None,
            pumps: TaskTracker::new(),
        }
    }

    /// Waits, once the transport and its line were dropped, until the board was let
    /// go. A board that stays connected is seen by nobody else.
    pub fn released(&self) -> impl Future<Output = ()> + Send + use<R> {
        let pumps = self.pumps.clone();
        async move {
            pumps.close();
            if timeout(2 * CALL, pumps.wait()).await.is_err() {
                tracing::debug!("a Bluetooth board was not let go in time");
            }
        }
    }

    async fn connect(&mut self, session: &mut Option<R>) -> Result<BleLine, BleRefusal> {
        if session.is_none() {
            *session = Some(within("reaching the Bluetooth service", CALL, R::begin()).await?);
        }
        let Some(radio) = session else {
            // Just put there.
            return Err(RadioTrouble::NoAdapter.into());
        };
        within("asking the adapter", CALL, radio.ready()).await?;
        let (address, limit) = if let Some(address) = self.known {
            (address, CONNECT_AGAIN)
        } else {
            let seen = find(radio, &self.address).await?;
            self.keep(|about| about.signal_dbm = seen.signal_dbm);
            (seen.address, CONNECT)
        };
        // The radio keeps to the limit; if it does not even do that, the bus is lost.
        let call = within(
            "connecting",
            limit + 2 * CALL,
            radio.connect(address, limit),
        );
        // Where it was known it may have got another address since, or moved out of reach.
        let mut peer = call.await.inspect_err(|_| self.known = None)?;
        let line = self.listen(&mut peer).await;
        match line {
            Ok((events, chosen)) => {
                self.known = Some(address);
                Ok(self.line(peer, events, chosen))
            }
            Err(error) => {
                let _late = timeout(CALL, peer.disconnect()).await;
                Err(error)
            }
        }
    }

    async fn listen(&self, peer: &mut R::Peer) -> Result<(Events, Offered), BleRefusal> {
        let offered = peer.offered();
        let Some((chosen, why)) = choose(&offered, self.address.characteristic) else {
            return Err(BleRefusal::NoCharacteristic {
                board: self.address.board.to_string(),
                told: self.address.characteristic,
                notifying: offered
                    .iter()
                    .filter(|offered| offered.notifies)
                    .map(|offered| offered.characteristic)
                    .collect(),
            });
        };
        if why != Choice::Told {
            tracing::info!(board = %self.address, characteristic = %chosen.characteristic, ?why, "chosen by itself");
        }
        match timeout(CALL, peer.about()).await {
            Ok(told) => self.keep(|about| {
                let signal_dbm = told.signal_dbm.or(about.signal_dbm);
                *about = About { signal_dbm, ..told };
            }),
            Err(_elapsed) => tracing::debug!(board = %self.address, "it does not say what it is"),
        }
        let events = within("subscribing", CALL, peer.subscribe(&chosen)).await?;
        Ok((events, chosen))
    }

    fn line(&mut self, mut peer: R::Peer, mut events: Events, chosen: Offered) -> BleLine {
        let inbox = Arc::new(Inbox::default());
        let stop = CancellationToken::new();
        let line = BleLine {
            inbox: inbox.clone(),
            _stop: stop.clone().drop_guard(),
        };
        let about = self.about.clone();
        let board = self.address.to_string();
        self.pump = Some(self.pumps.spawn(async move {
            tracing::debug!(board, characteristic = %chosen.characteristic, "subscribed");
            let gone = loop {
                tokio::select! {
                    () = stop.cancelled() => break false,
                    event = events.next() => match event {
                        Some(PeerEvent::Value(value)) => inbox.put(value),
                        Some(PeerEvent::Battery(percent)) => {
                            keep(&about, |about| about.battery_percent = Some(percent));
                        }
                        Some(PeerEvent::Signal(dbm)) => {
                            keep(&about, |about| about.signal_dbm = Some(dbm));
                        }
                        Some(PeerEvent::Gone) | None => break true,
                    },
                }
            };
            inbox.end();
            // What it is stays true; how it is would look as if it were of now.
            keep(&about, |about| {
                about.signal_dbm = None;
                about.battery_percent = None;
            });
            if !gone && timeout(CALL, peer.disconnect()).await.is_err() {
                tracing::debug!(board, "it was not let go in time");
            }
        }));
        line
    }

    fn keep(&self, change: impl FnOnce(&mut About)) {
        keep(&self.about, change);
    }
}

fn keep(about: &Mutex<About>, change: impl FnOnce(&mut About)) {
    // What a panicking holder left behind is a few facts; the next ones put it right.
    change(&mut about.lock().unwrap_or_else(PoisonError::into_inner));
}

impl<R: Radio> Transport for BleTransport<R> {
    type Line = BleLine;

    async fn open(&mut self, _: u32) -> Result<BleLine, OpenError> {
        if let Some(mut pump) = self.pump.take() {
            // The line before was dropped, and its board is being let go.
            if timeout(2 * CALL, &mut pump).await.is_err() {
                pump.abort();
            }
        }
        let shared = self.shared.clone();
        // Held from the look to the subscription: one board at a time.
        let mut session = shared.0.lock().await;
        let opened = self.connect(&mut session).await;
        if let Err(BleRefusal::Radio(trouble)) = &opened
            && trouble.is_of_session()
        {
            // A session over a bus that went away stays dead; the next one may live.
            *session = None;
        }
        opened.map_err(OpenError::Ble)
    }

    fn port(&self) -> String {
        format!("ble:{}", self.address)
    }

    fn has_speed(&self) -> bool {
        false
    }

    fn ended(&self) -> OpenError {
        OpenError::Ble(BleRefusal::Ended {
            board: self.address.to_string(),
        })
    }

    fn about(&self) -> About {
        self.about
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clone()
    }
}

/// Notifications of a connected board. Dropping it lets the board go.
#[derive(Debug)]
pub struct BleLine {
    inbox: Arc<Inbox>,
    _stop: DropGuard,
}

impl AsyncRead for BleLine {
    fn poll_read(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        self.inbox.poll_read(cx, buf)
    }
}

impl Line for BleLine {
    fn packing(&self) -> Packing {
        Packing::Pieces
    }

    /// The stream of notifications never ends by itself: not when the link drops
    /// unnoticed, nor when the Bluetooth service or its bus goes away.
    fn silence_is_the_end(&self) -> bool {
        true
    }

    fn left_out(&mut self) -> BTreeMap<&'static str, u64> {
        match self.inbox.overrun() {
            0 => BTreeMap::new(),
            count => BTreeMap::from([("overrun", count)]),
        }
    }
}

/// An address for a list.
pub fn address_words(address: [u8; 6]) -> String {
    written(address)
}
