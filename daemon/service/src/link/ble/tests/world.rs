//! A Bluetooth service, its adapter and some boards, made of memory. It belongs
//! to the thread of its test.

use std::cell::RefCell;
use std::rc::Rc;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use futures_util::{StreamExt as _, stream};
use hubplumb_protocol::{Reading, WireFormat};
use tokio::sync::mpsc::{UnboundedSender, unbounded_channel};
use tokio::time::sleep;
use tokio_util::sync::CancellationToken;
use uuid::Uuid;

use super::super::{
    BleTransport, Coordinator, Events, Offered, Peer, PeerEvent, Radio, RadioTrouble, Seen,
};
use crate::link::{About, LinkSettings, LinkState, LinkStatus, Observer, run};

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Outage {
    /// The link to a board drops, and it is not seen for a moment.
    Dropped(usize),
    /// A board goes away.
    OutOfReach(usize),
    AdapterOff,
    ServiceGone,
    /// The bus is lost: sessions of before hang for ever.
    BusLost,
    /// A board stays connected and says nothing more.
    Frozen(usize),
    ConnectsFail,
}

#[derive(Debug)]
struct Board {
    name: String,
    in_reach: bool,
    frozen: bool,
    offered: Vec<Offered>,
    /// How often it was called.
    calls: usize,
    connected: Option<UnboundedSender<PeerEvent>>,
}

#[derive(Debug, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each outage comes and goes by itself, also in company"
)]
struct Inside {
    boards: Vec<Board>,
    adapter_off: bool,
    service_gone: bool,
    bus_lost: bool,
    connects_fail: bool,
    /// Rises with every loss of the bus: older sessions are dead.
    bus: u64,
    connecting: usize,
    most_at_once: usize,
}

thread_local! {
    static WORLD: RefCell<Option<Arc<Mutex<Inside>>>> = const { RefCell::new(None) };
}

fn inside() -> Arc<Mutex<Inside>> {
    WORLD.with(|world| world.borrow().clone().expect("a world was made"))
}

pub(super) struct World {
    inside: Arc<Mutex<Inside>>,
    shared: Coordinator<Fake>,
    _of_this_thread: Rc<()>,
}

const NUS: u128 = 0x6e40_0001_b5a3_f393_e0a9_e50e_24dc_ca9e;

fn address(number: usize) -> [u8; 6] {
    [0xc0, 0xff, 0xee, 0, 0, u8::try_from(number).unwrap()]
}

impl World {
    pub(super) fn with(names: &[&str]) -> Self {
        let offered = |number: u128, notifies| Offered {
            service: Uuid::from_u128(NUS),
            characteristic: Uuid::from_u128(NUS + (number << 96)),
            notifies,
            reads: false,
        };
        let boards = names
            .iter()
            .map(|name| Board {
                name: (*name).to_owned(),
                in_reach: true,
                frozen: false,
                offered: vec![offered(1, false), offered(2, true)],
                calls: 0,
                connected: None,
            })
            .collect();
        let inside = Arc::new(Mutex::new(Inside {
            boards,
            ..Inside::default()
        }));
        WORLD.with(|world| *world.borrow_mut() = Some(inside.clone()));
        tokio::spawn(speak(inside.clone()));
        Self {
            inside,
            shared: Coordinator::default(),
            _of_this_thread: Rc::new(()),
        }
    }

    /// Runs a link to a board.
    pub(super) fn play(&self, board: &str) -> Played {
        let played = Played {
            log: Arc::default(),
            stop: CancellationToken::new(),
        };
        let settings = LinkSettings {
            format: Some(WireFormat::from_name("json-lines", None).unwrap()),
            ..LinkSettings::default()
        };
        let transport = BleTransport::new(board.parse().unwrap(), self.shared.clone());
        let log = Log(played.log.clone());
        tokio::spawn(run(transport, settings, log, played.stop.clone()));
        played
    }

    pub(super) fn begin(&self, outage: Outage) {
        self.set(outage, true);
    }

