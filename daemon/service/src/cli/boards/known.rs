//! What Bluetooth and the kernel's chips tell of themselves, and how each is written.

use crate::text::Text;
use std::time::Duration;

use serde::Serialize;

use super::found::FoundBoard;
use super::search::Search;
use crate::http::views::TroubleView;
use crate::link::ble::{BleAddress, BleBoard, Seen, known_service};
use crate::link::{IioDevice, IioTree, Target};

/// How long Bluetooth is looked at. Most boards call out every second or oftener (common
/// practice, no source).
pub(super) const SCAN: Duration = Duration::from_secs(8);

/// What a way tells of a board.
#[derive(Debug, Clone, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Known {
    /// A device on Bluetooth.
    Bluetooth(BluetoothView),
    /// A chip that the kernel reads.
    Iio(IioView),
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct BluetoothView {
    address: String,
    name: Option<String>,
    signal_dbm: Option<i16>,
    /// The service known to carry a board's bytes, if it says that it has one.
    service: Option<&'static str>,
    connected: bool,
    /// The line of the configuration.
    write: String,
    #[serde(skip)]
    octets: [u8; 6],
}

#[derive(Debug, Clone, Serialize)]
pub(super) struct IioView {
    name: Option<String>,
    label: Option<String>,
    measures: Vec<&'static str>,
    buffered: bool,
    /// The line of the configuration; none where it measures no acceleration.
    write: Option<String>,
    #[serde(skip)]
    device: IioDevice,
}

impl Known {
    /// Is it what is meant by `target`?
    pub(super) fn is(&self, target: &Target) -> bool {
        match (self, target) {
            (Self::Bluetooth(seen), Target::Bluetooth(address)) => {
                address.is(seen.octets, seen.name.as_deref())
            }
            (Self::Iio(found), Target::Iio(name)) => found.device.answers_to(name),
            _ => false,
        }
    }

    /// Can anything be opened at all?
    pub(super) fn may_be_opened(&self) -> bool {
        !matches!(self, Self::Iio(IioView { write: None, .. }))
    }

    /// The same for a person, line by line.
    pub(super) fn words(&self, is_configured: bool) -> Vec<String> {
        let write = |write: &String| format!("write it as {write}");
        match self {
            Self::Bluetooth(seen) => {
                let signal = seen
                    .signal_dbm
                    .map_or_else(|| "no signal now".to_owned(), |dbm| format!("{dbm} dBm"));
                let service = match seen.service {
                    Some(name) => format!("carries bytes ({name} service)"),
                    None => "says of no service known to carry a board's bytes".to_owned(),
                };
                let connected = if seen.connected {
                    ", connected to this machine"
                } else {
                    ""
                };
                let told = format!("signal: {signal}, {service}{connected}");
                let write = (!is_configured).then(|| write(&seen.write));
                [told].into_iter().chain(write).collect()
            }
            Self::Iio(found) => {
                let measures: Vec<&str> = found.measures.iter().copied().map(measure).collect();
                let measures = if measures.is_empty() {
                    "nothing that is used here".to_owned()
                } else {
                    measures.join(", ")
                };
                let records = if found.buffered {
                    "; the kernel collects records of it"
                } else {
                    ""
                };
                let written = match &found.write {
                    Some(_) if is_configured => None,
                    Some(line) => Some(write(line)),
                    None => Some("no board: it measures no acceleration in three axes".to_owned()),
                };
                let told = format!("measures: {measures}{records}");
                [told].into_iter().chain(written).collect()
            }
        }
    }
}

fn measure(what: &str) -> &str {
    match what {
        "accel" => "acceleration in three axes",
        "anglvel" => "turn rate about three axes",
        "temp" => "temperature",
        other => other,
    }
}

/// The line of a configuration, as TOML quotes it.
fn line(target: &Target) -> String {
    format!("port = {}", toml::Value::String(target.to_string()))
}

/// A name out of the air, without what a terminal would obey.
fn harmless(name: &str) -> String {
    name.chars()
        .map(|letter| {
            if letter.is_control() {
                '\u{fffd}'
            } else {
                letter
            }
        })
        .collect()
}

/// What Bluetooth saw.
pub(super) struct Bluetooth {
    seen: Vec<Seen>,
}

impl Bluetooth {
    pub(super) fn new(seen: Vec<Seen>) -> Self {
        Self { seen }
    }
}

