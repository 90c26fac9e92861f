//! The machine's own Bluetooth, by the library btleplug.

use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;

use btleplug::api::{
    Central as _, CentralEvent, CentralState, CharPropFlags, Characteristic, Manager as _,
    Peripheral as _, ScanFilter,
};
use btleplug::platform::{Adapter, Manager, Peripheral};
use futures_util::{StreamExt as _, stream};
use tokio::time::{sleep, timeout};

use super::address::sig;
use super::bus::BusThread;
use super::choose::Offered;
use super::radio::{Events, Peer, PeerEvent, Radio, RadioTrouble, Seen};
use super::within::CALL;
use crate::link::About;

/// Limit of reading one value of a board.
const READ: Duration = Duration::from_secs(1);

/// A session with the machine's Bluetooth service.
#[derive(Debug)]
pub struct Blue {
    adapter: Adapter,
    bus: Arc<BusThread>,
}

/// What is asked of the adapter itself.
const ASKING: &str = "asking the adapter";

fn failed(what: &'static str) -> impl FnOnce(btleplug::Error) -> RadioTrouble {
    move |error| trouble(what, &error)
}

fn trouble(what: &'static str, error: &btleplug::Error) -> RadioTrouble {
    let why = error.to_string();
    // An error of the bus prints its text and keeps its name for debugging; the names are the
    // bus's own (D-Bus Specification, "Standard Interfaces" and libdbus's dbus-protocol.h; from
    // memory) and BlueZ's (doc/adapter-api.txt).
    let named = format!("{error:?}");
    let is = |names: &[&str]| names.iter().any(|name| named.contains(name));
    match error {
        btleplug::Error::PermissionDenied => RadioTrouble::Denied,
        btleplug::Error::NoAdapterAvailable => RadioTrouble::NoAdapter,
        _ if is(&["Error.AccessDenied", "Error.AuthFailed"]) => RadioTrouble::Denied,
        _ if is(&[
            "Error.ServiceUnknown",
            "Error.NameHasNoOwner",
            "Error.Spawn",
            "Error.FileNotFound",
            "Error.NoServer",
            "Error.Disconnected",
        ]) =>
        {
            RadioTrouble::NoService { why }
        }
        // A session whose bus was killed has no better name for it; only a new one helps.
        _ if is(&["Failed to send message"]) => RadioTrouble::NoService { why },
        // What has gone from the bus is the adapter, or what was seen through it.
        _ if is(&["Error.UnknownObject"]) && what == ASKING => RadioTrouble::NoAdapter,
        _ if is(&["bluez.Error.NotReady"]) => RadioTrouble::Off,
        _ => RadioTrouble::Failed { what, why },
    }
}

impl Radio for Blue {
    type Peer = BluePeer;

    async fn begin() -> Result<Self, RadioTrouble> {
        let why = |error: std::io::Error| RadioTrouble::NoService {
            why: error.to_string(),
        };
        let bus = BusThread::start().map_err(why)?;
        // Connecting to the bus waits for it; there it holds up nobody else.
        let manager = bus.run(Manager::new()).await.map_err(why)?;
        let manager = manager.map_err(|error| match trouble("reaching the bus", &error) {
            // Whatever keeps us from the bus, there is no service for us.
            RadioTrouble::Failed { why, .. } => RadioTrouble::NoService { why },
            trouble => trouble,
        })?;
        let adapters = manager
            .adapters()
            .await
            .map_err(failed("asking for adapters"))?;
        let adapter = chosen(adapters).await.ok_or(RadioTrouble::NoAdapter)?;
        let bus = Arc::new(bus);
        Ok(Self { adapter, bus })
    }

    async fn ready(&mut self) -> Result<(), RadioTrouble> {
        // The state alone is "off" also when nobody answers.
        let there = self.adapter.adapter_info().await;
        there.map_err(failed(ASKING))?;
        let state = self.adapter.adapter_state().await;
        match state.map_err(failed(ASKING))? {
            CentralState::PoweredOff => Err(RadioTrouble::Off),
            CentralState::PoweredOn | CentralState::Unknown => Ok(()),
        }
    }