    pub(super) fn end(&self, outage: Outage) {
        self.set(outage, false);
    }

    fn set(&self, outage: Outage, on: bool) {
        let mut inside = self.inside.lock().unwrap();
        match outage {
            Outage::Dropped(board) | Outage::OutOfReach(board) => {
                inside.boards[board].in_reach = !on;
                if on {
                    drop_link(&mut inside.boards[board]);
                }
            }
            Outage::AdapterOff => {
                inside.adapter_off = on;
                if on {
                    inside.boards.iter_mut().for_each(drop_link);
                }
            }
            Outage::ServiceGone => {
                inside.service_gone = on;
                if on {
                    inside.boards.iter_mut().for_each(drop_link);
                }
            }
            Outage::BusLost => {
                inside.bus_lost = on;
                if on {
                    inside.bus += 1;
                    // The streams never end: nobody is told.
                    inside
                        .boards
                        .iter_mut()
                        .for_each(|board| std::mem::forget(board.connected.take()));
                }
            }
            Outage::Frozen(board) => inside.boards[board].frozen = on,
            Outage::ConnectsFail => inside.connects_fail = on,
        }
    }

    pub(super) fn offer_two_of_its_own(&self, board: usize) {
        let own = |number: u128| Offered {
            service: Uuid::from_u128(1),
            characteristic: Uuid::from_u128(number),
            notifies: true,
            reads: false,
        };
        self.inside.lock().unwrap().boards[board].offered = vec![own(2), own(3)];
    }

    pub(super) fn calls(&self, board: usize) -> usize {
        self.inside.lock().unwrap().boards[board].calls
    }

    pub(super) fn most_at_once(&self) -> usize {
        self.inside.lock().unwrap().most_at_once
    }

    pub(super) fn connected(&self) -> usize {
        let inside = self.inside.lock().unwrap();
        let connected = inside
            .boards
            .iter()
            .filter(|board| board.connected.is_some());
        connected.count()
    }
}

fn drop_link(board: &mut Board) {
    if let Some(connected) = board.connected.take() {
        let _nobody_listens = connected.send(PeerEvent::Gone);
    }
}

/// Connected boards say something ten times a second.
async fn speak(inside: Arc<Mutex<Inside>>) {
    const LINE: &[u8] = b"{\"ax\":0.0,\"ay\":0.0,\"az\":1.0}\n";
    loop {
        sleep(Duration::from_millis(100)).await;
        for board in &inside.lock().unwrap().boards {
            if let (Some(connected), false) = (&board.connected, board.frozen) {
                // In notifications of twenty bytes.
                for piece in LINE.chunks(20) {
                    let _nobody_listens = connected.send(PeerEvent::Value(piece.to_vec()));
                }
            }
        }
    }
}

pub(super) struct Fake {
    bus: u64,
}

impl Fake {
    /// Hangs for ever on a bus that is gone.
    async fn bus(&self) -> Result<(), RadioTrouble> {
        let (is_dead, is_gone) = {
            let inside = inside();
            let inside = inside.lock().unwrap();
            (inside.bus != self.bus, inside.service_gone)
        };
        if is_dead {
            std::future::pending::<()>().await;
        }
        if is_gone {
            return Err(gone());
        }
        Ok(())
    }
}

fn gone() -> RadioTrouble {
    RadioTrouble::NoService {
        why: "no such name".to_owned(),
    }
}

impl Radio for Fake {
    type Peer = FakePeer;

    async fn begin() -> Result<Self, RadioTrouble> {
        let (bus, is_lost) = {
            let inside = inside();
            let inside = inside.lock().unwrap();
            (inside.bus, inside.bus_lost)
        };
        if is_lost {
            return Err(gone());
        }
        let radio = Self { bus };
        radio.bus().await?;
        Ok(radio)
    }

    async fn ready(&mut self) -> Result<(), RadioTrouble> {
        self.bus().await?;
        if inside().lock().unwrap().adapter_off {
            return Err(RadioTrouble::Off);
        }
        Ok(())
    }

