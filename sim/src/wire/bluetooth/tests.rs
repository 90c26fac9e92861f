//! The stand-in as a plain client of the bus sees it. The order of the signals is that
//! seen on BlueZ 5.66.

use std::collections::HashMap;
use std::time::Duration;

use futures_util::StreamExt;
use zbus::message::Type;
use zbus::{Connection, MatchRule, MessageStream, OwnedObjectPath, OwnedVariant};

use super::life::device_path;
use super::*;

const NAME: &str = "hub-left";
const ADDRESS: &str = "C0:FF:EE:00:00:01";
const SOON: Duration = Duration::from_secs(10);

type Objects = HashMap<OwnedObjectPath, HashMap<String, HashMap<String, OwnedVariant>>>;

/// No bus can be had where its program is not installed.
fn bluetooth() -> Option<Bluetooth> {
    match Bluetooth::start() {
        Ok(bluetooth) => Some(bluetooth),
        Err(BluetoothError::Bus { source, what }) if source.kind() == io::ErrorKind::NotFound => {
            println!("SKIPPED: {what}");
            assert!(
                std::env::var_os("CI").is_none_or(|ci| ci != "true"),
                "in CI nothing may be skipped"
            );
            None
        }
        Err(error) => panic!("{error}"),
    }
}

fn peripheral(name: &str, address: &str) -> Peripheral {
    Peripheral {
        name: name.to_owned(),
        address: address.to_owned(),
        gatt: Gatt::NordicUart,
        radio: Radio::default(),
        seed: 5,
    }
}

/// A client with all signals of BlueZ in their order, in short words.
struct Client {
    bus: Connection,
    signals: MessageStream,
}

impl Client {
    async fn new(bluetooth: &Bluetooth) -> Self {
        let bus = zbus::connection::Builder::address(bluetooth.bus_address().as_str());
        let bus = bus.build().await.unwrap();
        let rule = MatchRule::builder().msg_type(Type::Signal);
        let rule = rule.sender("org.bluez").build().unwrap();
        let signals = MessageStream::for_match_rule(rule, &bus, std::num::NonZero::new(1024));
        Self {
            signals: signals.await.unwrap(),
            bus,
        }
    }

    async fn call(&self, path: &str, interface: &str, method: &str) -> Result<(), String> {
        let answer = self
            .bus
            .call_method(Some("org.bluez"), path, Some(interface), method, &())
            .await;
        match answer {
            Ok(_) => Ok(()),
            Err(zbus::Error::MethodError(name, text, _)) => {
                Err(format!("{name}: {}", text.unwrap_or_default()))
            }
            Err(error) => Err(error.to_string()),
        }
    }

    async fn objects(&self) -> Objects {
        let manager = Some("org.freedesktop.DBus.ObjectManager");
        let answer = self
            .bus
            .call_method(Some("org.bluez"), "/", manager, "GetManagedObjects", &())
            .await;
        answer.unwrap().body().deserialize().unwrap()
    }

    async fn paths(&self) -> Vec<String> {
        let objects = self.objects().await;
        // The library shows the folders above an object as objects too.
        let own = objects
            .iter()
            .filter(|(_, interfaces)| interfaces.keys().any(|name| name.starts_with("org.bluez.")));
        let mut paths: Vec<String> = own.map(|(path, _)| path.to_string()).collect();
        paths.sort();
        paths
    }

    /// The next signal: what it is and the end of the path that it is about.
    async fn next(&mut self) -> String {
        let signal = tokio::time::timeout(SOON, self.signals.next());
        let signal = signal.await.expect("a signal in time").unwrap().unwrap();
        let header = signal.header();
        let end = |path: &str| path.rsplit('/').next().unwrap_or_default().to_owned();
        let body = signal.body();
        if header.member().unwrap() == "InterfacesAdded" {
            let (path, _): (
                OwnedObjectPath,
                HashMap<String, HashMap<String, OwnedVariant>>,
            ) = body.deserialize().unwrap();
            return format!("added {}", end(&path));
        }
        let (_, properties, _): (String, HashMap<String, OwnedVariant>, Vec<String>) =
            body.deserialize().unwrap();
        let mut told: Vec<String> = properties
            .iter()
            .map(|(name, value)| match bool::try_from(value.clone()) {
                Ok(value) => format!("{name}={value}"),
                Err(_) => name.clone(),
            })
            .collect();
        told.sort();
        format!("{} {}", end(header.path().unwrap()), told.join(" "))
    }

    async fn expect(&mut self, signals: &[&str]) {
        for expected in signals {
            assert_eq!(&self.next().await, expected, "of {signals:#?}");
        }
    }

