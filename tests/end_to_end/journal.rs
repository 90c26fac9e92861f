//! Everything written down while a swing ran, and played again.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::Scenario;
use hubplumb_tests::garage::{Sitting, told_all};
use hubplumb_tests::{Finished, Garage, run};
use serde_json::{Value, json};

const AT_MOST: Duration = Duration::from_secs(120);

fn journal(parent: &Path) -> PathBuf {
    let mut folders = fs::read_dir(parent).expect("journals");
    let folder = folders.next().expect("a journal").expect("a folder").path();
    assert!(folders.next().is_none(), "one daemon writes one journal");
    folder
}

/// Waits until the end of the swing is written, and gives everything up to there.
#[track_caller]
fn wait_for_end(page: &Path) -> String {
    let began = Instant::now();
    loop {
        let text = fs::read_to_string(page).expect("the journal");
        let end = text
            .find("swing_over")
            .and_then(|at| text[at..].find('\n').map(|to| at + to));
        if let Some(end) = end {
            return text[..=end].to_owned();
        }
        assert!(began.elapsed() < AT_MOST, "the swing's end is not written");
        thread::sleep(Duration::from_millis(50));
    }
}

fn replayed(journal: &Path, more: &[&str]) -> Finished {
    let journal = journal.to_string_lossy();
    run(&[&["replay", &*journal], more].concat(), AT_MOST)
}

/// What a garage with a journal has measured is found again in it.
#[track_caller]
pub(crate) fn plays_alike(garage: &Garage) {
    let journal = journal(&garage.folder().join("journals"));
    wait_for_end(&journal.join("000001.jsonl"));
    // The daemon writes on, which leaves a line cut off at most.
    let finished = replayed(&journal, &[]);
    assert_eq!(
        finished.code,
        Some(0),
        "{}{}",
        finished.stdout,
        finished.stderr
    );
}

#[test]
fn a_swing_played_again_gives_the_same_to_the_last_bit() {
    let sitting = Sitting {
        journal: true,
        ..Sitting::square(&told_all)
    };
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let garage = Garage::open_sitting(scenario, &sitting);
    let state = garage.swing("gyro", &garage.script());
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    let journal = journal(&garage.folder().join("journals"));
    let page = journal.join("000001.jsonl");
    let written = wait_for_end(&page);
    // Killed, not asked to end: what was noted is on the disk all the same.
    let tables = garage.folder().join("tables");
    drop(garage.daemon);

    let finished = replayed(&journal, &["--tables", &tables.to_string_lossy()]);
    assert_eq!(
        finished.code,
        Some(0),
        "{}{}",
        finished.stdout,
        finished.stderr
    );
    assert!(
        finished
            .stdout
            .contains("Swing 1: the same findings, to the last bit"),
        "{}",
        finished.stdout
    );
    for finding in state["findings"].as_array().expect("findings") {
        let value = format!("{:+.3}°", finding["value_deg"].as_f64().expect("a value"));
        assert!(
            finished.stdout.contains(&value),
            "{value} in {}",
            finished.stdout
        );
    }
    for board in 0..2 {
        let table = fs::read_to_string(tables.join(format!("board-{board}.csv"))).expect("a table");
        assert!(table.lines().count() > 2_000, "{}", table.lines().count());
    }

    // One reading in the midst of the swing told otherwise, and it is not the same.
    let mut moved = 0;
    let mut spoilt = String::new();
    for line in written.lines() {
        let mut note: Value = serde_json::from_str(line).expect("a note");
        moved += i32::from(moved > 0 || line.contains("start_by_gyro"));
        if note["readings"][0]["accel_g"].is_array() && (1000..1010).contains(&moved) {
            note["readings"][0]["accel_g"][0] = json!(0.123);
        }
        writeln!(spoilt, "{note}").expect("a string takes text");
    }
    fs::write(&page, spoilt).expect("the journal");
    let finished = replayed(&journal, &[]);
    assert_eq!(
        finished.code,
        Some(1),
        "{}{}",
        finished.stdout,
        finished.stderr
    );
    assert!(finished.stdout.contains("Swing 1: "), "{}", finished.stdout);
}

#[test]
fn what_is_no_journal_is_told_in_three_parts() {
    let folder = tempfile::tempdir().expect("a folder");
    for path in [folder.path().to_path_buf(), folder.path().join("nowhere")] {
        let finished = replayed(&path, &[]);
        assert_eq!(finished.code, Some(2), "{}", finished.stderr);
        for part in ["error:", "what it means:", "what to do:"] {
            assert!(finished.stderr.contains(part), "{}", finished.stderr);
        }
    }
}
