//! Instructions of the hot paths, counted by callgrind: figures without a clock.

use std::io;
use std::path::Path;
use std::process::Command;

/// Samples that `hot-path` runs.
const SAMPLES: u64 = 4000;

/// What is counted, in the words of `hot-path`: what of the way, which format, samples a second.
pub fn counted() -> Vec<[String; 3]> {
    let whole = crate::families::all().into_iter().map(|family| {
        [
            "whole".to_owned(),
            family.name.to_owned(),
            "1000".to_owned(),
        ]
    });
    let others = [
        ["frames", "csv", "1000"],
        ["whole", "csv", "100"],
        ["whole", "compact", "100"],
    ];
    whole
        .chain(others.map(|words| words.map(str::to_owned)))
        .collect()
}

/// Is valgrind there?
pub fn is_there() -> bool {
    let asked = Command::new("valgrind").arg("--version").output();
    asked.is_ok_and(|asked| asked.status.success())
}

/// Instructions for each sample.
///
/// # Errors
/// When valgrind does not run, or tells no sum.
pub fn instructions(hot_path: &Path, words: &[String; 3]) -> io::Result<u64> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("counts");
    let run = Command::new("valgrind")
        .arg("--tool=callgrind")
        .arg(format!("--callgrind-out-file={}", file.display()))
        // From the first byte to the last look, and nothing of what makes the bytes.
        .arg("--toggle-collect=*speed::way::d*")
        .arg(hot_path)
        .args(words)
        .output()?;
    if !run.status.success() {
        let said = String::from_utf8_lossy(&run.stderr).into_owned();
        return Err(io::Error::other(said));
    }
    let told = std::fs::read_to_string(&file)?;
    let sum = told
        .lines()
        .filter_map(|line| {
            line.strip_prefix("summary:")
                .or(line.strip_prefix("totals:"))
        })
        .find_map(|sum| sum.trim().parse::<u64>().ok());
    sum.filter(|sum| *sum > 0)
        .map(|sum| sum / SAMPLES)
        .ok_or_else(|| io::Error::other("callgrind tells no sum"))
}
