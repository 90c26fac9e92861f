//! Keeping and reading calibrations.

use std::fs;

use hubplumb_core::calibrate::{KeptAxis, KeptCalibration, LeftFigures};
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::SettledAxis;
use hubplumb_core::frames::Dir;
use time::{Duration, OffsetDateTime};

use super::*;

const BOARD: &str = "usb-1a86-7523-A17";

fn stored(board: &str) -> StoredCalibration {
    let matrix = [
        [1.01, 0.002, 0.0],
        [0.002, 0.99, -0.003],
        [0.0, -0.003, 1.02],
    ];
    let unit = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];
    StoredCalibration {
        board: board.to_owned(),
        date: OffsetDateTime::UNIX_EPOCH + Duration::days(20_000),
        kept: KeptCalibration {
            calibration: Calibration::from_parts([0.03, -0.02, 0.01], matrix, [0.0; 3], unit)
                .unwrap(),
            left: LeftFigures {
                accel_offset_g: 1.2e-4,
                accel_scale: 2.1e-4,
                accel_cross_rad: 1.9e-4,
                gyro_cross_rad: 0.02,
            },
            temperature_c: Some(24.5),
            settled: Some(KeptAxis {
                axis: SettledAxis {
                    along: Dir::z_axis(),
                    felt_g: hubplumb_core::frames::Vec3::new(0.02, 0.03, 0.0),
                    offset_g: 2.6e-4,
                },
                temperature_c: Some(25.5),
            }),
        },
        poses: 12,
        residual_rms_g: 1.1e-4,
        temperature_span_c: Some(1.5),
        covariance: vec![[1e-8; 9]; 9],
        settled_date: Some(OffsetDateTime::UNIX_EPOCH + Duration::days(20_010)),
    }
}

fn names(folder: &std::path::Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

#[test]
fn what_is_kept_is_read_again_and_nothing_else_is_left_in_the_folder() {
    let folder = tempfile::tempdir().unwrap();
    let store = CalibrationStore::at(folder.path().join("deep/down"));
    assert_eq!(store.load(BOARD), Ok(None));
    let first = StoredCalibration {
        kept: KeptCalibration {
            settled: None,
            temperature_c: None,
            ..stored(BOARD).kept
        },
        temperature_span_c: None,
        settled_date: None,
        ..stored(BOARD)
    };
    for kept in [first, stored(BOARD)] {
        store.keep(&kept).unwrap();
        assert_eq!(store.load(BOARD), Ok(Some(kept)));
    }
    assert_eq!(
        names(&folder.path().join("deep/down")),
        ["usb-1a86-7523-A17.toml"]
    );
}

#[test]
fn every_board_has_a_name_of_its_own_inside_the_folder() {
    let store = CalibrationStore::at("/store");
    let check = |board: &str, name: &str| {
        let file = store.file(board).unwrap();
        assert_eq!(file, std::path::Path::new("/store").join(name), "{board}");
    };
    check(BOARD, "usb-1a86-7523-A17.toml");
    check("/dev/ttyUSB0", "_2fdev_2fttyUSB0.toml");
    check("../../etc/passwd", "_2e._2f.._2fetc_2fpasswd.toml");
    check("a_2f", "a_5f2f.toml");
    check("ö", "_c3_b6.toml");
    for bad in ["", &"x".repeat(300)] {
        assert!(matches!(
            store.file(bad),
            Err(StoreError::NameTooLong { .. })
        ));
    }
}

#[test]
fn a_file_that_cannot_be_read_says_so_and_is_left_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let store = CalibrationStore::at(folder.path());
    let file = store.keep(&stored(BOARD)).unwrap();
    let good = fs::read_to_string(&file).unwrap();
    let check = |text: &str, part: &str| {
        fs::write(&file, text).unwrap();
        let error = store.load(BOARD).unwrap_err();
        let told = error.to_string();
        assert!(told.contains(part), "`{part}` is missing in {told}");
        for words in [
            told.clone(),
            error.meaning().stored(),
            error.remedy().stored(),
        ] {
            assert!(words.ends_with('.'), "{words}");
        }
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
    };
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from} in {good}");
        good.replacen(from, to, 1)
    };
    check(&good[..good.len() / 2], "is no calibration: line");
    check("", "missing field");
    check(&with("format = 1", "format = 2"), "format 2");
    check(&with("offset_g", "ofset_g"), "unknown field");
    check(&with(BOARD, "usb-other"), "`usb-other`");
    check(
        &with("accel_scale = 0.00021", "accel_scale = nan"),
        "no standard uncertainty",
    );
    check(&with("[0.03,", "[0.9,"), "accelerometer offset");
    check(&with("date = \"2024-", "date = \"soon-"), "no date");
    check(&with("mean_c = 24.5", "mean_c = 900.0"), "no chip works");
}

#[test]
fn a_broken_file_is_set_aside_when_another_is_kept() {
    let folder = tempfile::tempdir().unwrap();
    let store = CalibrationStore::at(folder.path());
    for broken in ["first", "second"] {
        fs::write(store.file(BOARD).unwrap(), broken).unwrap();
        store.keep(&stored(BOARD)).unwrap();
        assert_eq!(store.load(BOARD), Ok(Some(stored(BOARD))));
    }
    let file = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap();
    assert_eq!(file("usb-1a86-7523-A17.toml.unreadable-1"), "first");
    assert_eq!(file("usb-1a86-7523-A17.toml.unreadable-2"), "second");
}

#[test]
fn a_folder_that_cannot_be_is_told() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("a-file");
    fs::write(&file, "").unwrap();
    let error = CalibrationStore::at(&file)
        .keep(&stored(BOARD))
        .unwrap_err();
    assert!(matches!(error, StoreError::Unwritable { .. }), "{error}");
}

#[test]
fn ages_are_counted_in_days_from_each_date() {
    let now = OffsetDateTime::UNIX_EPOCH + Duration::days(20_030);
    let ages = stored(BOARD).ages(now.date());
    assert_eq!((ages.poses_days, ages.settled_days), (30.0, 20.0));
}
