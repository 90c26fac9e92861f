use hubplumb_core::chip::Chip;

use super::*;

/// Checks that `text` is refused at `line` under `key`, for a reason that holds `what`, with a fix.
pub(super) fn check(text: &str, line: usize, key: &str, what: &str) {
    match parse(text, "car.toml".as_ref()) {
        Err(ConfigError::Wrong { faults }) => {
            let told = faults
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .join("\n");
            let hit = faults
                .iter()
                .find(|fault| fault.line == line && fault.key == key && fault.what.contains(what));
            let hit = hit.unwrap_or_else(|| {
                panic!("expected line {line}, key {key}, `{what}`; told:\n{told}")
            });
            assert!(!hit.fix.is_empty());
            assert!(told.starts_with("car.toml:"), "{told}");
            assert_eq!(faults.len(), 1, "{told}");
        }
        other => panic!("{text}\nis taken as {other:?}"),
    }
}

#[test]
fn each_error_names_line_key_and_reason() {
    check("[http]\nlisen = \"x\"", 2, "http.lisen", "unknown field");
    check(
        "[http]\nlisten = \"everywhere\"",
        2,
        "http.listen",
        "not an address",
    );
    check(
        "[http]\nlisten = 8710",
        2,
        "http.listen",
        "expected a string",
    );
    check(
        "[log]\nfilter = \"hubplumb=loud\"",
        2,
        "log.filter",
        "not understood",
    );
    check("[log]\nformat = \"xml\"", 2, "log.format", "no log format");
    check(
        "[floor]\nroll_deg = 45.0",
        2,
        "floor.roll_deg",
        "outside -10 to 10",
    );
    check(
        "[floor]\nstandard_deg = nan",
        2,
        "floor.standard_deg",
        "outside 0 to 10",
    );
    check("[swing]\nhold_s = 0", 2, "swing.hold_s", "outside 1 to 60");
    check("[swing]\nhold_s = 4\nhold_s = 5", 3, "", "duplicate key");
    check(
        "[swing.toe]\nfront_left_deg = \"0.1\"",
        2,
        "swing.toe.front_left_deg",
        "invalid type: string",
    );
    check(
        "[[board]]\nname = \"a\"",
        1,
        "board[0]",
        "nothing says how this board is found",
    );
    check(
        "[[board]]\nid = \"a\"\nport = \"/dev/b\"",
        3,
        "board[0].port",
        "both are given",
    );
    check(
        "[[board]]\nid = \"a\"\nmount = \"roof\"",
        3,
        "board[0].mount",
        "no mount `roof`",
    );
    check(
        "[[board]]\nid = \"a\"\nbaud = 7",
        3,
        "board[0].baud",
        "no speed",
    );
    check(
        "[[board]]\nid = \"a\"\nbaud = \"9600\"",
        3,
        "board[0].baud",
        "invalid type: string",
    );
    check(
        "[[board]]\nid = \"a\"\nchip = \"gold\"",
        3,
        "board[0].chip",
        "no chip `gold`",
    );
    check(
        "[[board]]\nid = \"a\"\nformat = \"morse\"",
        3,
        "board[0].format",
        "morse",
    );
    check(
        "[[board]]\nid = \"a\"\n[[board]]\nid = \"a\"",
        4,
        "board[1].id",
        "two boards are said to be `a`",
    );
    check(
        "[[board]]\nid = \"a\"\nmount = \"body\"\n[[board]]\nport = \"b\"\nmount = \"body\"",
        6,
        "board[1].mount",
        "two boards are said to be strapped",
    );
    check("[http", 1, "", "");
}

#[test]
fn a_way_to_a_board_that_is_none_names_its_line() {
    for (port, what) in [
        ("tcp:board", "`board` has no port"),
        ("udp:localhost:9000", "no address of this machine"),
        ("tcp-listen:0.0.0.0:9000/board", "no address of a board"),
        ("iio:", "which device of the kernel"),
        ("", "nothing says how"),
    ] {
        let text = format!("[[board]]\nport = \"{port}\"");
        check(&text, 2, "board[0].port", what);
    }
}