    async fn look(&mut self, on: bool) -> Result<(), RadioTrouble> {
        if on {
            let all = ScanFilter::default();
            let looked = self.adapter.start_scan(all).await;
            looked.map_err(failed("looking for boards"))
        } else {
            let ended = self.adapter.stop_scan().await;
            ended.map_err(failed("ending the look for boards"))
        }
    }

    async fn seen(&mut self) -> Result<Vec<Seen>, RadioTrouble> {
        let mut all = Vec::new();
        for peripheral in self.peripherals().await? {
            let properties = peripheral.properties().await;
            let Ok(Some(properties)) = properties else {
                // It went away in between.
                continue;
            };
            all.push(Seen {
                address: peripheral.address().into_inner(),
                name: properties.local_name,
                signal_dbm: properties.rssi,
                services: properties.services,
                connected: peripheral.is_connected().await.unwrap_or(false),
            });
        }
        Ok(all)
    }

    async fn connect(
        &mut self,
        address: [u8; 6],
        limit: Duration,
    ) -> Result<BluePeer, RadioTrouble> {
        let peripherals = self.peripherals().await?;
        let peripheral = peripherals
            .into_iter()
            .find(|peripheral| peripheral.address().into_inner() == address)
            .ok_or_else(|| RadioTrouble::Failed {
                what: "connecting",
                why: "the adapter does not see it any more".to_owned(),
            })?;
        let connected = match timeout(limit, call(&peripheral)).await {
            Ok(connected) => connected,
            Err(_elapsed) => Err(RadioTrouble::Failed {
                what: "connecting",
                why: format!("no answer in {} s", limit.as_secs()),
            }),
        };
        if let Err(error) = connected {
            // Half a connection would keep the board from being found again, and a
            // call that is left under way the adapter from calling others.
            return match timeout(CALL, peripheral.disconnect()).await {
                Ok(_let_go) => Err(error),
                Err(_elapsed) => Err(RadioTrouble::TooLong {
                    what: "taking a call back",
                    seconds: CALL.as_secs(),
                }),
            };
        }
        Ok(BluePeer {
            adapter: self.adapter.clone(),
            characteristics: peripheral.characteristics(),
            peripheral,
            _bus: self.bus.clone(),
        })
    }
}

/// Connects and finds out what is offered.
async fn call(peripheral: &Peripheral) -> Result<(), RadioTrouble> {
    peripheral.connect().await.map_err(failed("connecting"))?;
    let found = peripheral.discover_services().await;
    found.map_err(failed("finding out what it offers"))
}

/// The first adapter that is on, else the first.
async fn chosen(adapters: Vec<Adapter>) -> Option<Adapter> {
    for adapter in &adapters {
        if let Ok(CentralState::PoweredOn) = adapter.adapter_state().await {
            return Some(adapter.clone());
        }
    }
    adapters.into_iter().next()
}

impl Blue {
    async fn peripherals(&self) -> Result<Vec<Peripheral>, RadioTrouble> {
        let peripherals = self.adapter.peripherals().await;
        peripherals.map_err(failed("asking who is there"))
    }
}

/// A connected board.
#[derive(Debug)]
pub struct BluePeer {
    adapter: Adapter,
    peripheral: Peripheral,
    characteristics: BTreeSet<Characteristic>,
    /// Its session may be given up for a new one while it is connected.
    _bus: Arc<BusThread>,
}

impl BluePeer {
    fn standard(&self, number: u16) -> Option<&Characteristic> {
        let wanted = sig(number);
        self.characteristics
            .iter()
            .find(|characteristic| characteristic.uuid == wanted)
    }

    async fn read(&self, number: u16) -> Option<Vec<u8>> {
        let characteristic = self.standard(number)?;
        if !characteristic.properties.contains(CharPropFlags::READ) {
            return None;
        }
        let read = timeout(READ, self.peripheral.read(characteristic));
        read.await.ok()?.ok()
    }

    async fn text(&self, number: u16) -> Option<String> {
        let text = String::from_utf8(self.read(number).await?).ok()?;
        let text = text.trim_matches(['\0', ' ']).to_owned();
        (!text.is_empty()).then_some(text)
    }
}