    /// Signals until one is as wanted, which they all are told by if it never comes.
    async fn until(&mut self, wanted: &str) {
        loop {
            if self.next().await == wanted {
                return;
            }
        }
    }
}

const DEVICE: &str = "dev_C0_FF_EE_00_00_01";
const ADAPTER1: &str = life::ADAPTER1;
const DEVICE1: &str = life::DEVICE1;
const CHARACTERISTIC1: &str = life::CHARACTERISTIC1;
/// The third service and its first characteristic.
const READINGS: &str = "char0031";

fn readings() -> String {
    format!("{}/service0030/{READINGS}", device_path(ADDRESS))
}

/// A board that is connected and notifies; the client has seen all signals of that.
async fn connected(bluetooth: &Bluetooth) -> Client {
    let mut client = Client::new(bluetooth).await;
    let path = device_path(ADDRESS);
    client
        .call(objects::ADAPTER, ADAPTER1, "StartDiscovery")
        .await
        .unwrap();
    client
        .expect(&["hci0 Discovering=true", &format!("added {DEVICE}")])
        .await;
    client
        .call(objects::ADAPTER, ADAPTER1, "StopDiscovery")
        .await
        .unwrap();
    client.until("hci0 Discovering=false").await;
    client.call(&path, DEVICE1, "Connect").await.unwrap();
    client
        .expect(&[
            &format!("{DEVICE} Connected=true"),
            "added service0010",
            "added char0011",
            "added char0013",
            "added service0020",
            "added char0021",
            "added service0030",
            "added char0031",
            "added char0033",
            &format!("{DEVICE} ServicesResolved=true UUIDs"),
        ])
        .await;
    client
        .call(&readings(), CHARACTERISTIC1, "StartNotify")
        .await
        .unwrap();
    client.expect(&["char0031 Notifying=true"]).await;
    client
}

/// Runs a test on a runtime of its own; the stand-in is told on this thread.
fn on(test: impl Future<Output = ()>) {
    Builder::new_current_thread()
        .enable_all()
        .build()
        .unwrap()
        .block_on(test);
}

/// Does something to the stand-in, which may not be waited for on a runtime's thread.
fn told<T: Send>(act: impl FnOnce() -> T + Send) -> T {
    std::thread::scope(|scope| scope.spawn(act).join().unwrap())
}

#[test]
fn a_board_is_seen_connected_explored_and_subscribed_to_in_this_order() {
    let Some(bluetooth) = bluetooth() else { return };
    bluetooth.add(peripheral(NAME, ADDRESS)).unwrap();
    on(async {
        let mut client = connected(&bluetooth).await;
        bluetooth
            .say(
                NAME,
                &[b"a line that is longer than twenty bytes\n".to_vec()],
            )
            .unwrap();
        client.expect(&["char0031 Value", "char0031 Value"]).await;
    });
    let tally = bluetooth.tally(NAME).unwrap();
    assert_eq!((tally.notified, tally.dropped), (2, 0));
}

#[test]
fn services_stay_when_the_link_goes_and_are_not_added_again() {
    let Some(bluetooth) = bluetooth() else { return };
    bluetooth.add(peripheral(NAME, ADDRESS)).unwrap();
    on(async {
        let mut client = connected(&bluetooth).await;
        let before = client.paths().await;
        told(|| bluetooth.drop_link(NAME)).unwrap();
        client
            .expect(&[&format!("{DEVICE} Connected=false ServicesResolved=false")])
            .await;
        assert_eq!(client.paths().await, before);
        let path = device_path(ADDRESS);
        let refused = client
            .call(&readings(), CHARACTERISTIC1, "StartNotify")
            .await;
        assert_eq!(
            refused,
            Err("org.bluez.Error.NotConnected: Not Connected".to_owned())
        );
        client.call(&path, DEVICE1, "Connect").await.unwrap();
        client
            .expect(&[
                &format!("{DEVICE} Connected=true"),
                &format!("{DEVICE} ServicesResolved=true"),
            ])
            .await;
        client
            .call(&readings(), CHARACTERISTIC1, "StartNotify")
            .await
            .unwrap();
        client.expect(&["char0031 Notifying=true"]).await;
    });
}