#[test]
fn boards_share_a_port_only_where_they_are_told_apart() {
    let two = |first: &str, second: &str| {
        format!("[[board]]\nport = \"{first}\"\n[[board]]\nport = \"{second}\"")
    };
    let apart = two("udp:9000/10.0.0.7", "udp:127.0.0.1:9000/10.0.0.8");
    assert!(parse(&apart, "car.toml".as_ref()).is_ok());
    // One place in two spellings.
    check(
        &two("udp:9000", "udp:127.0.0.1:9000"),
        4,
        "board[1].port",
        "two boards are said to be `udp:127.0.0.1:9000`",
    );
}

#[test]
fn each_error_of_a_mounting_names_its_key() {
    let check = |mounting: &str, key: &str, what: &str| {
        check(
            &format!("[[board]]\nid = \"a\"\nmount = \"front_left\"\n{mounting}"),
            4,
            key,
            what,
        );
    };
    check(
        "mounting = { up = \"+z\", outboard = \"left\" }",
        "board[0].mounting.outboard",
        "no direction",
    );
    check(
        "mounting = { up = \"+z\", outboard = \"-z\" }",
        "board[0].mounting.outboard",
        "same line",
    );
    check(
        "mounting = { up = \"+z\", spin_axis = [0, 0, 0] }",
        "board[0].mounting.spin_axis",
        "no direction",
    );
    check(
        "mounting = { up = \"+z\" }",
        "board[0].mounting",
        "has to be given once",
    );
    check(
        "mounting = { outboard = \"+z\" }",
        "board[0].mounting",
        "which side of the board is up",
    );
    check(
        "mounting = { up = \"+z\", outboard = \"+y\", camber_standard_deg = -1 }",
        "board[0].mounting.camber_standard_deg",
        "outside 0 to 10",
    );
    check(
        "calibration = { accel_offset_g = [0, 0] }",
        "board[0].calibration.accel_offset_g",
        "invalid length",
    );
    check(
        "calibration = { accel_offset_g = [0, 0, 9.8] }",
        "board[0].calibration",
        "accelerometer offset is 9.8",
    );
    check(
        "calibration = { }",
        "board[0].calibration",
        "holds no number",
    );
}

#[test]
fn an_axis_away_from_the_car_stands_alone() {
    let text = |mounting: &str| {
        format!("[[board]]\nid = \"a\"\nmount = \"front_left\"\nmounting = {mounting}")
    };
    let config = parse(&text("{ away = \"-y\" }"), "car.toml".as_ref()).unwrap();
    assert_eq!(config.boards[0].away, Some(BoardAxis::YMinus));
    assert_eq!(config.boards[0].mounting, None);
    check(
        &text("{ away = \"+z\", up = \"+y\" }"),
        4,
        "board[0].mounting.away",
        "says more",
    );
    check(
        &text("{ away = \"out\" }"),
        4,
        "board[0].mounting.away",
        "no direction",
    );
}

#[test]
fn a_mounting_needs_a_wheel() {
    check(
        "[[board]]\nid = \"a\"\nmounting = { up = \"+z\", outboard = \"+y\" }",
        3,
        "board[0].mounting",
        "no mount",
    );
    check(
        "[[board]]\nid = \"a\"\nmount = \"body\"\nmounting = { up = \"+z\", outboard = \"+y\" }",
        4,
        "board[0].mounting",
        "no wheel",
    );
}

#[test]
fn all_faults_are_told_at_once_in_order_of_lines() {
    let text = "[[board]]\nid = \"a\"\nmount = \"roof\"\nchip = \"gold\"\n[swing]\nhold_s = 0\n";
    let Err(ConfigError::Wrong { faults }) = parse(text, "car.toml".as_ref()) else {
        panic!("taken")
    };
    assert_eq!(
        faults.iter().map(|fault| fault.line).collect::<Vec<_>>(),
        [3, 4, 6]
    );
}

#[test]
fn too_many_boards_are_refused() {
    use std::fmt::Write as _;
    let mut text = String::new();
    for index in 0..=MOST_BOARDS {
        let _ = write!(text, "[[board]]\nid = \"b{index}\"\n");
    }
    check(&text, 2 * MOST_BOARDS + 1, "board[16]", "at most 16");
}

