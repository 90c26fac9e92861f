//! A store that cannot be used: what the program says, that it measures on, and the ways out.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Finished, run, skip};
use serde_json::{Value, json};
use tempfile::TempDir;

const SOON: Duration = Duration::from_secs(20);

struct Place {
    folder: TempDir,
    config: String,
}

impl Place {
    fn new() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        // Named and not there: no port of this machine is touched.
        let config = "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n";
        let config = write_config(folder.path(), config);
        let config = config.to_string_lossy().into_owned();
        fs::create_dir(folder.path().join("store")).expect("a folder");
        Self { folder, config }
    }

    fn store(&self) -> PathBuf {
        self.folder.path().join("store")
    }

    fn file(&self) -> PathBuf {
        self.store().join("visits.sqlite3")
    }

    fn start(&self) -> Daemon {
        let store = self.store();
        Daemon::start(&[
            "run",
            "--config",
            &self.config,
            "--store",
            &store.to_string_lossy(),
        ])
    }

    fn visits(&self, what: &[&str]) -> Finished {
        let store = self.store().to_string_lossy().into_owned();
        let mut all = vec!["visits"];
        all.extend(what);
        all.extend(["--store", &store]);
        run(&all, SOON)
    }

    /// A car and a visit with so many notes.
    fn begun(&self, notes: u32) {
        let daemon = self.start();
        assert_eq!(
            daemon.post("/api/v1/cars", &json!({ "name": "Wicket" })).0,
            201
        );
        assert_eq!(daemon.post("/api/v1/visits", &json!({ "car": 1 })).0, 201);
        for number in 0..notes {
            assert_eq!(note(&daemon, &number.to_string()).0, 200);
        }
    }
}

fn note(daemon: &Daemon, text: &str) -> (u16, Value) {
    static ASKED: AtomicU32 = AtomicU32::new(0);
    let ask = ASKED.fetch_add(1, Ordering::Relaxed).to_string();
    let wish = json!({ "ask": ask, "what": { "entry": "note", "text": text } });
    daemon.post("/api/v1/visits/1/entries", &wish)
}

fn notes(daemon: &Daemon) -> usize {
    let (status, _, body) = daemon.get("/api/v1/visits/1");
    assert_eq!(status, 200, "{body}");
    let visit: Value = serde_json::from_str(&body).expect("JSON");
    visit["notes"].as_array().expect("notes").len()
}

/// Every line of a report: what happened, what it means, what to do.
#[track_caller]
fn assert_told(finished: &Finished, code: i32, words: &str) {
    assert_eq!(finished.code, Some(code), "{finished:#?}");
    for part in ["error: ", "what it means: ", "what to do: ", words] {
        assert!(finished.stderr.contains(part), "{part}: {finished:#?}");
    }
}

/// Something mounted for a test, until it is dropped.
struct Mounted(PathBuf);

impl Mounted {
    fn at(place: &Path, how: &[&str]) -> Option<Self> {
        let done = Command::new("mount").args(how).arg(place).output().ok()?;
        done.status.success().then(|| Self(place.to_owned()))
    }
}

