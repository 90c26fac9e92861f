//! Boards whose formats are told or asked, behind real pseudo-terminals.

use std::path::Path;
use std::time::Duration;

use hubplumb_sim::{LiveSim, Scenario};
use hubplumb_tests::run;

const SOON: Duration = Duration::from_secs(20);

/// Where each board sits, its format, and what is told of it.
const BOARDS: [(&str, &str, &str); 3] = [
    (
        "front_left",
        "nmea",
        "sentences = { sentence = [{ name = \"PRDID\", fields = [\"roll\", \"pitch\", \"-\"] }] }",
    ),
    (
        "front_right",
        "modbus",
        "registers = { address = 3, function = 3, type = \"i16\", fields = [\
         { quantity = \"ax\", register = 0x34, unit = \"g\", scale = 0.00048828125 }, \
         { quantity = \"ay\", register = 0x35, unit = \"g\", scale = 0.00048828125 }, \
         { quantity = \"az\", register = 0x36, unit = \"g\", scale = 0.00048828125 }] }",
    ),
    ("body", "bno055", ""),
];

fn scenario() -> Scenario {
    let car = "name = \"still\"\nseed = 5\nscript = [{ rest_s = 2 }]\n[car]\nname = \"Bench\"\n\
               track_mm = 1500\nwheelbase_mm = 2500\nwheel_radius_mm = 300\n";
    let wheel = |wheel: &str| {
        format!("[car.{wheel}]\ncaster_deg = 5\nsai_deg = 12\ncamber_deg = -1\ntoe_deg = 0\n")
    };
    let board = |(mount, format, told): (&str, &str, &str)| {
        let comma = if told.is_empty() { "" } else { ", " };
        format!(
            "[[board]]\nmount = \"{mount}\"\nmounting = {{ x = \"forward\", z = \"up\" }}\n\
             rate_hz = 100\nchip = {{ preset = \"ideal\" }}\n\
             wire = {{ format = \"{format}\"{comma}{told} }}\n"
        )
    };
    let text = [car]
        .map(str::to_owned)
        .into_iter()
        .chain(["front_left", "front_right"].map(wheel))
        .chain(BOARDS.map(board))
        .collect::<String>();
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{text}\n{error}"))
}

/// The same boards as a configuration tells them.
fn configuration(folder: &Path) -> String {
    let board = |(mount, format, told): (&str, &str, &str)| {
        let port = folder.join(mount);
        let port = port.display();
        format!(
            "[[board]]\nport = \"{port}\"\nbaud = 115200\nmount = \"{mount}\"\n\
             format = \"{format}\"\n{told}\n"
        )
    };
    BOARDS.map(board).concat()
}

#[test]
fn told_and_asked_boards_are_checked_and_watched_by_their_configuration() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(scenario(), folder.path(), 1.0).expect("starts");
    let file = folder.path().join("car.toml");
    std::fs::write(&file, configuration(folder.path())).expect("writable");
    let file = file.to_string_lossy().into_owned();
    let checked = run(&["check", &file], SOON);
    assert_eq!(checked.code, Some(0), "{checked:?}");
    for board in sim.boards() {
        let port = board.path.to_string_lossy().into_owned();
        let name = board.wire_format.name();
        assert!(
            checked.stdout.contains(&format!("format {name}")),
            "{checked:?}"
        );
        let watched = run(&["watch", &port, "--config", &file, "--count", "10"], SOON);
        assert_eq!(watched.code, Some(0), "{name}: {watched:?}");
        assert_eq!(watched.stdout.lines().count(), 10, "{name}: {watched:?}");
        let told = if name == "nmea" { "attitude" } else { "accel" };
        assert!(
            watched.stdout.lines().all(|line| line.starts_with(told)),
            "{name}: {watched:?}"
        );
    }
}

#[test]
fn a_board_that_must_be_asked_is_refused_without_its_speed() {
    let refused = run(&["watch", "/dev/ttyNOWHERE", "--format", "bno055"], SOON);
    assert_eq!(refused.code, Some(2), "{refused:?}");
    assert!(refused.stderr.contains("--baud"), "{refused:?}");
    let refused = run(&["watch", "/dev/ttyNOWHERE", "--format", "modbus"], SOON);
    assert_eq!(refused.code, Some(2), "{refused:?}");
    assert!(refused.stderr.contains("[board.registers]"), "{refused:?}");
}
