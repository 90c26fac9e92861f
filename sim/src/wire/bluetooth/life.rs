//! What happens in BlueZ, and the signals it gives, in the order a real one gives them.
//!
//! The order was seen on BlueZ 5.66: connected; each object of the services as it is
//! added; services resolved; then what is subscribed to. When the far end goes, one
//! signal says both that the services are no longer resolved and that the link is down;
//! the objects of the services stay, and a board that comes back has no new ones.

use std::time::Duration;

use zbus::{Connection, Variant};

use super::objects::{ADAPTER, Adapter, Device, GattCharacteristic, GattService, Refusal};
use super::peripheral::{Characteristic, Gives};
use super::world::{ConnectFault, Shared};

pub(super) const ADAPTER1: &str = "org.bluez.Adapter1";
pub(super) const DEVICE1: &str = "org.bluez.Device1";
pub(super) const CHARACTERISTIC1: &str = "org.bluez.GattCharacteristic1";

/// How long a link takes to come up.
const CONNECTING: Duration = Duration::from_millis(60);
/// After so long BlueZ gives up a board that does not answer; a real one waits longer.
const UNANSWERED: Duration = Duration::from_millis(500);

pub(super) fn device_path(address: &str) -> String {
    format!("{ADAPTER}/dev_{}", address.replace(':', "_"))
}

fn service_path(device: &str, service: usize) -> String {
    format!("{device}/service{:04x}", 0x10 * (service + 1))
}

fn characteristic_path(device: &str, service: usize, characteristic: usize) -> String {
    let handle = 0x10 * (service + 1) + 1 + 2 * characteristic;
    format!("{}/char{handle:04x}", service_path(device, service))
}

