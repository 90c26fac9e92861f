//! Eight boards at once, each with a format and a link of its own: two on the
//! steered wheels of a car that swings, six beside them.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::io::ErrorKind;
use std::time::Duration;

use hubplumb_sim::wire::bluetooth::{Bluetooth, BluetoothError};
use hubplumb_sim::{LiveSim, Scenario, Wheel};
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, skip};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(40);

/// Registers of an inclinometer, as scenario and configuration write them alike.
const REGISTERS: &str = "registers = { address = 3, function = 3, type = \"i16\", fields = [\
     { quantity = \"ax\", register = 0x34, unit = \"g\", scale = 0.00048828125 }, \
     { quantity = \"ay\", register = 0x35, unit = \"g\", scale = 0.00048828125 }, \
     { quantity = \"az\", register = 0x36, unit = \"g\", scale = 0.00048828125 }] }";
const VALUES: &str =
    "values = { type = \"f32\", fields = [\"ax\", \"ay\", \"az\", \"gx\", \"gy\", \"gz\"] }";

/// One board: where it sits in its simulation, its format with what is told of it, and its link.
struct OnLink {
    mount: &'static str,
    format: &'static str,
    told: &'static str,
    link: &'static str,
}

const fn on(
    mount: &'static str,
    format: &'static str,
    told: &'static str,
    link: &'static str,
) -> OnLink {
    OnLink {
        mount,
        format,
        told,
        link,
    }
}

/// Those of the car; the first two do the swing.
const CAR: [OnLink; 5] = [
    on("front_left", "compact", "", "link = \"tcp-server\""),
    on("front_right", "csv", "", ""),
    on("rear_left", "json-lines", "", "link = \"udp\""),
    on("rear_right", "xbus", "", "link = \"tcp-client\""),
    on(
        "body",
        "rvc",
        "",
        "link = { kind = \"bluetooth\", burst_ms = 40 }",
    ),
];
/// Those that lie on a bench beside it.
const BENCH: [OnLink; 3] = [
    on("front_left", "modbus", REGISTERS, ""),
    on("front_right", "values", VALUES, "link = \"udp\""),
    on("body", "mavlink", "", "link = \"tcp-server\""),
];

/// The shipped car with these boards in place of its own.
fn scenario(boards: &[OnLink]) -> Scenario {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let mut text = text[..text.find("[[board]]").expect("boards")].to_owned();
    for (index, board) in boards.iter().enumerate() {
        let comma = if board.told.is_empty() { "" } else { ", " };
        let z = if board.mount == "body" { "up" } else { "out" };
        write!(
            text,
            "[[board]]\nmount = \"{}\"\nmounting = {{ x = \"forward\", z = \"{z}\" }}\nrate_hz = 100\n\
             wire = {{ format = \"{}\"{comma}{} }}\n{}\nchip = {{ preset = \"good\" }}\n\
             clock = {{ offset_s = {}, rate_ppm = 15, jitter_us = 15 }}\n",
            board.mount,
            board.format,
            board.told,
            board.link,
            0.3 + index as f64,
        )
        .expect("a string takes text");
    }
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{text}\n{error}"))
}

/// The boards of a simulation as a configuration tells them. A format that can be
/// found by listening is found.
fn told(sim: &LiveSim, boards: &[OnLink], is_car: bool) -> String {
    let mut text = String::new();
    for (spec, board) in boards.iter().zip(sim.boards()) {
        let name = if is_car { spec.mount } else { spec.format };
        write!(
            text,
            "[[board]]\nname = \"{name}\"\nport = \"{}\"\n",
            board.port
        )
        .expect("a string takes text");
        if !spec.told.is_empty() {
            write!(text, "format = \"{}\"\n{}\n", spec.format, spec.told)
                .expect("a string takes text");
        }
        if spec.format == "modbus" {
            text.push_str("baud = 115200\n");
        }
        if is_car {
            writeln!(
                text,
                "mount = \"{}\"\nchip = \"good\"\ncalibration = {{ accel_offset_g = [0, 0, 0], gyro_offset_dps = [0, 0, 0] }}",
                spec.mount
            )
            .expect("a string takes text");
            let up = if spec.mount.ends_with("left") {
                "-y"
            } else {
                "+y"
            };
            if spec.mount != "body" {
                writeln!(
                    text,
                    "mounting = {{ outboard = \"+z\", up = \"{up}\", camber_standard_deg = 0.02, pitch_standard_deg = 0.02, heading_standard_deg = 0.1 }}"
                )
                .expect("a string takes text");
            }
        }
    }
    text
}

fn boards(state: &Value) -> BTreeMap<String, Value> {
    let boards = state["boards"].as_array().expect("boards");
    boards
        .iter()
        .map(|board| {
            (
                board["name"].as_str().unwrap_or_default().to_owned(),
                board.clone(),
            )
        })
        .collect()
}

