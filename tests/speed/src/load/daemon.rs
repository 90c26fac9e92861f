//! The program as a process: started, looked at from outside, ended.

use std::env;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, BufRead, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use tempfile::TempDir;

/// Where boards can be; those beyond are on no mount.
const MOUNTS: [&str; 5] = [
    "front_left",
    "front_right",
    "rear_left",
    "rear_right",
    "body",
];
/// How long a start may take on a busy machine.
const START: Duration = Duration::from_secs(20);

/// The program that is measured: `HUBPLUMB_BIN`, else the release beside this one.
///
/// # Errors
/// When there is none.
pub fn program() -> io::Result<PathBuf> {
    let told = env::var_os("HUBPLUMB_BIN").map(PathBuf::from);
    let beside = || Some(env::current_exe().ok()?.parent()?.join("hubplumb"));
    told.or_else(beside)
        .filter(|path| path.is_file())
        .ok_or_else(|| {
            io::Error::other(
                "no program: build it (cargo build --release) or name it in HUBPLUMB_BIN",
            )
        })
}

/// A running daemon; dropping it ends it.
#[derive(Debug)]
pub struct Daemon {
    child: Child,
    address: String,
    started_in: Duration,
    _home: TempDir,
}

/// What the process has taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// Processor time, s, in steps of a hundredth.
    pub processor_s: f64,
    /// Resident memory, MB.
    pub resident_mb: f64,
}

impl Daemon {
    /// Starts it with boards on these ports, of a told format, and waits until it says that it listens.
    ///
    /// # Errors
    /// When it does not start.
    pub fn with_boards<'a>(
        ports: impl Iterator<Item = &'a Path>,
        format: &str,
    ) -> io::Result<Self> {
        let home = tempfile::tempdir()?;
        let mut config = String::new();
        for (nth, port) in ports.enumerate() {
            let _ = write!(
                config,
                "[[board]]\nport = \"{}\"\nbaud = 115200\n{format}\n",
                port.display()
            );
            match MOUNTS.get(nth) {
                Some(&mount) => {
                    let _ = writeln!(config, "mount = \"{mount}\"");
                    if mount != "body" {
                        let outboard = if mount.ends_with("left") { "+y" } else { "-y" };
                        let _ = writeln!(
                            config,
                            "[board.mounting]\noutboard = \"{outboard}\"\nup = \"+z\""
                        );
                    }
                }
                None => {
                    let _ = writeln!(config, "name = \"board {nth}\"");
                }
            }
        }
        let path = home.path().join("hubplumb.toml");
        fs::write(&path, config)?;
        let began = Instant::now();
        let mut child = Command::new(program()?)
            .args([
                "run",
                "--listen",
                "127.0.0.1:0",
                "--commands",
                "open",
                "--config",
            ])
            .arg(&path)
            .env("XDG_DATA_HOME", home.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()?;
        let printed = child.stdout.take().map(BufReader::new);
        let mut lines = printed.into_iter().flat_map(BufRead::lines);
        let address = lines.by_ref().find_map(|line| {
            let line = line.ok()?;
            let at = line.find("http://")?;
            let is_part = |letter: char| letter.is_ascii_alphanumeric() || ":/.-".contains(letter);
            let rest = line.get(at..)?;
            let end = rest.find(|letter| !is_part(letter)).unwrap_or(rest.len());
            Some(rest.get(..end)?.trim_end_matches(['/', '.']).to_owned())
        });
        // What it prints later has to go somewhere.
        thread::spawn(move || lines.for_each(drop));
        let mut daemon = Self {
            child,
            address: address.ok_or_else(|| io::Error::other("it ended without an address"))?,
            started_in: Duration::ZERO,
            _home: home,
        };
        while daemon.get("/api/v1/ready").is_err() {
            if began.elapsed() > START {
                return Err(io::Error::other("it does not become ready"));
            }
            thread::sleep(Duration::from_millis(1));
        }
        daemon.started_in = began.elapsed();
        Ok(daemon)
    }

    /// Where it listens: `http://host:port`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// From the start of the process until it answered that it is ready.
    pub fn started_in(&self) -> Duration {
        self.started_in
    }

    /// Its process.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// The body of a GET.
    ///
    /// # Errors
    /// When there is no answer of 200.
    pub fn get(&self, path: &str) -> io::Result<String> {
        self.ask(&format!("GET {path}"), "")
    }

    /// The body of the answer to a POST of JSON.
    ///
    /// # Errors
    /// When it is refused.
    pub fn post(&self, path: &str, json: &str) -> io::Result<String> {
        self.ask(&format!("POST {path}"), json)
    }

    fn ask(&self, what: &str, json: &str) -> io::Result<String> {
        let to: SocketAddr = self
            .address
            .trim_start_matches("http://")
            .parse()
            .map_err(io::Error::other)?;
        let mut line = TcpStream::connect(to)?;
        let content = if json.is_empty() {
            String::new()
        } else {
            format!(
                "Content-Type: application/json\r\nContent-Length: {}\r\n",
                json.len()
            )
        };
        write!(line, "{what} HTTP/1.0\r\nHost: {to}\r\n{content}\r\n{json}")?;
        let mut said = String::new();
        line.read_to_string(&mut said)?;
        let (head, body) = said.split_once("\r\n\r\n").unwrap_or_default();
        if head.lines().next().is_some_and(|line| line.contains(" 20")) {
            Ok(body.to_owned())
        } else {
            Err(io::Error::other(format!("{what}: {head}")))
        }
    }

    /// The sum of a metric over its labels.
    ///
    /// # Errors
    /// When the metrics cannot be had.
    pub fn metric(&self, name: &str) -> io::Result<f64> {
        let text = self.get("/metrics")?;
        let values = text.lines().filter_map(|line| {
            let rest = line.strip_prefix(name)?;
            rest.starts_with(['{', ' ']).then_some(())?;
            rest.rsplit(' ').next()?.parse::<f64>().ok()
        });
        Ok(values.sum())
    }

    /// What it has taken so far.
    ///
    /// # Errors
    /// When the system does not tell.
    pub fn taken(&self) -> io::Result<Taken> {
        taken(self.pid())
    }
}

/// What a process has taken so far (proc(5)).
///
/// # Errors
/// When the system does not tell.
fn taken(pid: u32) -> io::Result<Taken> {
    let status = fs::read_to_string(format!("/proc/{pid}/status"))?;
    let kilobytes: f64 = status
        .lines()
        .find_map(|line| line.strip_prefix("VmRSS:"))
        .and_then(|rest| rest.split_whitespace().next()?.parse().ok())
        .ok_or_else(|| io::Error::other("no memory is told"))?;
    let stat = fs::read_to_string(format!("/proc/{pid}/stat"))?;
    // Behind the name in brackets: user and system time are the 12th and 13th, in hundredths.
    let times = stat
        .rsplit_once(") ")
        .map(|(_, rest)| rest.split(' ').skip(11).take(2));
    let ticks: f64 = times
        .into_iter()
        .flatten()
        .filter_map(|ticks| ticks.parse::<f64>().ok())
        .sum();
    Ok(Taken {
        processor_s: ticks / 100.0,
        resident_mb: kilobytes / 1024.0,
    })
}

impl Drop for Daemon {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