#[test]
fn a_missing_file_is_told_with_a_fix() {
    let error = load("/nowhere/car.toml".as_ref()).unwrap_err();
    assert!(
        matches!(&error, ConfigError::Unreadable { fix, .. } if fix.contains("example")),
        "{error}"
    );
}

#[test]
fn a_fault_in_a_calibration_file_names_that_file() {
    let folder = tempfile::tempdir().unwrap();
    let car = folder.path().join("car.toml");
    std::fs::write(
        &car,
        "[[board]]\nid = \"a\"\ncalibration = { file = \"left.toml\" }",
    )
    .unwrap();
    assert!(
        matches!(load(&car), Err(ConfigError::Unreadable { .. })),
        "the file is not there yet"
    );
    std::fs::write(
        folder.path().join("left.toml"),
        "accel_ofset_g = [0.0, 0.0, 0.0]",
    )
    .unwrap();
    let Err(ConfigError::Wrong { faults }) = load(&car) else {
        panic!("taken")
    };
    assert!(faults[0].file.ends_with("left.toml"));
    std::fs::write(
        folder.path().join("left.toml"),
        "accel_offset_g = [0.01, 0.0, 0.0]",
    )
    .unwrap();
    assert!(load(&car).unwrap().boards[0].calibration.is_done());
}

#[test]
fn an_empty_file_is_the_default() {
    assert_eq!(parse("", "car.toml".as_ref()), Ok(Config::default()));
}

#[test]
fn the_example_is_sound_and_shows_every_kind_of_board() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../docs/hubplumb.example.toml"
    );
    let config = load(path.as_ref()).unwrap_or_else(|error| panic!("{error}"));
    assert!(
        config
            .boards
            .iter()
            .any(|board| board.calibration.is_done())
    );
    assert!(
        config
            .boards
            .iter()
            .any(|board| board.format.is_none() && board.baud.is_none())
    );
    assert!(
        config
            .boards
            .iter()
            .any(|board| board.mount == Some(Mount::Body))
    );
    assert_eq!(config.http, HttpConfig::default());
}

#[test]
fn figures_of_one_chip_stand_in_place_of_its_class() {
    let text =
        "[[board]]\nport = \"p\"\nchip = \"good\"\n[board.figures]\naccel_noise_ug_rthz = 55\n";
    let chip = parse(text, "car.toml".as_ref()).unwrap().boards[0].chip;
    assert!((chip.accel_noise_g_rthz - 55e-6).abs() < 1e-18, "{chip:?}");
    assert_eq!(chip.accel_offset_g, ChipFigures::GOOD.accel_offset_g);
    let board = |line: &str| format!("[[board]]\nport = \"p\"\n[board.figures]\n{line}\n");
    check(
        &board("gyro_drift_dps = -1"),
        4,
        "board[0].figures.gyro_drift_dps",
        "-1 is no such figure",
    );
    check(
        &board("accel_noise_ug_rthz = nan"),
        4,
        "board[0].figures.accel_noise_ug_rthz",
        "no such figure",
    );
    check(
        &board("noise = 3"),
        4,
        "board[0].figures.noise",
        "unknown field",
    );
}

#[test]
fn a_chip_by_its_name_is_raw_until_it_is_calibrated() {
    let chip_of = |more: &str| {
        let text = format!("[[board]]\nport = \"p\"\nchip = \"LSM6DSO\"\n{more}");
        parse(&text, "car.toml".as_ref()).unwrap().boards[0].chip
    };
    let sheet = Chip::named("lsm6dso").unwrap();
    assert_eq!(chip_of(""), sheet.figures(false));
    let calibrated = "[board.calibration]\naccel_offset_g = [0.01, 0.0, 0.0]\n";
    assert_eq!(chip_of(calibrated), sheet.figures(true));
    // One's own figure stands in place of the sheet's.
    let own = chip_of("[board.figures]\naccel_offset_mg = 5\n");
    assert_eq!(
        own,
        ChipFigures {
            accel_offset_g: 5e-3,
            ..sheet.figures(false)
        }
    );
}
