//! Boards over Bluetooth, without any radio: a stand-in for BlueZ, the Bluetooth service
//! of Linux, on a message bus of its own.
//!
//! A program that is to use it is started with `DBUS_SYSTEM_BUS_ADDRESS` set to
//! [`Bluetooth::bus_address`]; for everything above the bus it is then as with a real
//! adapter. What goes wrong in the air can be told to go wrong.

mod bus;
mod life;
mod objects;
mod outlet;
mod peripheral;
#[cfg(test)]
mod tests;
mod world;

use std::io;
use std::sync::{Arc, Mutex, PoisonError};

use tempfile::TempDir;
use thiserror::Error;
use tokio::runtime::{Builder, Runtime};
use tokio::task::JoinHandle;

pub use crate::board::Gatt;
use bus::Bus;
pub(super) use outlet::OnAir;
use peripheral::Gives;
pub use peripheral::{MAKER, MODEL, Peripheral, Radio};
use world::{Board, Shared};
pub use world::{ConnectFault, Tally};

/// What hinders the stand-in.
#[derive(Debug, Error)]
pub enum BluetoothError {
    /// No message bus.
    #[error("the message bus: {what}: {source}")]
    Bus {
        /// What does not work.
        what: String,
        /// What the system says.
        source: io::Error,
    },
    /// The bus does not do as it is asked.
    #[error("on the message bus: {0}")]
    Said(#[from] zbus::Error),
    /// No board has this name.
    #[error("no board is called `{name}`")]
    NoBoard {
        /// The name.
        name: String,
    },
}

/// An adapter, its BlueZ and the bus, and the boards in reach.
#[derive(Debug)]
pub struct Bluetooth {
    world: Shared,
    bus: Mutex<Option<Bus>>,
    senders: Mutex<Vec<JoinHandle<()>>>,
    folder: TempDir,
    runtime: Option<Runtime>,
}

impl Bluetooth {
    /// Starts a bus and BlueZ on it. Must not be called from within an asynchronous runtime.
    pub fn start() -> Result<Self, BluetoothError> {
        let system = |source| BluetoothError::Bus {
            what: "no folder or thread for it".to_owned(),
            source,
        };
        let folder = tempfile::Builder::new()
            .prefix("bluetooth-")
            .tempdir()
            .map_err(system)?;
        let runtime = Builder::new_multi_thread()
            .worker_threads(1)
            .thread_name("bluetooth")
            .enable_all()
            .build()
            .map_err(system)?;
        let bus = Bus::start(folder.path())?;
        let world = Shared::new();
        runtime.block_on(life::start(&world, &bus::address(folder.path())))?;
        Ok(Self {
            world,
            bus: Mutex::new(Some(bus)),
            senders: Mutex::new(Vec::new()),
            folder,
            runtime: Some(runtime),
        })
    }

    /// Where the bus is, for `DBUS_SYSTEM_BUS_ADDRESS`. It stays the same.
    pub fn bus_address(&self) -> String {
        bus::address(self.folder.path())
    }

    /// Brings a board into reach.
    pub fn add(&self, peripheral: Peripheral) -> Result<(), BluetoothError> {
        let interval = peripheral.radio.interval;
        let at = {
            let mut world = self.world.lock();
            world.boards.push(Board::new(peripheral));
            world.boards.len() - 1
        };
        let world = self.world.clone();
        self.block_on(async {
            let sender = tokio::spawn(outlet::events(world.clone(), at, interval));
            self.senders
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .push(sender);
            life::see(&world, at).await
        })
    }

    /// A board says something; without anybody who is notified it is gone.
    pub fn say(&self, name: &str, said: &[Vec<u8>]) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.world.board(at, |board| {
            if board.is_heard() {
                board.say(said);
            }
        });
        Ok(())
    }

