//! What a Bluetooth board is read by, what it tells of itself, and what is left behind.

use std::fmt::Write as _;
use std::fs;
use std::time::{Duration, Instant};

use hubplumb_protocol::WireFormat;
use hubplumb_sim::wire::bluetooth::{Bluetooth, MAKER, MODEL};
use hubplumb_sim::{Gatt, LinkKind, LinkSpec, LiveSim, Mount, Scenario};
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, board};
use serde_json::Value;
use tempfile::TempDir;

use crate::bluetooth::can;

const SOON: Duration = Duration::from_secs(40);
const SIDES: [(Mount, &str, &str); 2] = [
    (Mount::FrontLeft, "front_left", "hub front_left"),
    (Mount::FrontRight, "front_right", "hub front_right"),
];

/// A car with a board of each kind, and the daemon on its bus.
fn start(left: (Gatt, &str, u16), right: (Gatt, &str, u16)) -> (TempDir, LiveSim, Daemon) {
    let mut scenario = Scenario::shipped("garage-good").expect("shipped");
    let mut config = "[http]\nlisten = \"127.0.0.1:0\"\n".to_owned();
    for ((mount, place, name), (gatt, format, payload_bytes)) in
        SIDES.into_iter().zip([left, right])
    {
        let link = LinkSpec {
            gatt,
            payload_bytes: Some(payload_bytes),
            ..LinkSpec::of(LinkKind::Bluetooth)
        };
        let wire = WireFormat::from_name(format, None).expect("a format");
        scenario = scenario.with_wire(mount, &wire, link);
        write!(
            config,
            "[[board]]\nport = \"ble:{name}\"\nmount = \"{place}\"\nformat = \"{format}\"\n"
        )
        .expect("a string takes text");
    }
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(scenario, folder.path(), 1.0).expect("a car");
    let bus = sim.bluetooth().expect("boards on Bluetooth").bus_address();
    let config = write_config(folder.path(), &config);
    let daemon = Daemon::start_on_bus(&["run", "--config", &config.to_string_lossy()], Some(&bus));
    (folder, sim, daemon)
}

fn all_live(daemon: &Daemon) -> Value {
    daemon.wait("all live", SOON, |state| {
        let boards = state["boards"].as_array().expect("boards");
        boards.iter().all(|board| board["state"] == "live")
    })
}

#[test]
fn a_board_is_read_by_the_service_it_has_and_tells_of_itself() {
    if !can("what Bluetooth boards tell of themselves") {
        return;
    }
    for (left, right) in [
        (
            (Gatt::NordicUart, "csv", 182),
            (Gatt::Ahrs, "ahrs55-radio", 20),
        ),
        (
            (Gatt::Custom, "json-lines", 244),
            (Gatt::NordicUart, "compact", 182),
        ),
    ] {
        let (_folder, sim, mut daemon) = start(left, right);
        let air = sim.bluetooth().expect("boards on Bluetooth");
        let state = all_live(&daemon);
        for (_, place, name) in SIDES {
            let about = &board(&state, place)["about"];
            assert_eq!(about["battery_percent"], 87, "{about:#}");
            assert_eq!(about["signal_dbm"], -58, "{about:#}");
            assert_eq!(
                (&about["maker"], &about["model"]),
                (&MAKER.into(), &MODEL.into())
            );
            air.set_battery(name, 41).expect("a board");
        }
        daemon.wait("the new charge", SOON, |state| {
            SIDES
                .iter()
                .all(|(_, place, _)| board(state, place)["about"]["battery_percent"] == 41)
        });
        daemon.end(Duration::from_secs(15));
        for (_, _, name) in SIDES {
            assert!(!air.is_connected(name).expect("a board"), "{name} was kept");
        }
    }
}

/// Open files of a process, sockets among them.
fn open_files(pid: u32) -> usize {
    let all = fs::read_dir(format!("/proc/{pid}/fd")).expect("the process is there");
    all.count()
}

#[test]
fn attempts_without_a_service_leave_no_connection_to_the_bus_behind() {
    if !can("connections to the bus") {
        return;
    }
    let one = || (Gatt::NordicUart, "compact", 182);
    let (_folder, sim, daemon) = start(one(), one());
    all_live(&daemon);
    let air: &Bluetooth = sim.bluetooth().expect("boards on Bluetooth");
    air.stop_bluez().expect("stopped");
    let is_told = |state: &Value| {
        SIDES
            .iter()
            .all(|(_, place, _)| board(state, place)["trouble"]["code"] == "bluetooth_no_service")
    };
    daemon.wait("told", SOON, is_told);
    let before = open_files(daemon.pid());
    // Two boards that try every two seconds: sixteen attempts or so.
    let began = Instant::now();
    daemon.wait("many attempts", SOON, |_| {
        began.elapsed() > Duration::from_secs(16)
    });
    let after = open_files(daemon.pid());
    println!("{before} open files, {after} after many attempts");
    // One attempt may be under way: a runtime's three files and a socket.
    assert!(after <= before + 5, "{before} {after}");
    air.start_bluez().expect("started");
    all_live(&daemon);
}