impl Search for Bluetooth {
    async fn look(mut self) -> Vec<FoundBoard> {
        // The service remembers devices that are long gone.
        self.seen
            .retain(|seen| seen.signal_dbm.is_some() || seen.connected);
        // What is most likely a board first, and of those the nearest.
        self.seen.sort_by_key(|seen| {
            let is_known = known_service(&seen.services).is_some();
            (!is_known, std::cmp::Reverse(seen.signal_dbm))
        });
        self.seen.iter().map(on_bluetooth).collect()
    }
}

/// Written by its address: boards of one kind often share one name.
fn on_bluetooth(seen: &Seen) -> FoundBoard {
    let address = BleAddress {
        board: BleBoard::Address(seen.address),
        characteristic: None,
    };
    let place = address.to_string();
    let target = Target::Bluetooth(address);
    let known = Some(Known::Bluetooth(BluetoothView {
        address: place.clone(),
        name: seen.name.clone(),
        signal_dbm: seen.signal_dbm,
        service: known_service(&seen.services),
        connected: seen.connected,
        write: line(&target),
        octets: seen.address,
    }));
    FoundBoard {
        product: seen.name.as_deref().map(harmless),
        known,
        stranger: true,
        ..FoundBoard::new("bluetooth", target.to_string(), target, place)
    }
}

/// Chips that the kernel reads.
pub(super) struct Iio {
    tree: IioTree,
}

impl Iio {
    pub(super) fn new(tree: IioTree) -> Self {
        Self { tree }
    }
}

impl Search for Iio {
    async fn look(self) -> Vec<FoundBoard> {
        let looked = tokio::task::spawn_blocking(move || {
            let devices = self.tree.devices().into_iter();
            devices
                .map(|device| of_kernel(&self.tree, device))
                .collect()
        });
        looked.await.unwrap_or_default()
    }
}

/// Written by its name, or where two share that by its label, or by the kernel's number.
fn of_kernel(tree: &IioTree, device: IioDevice) -> FoundBoard {
    let kernel_name = device.kernel_name();
    let is_only = |name: &&String| tree.find(name).len() == 1;
    let only = [&device.name, &device.label]
        .into_iter()
        .flatten()
        .find(is_only)
        .unwrap_or(&kernel_name)
        .clone();
    let target = Target::Iio(only);
    let measures = device.measures();
    let is_board = measures.contains(&"accel");
    let product = device.name.clone().or_else(|| device.label.clone());
    let known = Some(Known::Iio(IioView {
        name: device.name.clone(),
        label: device.label.clone(),
        buffered: device.is_buffered(),
        write: is_board.then(|| line(&target)),
        measures,
        device,
    }));
    FoundBoard {
        product,
        known,
        stranger: !is_board,
        ..FoundBoard::new("iio", target.to_string(), target, kernel_name)
    }
}