/// One signal that properties have changed.
async fn changed(
    bluez: &Connection,
    path: &str,
    interface: &str,
    properties: &[(&str, Variant<'_>)],
) -> zbus::Result<()> {
    let properties: std::collections::HashMap<&str, &Variant<'_>> = properties
        .iter()
        .map(|(name, value)| (*name, value))
        .collect();
    let invalidated: [&str; 0] = [];
    bluez
        .emit_signal(
            None::<&str>,
            path,
            "org.freedesktop.DBus.Properties",
            "PropertiesChanged",
            &(interface, properties, &invalidated[..]),
        )
        .await
}

/// BlueZ begins to run on a bus.
pub(super) async fn start(world: &Shared, address: &str) -> zbus::Result<()> {
    let adapter = Adapter {
        world: world.clone(),
    };
    let bluez = zbus::connection::Builder::address(address)
        .serve_at("/", zbus::fdo::ObjectManager)
        .serve_at(ADAPTER, adapter)
        .name("org.bluez")
        .build()
        .await?;
    let mut world = world.lock();
    for board in &mut world.boards {
        board.forget();
    }
    (world.is_discovering, world.is_connecting) = (false, false);
    world.bluez = Some(bluez);
    Ok(())
}

/// BlueZ ends: its name goes from the bus, and all links with it.
pub(super) async fn stop(world: &Shared) {
    let bluez = {
        let mut world = world.lock();
        for board in &mut world.boards {
            board.forget();
        }
        (world.is_discovering, world.is_connecting) = (false, false);
        world.bluez.take()
    };
    if let Some(bluez) = bluez {
        // The bus may be gone already, and then so is the name.
        let _ = bluez.close().await;
    }
}

/// The adapter is switched on or off; off, every link goes down.
pub(super) async fn power(world: &Shared, on: bool) -> zbus::Result<()> {
    let Some(bluez) = world.bluez() else {
        world.lock().is_powered = on;
        return Ok(());
    };
    if !on {
        let boards = world.lock().boards.len();
        for at in 0..boards {
            drop_link(world, at).await?;
        }
        if std::mem::take(&mut world.lock().is_discovering) {
            changed(&bluez, ADAPTER, ADAPTER1, &[("Discovering", false.into())]).await?;
        }
    }
    if std::mem::replace(&mut world.lock().is_powered, on) != on {
        changed(&bluez, ADAPTER, ADAPTER1, &[("Powered", on.into())]).await?;
    }
    Ok(())
}

/// What is switched on and in reach is seen.
pub(super) async fn discover(world: &Shared) -> Result<(), Refusal> {
    let Some(bluez) = world.bluez() else {
        return Err(not_ready());
    };
    {
        let mut world = world.lock();
        if !world.is_powered {
            return Err(not_ready());
        }
        if std::mem::replace(&mut world.is_discovering, true) {
            return Err(Refusal::InProgress(
                "Operation already in progress".to_owned(),
            ));
        }
    }
    changed(&bluez, ADAPTER, ADAPTER1, &[("Discovering", true.into())]).await?;
    let boards = world.lock().boards.len();
    for at in 0..boards {
        see(world, at).await?;
    }
    Ok(())
}

pub(super) async fn stop_discovery(world: &Shared) -> Result<(), Refusal> {
    let Some(bluez) = world.bluez() else {
        return Err(not_ready());
    };
    if !std::mem::take(&mut world.lock().is_discovering) {
        return Err(Refusal::Failed("No discovery started".to_owned()));
    }
    changed(&bluez, ADAPTER, ADAPTER1, &[("Discovering", false.into())]).await?;
    Ok(())
}

/// An advertisement of a board arrives, if it sends one and somebody listens.
pub(super) async fn see(world: &Shared, at: usize) -> zbus::Result<()> {
    let (bluez, is_new, path, rssi) = {
        let mut world = world.lock();
        let listens = world.is_discovering && world.is_powered;
        let Some(bluez) = world.bluez.clone().filter(|_| listens) else {
            return Ok(());
        };
        let board = &mut world.boards[at];
        if !board.is_on || board.is_connected {
            return Ok(());
        }
        let is_new = !std::mem::replace(&mut board.is_known, true);
        (
            bluez,
            is_new,
            device_path(&board.spec.address),
            board.rssi_dbm,
        )
    };
    if is_new {
        let device = Device {
            world: world.clone(),
            at,
        };
        bluez.object_server().at(path, device).await?;
    } else {
        changed(&bluez, &path, DEVICE1, &[("RSSI", rssi.into())]).await?;
    }
    Ok(())
}

fn not_ready() -> Refusal {
    Refusal::NotReady("Resource Not Ready".to_owned())
}

fn aborted() -> Refusal {
    Refusal::Failed("le-connection-abort-by-local".to_owned())
}

/// One board after the other is connected, as one adapter can.
pub(super) async fn connect(world: &Shared, at: usize) -> Result<(), Refusal> {
    let bluez = {
        let mut world = world.lock();
        let under_way = world.is_connecting;
        let (is_powered, bluez) = (world.is_powered, world.bluez.clone());
        let board = &mut world.boards[at];
        board.tally.connects += 1;
        board.tally.overlapping += u64::from(under_way);
        let fault = board.faults.pop_front();
        if board.is_connected {
            return Ok(());
        }
        if under_way || fault == Some(ConnectFault::InProgress) {
            return Err(Refusal::InProgress("In Progress".to_owned()));
        }
        if fault == Some(ConnectFault::AbortByLocal) {
            return Err(aborted());
        }
        let Some(bluez) = bluez.filter(|_| is_powered) else {
            return Err(not_ready());
        };
        world.is_connecting = true;
        bluez
    };
    let done = come_up(world, at, &bluez).await;
    world.lock().is_connecting = false;
    done
}

async fn come_up(world: &Shared, at: usize, bluez: &Connection) -> Result<(), Refusal> {
    if !world.board(at, |board| board.is_on) {
        tokio::time::sleep(UNANSWERED).await;
        return Err(aborted());
    }
    tokio::time::sleep(CONNECTING).await;
    let path = world.board(at, |board| {
        board.is_connected = true;
        device_path(&board.spec.address)
    });
    changed(bluez, &path, DEVICE1, &[("Connected", true.into())]).await?;
    let (was_explored, services) = world.board(at, |board| {
        let was_explored = std::mem::replace(&mut board.is_explored, true);
        (was_explored, board.gatt().services())
    });
    if !was_explored {
        add_services(world, at, bluez, &path).await?;
    }
    // It may have gone again in the meantime.
    if !world.board(at, |board| {
        board.is_resolved = board.is_connected;
        board.is_resolved
    }) {
        return Err(aborted());
    }
    let mut properties = vec![("ServicesResolved", Variant::from(true))];
    if !was_explored {
        let uuids: Vec<&str> = services.iter().map(|service| service.uuid).collect();
        properties.push(("UUIDs", uuids.into()));
    }
    changed(bluez, &path, DEVICE1, &properties).await?;
    Ok(())
}

async fn add_services(
    world: &Shared,
    at: usize,
    bluez: &Connection,
    device: &str,
) -> zbus::Result<()> {
    let objects = bluez.object_server();
    let services = world.board(at, |board| board.gatt().services());
    for (number, service) in services.into_iter().enumerate() {
        let path = service_path(device, number);
        let object = GattService {
            service,
            device: device.to_owned(),
        };
        objects.at(path.as_str(), object).await?;
        for (below, characteristic) in service.characteristics.iter().enumerate() {
            let object = GattCharacteristic {
                world: world.clone(),
                at,
                characteristic,
                service: path.clone(),
            };
            let path = characteristic_path(device, number, below);
            objects.at(path, object).await?;
        }
    }
    Ok(())
}

/// The link to a board goes down, from whichever end.
pub(super) async fn drop_link(world: &Shared, at: usize) -> zbus::Result<()> {
    let (was_connected, path) = world.board(at, |board| {
        let was_connected = board.is_connected;
        board.drop_link();
        (was_connected, device_path(&board.spec.address))
    });
    let Some(bluez) = world.bluez().filter(|_| was_connected) else {
        return Ok(());
    };
    let down = [
        ("ServicesResolved", Variant::from(false)),
        ("Connected", Variant::from(false)),
    ];
    changed(&bluez, &path, DEVICE1, &down).await
}

pub(super) fn must_be_connected(world: &Shared, at: usize) -> Result<(), Refusal> {
    if world.board(at, |board| board.is_connected) {
        Ok(())
    } else {
        Err(Refusal::NotConnected("Not Connected".to_owned()))
    }
}

/// Somebody wants to be notified, or no longer.
pub(super) async fn notify(
    world: &Shared,
    at: usize,
    characteristic: &'static Characteristic,
    on: bool,
) -> Result<(), Refusal> {
    must_be_connected(world, at)?;
    if !characteristic.flags.contains(&"notify") {
        return Err(Refusal::NotSupported(
            "Operation is not supported".to_owned(),
        ));
    }
    let Some(bluez) = world.bluez() else {
        return Err(not_ready());
    };
    let path = path_of(world, at, characteristic.gives);
    changed(&bluez, &path, CHARACTERISTIC1, &[("Notifying", on.into())]).await?;
    world.board(at, |board| {
        if characteristic.gives == Gives::Battery {
            board.notifies_battery = on;
        } else {
            board.was_opened |= on;
            board.notifies_readings = on;
        }
    });
    Ok(())
}

/// What reading gives.
pub(super) fn value(world: &Shared, at: usize, gives: Gives) -> Vec<u8> {
    match gives {
        Gives::Readings => world.board(at, |board| board.value.clone()),
        Gives::Battery => vec![world.board(at, |board| board.battery_percent)],
        Gives::Text(text) => text.as_bytes().to_vec(),
        Gives::Nothing => Vec::new(),
    }
}

/// Path of the characteristic of a board that gives something.
fn path_of(world: &Shared, at: usize, gives: Gives) -> String {
    let (device, services) = world.board(at, |board| {
        (device_path(&board.spec.address), board.gatt().services())
    });
    let mut places = services.iter().enumerate().flat_map(|(number, service)| {
        let characteristics = service.characteristics.iter().enumerate();
        characteristics.map(move |(below, characteristic)| (number, below, characteristic.gives))
    });
    let place = places.find(|(_, _, given)| *given == gives);
    let (number, below, _) = place.unwrap_or((0, 0, gives));
    characteristic_path(&device, number, below)
}

/// One notification.
pub(super) async fn send_value(world: &Shared, at: usize, gives: Gives) -> zbus::Result<()> {
    let Some(bluez) = world.bluez() else {
        return Ok(());
    };
    let path = path_of(world, at, gives);
    let value = value(world, at, gives);
    changed(&bluez, &path, CHARACTERISTIC1, &[("Value", value.into())]).await
}