fn notifies(characteristic: &Characteristic) -> bool {
    let either = CharPropFlags::NOTIFY | CharPropFlags::INDICATE;
    characteristic.properties.intersects(either)
}

/// A charge as the battery characteristic has it.
fn percent(value: &[u8]) -> Option<u8> {
    value.first().copied().filter(|percent| *percent <= 100)
}

impl Peer for BluePeer {
    fn offered(&self) -> Vec<Offered> {
        self.characteristics
            .iter()
            .map(|characteristic| Offered {
                service: characteristic.service_uuid,
                characteristic: characteristic.uuid,
                notifies: notifies(characteristic),
                reads: characteristic.properties.contains(CharPropFlags::READ),
            })
            .collect()
    }

    async fn about(&mut self) -> About {
        // Numbers of the standard's list (from memory): battery level; maker, model, serial, firmware.
        let properties = timeout(READ, self.peripheral.properties()).await;
        About {
            battery_percent: self.read(0x2a19).await.as_deref().and_then(percent),
            signal_dbm: properties
                .ok()
                .and_then(Result::ok)
                .flatten()
                .and_then(|properties| properties.rssi),
            maker: self.text(0x2a29).await,
            model: self.text(0x2a24).await,
            serial: self.text(0x2a25).await,
            firmware: self.text(0x2a26).await,
        }
    }

    async fn subscribe(&mut self, to: &Offered) -> Result<Events, RadioTrouble> {
        let subscribing = || failed("subscribing");
        let wanted = self
            .characteristics
            .iter()
            .find(|one| one.uuid == to.characteristic && one.service_uuid == to.service)
            .cloned()
            .ok_or_else(|| RadioTrouble::Failed {
                what: "subscribing",
                why: "the characteristic is gone".to_owned(),
            })?;
        // Before the subscription, so that nothing is missed in between.
        let values = self
            .peripheral
            .notifications()
            .await
            .map_err(subscribing())?;
        let central = self.adapter.events().await.map_err(subscribing())?;
        self.peripheral
            .subscribe(&wanted)
            .await
            .map_err(subscribing())?;
        let battery = self.standard(0x2a19).filter(|one| notifies(one)).cloned();
        if let Some(battery) = &battery
            && let Err(error) = self.peripheral.subscribe(battery).await
        {
            tracing::debug!(%error, "its battery does not tell changes");
        }
        let told = to.characteristic;
        let values = values.filter_map(move |notification| {
            let event = if notification.uuid == told {
                Some(PeerEvent::Value(notification.value))
            } else if notification.uuid == sig(0x2a19) {
                percent(&notification.value).map(PeerEvent::Battery)
            } else {
                None
            };
            std::future::ready(event)
        });
        let id = self.peripheral.id();
        let central = central.filter_map(move |event| {
            let event = match event {
                CentralEvent::DeviceDisconnected(gone) if gone == id => Some(PeerEvent::Gone),
                CentralEvent::RssiUpdate { id: of, rssi } if of == id => {
                    Some(PeerEvent::Signal(rssi))
                }
                CentralEvent::StateUpdate(CentralState::PoweredOff) => Some(PeerEvent::Gone),
                _ => None,
            };
            std::future::ready(event)
        });
        Ok(Box::pin(stream::select(values, central)))
    }

    async fn disconnect(&mut self) {
        if let Err(error) = self.peripheral.disconnect().await {
            tracing::debug!(%error, "it could not be let go");
        }
    }
}

/// The boards that are in reach, looked for so long.
pub async fn scan(length: Duration) -> Result<Vec<Seen>, RadioTrouble> {
    let late = |_| RadioTrouble::TooLong {
        what: "looking for boards",
        seconds: CALL.as_secs(),
    };
    let mut radio = timeout(CALL, Blue::begin()).await.map_err(late)??;
    timeout(CALL, radio.ready()).await.map_err(late)??;
    timeout(CALL, radio.look(true)).await.map_err(late)??;
    sleep(length).await;
    let seen = timeout(CALL, radio.seen()).await.map_err(late)?;
    // Whoever asked has the list; that the adapter looks on would be the service's to end with us.
    let _ended = timeout(CALL, radio.look(false)).await;
    seen
}