    /// The link to a board goes down, as when it goes out of reach for a moment.
    pub fn drop_link(&self, name: &str) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.block_on(life::drop_link(&self.world, at))
    }

    /// A board is switched off or on again.
    pub fn switch(&self, name: &str, on: bool) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.world.board(at, |board| board.is_on = on);
        self.block_on(async {
            if on {
                life::see(&self.world, at).await
            } else {
                life::drop_link(&self.world, at).await
            }
        })
    }

    /// The adapter is switched off by the machine's owner, so that no program can switch
    /// it on, or given free and switched on again.
    pub fn switch_adapter(&self, on: bool) -> Result<(), BluetoothError> {
        self.world.lock().is_blocked = !on;
        self.block_on(life::power(&self.world, on))
    }

    /// BlueZ ends; the bus stays.
    pub fn stop_bluez(&self) -> Result<(), BluetoothError> {
        self.block_on(async {
            life::stop(&self.world).await;
            Ok(())
        })
    }

    /// BlueZ runs again, and has seen no board yet.
    pub fn start_bluez(&self) -> Result<(), BluetoothError> {
        self.block_on(life::start(&self.world, &self.bus_address()))
    }

    /// The bus is killed, and BlueZ ends with it.
    pub fn kill_bus(&self) -> Result<(), BluetoothError> {
        drop(self.lock_bus().take());
        self.stop_bluez()
    }

    /// A new bus and a new BlueZ at the address of the killed ones.
    pub fn restart_bus(&self) -> Result<(), BluetoothError> {
        *self.lock_bus() = Some(Bus::start(self.folder.path())?);
        self.start_bluez()
    }

    /// The next attempts to connect a board fail in these ways.
    pub fn fail_connects(&self, name: &str, ways: &[ConnectFault]) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.world
            .board(at, |board| board.faults.extend(ways.iter().copied()));
        Ok(())
    }

    /// Part of the notifications that a board drops from now on, percent.
    pub fn lose(&self, name: &str, percent: f64) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.world
            .board(at, |board| board.spec.radio.loss_percent = percent);
        Ok(())
    }

    /// Signal strength, dBm. As with real ones it is told by advertisements, so not while
    /// the board is connected.
    pub fn set_rssi(&self, name: &str, dbm: i16) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        self.world.board(at, |board| board.rssi_dbm = dbm);
        self.block_on(life::see(&self.world, at))
    }

    /// Charge of a board's battery; who is notified of it hears it now.
    pub fn set_battery(&self, name: &str, percent: u8) -> Result<(), BluetoothError> {
        let at = self.find(name)?;
        let is_told = self.world.board(at, |board| {
            board.battery_percent = percent;
            board.is_connected && board.notifies_battery
        });
        self.block_on(async {
            if is_told {
                life::send_value(&self.world, at, Gives::Battery).await?;
            }
            Ok(())
        })
    }

    /// Is a link up?
    pub fn is_connected(&self, name: &str) -> Result<bool, BluetoothError> {
        let at = self.find(name)?;
        Ok(self.world.board(at, |board| board.is_connected))
    }

    /// What was counted about a board.
    pub fn tally(&self, name: &str) -> Result<Tally, BluetoothError> {
        let at = self.find(name)?;
        Ok(self.world.board(at, |board| board.tally))
    }

    /// A board, for a simulation to speak by.
    pub(super) fn on_air(&self, name: &str) -> Result<OnAir, BluetoothError> {
        let at = self.find(name)?;
        let runtime = self.runtime.as_ref().ok_or_else(ended)?;
        Ok(OnAir {
            world: self.world.clone(),
            at,
            runtime: runtime.handle().clone(),
        })
    }

    fn find(&self, name: &str) -> Result<usize, BluetoothError> {
        let world = self.world.lock();
        let at = world
            .boards
            .iter()
            .position(|board| board.spec.name == name);
        at.ok_or_else(|| BluetoothError::NoBoard {
            name: name.to_owned(),
        })
    }

    fn lock_bus(&self) -> std::sync::MutexGuard<'_, Option<Bus>> {
        self.bus.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn block_on<T>(
        &self,
        work: impl Future<Output = zbus::Result<T>>,
    ) -> Result<T, BluetoothError> {
        match &self.runtime {
            Some(runtime) => Ok(runtime.block_on(work)?),
            None => Err(ended()),
        }
    }
}

fn ended() -> BluetoothError {
    zbus::Error::InputOutput(Arc::new(io::Error::other("it has ended"))).into()
}

impl Drop for Bluetooth {
    fn drop(&mut self) {
        if let Some(runtime) = self.runtime.take() {
            // What it still does is for nobody; it may be dropped where nothing may be waited for.
            runtime.shutdown_background();
        }
    }
}
