//! Instructions of the hot paths for each sample, against a table that was counted before.
//!
//! A count does not depend on what else the machine does, so a change that makes the way of a sample
//! longer shows here, on any machine. What makes it shorter shows as well, and wants its new figures
//! written into the table, which the failing test prints.

#![expect(
    clippy::expect_used,
    reason = "a step that does not work must fail its test"
)]

use std::path::PathBuf;
use std::process::{Command, Stdio};

use hubplumb_speed::counting::{counted, instructions, is_there};
use hubplumb_tests::skip;
use serde_json::Value;

const TABLE: &str = include_str!("table.csv");
/// Another version of the compiler or of the C library moves counts by some hundredths.
const MARGIN: f64 = 0.08;

/// Built as what is released, without the slow last step of linking.
fn hot_path() -> PathBuf {
    if let Some(path) = std::env::var_os("HUBPLUMB_HOT_PATH") {
        return path.into();
    }
    let built = Command::new(env!("CARGO"))
        .args([
            "build",
            "--profile",
            "counted",
            "--package",
            "hubplumb-speed",
        ])
        .args([
            "--bin",
            "hot-path",
            "--message-format=json-render-diagnostics",
        ])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stderr(Stdio::inherit())
        .output()
        .expect("cargo runs");
    assert!(built.status.success(), "hot-path does not build");
    String::from_utf8_lossy(&built.stdout)
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|message| message["target"]["name"] == "hot-path")
        .find_map(|message| message["executable"].as_str().map(PathBuf::from))
        .expect("cargo says where it put it")
}

fn table() -> Vec<(String, u64)> {
    let lines = TABLE.lines().skip(1).filter(|line| !line.is_empty());
    lines
        .map(|line| {
            let (words, count) = line.rsplit_once(',').expect("words and a count");
            (words.to_owned(), count.parse().expect("a count"))
        })
        .collect()
}

#[test]
fn no_way_of_a_sample_became_longer() {
    if !is_there() {
        skip("counts of instructions", "no valgrind");
        return;
    }
    let program = hot_path();
    let known = table();
    let mut found = Vec::new();
    for words in counted() {
        let count = instructions(&program, &words).expect("counted");
        found.push((words.join(","), count));
    }
    let lines = found
        .iter()
        .map(|(words, count)| format!("{words},{count}"));
    let written = lines.collect::<Vec<_>>().join("\n");
    let named = |list: &[(String, u64)]| {
        list.iter()
            .map(|(words, _)| words.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(
        named(&known),
        named(&found),
        "the table is of others:\n{written}"
    );
    let off: Vec<String> = known
        .iter()
        .zip(&found)
        .filter_map(|((words, before), (_, now))| {
            let share = *now as f64 / *before as f64 - 1.0;
            (share.abs() > MARGIN).then(|| format!("{words}: {now} for {before}"))
        })
        .collect();
    assert!(off.is_empty(), "{off:#?}\nall that was counted:\n{written}");
}
