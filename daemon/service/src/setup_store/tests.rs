//! Keeping and reading what was said of the boards.

use std::fs;

use hubplumb_core::mounting::BoardAxis;

use super::*;
use crate::board::Sits;
use crate::mount::Mount;

fn said() -> Vec<PlacedBoard> {
    let seat = |mount, sits| Seat::new(Some(mount), sits).unwrap();
    let face = Sits::Face {
        outboard: BoardAxis::ZPlus,
        up: BoardAxis::YMinus,
    };
    vec![
        PlacedBoard {
            name: Some("the blue one".to_owned()),
            seat: seat(Mount::FrontLeft, Some(face)),
            ..PlacedBoard::unknown("usb-1a86-7523-A17".to_owned())
        },
        PlacedBoard {
            reached: Some("udp:0.0.0.0:9000".parse().unwrap()),
            format: Some(WireFormat::Ahrs55),
            seat: seat(Mount::RearRight, Some(Sits::Away(BoardAxis::XMinus))),
            ..PlacedBoard::unknown("udp:0.0.0.0:9000".to_owned())
        },
        PlacedBoard {
            reached: Some("ble:hub 3".parse().unwrap()),
            seat: Seat::on(Mount::Body),
            ..PlacedBoard::unknown("ble:hub 3".to_owned())
        },
    ]
}

fn store() -> (tempfile::TempDir, SetupStore) {
    let folder = tempfile::tempdir().unwrap();
    let store = SetupStore::beside(&CalibrationStore::at(folder.path()));
    (folder, store)
}

#[test]
fn what_is_kept_is_read_again_and_boards_of_which_nothing_is_said_are_left_out() {
    let (_folder, store) = store();
    assert_eq!(store.load(), Ok(Vec::new()));
    let mut boards = said();
    boards.push(PlacedBoard::unknown("ttyUSB3".to_owned()));
    store.keep(&boards).unwrap();
    assert_eq!(store.load(), Ok(said()));
    store.keep(&[]).unwrap();
    assert_eq!(store.load(), Ok(Vec::new()));
}

#[test]
fn a_file_that_is_no_set_up_says_so_is_left_and_is_set_aside_for_the_next() {
    let (folder, store) = store();
    store.keep(&said()).unwrap();
    let file = folder.path().join(FILE);
    let good = fs::read_to_string(&file).unwrap();
    let check = |text: &str, part: &str| {
        fs::write(&file, text).unwrap();
        let told = store.load().unwrap_err().to_string();
        assert!(told.contains(part), "`{part}` is missing in {told}");
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
    };
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from} in {good}");
        good.replacen(from, to, 1)
    };
    check("", "missing field");
    check("format = 7\nsomething = 3\n", "format 7");
    check(&with("rear_right", "roof"), "no mount `roof`");
    check(&with("rear_right", "front_left"), "on one mount");
    check(&with("udp:0.0.0.0:9000", "usb-1a86-7523-A17"), "twice");
    check(&with("up = \"-y\"", "up = \"-z\""), "one line");
    check(&with("mount = \"body\"", "outboard = \"+z\""), "no wheel");
    check(
        &with("\"ble:hub 3\"\nmount", "\"tcp:\"\nmount"),
        "`ble:hub 3`",
    );
    check(&good[..good.len() - 20], "is no set-up");

    store.keep(&said()).unwrap();
    assert_eq!(store.load(), Ok(said()));
    let aside = folder.path().join("set-up/boards.toml.unreadable-1");
    assert!(aside.exists());
}

#[test]
fn a_place_that_cannot_be_written_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a-file");
    fs::write(&file, "").unwrap();
    let store = SetupStore::beside(&CalibrationStore::at(&file));
    let refused = store.keep(&said());
    assert!(
        matches!(refused, Err(SetupError::Unwritable { .. })),
        "{refused:?}"
    );
}