#[test]
fn connecting_fails_as_told_and_only_one_at_a_time() {
    let Some(bluetooth) = bluetooth() else { return };
    let other = "C0:FF:EE:00:00:02";
    bluetooth.add(peripheral(NAME, ADDRESS)).unwrap();
    bluetooth.add(peripheral("hub-right", other)).unwrap();
    bluetooth
        .fail_connects(
            NAME,
            &[ConnectFault::InProgress, ConnectFault::AbortByLocal],
        )
        .unwrap();
    on(async {
        let client = Client::new(&bluetooth).await;
        client
            .call(objects::ADAPTER, ADAPTER1, "StartDiscovery")
            .await
            .unwrap();
        let (left, right) = (device_path(ADDRESS), device_path(other));
        for refused in [
            "org.bluez.Error.InProgress: In Progress",
            "org.bluez.Error.Failed: le-connection-abort-by-local",
        ] {
            let answer = client.call(&left, DEVICE1, "Connect").await;
            assert_eq!(answer, Err(refused.to_owned()));
        }
        let both = futures_util::future::join(
            client.call(&left, DEVICE1, "Connect"),
            client.call(&right, DEVICE1, "Connect"),
        );
        let (left, right) = both.await;
        assert_eq!(usize::from(left.is_ok()) + usize::from(right.is_ok()), 1);
    });
    let overlapping = [NAME, "hub-right"].map(|name| bluetooth.tally(name).unwrap().overlapping);
    assert_eq!(overlapping.iter().sum::<u64>(), 1);
}

#[test]
fn an_adapter_that_is_switched_off_drops_its_links_and_stays_off() {
    let Some(bluetooth) = bluetooth() else { return };
    bluetooth.add(peripheral(NAME, ADDRESS)).unwrap();
    on(async {
        let mut client = connected(&bluetooth).await;
        told(|| bluetooth.switch_adapter(false)).unwrap();
        client
            .expect(&[
                &format!("{DEVICE} Connected=false ServicesResolved=false"),
                "hci0 Powered=false",
            ])
            .await;
        let refused = client.call(&device_path(ADDRESS), DEVICE1, "Connect").await;
        assert_eq!(
            refused,
            Err("org.bluez.Error.NotReady: Resource Not Ready".to_owned())
        );
        told(|| bluetooth.switch_adapter(true)).unwrap();
        client.expect(&["hci0 Powered=true"]).await;
        client
            .call(&device_path(ADDRESS), DEVICE1, "Connect")
            .await
            .unwrap();
    });
}

#[test]
fn bluez_and_the_bus_come_back_at_the_same_address_knowing_no_board() {
    let Some(bluetooth) = bluetooth() else { return };
    bluetooth.add(peripheral(NAME, ADDRESS)).unwrap();
    on(async {
        let first = connected(&bluetooth).await;
        told(|| bluetooth.stop_bluez()).unwrap();
        let gone = first.call("/", "org.freedesktop.DBus.Peer", "Ping").await;
        let gone = gone.unwrap_err();
        assert!(gone.contains("ServiceUnknown"), "{gone}");
        told(|| bluetooth.start_bluez()).unwrap();
        assert_eq!(first.paths().await, [objects::ADAPTER]);
        drop(connected(&bluetooth).await);
        told(|| bluetooth.kill_bus()).unwrap();
        told(|| bluetooth.restart_bus()).unwrap();
        connected(&bluetooth).await;
    });
}

#[test]
fn the_seed_says_which_notifications_are_lost() {
    let lost = |seed| {
        let mut spec = peripheral(NAME, ADDRESS);
        (spec.seed, spec.radio.loss_percent) = (seed, 10.0);
        let mut board = Board::new(spec);
        let numbers: Vec<Vec<u8>> = (0..200_u8).map(|n| vec![n; 20]).collect();
        board.say(&numbers);
        let arrived: Vec<u8> = board.queue.iter().map(|value| value[0]).collect();
        assert_eq!(board.tally.dropped + arrived.len() as u64, 200);
        arrived
    };
    assert_eq!(lost(1), lost(1));
    assert_ne!(lost(1), lost(2));
    // Binomial: 20 of 200 with a standard deviation of 4.2.
    assert!((165..=195).contains(&lost(1).len()), "{}", lost(1).len());
}

#[test]
fn what_is_said_is_cut_as_told() {
    let cut = |payload_bytes, merges| {
        let mut spec = peripheral(NAME, ADDRESS);
        spec.radio = Radio {
            payload_bytes,
            merges,
            ..spec.radio
        };
        let mut board = Board::new(spec);
        board.say(&[vec![1; 25], vec![2; 10]]);
        let lengths = board.queue.iter().map(Vec::len);
        lengths.collect::<Vec<_>>()
    };
    assert_eq!(cut(20, false), [20, 5, 10]);
    assert_eq!(cut(20, true), [20, 15]);
    assert_eq!(cut(244, false), [25, 10]);
}
