//! Boards on a made-up tree of ports.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Child, Command};

use hubplumb_protocol::WireFormat;
use tempfile::TempDir;
use time::OffsetDateTime;

use super::found::{Found, FoundView};
use super::search::{Search, Serial};
use super::words::report;
use crate::calibration_store::CalibrationStore;
use crate::config;
use crate::link::{Holder, Membership, OpenError, Permission, PortTree};
use crate::speech_store::{RememberedSpeech, SpeechStore};

/// A tree with one USB adapter, and one port that has a name and nothing else.
fn tree() -> TempDir {
    let root = tempfile::tempdir().unwrap();
    let at = |path: &str| root.path().join(path);
    let device = at("sys/devices/usb1/1-1");
    fs::create_dir_all(device.join("1-1:1.0/ttyUSB0/tty/ttyUSB0")).unwrap();
    for (name, text) in [
        ("idVendor", "1a86"),
        ("idProduct", "7523"),
        ("product", "USB Serial"),
        ("serial", "A17"),
    ] {
        fs::write(device.join(name), format!("{text}\n")).unwrap();
    }
    fs::create_dir_all(at("sys/class/tty/ttyUSB0")).unwrap();
    symlink(
        device.join("1-1:1.0/ttyUSB0"),
        at("sys/class/tty/ttyUSB0/device"),
    )
    .unwrap();
    fs::create_dir(at("dev")).unwrap();
    for name in ["ttyUSB0", "ttyACM3", "null"] {
        fs::write(at("dev").join(name), "").unwrap();
    }
    root
}

async fn look(root: &Path) -> Found {
    let mut found = Found::default();
    found.add(Serial::new(PortTree::at(root)).look().await);
    found
}

struct Held(Child);

impl Drop for Held {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[tokio::test]
async fn ports_are_listed_with_what_is_known_of_them() {
    let root = tree();
    let mut found = look(root.path()).await;
    let kept = tempfile::tempdir().unwrap();
    let store = SpeechStore::beside(&CalibrationStore::at(kept.path()));
    let date = OffsetDateTime::UNIX_EPOCH + time::Duration::days(20_000);
    let remembered = RememberedSpeech {
        date,
        baud: Some(57_600),
        format: Some(WireFormat::Ahrs55),
        why: None,
    };
    store.keep("usb-1a86-7523-A17", &remembered).unwrap();
    found.recall(&store);
    let view = FoundView::new(&found, &[]);
    assert!(!view.has_trouble());
    let told = report(&view);
    for part in [
        "usb-1a86-7523-A17\n",
        "ttyUSB0, USB Serial\n",
        "remembered from 2024-10-04: 57600 baud (a guess), format ahrs55 (a guess)\n",
        "ttyACM3\n",
        "free, and may be opened",
        "restarts boards",
    ] {
        assert!(told.contains(part), "`{part}` is missing in {told}");
    }
    let json = serde_json::to_value(&view).unwrap();
    assert_eq!(json["boards"].as_array().unwrap().len(), 2);
    let board = &json["boards"][1];
    assert_eq!(board["id"], "usb-1a86-7523-A17");
    assert_eq!(board["way"], "serial");
    assert_eq!(board["remembered"]["speech"]["baud"], 57_600);
    assert_eq!(board["heard"], serde_json::Value::Null);
}

#[tokio::test]
async fn a_port_that_another_program_has_names_it() {
    let root = tree();
    let port = root.path().join("dev/ttyUSB0");
    let child = Command::new("sleep")
        .arg("60")
        .stdin(fs::File::open(&port).unwrap())
        .spawn()
        .unwrap();
    let pid = child.id();
    let _held = Held(child);
    let found = look(root.path()).await;
    let view = FoundView::new(&found, &[]);
    assert!(view.has_trouble());
    let told = report(&view);
    assert!(told.contains(&format!("(process {pid})")), "{told}");
    let json = serde_json::to_value(&view).unwrap();
    assert_eq!(json["boards"][1]["held_by"]["pid"], pid);
    assert_eq!(json["boards"][1]["troubles"][0]["code"], "port_in_use");
}

#[tokio::test]
async fn a_port_that_may_not_be_opened_names_its_own_group() {
    let root = tree();
    let mut found = look(root.path()).await;
    for group in ["dialout", "uucp", "plugdev"] {
        found.boards[1].refused = Some(OpenError::Denied {
            port: "/dev/ttyUSB0".to_owned(),
            permission: Permission {
                group: group.to_owned(),
                user: "ada".to_owned(),
                membership: Membership::Outside,
                mode: 0o660,
            },
        });
        let told = report(&FoundView::new(&found, &[]));
        let fix = format!("sudo usermod -aG {group} ada");
        assert!(told.contains(&fix), "{told}");
    }
}

#[tokio::test]
async fn what_a_configuration_names_is_found_once_or_missed() {
    let root = tree();
    let mut found = look(root.path()).await;
    let text = "[[board]]\nname = \"left hub\"\nid = \"usb-1a86-7523-A17\"\nbaud = 9600\n\
                [[board]]\nname = \"right hub\"\nid = \"usb-0403-6001-B2\"\n";
    let configured = config::parse(text, "car.toml".as_ref()).unwrap().boards;
    found.add(
        super::search::Configured::new(&configured, None)
            .look()
            .await,
    );
    found.name(&configured);
    assert_eq!(found.boards.len(), 3, "{found:?}");
    assert_eq!(found.boards[1].settings().baud, Some(9600));
    let told = report(&FoundView::new(&found, &[]));
    for part in [
        "configured as \"left hub\"",
        "configured as \"right hub\"",
        "usb-0403-6001-B2 is not there",
    ] {
        assert!(told.contains(part), "`{part}` is missing in {told}");
    }
}

#[test]
fn services_that_take_ports_are_a_note_and_nothing_found_says_what_to_do() {
    let grabber = Holder {
        pid: 7,
        command: "ModemManager".to_owned(),
    };
    let view = FoundView::new(&Found::default(), &[grabber]);
    assert!(!view.has_trouble());
    let told = report(&view);
    for part in ["No board was found", "ModemManager", "60-hubplumb.rules"] {
        assert!(told.contains(part), "`{part}` is missing in {told}");
    }
}

#[tokio::test]
async fn a_memory_that_cannot_be_read_is_told_and_hinders_nothing() {
    let root = tree();
    let mut found = look(root.path()).await;
    let kept = tempfile::tempdir().unwrap();
    let store = SpeechStore::beside(&CalibrationStore::at(kept.path()));
    let file = store.file("usb-1a86-7523-A17").unwrap();
    fs::create_dir_all(file.parent().unwrap()).unwrap();
    fs::write(&file, "rubbish").unwrap();
    found.recall(&store);
    let view = FoundView::new(&found, &[]);
    assert_eq!(view.boards[1].troubles[0].code, "memory_unreadable");
    assert_eq!(fs::read_to_string(file).unwrap(), "rubbish");
}
