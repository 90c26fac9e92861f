//! A maker's script in Python at the same work, in the same run.

use std::io;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::thread;
use std::time::Duration;

use super::{Boards, Daemon};
use crate::families;

/// How samples are handed over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pace {
    /// Samples a second.
    pub rate_hz: u32,
    /// So many at once, as a busy USB line gives them.
    pub burst: usize,
}

/// Processor time of the daemon for each sample of one board, all threads and the system's part, µs.
///
/// # Errors
/// When it does not start.
pub fn daemon_us(pace: Pace, seconds: u64) -> io::Result<f64> {
    let csv = families::named("csv").ok_or_else(|| io::Error::other("no csv"))?;
    let mut boards = Boards::new(1, &csv)?;
    let daemon = Daemon::with_boards(boards.ports(), "format = \"csv\"")?;
    thread::sleep(Duration::from_secs(2));
    // What it does without a board that talks is not the samples'.
    let idle = taken_in(&daemon, Duration::from_secs(seconds))?;
    boards.talk_in_bursts(pace.rate_hz, pace.burst);
    thread::sleep(Duration::from_secs(4));
    let busy = taken_in(&daemon, Duration::from_secs(seconds))?;
    let samples = seconds as f64 * f64::from(pace.rate_hz);
    Ok((busy - idle).max(0.0) * 1e6 / samples)
}

fn taken_in(daemon: &Daemon, time: Duration) -> io::Result<f64> {
    let before = daemon.taken()?.processor_s;
    thread::sleep(time);
    Ok(daemon.taken()?.processor_s - before)
}

/// Processor time of the script for each sample, µs.
///
/// # Errors
/// When Python or one of its packages is missing.
pub fn script_us(
    python: &Path,
    filter: &str,
    how: &str,
    pace: Pace,
    seconds: u64,
) -> io::Result<f64> {
    let csv = families::named("csv").ok_or_else(|| io::Error::other("no csv"))?;
    let mut boards = Boards::new(1, &csv)?;
    let port: PathBuf = boards
        .ports()
        .next()
        .ok_or_else(|| io::Error::other("no port"))?
        .to_owned();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reference/makers_script.py");
    let samples = seconds * u64::from(pace.rate_hz);
    let run = Command::new(python)
        .arg(script)
        .arg(&port)
        .arg(samples.to_string())
        .args([filter, how])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()?;
    thread::sleep(Duration::from_secs(2));
    boards.talk_in_bursts(pace.rate_hz, pace.burst);
    let run = run.wait_with_output()?;
    let said = String::from_utf8_lossy(&run.stdout).into_owned();
    let each = said
        .split_whitespace()
        .next()
        .and_then(|each| each.parse().ok());
    each.ok_or_else(|| io::Error::other(String::from_utf8_lossy(&run.stderr).into_owned()))
}

/// Python with the packages of the script, installed beside the built programs.
///
/// # Errors
/// When they cannot be installed.
pub fn python() -> io::Result<PathBuf> {
    if let Some(told) = std::env::var_os("HUBPLUMB_PYTHON") {
        return Ok(told.into());
    }
    let beside = std::env::current_exe()?;
    let folder = beside.with_file_name("performance-tools");
    let python = folder.join("bin/python");
    if python.is_file() {
        return Ok(python);
    }
    let list = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reference/makers_requirements.txt");
    let made = Command::new("python3")
        .args(["-m", "venv"])
        .arg(&folder)
        .status()?;
    let installed = made.success()
        && Command::new(folder.join("bin/pip"))
            .args(["install", "--quiet", "-r"])
            .arg(list)
            .stdout(Stdio::null())
            .status()?
            .success();
    if installed {
        Ok(python)
    } else {
        Err(io::Error::other(
            "the packages of the script could not be installed",
        ))
    }
}