    async fn look(&mut self, _: bool) -> Result<(), RadioTrouble> {
        self.bus().await
    }

    async fn seen(&mut self) -> Result<Vec<Seen>, RadioTrouble> {
        self.bus().await?;
        let inside = inside();
        let inside = inside.lock().unwrap();
        let boards = inside.boards.iter().enumerate();
        Ok(boards
            .map(|(number, board)| Seen {
                address: address(number),
                name: Some(board.name.clone()),
                // As the real service, it remembers boards that it does not see.
                signal_dbm: board.in_reach.then_some(-61),
                services: Vec::new(),
                connected: board.connected.is_some(),
            })
            .collect())
    }

    async fn connect(
        &mut self,
        wanted: [u8; 6],
        limit: Duration,
    ) -> Result<FakePeer, RadioTrouble> {
        self.bus().await?;
        let number = usize::from(wanted[5]);
        let takes = {
            let inside = inside();
            let mut inside = inside.lock().unwrap();
            inside.connecting += 1;
            inside.most_at_once = inside.most_at_once.max(inside.connecting);
            inside.boards[number].calls += 1;
            if inside.boards[number].in_reach {
                Duration::from_millis(700)
            } else {
                // Nobody answers, and the adapter tries on.
                limit
            }
        };
        sleep(takes).await;
        let inside = inside();
        let mut inside = inside.lock().unwrap();
        inside.connecting -= 1;
        if inside.connects_fail || inside.adapter_off || !inside.boards[number].in_reach {
            return Err(RadioTrouble::Failed {
                what: "connecting",
                why: "le-connection-abort-by-local".to_owned(),
            });
        }
        Ok(FakePeer {
            number,
            bus: self.bus,
            offered: inside.boards[number].offered.clone(),
        })
    }
}

pub(super) struct FakePeer {
    number: usize,
    bus: u64,
    offered: Vec<Offered>,
}

impl Peer for FakePeer {
    fn offered(&self) -> Vec<Offered> {
        self.offered.clone()
    }

    async fn about(&mut self) -> About {
        About {
            battery_percent: Some(64),
            model: Some("hub board".to_owned()),
            ..About::default()
        }
    }

    async fn subscribe(&mut self, _: &Offered) -> Result<Events, RadioTrouble> {
        Fake { bus: self.bus }.bus().await?;
        let (sender, mut events) = unbounded_channel();
        inside().lock().unwrap().boards[self.number].connected = Some(sender);
        // As the real one, it never ends.
        let stream = stream::poll_fn(move |cx| events.poll_recv(cx)).chain(stream::pending());
        Ok(Box::pin(stream))
    }

    async fn disconnect(&mut self) {
        if (Fake { bus: self.bus }).bus().await.is_ok() {
            inside().lock().unwrap().boards[self.number].connected = None;
        }
    }
}

#[derive(Debug, Default)]
pub(super) struct Told {
    status: Option<LinkStatus>,
    states: Vec<LinkState>,
}

struct Log(Arc<Mutex<Told>>);

impl Observer for Log {
    fn arrived(&mut self, _: &[u8], _: &[Reading], _: u64) {}

    fn status(&mut self, status: &LinkStatus) {
        let mut told = self.0.lock().unwrap();
        if told.states.last() != Some(&status.state) {
            told.states.push(status.state.clone());
        }
        told.status = Some(status.clone());
    }
}

pub(super) struct Played {
    log: Arc<Mutex<Told>>,
    stop: CancellationToken,
}

impl Played {
    pub(super) fn status(&self) -> LinkStatus {
        let told = self.log.lock().unwrap();
        told.status.clone().expect("something was told")
    }

    pub(super) fn state(&self) -> LinkState {
        self.status().state
    }

    pub(super) fn states(&self) -> Vec<LinkState> {
        self.log.lock().unwrap().states.clone()
    }

    pub(super) fn forget_states(&self) {
        self.log.lock().unwrap().states.clear();
    }

    pub(super) fn stop(&self) {
        self.stop.cancel();
    }
}
