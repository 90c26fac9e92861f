//! Saying aloud that a test could not do its work here.

use std::env;
use std::fs::OpenOptions;
use std::io::Write;

/// Says that a test skips itself, and why. `tests/run` takes such tests out of
/// those that passed by the file that `HUBPLUMB_SKIPPED` names.
///
/// # Panics
/// With `CI=true`, where nothing may be skipped, and when the file cannot be written.
pub fn skip(test: &str, why: &str) {
    println!("SKIPPED: {test}: {why}");
    assert!(
        env::var_os("CI").is_none_or(|ci| ci != "true"),
        "in CI nothing may be skipped: {why}"
    );
    if let Some(path) = env::var_os("HUBPLUMB_SKIPPED") {
        let mut list = OpenOptions::new()
            .create(true)
            .append(true)
            .open(path)
            .expect("the list opens");
        // One write, so that lines of tests that run at once stay whole.
        list.write_all(format!("{test}: {why}\n").as_bytes())
            .expect("the list can be written");
    }
}
