//! Boards over Bluetooth: the program with its real Bluetooth library, on a message bus
//! of the test's own where a stand-in for the system's Bluetooth service answers.

use std::io::ErrorKind;
use std::path::Path;
use std::time::Duration;

use hubplumb_protocol::WireFormat;
use hubplumb_sim::wire::bluetooth::{Bluetooth, BluetoothError, ConnectFault, MAKER, MODEL};
use hubplumb_sim::{LinkKind, LinkSpec, LiveSim, Mount, Scenario, Wheel};
use hubplumb_tests::garage::told_all;
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Garage, board, skip};
use serde_json::Value;

use crate::swing::judge;

const SOON: Duration = Duration::from_secs(30);
/// Silence of six seconds, a call on a dead bus that hangs for five, waits and a look.
const AFTER_AN_OUTAGE: Duration = Duration::from_secs(60);
const LEFT: &str = "hub front_left";

/// Is there a program for a message bus? Said aloud where there is none.
pub(super) fn can(what: &str) -> bool {
    match Bluetooth::start() {
        Err(BluetoothError::Bus { source, .. }) if source.kind() == ErrorKind::NotFound => {
            skip(what, "dbus-daemon is not installed");
            false
        }
        _ => true,
    }
}

/// Both boards of a scenario on one kind of link.
fn scenario(seed: u64, link: LinkSpec) -> Scenario {
    let mut scenario = Scenario::shipped("garage-good")
        .expect("shipped")
        .with_seed(seed);
    let format = WireFormat::from_name("csv", None).expect("a format");
    for mount in [Mount::FrontLeft, Mount::FrontRight] {
        scenario = scenario.with_wire(mount, &format, link);
    }
    scenario
}

/// Connection events every 40 ms and notifications as long as most adapters agree upon:
/// what lines of text at 100 Hz need.
fn on_air() -> LinkSpec {
    LinkSpec {
        burst_ms: 40.0,
        payload_bytes: Some(182),
        ..LinkSpec::of(LinkKind::Bluetooth)
    }
}

fn bluetooth(sim: &LiveSim) -> &Bluetooth {
    sim.bluetooth().expect("boards on Bluetooth")
}

/// Errors of all angles against the truth, in the order of the state.
fn swing(garage: &Garage) -> Vec<f64> {
    let state = garage.swing("gyro", &garage.script());
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    for (wheel, mount) in [
        (Wheel::FrontLeft, "front_left"),
        (Wheel::FrontRight, "front_right"),
    ] {
        judge(garage, &state, wheel, mount, 0.1);
    }
    let findings = state["findings"].as_array().expect("findings");
    let mut values: Vec<(String, f64)> = findings
        .iter()
        .map(|finding| {
            let name = format!("{} {}", finding["mount"], finding["angle"]);
            (name, finding["value_deg"].as_f64().expect("a number"))
        })
        .collect();
    values.sort_by(|one, other| one.0.cmp(&other.0));
    values.into_iter().map(|(_, value)| value).collect()
}

/// The same chips and the same car: what differs between two runs is at which of its
/// readings the car begins to move, so the noise of the readings. The narrowest of the
/// intervals is five times this wide.
const BETWEEN_LINKS_DEG: f64 = 0.01;

#[test]
fn a_swing_over_bluetooth_finds_what_serial_lines_give() {
    if !can("a swing over Bluetooth") {
        return;
    }
    let run = |link| move || swing(&Garage::open(scenario(41, link), &told_all));
    let (serial, on_air) = std::thread::scope(|scope| {
        let serial = scope.spawn(run(LinkSpec::default()));
        let on_air = scope.spawn(run(on_air()));
        (serial.join(), on_air.join())
    });
    let (serial, on_air) = (serial.expect("a swing"), on_air.expect("a swing"));
    assert_eq!((serial.len(), on_air.len()), (8, 8));
    for (one, other) in serial.iter().zip(&on_air) {
        println!("over Bluetooth {:+.4}° from serial", other - one);
        assert!((other - one).abs() < BETWEEN_LINKS_DEG, "{one} {other}");
    }
}

#[test]
fn a_swing_with_lost_notifications_counts_them_and_finds_the_truth() {
    if !can("lost notifications") {
        return;
    }
    let link = LinkSpec {
        loss_percent: 0.5,
        ..on_air()
    };
    let garage = Garage::open(scenario(42, link), &told_all);
    swing(&garage);
    let tally = bluetooth(&garage.sim).tally(LEFT).expect("a board");
    assert!(tally.dropped > 0, "{tally:?}");
}

/// The left board by its name, the right one by its address.
fn config(folder: &Path, more: &str) -> String {
    let ports = format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n\
         [[board]]\nport = \"ble:{LEFT}\"\nmount = \"front_left\"\nformat = \"csv\"\n\
         [[board]]\nport = \"ble:C0:FF:EE:00:00:02\"\nmount = \"front_right\"\nformat = \"csv\"\n{more}"
    );
    write_config(folder, &ports).to_string_lossy().into_owned()
}

struct Outages {
    sim: LiveSim,
    daemon: Daemon,
}

impl Outages {
    fn bluetooth(&self) -> &Bluetooth {
        bluetooth(&self.sim)
    }

