//! The objects that BlueZ shows on the bus, with what clients in use ask of them.
//!
//! Names and meanings are those of BlueZ's `doc/adapter-api.txt`, `doc/device-api.txt`
//! and `doc/gatt-api.txt`.

#![expect(
    clippy::unused_self,
    clippy::used_underscore_binding,
    reason = "the bus's macro wants methods, and uses arguments that only the bus needs"
)]

use std::collections::HashMap;

use zbus::fdo;
use zbus::{DBusError, ObjectPath, OwnedObjectPath, OwnedVariant, interface};

use super::life;
use super::peripheral::{Characteristic, Gives, Service};
use super::world::Shared;

pub(super) const ADAPTER: &str = "/org/bluez/hci0";

/// Why BlueZ does not do something.
#[derive(Debug, DBusError)]
#[zbus(prefix = "org.bluez.Error")]
pub(super) enum Refusal {
    #[zbus(error)]
    ZBus(zbus::Error),
    Failed(String),
    InProgress(String),
    NotReady(String),
    NotConnected(String),
    NotSupported(String),
}

type Options = HashMap<String, OwnedVariant>;

/// A path of which it is known that it is one: written here, or made from hexadecimal digits.
fn path(text: String) -> fdo::Result<OwnedObjectPath> {
    let path = ObjectPath::try_from(text);
    path.map(Into::into)
        .map_err(|error| fdo::Error::Failed(error.to_string()))
}

pub(super) struct Adapter {
    pub(super) world: Shared,
}

#[interface(name = "org.bluez.Adapter1")]
impl Adapter {
    #[zbus(property)]
    fn address(&self) -> &'static str {
        "02:00:5E:00:53:00"
    }

    #[zbus(property)]
    fn address_type(&self) -> &'static str {
        "public"
    }

    #[zbus(property)]
    fn name(&self) -> &'static str {
        "garage"
    }

    #[zbus(property)]
    fn alias(&self) -> &'static str {
        "garage"
    }

    #[zbus(property)]
    fn modalias(&self) -> &'static str {
        "usb:v1D6Bp0246d0542"
    }

    #[zbus(property(emits_changed_signal = "false"))]
    fn powered(&self) -> bool {
        self.world.lock().is_powered
    }

    #[zbus(property)]
    async fn set_powered(&self, on: bool) -> fdo::Result<()> {
        if on && self.world.lock().is_blocked {
            return Err(fdo::Error::Failed("Blocked through rfkill".to_owned()));
        }
        Ok(life::power(&self.world, on).await?)
    }

    #[zbus(property)]
    fn discovering(&self) -> bool {
        self.world.lock().is_discovering
    }

    fn set_discovery_filter(&self, _filter: Options) {}

    async fn start_discovery(&self) -> Result<(), Refusal> {
        life::discover(&self.world).await
    }

    async fn stop_discovery(&self) -> Result<(), Refusal> {
        life::stop_discovery(&self.world).await
    }
}

pub(super) struct Device {
    pub(super) world: Shared,
    pub(super) at: usize,
}

#[interface(name = "org.bluez.Device1")]
impl Device {
    #[zbus(property)]
    fn address(&self) -> String {
        self.world
            .board(self.at, |board| board.spec.address.clone())
    }

