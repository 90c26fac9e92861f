//! The threat model must not promise what no test looks at.

use std::collections::BTreeSet;

use regex_lite::Regex;

use crate::tree::{Breach, SourceFile, assert_bites, assert_none, text_files};

const MODEL: &str = "docs/SECURITY.md";

/// Names of all tests in Rust.
fn tests(files: &[SourceFile]) -> BTreeSet<&str> {
    let test = Regex::new(
        r"(?m)^ *#\[(?:tokio::)?test[^\n]*\]\n(?: *#\[[^\n]*\]\n)*\s*(?:async )?fn (\w+)\(",
    )
    .expect("sound pattern");
    files
        .iter()
        .filter(|file| file.is_rust())
        .flat_map(|file| {
            test.captures_iter(&file.text)
                .filter_map(|found| found.get(1))
        })
        .map(|name| name.as_str())
        .collect()
}

/// Threats are numbered without a gap, and each names tests that are there.
fn unproven(files: &[SourceFile]) -> Vec<Breach> {
    let tests = tests(files);
    let threat = Regex::new(r"^\| (\d+) \|.*\| ([^|]*) \|$").expect("sound pattern");
    let named = Regex::new(r"`(\w+)`").expect("sound pattern");
    let mut breaches = Vec::new();
    for file in files.iter().filter(|file| file.path == MODEL) {
        let mut count = 0;
        for (index, line) in file.text.lines().enumerate() {
            let Some(found) = threat.captures(line) else {
                continue;
            };
            let mut breach = |what: String| breaches.push(Breach::new(&file.path, index + 1, what));
            count += 1;
            if found[1] != count.to_string() {
                breach(format!("threat {} stands where {count} should", &found[1]));
            }
            let names: Vec<&str> = named
                .captures_iter(&found[2])
                .filter_map(|name| name.get(1))
                .map(|name| name.as_str())
                .collect();
            if names.is_empty() {
                breach("names no test".to_owned());
            }
            for name in names.into_iter().filter(|name| !tests.contains(name)) {
                breach(format!("there is no test {name}"));
            }
        }
        if count == 0 {
            breaches.push(Breach::new(&file.path, 0, "tells no threat"));
        }
    }
    breaches
}

#[test]
fn every_threat_is_stopped_by_what_a_test_looks_at() {
    let files = text_files();
    assert!(files.iter().any(|file| file.path == MODEL));
    assert_none(&unproven(&files));
}

#[test]
fn a_threat_without_a_test_is_found() {
    let model = |lines: &str| {
        unproven(&[
            SourceFile::invented(MODEL, lines),
            SourceFile::invented("a.rs", "#[test]\nfn held() {}\n\nfn helper() {}\n"),
            SourceFile::invented(
                "b.rs",
                "    #[tokio::test(start_paused = true)]\n    async fn waits() {}\n",
            ),
        ])
    };
    let good = model("| 1 | a | b | `held` |\n| 2 | a | b | `waits` `held` |");
    for bad in [
        "| 1 | a | b | `gone` |",
        "| 1 | a | b | `helper` |",
        "| 1 | a | b | `held` `gone` |",
        "| 1 | a | b | none |",
        "| 2 | a | b | `held` |",
        "no table",
    ] {
        assert_bites(&model(bad), &good);
    }
}
