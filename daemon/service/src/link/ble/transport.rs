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
use thiserror::Error;
use tokio::io::{AsyncRead, ReadBuf};
use tokio::task::JoinHandle;
use tokio::time::{Instant, sleep, timeout};
use tokio_util::sync::{CancellationToken, DropGuard};
use uuid::Uuid;

use super::address::{BleAddress, written};
use super::choose::{Choice, Offered, choose};
use super::inbox::Inbox;
use super::radio::{Events, Peer, PeerEvent, Radio, RadioTrouble};
use crate::link::{About, Line, OpenError, Transport};

/// How long a board is looked for before others get their turn: boards that
/// sleep say that they are there every second or two (common practice, no source).
const LOOK: Duration = Duration::from_secs(6);
/// How often it is asked whether the board was seen.
const LOOK_EVERY: Duration = Duration::from_millis(300);
/// Limit of a call that takes no radio time.
const CALL: Duration = Duration::from_secs(5);
/// Limit of connecting and finding out what is offered; the library's own is 30 s.
const CONNECT: Duration = Duration::from_secs(35);

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

/// Why a Bluetooth board is not there.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BleRefusal {
    /// The radio does not do what it is asked.
    #[error(transparent)]
    Radio(#[from] RadioTrouble),
    /// The board was not seen.
    #[error("{wanted} is not seen")]
    NotSeen {
        /// Which board.
        wanted: String,
    },
    /// None of what it offers can be taken for its readings, or more than one thing can.
    #[error("nothing tells which characteristic of {board} its readings come by")]
    NoCharacteristic {
        /// Which board.
        board: String,
        /// The characteristics that notify.
        notifying: Vec<Uuid>,
    },
    /// The connection ended.
    #[error("the connection to {board} ended")]
    Ended {
        /// Which board.
        board: String,
    },
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
        let address = match self.known {
            Some(address) => address,
            None => self.find(radio).await?,
        };
        // Where it was known it may have got another address since, or moved out of reach.
        let peer = within("connecting", CONNECT, radio.connect(address)).await;
        let mut peer = peer.inspect_err(|_| self.known = None)?;
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

    async fn find(&self, radio: &mut R) -> Result<[u8; 6], BleRefusal> {
        let wanted = |seen: &super::Seen| self.address.is(seen.address, seen.name.as_deref());
        let see = |seen: Vec<super::Seen>| seen.into_iter().find(wanted);
        let at_once = within("asking who is there", CALL, radio.seen()).await?;
        if let Some(seen) = see(at_once) {
            self.keep(|about| about.signal_dbm = seen.signal_dbm);
            return Ok(seen.address);
        }
        within("looking for boards", CALL, radio.look(true)).await?;
        let until = Instant::now() + LOOK;
        let found = loop {
            sleep(LOOK_EVERY).await;
            match within("asking who is there", CALL, radio.seen()).await {
                Ok(seen) => {
                    if let Some(seen) = see(seen) {
                        break Ok(seen);
                    }
                }
                Err(error) => break Err(error.into()),
            }
            if Instant::now() >= until {
                break Err(BleRefusal::NotSeen {
                    wanted: self.address.to_string(),
                });
            }
        };
        // Looking on takes air time from boards that are connected.
        let ended = within("ending the look for boards", CALL, radio.look(false)).await;
        if let Err(error) = ended {
            tracing::debug!(%error, "the adapter looks on");
        }
        let seen = found?;
        self.keep(|about| about.signal_dbm = seen.signal_dbm);
        Ok(seen.address)
    }

    async fn listen(&self, peer: &mut R::Peer) -> Result<(Events, Offered), BleRefusal> {
        let offered = peer.offered();
        let Some((chosen, why)) = choose(&offered, self.address.characteristic) else {
            return Err(BleRefusal::NoCharacteristic {
                board: self.address.to_string(),
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
        self.pump = Some(tokio::spawn(async move {
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
            keep(&about, |about| about.signal_dbm = None);
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

async fn within<T>(
    what: &'static str,
    limit: Duration,
    call: impl Future<Output = Result<T, RadioTrouble>>,
) -> Result<T, RadioTrouble> {
    match timeout(limit, call).await {
        Ok(done) => done,
        Err(_elapsed) => Err(RadioTrouble::TooLong {
            what,
            seconds: limit.as_secs(),
        }),
    }
}

impl<R: Radio> Transport for BleTransport<R> {
    type Line = BleLine;

    async fn open(&mut self, _: u32) -> Result<BleLine, OpenError> {
        let shared = self.shared.clone();
        // Held from the look to the subscription: one board at a time.
        let mut session = shared.0.lock().await;
        if let Some(mut pump) = self.pump.take() {
            // The line before was dropped, and its board is being let go.
            if timeout(2 * CALL, &mut pump).await.is_err() {
                pump.abort();
            }
        }
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