impl Drop for Mounted {
    fn drop(&mut self) {
        // What is still open goes with the process that holds it.
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[test]
fn a_damaged_store_is_told_measured_on_without_and_replaced_by_a_backup() {
    let place = Place::new();
    place.begun(30);
    let backup = place.folder.path().join("backup.sqlite3");
    let backup = backup.to_string_lossy().into_owned();
    let done = place.visits(&["backup", &backup]);
    assert_eq!(done.code, Some(0), "{done:#?}");
    let whole = fs::read(place.file()).expect("a file");
    for part in ["visits.sqlite3-wal", "visits.sqlite3-shm"] {
        let _ = fs::remove_file(place.store().join(part));
    }
    for broken in [
        &whole[..whole.len() / 2],
        b"no database ".repeat(200).as_slice(),
    ] {
        fs::write(place.file(), broken).expect("written");
        assert_told(&place.visits(&["list"]), 1, "hubplumb visits restore");
        let daemon = place.start();
        assert!(daemon.state()["boards"].is_array(), "it measures on");
        let (status, problem) = daemon.post("/api/v1/cars", &json!({ "name": "Other" }));
        assert_eq!(
            (status, &problem["code"]),
            (503, &json!("store_unusable")),
            "{problem:#}"
        );
        assert!(
            problem["remedy"]
                .as_str()
                .is_some_and(|text| text.contains("restore")),
            "{problem:#}"
        );
        assert!(daemon.printed().contains("damaged"), "{}", daemon.printed());
        // Not under a running daemon.
        assert_told(
            &place.visits(&["restore", &backup]),
            1,
            &daemon.pid().to_string(),
        );
        drop(daemon);
        assert_eq!(fs::read(place.file()).expect("a file"), broken);
    }
    let done = place.visits(&["restore", &backup]);
    assert_eq!(done.code, Some(0), "{done:#?}");
    assert!(done.stdout.contains("visits.sqlite3.aside-1"), "{done:#?}");
    assert_eq!(notes(&place.start()), 30);
    let done = place.visits(&["set-aside"]);
    assert_eq!(done.code, Some(0), "{done:#?}");
    assert!(!place.file().exists() && place.store().join("visits.sqlite3.aside-2").exists());
}

#[test]
fn a_second_daemon_on_one_store_is_refused_and_the_first_goes_on() {
    let place = Place::new();
    let first = place.start();
    let store = place.store();
    let second = run(
        &[
            "run",
            "--config",
            &place.config,
            "--store",
            &store.to_string_lossy(),
        ],
        SOON,
    );
    assert_told(&second, 1, &format!("process {}", first.pid()));
    assert_eq!(
        first.post("/api/v1/cars", &json!({ "name": "Wicket" })).0,
        201
    );
    drop(first);
    // Killed, it holds nothing any more.
    let next = place.start();
    assert!(next.get("/api/v1/cars").2.contains("Wicket"));
}

#[test]
fn a_full_disk_is_told_and_what_was_answered_is_there_when_there_is_room() {
    let place = Place::new();
    let Some(mounted) = Mounted::at(&place.store(), &["-t", "tmpfs", "-o", "size=700k", "tmpfs"])
    else {
        skip("full disk", "no file system may be mounted here");
        return;
    };
    place.begun(1);
    let daemon = place.start();
    let long = "x".repeat(1900);
    let mut kept = 1;
    let problem = loop {
        let (status, answer) = note(&daemon, &long);
        if status != 200 {
            assert_eq!(status, 507, "{answer:#}");
            break answer;
        }
        kept += 1;
        assert!(kept < 1000, "the disk does not fill");
    };
    assert_eq!(problem["code"], "disk_full", "{problem:#}");
    assert!(
        problem["remedy"]
            .as_str()
            .is_some_and(|text| text.contains("room")),
        "{problem:#}"
    );
    assert_eq!(notes(&daemon), kept);
    // Boards' names and seats are told in the same way, and the daemon goes on.
    drop(daemon);
    let daemon = place.start();
    assert_eq!(notes(&daemon), kept, "after a kill on the full disk");
    let larger = Command::new("mount")
        .args(["-o", "remount,size=4m"])
        .arg(place.store())
        .status();
    assert!(larger.expect("mount runs").success());
    assert_eq!(note(&daemon, "there is room again").0, 200);
    assert_eq!(notes(&daemon), kept + 1);
    drop(daemon);
    drop(mounted);
}

#[test]
fn a_store_that_may_not_be_written_is_told() {
    let place = Place::new();
    place.begun(3);
    let store = place.store();
    let store = store.to_string_lossy();
    let Some(mounted) = Mounted::at(&place.store(), &["--bind", &store]) else {
        skip("read-only", "no file system may be mounted here");
        return;
    };
    let bound = Command::new("mount")
        .args(["-o", "remount,ro,bind", &store])
        .status();
    assert!(bound.expect("mount runs").success());
    // What is there can still be looked at.
    let listed = place.visits(&["list"]);
    assert_eq!(listed.code, Some(0), "{listed:#?}");
    assert!(listed.stdout.contains("Wicket"), "{listed:#?}");
    let daemon = place.start();
    assert!(daemon.state()["boards"].is_array(), "it measures on");
    let (status, problem) = note(&daemon, "four");
    assert_eq!(status, 503, "{problem:#}");
    drop(daemon);
    drop(mounted);
    assert_eq!(notes(&place.start()), 3);
}