/// Told where Bluetooth was not looked at.
pub(super) fn bluetooth_left_out() -> TroubleView {
    TroubleView {
        code: "bluetooth_left_out".to_owned(),
        what: Text::from("Bluetooth was not looked at."),
        meaning: Text::from("Boards on it are not listed."),
        remedy: Text::from(format!(
            "Add --bluetooth where one may be there; it takes {} s and some air time.",
            SCAN.as_secs()
        )),
    }
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::super::found::{Found, FoundView, Looked};
    use super::super::search::Configured;
    use super::super::words::report;
    use super::*;
    use crate::config;
    use crate::link::ble::RadioTrouble;

    fn seen(last: u8, name: Option<&str>, signal_dbm: Option<i16>, service: u128) -> Seen {
        Seen {
            address: [0xc0, 0xff, 0xee, 0, 0, last],
            name: name.map(str::to_owned),
            signal_dbm,
            services: vec![uuid::Uuid::from_u128(service)],
            connected: false,
        }
    }

    /// Nordic UART's service.
    const NORDIC: u128 = 0x6e40_0001_b5a3_f393_e0a9_e50e_24dc_ca9e;

    async fn found(looked: Result<Vec<Seen>, RadioTrouble>, config: &str) -> FoundView {
        let configured = config::parse(config, "car.toml".as_ref()).unwrap().boards;
        let mut found = Found::default();
        found.bluetooth = match looked {
            Ok(seen) => {
                found.add(Bluetooth::new(seen).look().await);
                Looked::Seen
            }
            Err(trouble) => Looked::Trouble(trouble),
        };
        let radio = match &found.bluetooth {
            Looked::Trouble(trouble) => Some(trouble.clone()),
            _ => None,
        };
        found.add(Configured::new(&configured, radio.as_ref()).look().await);
        found.name(&configured);
        FoundView::new(&found, &[])
    }

    const HUB: &str = "[[board]]\nname = \"left hub\"\nport = \"ble:hub\"\n";

    #[tokio::test]
    async fn boards_on_bluetooth_are_listed_the_likeliest_and_nearest_first() {
        let view = found(
            Ok(vec![
                seen(1, Some("bad\u{1b}name"), Some(-40), 7),
                seen(2, Some("hub"), Some(-71), NORDIC),
                seen(3, None, Some(-61), NORDIC),
                seen(4, Some("long gone"), None, NORDIC),
            ]),
            "",
        )
        .await;
        assert!(!view.has_trouble());
        let json = serde_json::to_value(&view).unwrap();
        let boards = json["boards"].as_array().unwrap();
        let order: Vec<_> = boards.iter().map(|board| &board["id"]).collect();
        assert_eq!(
            order,
            [
                "ble:C0:FF:EE:00:00:03",
                "ble:C0:FF:EE:00:00:02",
                "ble:C0:FF:EE:00:00:01"
            ]
        );
        assert_eq!(boards[1]["bluetooth"]["signal_dbm"], -71);
        assert_eq!(boards[1]["bluetooth"]["service"], "Nordic UART");
        let told = report(&view);
        assert!(!told.contains('\u{1b}'), "{told}");
        for part in [
            "bluetooth: C0:FF:EE:00:00:02, hub\n",
            "-71 dBm, carries bytes (Nordic UART service)",
            "port = \"ble:C0:FF:EE:00:00:02\"",
            "says of no service",
        ] {
            assert!(told.contains(part), "`{part}` is missing in {told}");
        }
    }

    #[tokio::test]
    async fn a_configured_board_is_known_by_its_name_or_missed() {
        let there = found(Ok(vec![seen(2, Some("hub"), Some(-71), NORDIC)]), HUB).await;
        assert!(!there.has_trouble());
        assert_eq!(there.boards.len(), 1);
        assert_eq!(there.boards[0].configured_as.as_deref(), Some("left hub"));
        assert_eq!(there.boards[0].id, "ble:hub");
        let missed = found(Ok(Vec::new()), HUB).await;
        assert_eq!(missed.boards[0].troubles[0].code, "bluetooth_not_seen");
    }

    #[tokio::test]
    async fn a_trouble_of_the_radio_is_told_once() {
        for config in ["", HUB] {
            let view = found(Err(RadioTrouble::NoAdapter), config).await;
            assert!(view.has_trouble());
            let told = report(&view);
            assert_eq!(
                told.matches("There is no Bluetooth adapter.").count(),
                1,
                "{told}"
            );
        }
    }

    #[test]
    fn left_out_is_told_and_no_trouble() {
        let view = FoundView::new(&Found::default(), &[]);
        assert!(!view.has_trouble());
        assert!(report(&view).contains("Add --bluetooth"));
    }

    fn device(root: &Path, number: u32, name: &str, files: &[&str]) {
        let folder = root.join(format!("sys/bus/iio/devices/iio:device{number}"));
        fs::create_dir_all(&folder).unwrap();
        fs::write(folder.join("name"), format!("{name}\n")).unwrap();
        for file in files {
            fs::write(folder.join(file), "0\n").unwrap();
        }
    }

    #[tokio::test]
    async fn chips_of_the_kernel_are_listed_with_what_they_measure() {
        let root = tempfile::tempdir().unwrap();
        let accel = ["in_accel_x_raw", "in_accel_y_raw", "in_accel_z_raw"];
        device(root.path(), 0, "twin", &accel);
        device(root.path(), 1, "twin", &accel);
        device(
            root.path(),
            2,
            "lone",
            &[&accel[..], &["in_temp_raw"]].concat(),
        );
        device(root.path(), 3, "light", &["in_illuminance_raw"]);
        let mut found = Found::default();
        found.add(Iio::new(IioTree::at(root.path())).look().await);
        let strangers: Vec<_> = found.boards.iter().map(|board| board.stranger).collect();
        assert_eq!(strangers, [false, false, false, true]);
        let view = FoundView::new(&found, &[]);
        assert!(!view.has_trouble());
        let json = serde_json::to_value(&view).unwrap();
        let boards = json["boards"].as_array().unwrap().iter();
        let write: Vec<_> = boards.map(|board| board["iio"]["write"].as_str()).collect();
        assert_eq!(
            write,
            [
                Some("port = \"iio:device0\""),
                Some("port = \"iio:device1\""),
                Some("port = \"iio:lone\""),
                None
            ]
        );
        let told = report(&view);
        for part in [
            "acceleration in three axes, temperature",
            "no board: it measures no acceleration",
        ] {
            assert!(told.contains(part), "`{part}` is missing in {told}");
        }
    }
}
