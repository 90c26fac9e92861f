//! Finding the program and running it to its end.

use std::io::Read;
use std::path::PathBuf;
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::OnceLock;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

/// The program under test: `HUBPLUMB_BIN` where that is set, else built now.
///
/// Cargo tells a test where the binaries of its own package are, not those of
/// another, so the build itself is asked; it is quick when nothing has changed
/// and never leaves a stale program under test.
///
/// # Panics
/// When the program can be neither found nor built.
pub fn program() -> PathBuf {
    static PROGRAM: OnceLock<PathBuf> = OnceLock::new();
    PROGRAM
        .get_or_init(|| {
            let path = std::env::var_os("HUBPLUMB_BIN").map_or_else(built, PathBuf::from);
            assert!(path.is_file(), "no program at {}", path.display());
            path
        })
        .clone()
}

fn built() -> PathBuf {
    let output = Command::new(env!("CARGO"))
        .args(["build", "--package", "hubplumb", "--bin", "hubplumb"])
        .arg("--message-format=json-render-diagnostics")
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stderr(Stdio::inherit())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "the program does not build");
    String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(|line| serde_json::from_str::<Value>(line).ok())
        .filter(|message| message["target"]["name"] == "hubplumb")
        .find_map(|message| message["executable"].as_str().map(PathBuf::from))
        .expect("cargo says where it put the program")
}

/// Where the program keeps what it learned of boards. A test never sees what another run learned,
/// nor leaves anything in the user's folder.
pub(crate) const DATA_HOME: &str = "XDG_DATA_HOME";

pub(crate) fn home() -> TempDir {
    tempfile::tempdir().expect("a folder")
}

/// A run of the program that has ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finished {
    /// Exit status; none when a signal ended it.
    pub code: Option<i32>,
    /// Standard output.
    pub stdout: String,
    /// Standard error.
    pub stderr: String,
}

/// Runs the program and waits for its end.
///
/// # Panics
/// When it has not ended after `at_most`; it is killed then.
pub fn run(arguments: &[&str], at_most: Duration) -> Finished {
    let home = home();
    let mut child = Command::new(program())
        .args(arguments)
        .env(DATA_HOME, home.path())
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let stdout = collect(child.stdout.take());
    let stderr = collect(child.stderr.take());
    let status = ended(&mut child, at_most);
    let finished = Finished {
        code: status.and_then(|status| status.code()),
        stdout: stdout.join().expect("reader"),
        stderr: stderr.join().expect("reader"),
    };
    assert!(
        status.is_some(),
        "still running after {at_most:?}: {finished:#?}"
    );
    finished
}

/// How the child ended; `None` when it had to be killed.
fn ended(child: &mut Child, at_most: Duration) -> Option<ExitStatus> {
    let began = Instant::now();
    while began.elapsed() < at_most {
        if let Some(status) = child.try_wait().expect("the child can be waited for") {
            return Some(status);
        }
        thread::sleep(Duration::from_millis(10));
    }
    // It may end by itself between the last look and the kill: then there is nothing to kill.
    let _ = child.kill();
    let _ = child.wait();
    None
}

fn collect(from: Option<impl Read + Send + 'static>) -> thread::JoinHandle<String> {
    thread::spawn(move || {
        let mut bytes = Vec::new();
        if let Some(mut from) = from {
            from.read_to_end(&mut bytes).expect("output can be read");
        }
        String::from_utf8_lossy(&bytes).into_owned()
    })
}