    #[zbus(property)]
    fn address_type(&self) -> &'static str {
        "random"
    }

    #[zbus(property)]
    fn name(&self) -> String {
        self.world.board(self.at, |board| board.spec.name.clone())
    }

    #[zbus(property)]
    fn alias(&self) -> String {
        self.name()
    }

    #[zbus(property)]
    fn adapter(&self) -> fdo::Result<OwnedObjectPath> {
        path(ADAPTER.to_owned())
    }

    #[zbus(property, name = "RSSI")]
    fn rssi(&self) -> i16 {
        self.world.board(self.at, |board| board.rssi_dbm)
    }

    #[zbus(property, name = "UUIDs")]
    fn uuids(&self) -> Vec<&'static str> {
        self.world.board(self.at, |board| {
            let services = board.gatt().services().map(|service| service.uuid);
            if board.is_explored {
                services.to_vec()
            } else {
                // An advertisement has room for one long UUID.
                vec![board.gatt().uuids().0]
            }
        })
    }

    #[zbus(property)]
    fn paired(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn trusted(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn blocked(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn legacy_pairing(&self) -> bool {
        false
    }

    #[zbus(property)]
    fn connected(&self) -> bool {
        self.world.board(self.at, |board| board.is_connected)
    }

    #[zbus(property)]
    fn services_resolved(&self) -> bool {
        self.world.board(self.at, |board| board.is_resolved)
    }

    async fn connect(&self) -> Result<(), Refusal> {
        life::connect(&self.world, self.at).await
    }

    async fn disconnect(&self) -> Result<(), Refusal> {
        Ok(life::drop_link(&self.world, self.at).await?)
    }
}

pub(super) struct GattService {
    pub(super) service: &'static Service,
    pub(super) device: String,
}

#[interface(name = "org.bluez.GattService1")]
impl GattService {
    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &'static str {
        self.service.uuid
    }

    #[zbus(property)]
    fn primary(&self) -> bool {
        true
    }

    #[zbus(property)]
    fn device(&self) -> fdo::Result<OwnedObjectPath> {
        path(self.device.clone())
    }
}

pub(super) struct GattCharacteristic {
    pub(super) world: Shared,
    pub(super) at: usize,
    pub(super) characteristic: &'static Characteristic,
    pub(super) service: String,
}

#[interface(name = "org.bluez.GattCharacteristic1")]
impl GattCharacteristic {
    #[zbus(property, name = "UUID")]
    fn uuid(&self) -> &'static str {
        self.characteristic.uuid
    }

    #[zbus(property)]
    fn service(&self) -> fdo::Result<OwnedObjectPath> {
        path(self.service.clone())
    }

    #[zbus(property)]
    fn flags(&self) -> Vec<&'static str> {
        self.characteristic.flags.to_vec()
    }

    #[zbus(property, name = "MTU")]
    fn mtu(&self) -> u16 {
        let payload = self
            .world
            .board(self.at, |board| board.spec.radio.payload_bytes);
        u16::try_from(payload + 3).unwrap_or(u16::MAX)
    }

    #[zbus(property)]
    fn notifying(&self) -> bool {
        let gives = self.characteristic.gives;
        self.world.board(self.at, |board| match gives {
            Gives::Readings => board.notifies_readings,
            Gives::Battery => board.notifies_battery,
            Gives::Nothing | Gives::Text(_) => false,
        })
    }

    #[zbus(property)]
    fn value(&self) -> Vec<u8> {
        life::value(&self.world, self.at, self.characteristic.gives)
    }

    async fn start_notify(&self) -> Result<(), Refusal> {
        life::notify(&self.world, self.at, self.characteristic, true).await
    }

    async fn stop_notify(&self) -> Result<(), Refusal> {
        life::notify(&self.world, self.at, self.characteristic, false).await
    }

    fn read_value(&self, _options: Options) -> Result<Vec<u8>, Refusal> {
        life::must_be_connected(&self.world, self.at)?;
        if !self.characteristic.flags.contains(&"read") {
            return Err(Refusal::NotSupported(
                "Operation is not supported".to_owned(),
            ));
        }
        Ok(life::value(&self.world, self.at, self.characteristic.gives))
    }

    fn write_value(&self, value: Vec<u8>, _options: Options) -> Result<(), Refusal> {
        life::must_be_connected(&self.world, self.at)?;
        if !self.characteristic.flags.contains(&"write") {
            return Err(Refusal::NotSupported(
                "Operation is not supported".to_owned(),
            ));
        }
        self.world.board(self.at, |board| {
            board.tally.written += value.len() as u64;
            board.written.extend(value);
        });
        Ok(())
    }
}
