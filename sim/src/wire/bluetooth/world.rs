//! What is so at the moment: the adapter, the boards in reach, and their queues.

use std::collections::VecDeque;
use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha12Rng;
use zbus::Connection;

use super::peripheral::{Peripheral, Radio};
use crate::board::Gatt;

/// A way in which connecting fails.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConnectFault {
    /// `org.bluez.Error.InProgress`: BlueZ is at it already, or thinks so.
    InProgress,
    /// `org.bluez.Error.Failed` with the text `le-connection-abort-by-local`: no answer
    /// came, or the adapter was busy.
    AbortByLocal,
}

/// How often what was asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Calls of `Connect`.
    pub connects: u64,
    /// Those that came while another one was under way.
    pub overlapping: u64,
    /// Notifications that went out.
    pub notified: u64,
    /// Notifications that the board dropped, because it was told to lose some or
    /// because its queue was full.
    pub dropped: u64,
    /// Bytes written to the board.
    pub written: u64,
}

/// Notifications wait in the board's memory; small chips have room for few.
const QUEUE: usize = 256;

#[derive(Debug)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a property of its own on the bus"
)]
pub(super) struct Board {
    pub(super) spec: Peripheral,
    /// Has it power?
    pub(super) is_on: bool,
    /// Has BlueZ seen it?
    pub(super) is_known: bool,
    /// Does BlueZ know its services?
    pub(super) is_explored: bool,
    pub(super) is_connected: bool,
    pub(super) is_resolved: bool,
    pub(super) notifies_readings: bool,
    pub(super) notifies_battery: bool,
    pub(super) rssi_dbm: i16,
    pub(super) battery_percent: u8,
    pub(super) value: Vec<u8>,
    /// What the host has written to it.
    pub(super) written: Vec<u8>,
    pub(super) faults: VecDeque<ConnectFault>,
    pub(super) queue: VecDeque<Vec<u8>>,
    /// Somebody has asked for notifications since this was last looked at.
    pub(super) was_opened: bool,
    pub(super) tally: Tally,
    rng: ChaCha12Rng,
}

impl Board {
    pub(super) fn new(spec: Peripheral) -> Self {
        Self {
            rng: ChaCha12Rng::seed_from_u64(spec.seed),
            spec,
            is_on: true,
            is_known: false,
            is_explored: false,
            is_connected: false,
            is_resolved: false,
            notifies_readings: false,
            notifies_battery: false,
            rssi_dbm: -58,
            battery_percent: 87,
            value: Vec::new(),
            written: Vec::new(),
            faults: VecDeque::new(),
            queue: VecDeque::new(),
            was_opened: false,
            tally: Tally::default(),
        }
    }

    /// Is somebody notified of the readings?
    pub(super) fn is_heard(&self) -> bool {
        self.is_connected && self.notifies_readings
    }

    /// Cuts what was said into notifications and queues them; gives the bytes that
    /// never arrive.
    pub(super) fn say(&mut self, said: &[Vec<u8>]) -> usize {
        let Radio {
            payload_bytes,
            merges,
            loss_percent,
            ..
        } = self.spec.radio;
        let merged = [said.concat()];
        let pieces = if merges { &merged[..] } else { said };
        let mut lost = 0;
        for payload in pieces.iter().flat_map(|piece| piece.chunks(payload_bytes)) {
            // Drawn always, so that each seed loses the same ones whatever the percentage.
            let draw: f64 = self.rng.random();
            if draw * 100.0 < loss_percent || self.queue.len() >= QUEUE {
                self.tally.dropped += 1;
                lost += payload.len();
            } else {
                self.queue.push_back(payload.to_vec());
            }
        }
        lost
    }

    /// The link is gone, and with it what was to go over it.
    pub(super) fn drop_link(&mut self) {
        self.is_connected = false;
        self.is_resolved = false;
        self.notifies_readings = false;
        self.notifies_battery = false;
        self.queue.clear();
        self.written.clear();
    }

    /// BlueZ has ended: it knows nothing of a board that was never paired.
    pub(super) fn forget(&mut self) {
        self.drop_link();
        self.is_known = false;
        self.is_explored = false;
    }

    pub(super) fn gatt(&self) -> Gatt {
        self.spec.gatt
    }
}

#[expect(
    clippy::struct_excessive_bools,
    reason = "each is a property of its own on the bus"
)]
pub(super) struct World {
    /// The connection to the bus while BlueZ runs.
    pub(super) bluez: Option<Connection>,
    pub(super) is_powered: bool,
    /// Switched off by the machine's owner: nobody can switch it on over the bus.
    pub(super) is_blocked: bool,
    pub(super) is_discovering: bool,
    pub(super) is_connecting: bool,
    pub(super) boards: Vec<Board>,
}

impl fmt::Debug for World {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("World")
            .field("is_powered", &self.is_powered)
            .field("boards", &self.boards)
            .finish_non_exhaustive()
    }
}

/// The world, held by the interfaces and the boards.
#[derive(Debug, Clone)]
pub(super) struct Shared(Arc<Mutex<World>>);

impl Shared {
    pub(super) fn new() -> Self {
        Self(Arc::new(Mutex::new(World {
            bluez: None,
            is_powered: true,
            is_blocked: false,
            is_discovering: false,
            is_connecting: false,
            boards: Vec::new(),
        })))
    }

    /// Every change is whole before the lock is given back, so a panic leaves no half of one.
    pub(super) fn lock(&self) -> MutexGuard<'_, World> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Does something with one board. A board is never taken away, so its number stays right.
    pub(super) fn board<T>(&self, at: usize, act: impl FnOnce(&mut Board) -> T) -> T {
        act(&mut self.lock().boards[at])
    }

    pub(super) fn bluez(&self) -> Option<Connection> {
        self.lock().bluez.clone()
    }
}