#[test]
fn eight_boards_of_eight_formats_on_their_links_at_once() {
    if let Err(BluetoothError::Bus { source, .. }) = Bluetooth::start()
        && source.kind() == ErrorKind::NotFound
    {
        skip("eight boards at once", "dbus-daemon is not installed");
        return;
    }
    let folder = tempfile::tempdir().expect("a folder");
    let car = LiveSim::start(scenario(&CAR), &folder.path().join("car"), 1.0).expect("the car");
    let bench =
        LiveSim::start(scenario(&BENCH), &folder.path().join("bench"), 1.0).expect("the bench");
    let truth = car.truth();
    let toe = |wheel| truth.wheel(wheel).map_or(0.0, |wheel| wheel.toe_deg);
    let config = format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n[floor]\nstandard_deg = 0.02\n\
         [swing]\nhold_s = 3\nbody_roll_standard_deg = 0\nbody_pitch_standard_deg = 0\n\
         [swing.toe]\nfront_left_deg = {}\nfront_right_deg = {}\nstandard_deg = 0.03\n{}{}",
        toe(Wheel::FrontLeft),
        toe(Wheel::FrontRight),
        told(&car, &CAR, true),
        told(&bench, &BENCH, false),
    );
    let config = write_config(folder.path(), &config);
    let bus = car.bluetooth().map(Bluetooth::bus_address);
    let daemon = Daemon::start_on_bus(
        &["run", "--config", &config.to_string_lossy()],
        bus.as_deref(),
    );
    let state = daemon.wait("eight boards live", SOON, |state| {
        boards(state).values().all(|board| board["state"] == "live")
    });
    let before = boards(&state);
    assert_eq!(before.len(), 8);
    for (spec, name) in CAR
        .iter()
        .map(|spec| (spec, spec.mount))
        .chain(BENCH.iter().map(|spec| (spec, spec.format)))
    {
        let board = &before[name];
        assert_eq!(board["format"], spec.format, "{board:#}");
        // What was found by listening is called a guess, what was told is not.
        assert_eq!(board["format_is_guess"], spec.told.is_empty(), "{board:#}");
    }

    let (status, answer) = daemon.post("/api/v1/swing", &json!({ "steer_source": "gyro" }));
    assert_eq!(status, 202, "{answer:#}");
    let script = car.scenario().script().clone();
    let ends_s = car.drive(&script).expect("a script that can be driven");
    let lasts = Duration::from_secs_f64((ends_s - car.now_s()).max(0.0));
    let state = daemon.wait("the swing is over", lasts + SOON, |state| {
        ["done", "refused"]
            .iter()
            .any(|phase| state["swing"]["phase"] == **phase)
    });
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);

    for (wheel, mount) in [
        (Wheel::FrontLeft, "front_left"),
        (Wheel::FrontRight, "front_right"),
    ] {
        crate::swing::judge_by(&truth, &state, wheel, mount, 0.15);
    }
    // Camber of the wheels that do not steer, live, through two other formats.
    for (corner, mount) in [
        (Wheel::RearLeft, "rear_left"),
        (Wheel::RearRight, "rear_right"),
    ] {
        let wheels = state["wheels"].as_array().expect("wheels");
        let wheel = wheels
            .iter()
            .find(|wheel| wheel["mount"] == mount)
            .expect("a wheel");
        let wanted = truth.wheel(corner).expect("a wheel").camber_deg;
        let error = wheel["camber"]["value_deg"].as_f64().expect("known") - wanted;
        println!("{mount}: live camber off by {error:+.4}°");
        assert!(
            error.abs() <= wheel["camber"]["expanded_deg"].as_f64().expect("known"),
            "{wheel:#}"
        );
    }
    // None of the eight went out meanwhile, and hardly a frame was bad.
    for (name, now) in boards(&state) {
        assert_eq!(now["state"], "live", "{now:#}");
        let good = |board: &Value| board["good_frames"].as_u64().expect("a count");
        let got = good(&now) - good(&before[&name]);
        let counts = now["bad_frames"].as_array().expect("counts");
        let bad: u64 = counts.iter().filter_map(|one| one["count"].as_u64()).sum();
        println!(
            "{name:<12} {:<11} {got} readings, {bad} bad",
            now["format"].as_str().unwrap_or_default()
        );
        // Half a minute at 100 Hz; asked boards answer twenty times a second.
        assert!(
            got > if name == "modbus" { 400 } else { 2_000 },
            "{name}: {got}"
        );
        assert!(bad * 100 <= good(&now), "{name}: {bad} bad, {now:#}");
    }
}