    #[track_caller]
    fn all_live(&self, after: &str) -> Value {
        let state = self.daemon.wait(after, AFTER_AN_OUTAGE, |state| {
            let boards = state["boards"].as_array().expect("boards");
            boards.iter().all(|board| board["state"] == "live")
        });
        println!("live again: {after}");
        state
    }

    /// Charge, changes of it, signal, maker and model of a board can be seen.
    #[track_caller]
    fn tells_of_itself(&self) {
        let about = |wanted: &dyn Fn(&Value) -> bool| {
            let state = self.daemon.wait("what a board says", SOON, |state| {
                wanted(&board(state, "front_left")["about"])
            });
            board(&state, "front_left")["about"].clone()
        };
        let told = about(&|about| about["battery_percent"] == 87);
        assert_eq!(told["signal_dbm"], -58, "{told:#}");
        assert_eq!(
            (&told["maker"], &told["model"]),
            (&MAKER.into(), &MODEL.into())
        );
        self.bluetooth().set_battery(LEFT, 31).expect("told");
        about(&|about| about["battery_percent"] == 31);
    }

    /// Waits until a board is out, and for nothing else than this reason.
    #[track_caller]
    fn out(&self, mount: &str, codes: &[&str]) {
        let state = self.daemon.wait(codes[0], AFTER_AN_OUTAGE, |state| {
            let code = board(state, mount)["trouble"]["code"].as_str();
            code.is_some_and(|code| codes.contains(&code))
        });
        let trouble = &board(&state, mount)["trouble"];
        for key in ["what", "meaning", "remedy"] {
            let told = trouble[key].as_str();
            assert!(told.is_some_and(|text| text.len() > 10), "{trouble:#}");
        }
    }
}

#[test]
fn boards_come_back_after_every_outage_without_a_restart() {
    if !can("outages of Bluetooth") {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(scenario(43, on_air()), folder.path(), 1.0).expect("a car");
    let bus = bluetooth(&sim).bus_address();
    let config = config(folder.path(), "");
    let outages = Outages {
        daemon: Daemon::start_on_bus(&["run", "--config", &config], Some(&bus)),
        sim,
    };
    outages.all_live("by name and by address");
    outages.tells_of_itself();
    let tally = |name: &str| outages.bluetooth().tally(name).expect("a board");
    for name in [LEFT, "hub front_right"] {
        assert_eq!(tally(name).overlapping, 0, "one connects at a time");
    }

    // Two attempts fail in the ways BlueZ has, the third succeeds.
    let before = tally(LEFT).connects;
    let ways = [ConnectFault::InProgress, ConnectFault::AbortByLocal];
    outages
        .bluetooth()
        .fail_connects(LEFT, &ways)
        .expect("told");
    outages.bluetooth().drop_link(LEFT).expect("dropped");
    outages.out("front_left", &["bluetooth_failed", "bluetooth_ended"]);
    outages.all_live("the link of one dropped and twice did not come up");
    assert!(tally(LEFT).connects >= before + 3, "{:?}", tally(LEFT));

    outages.bluetooth().switch_adapter(false).expect("off");
    outages.out("front_left", &["bluetooth_off"]);
    outages.out("front_right", &["bluetooth_off"]);
    outages.bluetooth().switch_adapter(true).expect("on");
    outages.all_live("the adapter was off");

    outages.bluetooth().stop_bluez().expect("stopped");
    outages.out(
        "front_left",
        &["bluetooth_no_service", "bluetooth_no_adapter"],
    );
    outages.bluetooth().start_bluez().expect("started");
    outages.all_live("BlueZ was away");

    outages.bluetooth().kill_bus().expect("killed");
    outages.out(
        "front_left",
        &["bluetooth_no_service", "bluetooth_no_adapter"],
    );
    outages.bluetooth().restart_bus().expect("started");
    outages.all_live("the bus was away");

    outages.sim.unplug(Mount::FrontLeft).expect("without power");
    outages.out("front_left", &["bluetooth_failed", "bluetooth_not_seen"]);
    outages.sim.replug(Mount::FrontLeft).expect("with power");
    outages.all_live("one board was without power");
}

#[test]
fn without_a_bluetooth_service_it_is_told_and_a_serial_board_goes_on() {
    if !can("no Bluetooth service") {
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let bluetooth = Bluetooth::start().expect("a bus");
    bluetooth.stop_bluez().expect("stopped");
    let serial = scenario(44, LinkSpec::default());
    let sim = LiveSim::start(serial, folder.path(), 1.0).expect("a car");
    let more = format!(
        "[[board]]\nport = \"{}\"\nmount = \"body\"\nbaud = 115200\nformat = \"csv\"\n",
        sim.boards()[0].port
    );
    let config = config(folder.path(), &more);
    let bus = bluetooth.bus_address();
    let mut daemon = Daemon::start_on_bus(&["run", "--config", &config], Some(&bus));
    let state = daemon.wait("told, and live beside it", SOON, |state| {
        board(state, "front_left")["trouble"]["code"] == "bluetooth_no_service"
            && board(state, "body")["state"] == "live"
    });
    let remedy = &board(&state, "front_left")["trouble"]["remedy"];
    assert!(
        remedy
            .as_str()
            .is_some_and(|remedy| remedy.contains("bluez")),
        "{remedy}"
    );
    assert!(daemon.is_running());
}
