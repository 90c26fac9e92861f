//! Prints `docs/reliability/memory.md`: what the daemon's memory does while it reads four boards
//! and serves two listeners. `memory-run [MINUTES]`; thirty where nothing is said.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::fs;
use std::io::{self, Read as _, Write as _};
use std::net::TcpStream;
use std::process::ExitCode;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Scenario};
use hubplumb_tests::Daemon;
use hubplumb_tests::memory::{Line, line};
use hubplumb_tests::running::write_config;

/// Between two looks.
const EVERY: Duration = Duration::from_secs(10);

/// Share of the run that is left out of the fit: buffers fill, and the allocator finds its size.
const WARM_UP: f64 = 0.2;

const MOUNTS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];

fn main() -> ExitCode {
    let minutes = match std::env::args().nth(1).map(|text| text.parse::<f64>()) {
        None => 30.0,
        Some(Ok(minutes)) if minutes >= 2.0 => minutes,
        Some(_) => {
            eprintln!("memory-run [MINUTES], two at least");
            return ExitCode::FAILURE;
        }
    };
    match run(Duration::from_secs_f64(60.0 * minutes)) {
        Ok(document) => {
            print!("{document}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}

/// The shipped car with four boards of 100 readings a second on serial lines.
fn scenario() -> Result<Scenario, String> {
    let text = Scenario::shipped_toml("garage-good").ok_or("no shipped scenario")?;
    let mut text = text[..text.find("[[board]]").unwrap_or(text.len())].to_owned();
    for (number, mount) in MOUNTS.iter().enumerate() {
        let _ = write!(
            text,
            "[[board]]\nmount = \"{mount}\"\nmounting = {{ x = \"forward\", z = \"out\" }}\nrate_hz = 100\n\
             wire = {{ format = \"csv\" }}\nchip = {{ preset = \"good\" }}\n\
             clock = {{ offset_s = {}, rate_ppm = 15, jitter_us = 15 }}\n",
            number + 1
        );
    }
    Scenario::from_toml(&text).map_err(|error| error.to_string())
}

fn run(length: Duration) -> Result<String, String> {
    let told = |error: io::Error| error.to_string();
    let folder = tempfile::tempdir().map_err(told)?;
    let sim = LiveSim::start(scenario()?, &folder.path().join("ports"), 1.0)
        .map_err(|error| error.to_string())?;
    let mut config = "[http]\nlisten = \"127.0.0.1:0\"\n".to_owned();
    for board in sim.boards() {
        let up = if board.mount.name().ends_with("left") {
            "-y"
        } else {
            "+y"
        };
        let _ = write!(
            config,
            "[[board]]\nport = \"{}\"\nmount = \"{}\"\nbaud = 115200\nformat = \"csv\"\nchip = \"good\"\n\
             mounting = {{ outboard = \"+z\", up = \"{up}\" }}\n",
            board.port, board.mount
        );
    }
    let config = write_config(folder.path(), &config);
    let store = folder.path().join("store");
    let daemon = Daemon::start(&[
        "run",
        "--config",
        &config.to_string_lossy(),
        "--store",
        &store.to_string_lossy(),
    ]);
    for path in ["/api/v1/stream", "/api/v1/traces"] {
        listen(daemon.address(), path).map_err(told)?;
    }
    let began = Instant::now();
    let mut samples = Vec::new();
    while began.elapsed() < length {
        thread::sleep(EVERY);
        samples.push(Sample::of(daemon.pid(), began.elapsed()).map_err(told)?);
    }
    let state = daemon.state();
    let boards = state["boards"].as_array().cloned().unwrap_or_default();
    let live = boards.iter().filter(|board| board["state"] == "live");
    let readings: u64 = boards
        .iter()
        .filter_map(|board| board["good_frames"].as_u64())
        .sum();
    let facts = Facts {
        live: live.count(),
        readings,
    };
    document(&samples, &facts).ok_or_else(|| "too few samples for a line".to_owned())
}

/// Reads a stream and forgets what it reads, as long as it lasts.
fn listen(address: &str, path: &str) -> io::Result<()> {
    let host = address.trim_start_matches("http://").to_owned();
    let mut socket = TcpStream::connect(&host)?;
    write!(
        socket,
        "GET {path} HTTP/1.0\r\nHost: {host}\r\nAccept: text/event-stream\r\n\r\n"
    )?;
    thread::spawn(move || {
        let mut buffer = [0; 16 * 1024];
        while matches!(socket.read(&mut buffer), Ok(1..)) {}
    });
    Ok(())
}

struct Facts {
    live: usize,
    readings: u64,
}

/// Reads one figure of a sample.
type Figure = fn(&Sample) -> f64;

struct Sample {
    at_s: f64,
    resident_kb: f64,
    anonymous_kb: f64,
}

impl Sample {
    fn of(pid: u32, at: Duration) -> io::Result<Self> {
        let text = fs::read_to_string(format!("/proc/{pid}/smaps_rollup"))?;
        let values: BTreeMap<&str, f64> = text
            .lines()
            .filter_map(|line| {
                let (key, rest) = line.split_once(':')?;
                let value = rest.split_whitespace().next()?.parse().ok()?;
                Some((key, value))
            })
            .collect();
        let value = |key: &str| {
            values.get(key).copied().ok_or_else(|| {
                io::Error::new(io::ErrorKind::InvalidData, format!("no {key} in {text}"))
            })
        };
        Ok(Self {
            at_s: at.as_secs_f64(),
            resident_kb: value("Rss")?,
            anonymous_kb: value("Anonymous")?,
        })
    }
}

fn told(line: &Line) -> String {
    // Per second, as it is fitted; an hour is what a person can picture.
    let (slope, doubt) = (3600.0 * line.slope, 3600.0 * line.expanded);
    format!("{slope:+.0} ± {doubt:.0} kB an hour")
}

fn document(samples: &[Sample], facts: &Facts) -> Option<String> {
    let last = samples.last()?;
    let from_s = WARM_UP * last.at_s;
    let fitted: Vec<&Sample> = samples.iter().filter(|s| s.at_s >= from_s).collect();
    let of = |what: fn(&Sample) -> f64| {
        let points: Vec<(f64, f64)> = fitted.iter().map(|s| (s.at_s, what(s))).collect();
        line(&points)
    };
    let (resident, anonymous) = (of(|s| s.resident_kb)?, of(|s| s.anonymous_kb)?);
    let mut text = format!(
        "# Memory over time\n\n\
         Written by `cargo run -p hubplumb-tests --bin memory-run {:.0}`. The daemon (a build for development) reads {} boards at\n\
         100 readings a second each over pseudo-terminals and serves the stream of changes and the stream of traces to a\n\
         listener each; nobody measures. Every {} s `/proc/PID/smaps_rollup` is read. After {:.1} minutes it had read\n\
         {} readings.\n\n\
         A line is fitted to what comes after the first fifth. The ± is the half width of its 95 % interval, with fewer\n\
         samples counted than there are, as far as neighbours are alike (first-order autocorrelation).\n\n\
         | | at the start | at the end | most | slope |\n|---|---|---|---|---|\n",
        last.at_s / 60.0,
        facts.live,
        EVERY.as_secs(),
        last.at_s / 60.0,
        facts.readings,
    );
    let all: [(&str, Figure, &Line); 2] = [
        ("resident", |s| s.resident_kb, &resident),
        (
            "of it the program's own (anonymous)",
            |s| s.anonymous_kb,
            &anonymous,
        ),
    ];
    for (name, what, line) in all {
        let most = samples.iter().map(what).fold(0.0, f64::max);
        let _ = writeln!(
            text,
            "| {name} | {:.0} kB | {:.0} kB | {most:.0} kB | {} |",
            what(samples.first()?),
            what(last),
            told(line)
        );
    }
    text.push_str("\n| minute | resident, kB | anonymous, kB |\n|---|---|---|\n");
    let mut next_s = 0.0;
    for sample in samples {
        if sample.at_s >= next_s {
            let _ = writeln!(
                text,
                "| {:.1} | {:.0} | {:.0} |",
                sample.at_s / 60.0,
                sample.resident_kb,
                sample.anonymous_kb
            );
            next_s = sample.at_s + 115.0;
        }
    }
    Some(text)
}
