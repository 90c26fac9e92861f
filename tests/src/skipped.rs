//! Saying aloud that a test could not do its work here.

use std::env;
use std::fs::OpenOptions;
use std::io::Write;
use std::thread;

/// Says that the running test leaves something out, and why. `tests/run` takes
/// such tests out of those that passed by the file that `HUBPLUMB_SKIPPED` names.
///
/// # Panics
/// With `CI=true`, where nothing may be skipped, and when the file cannot be written.
pub fn skip(what: &str, why: &str) {
    println!("SKIPPED: {what}: {why}");
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
        // A test may leave out several things and is counted once, by its name.
        // One write, so that lines of tests that run at once stay whole.
        list.write_all(format!("{}\t{what}: {why}\n", test_name(what)).as_bytes())
            .expect("the list can be written");
    }
}

/// Name of the running test: nextest tells it, libtest calls the thread by it.
fn test_name(otherwise: &str) -> String {
    let by_thread = || thread::current().name().map(str::to_owned);
    env::var("NEXTEST_TEST_NAME")
        .ok()
        .or_else(by_thread)
        .filter(|name| name != "main")
        .unwrap_or_else(|| otherwise.to_owned())
}
