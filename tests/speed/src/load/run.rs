//! One load, from its start to its figures.

use std::io;
use std::thread;
use std::time::{Duration, Instant};

use super::{Boards, Client, Daemon, quantile};
use crate::families;

/// Before anything is counted: the boards' clocks are fitted and the first rests are seen.
const SETTLING: Duration = Duration::from_secs(5);

/// What the daemon bears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Load {
    /// Boards.
    pub boards: usize,
    /// Samples a second of each.
    pub rate_hz: u32,
    /// Clients of the state.
    pub streams: usize,
    /// Clients of the traces, with every angle of every mounted board.
    pub traces: usize,
    /// For so long, s.
    pub seconds: u64,
    /// Format of all boards.
    pub family: &'static str,
}

/// What it cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Processor time of the daemon, as a share of one core.
    pub core: f64,
    /// Resident memory at the end, MB.
    pub resident_mb: f64,
    /// From the start of the process until it was ready, ms.
    pub ready_ms: f64,
    /// Samples sent, and taken by the daemon as good frames.
    pub sent: u64,
    /// See `sent`.
    pub taken: u64,
    /// Samples that a full wire refused, bad frames, readings not used, entries of queues that were
    /// dropped, and marks lost to a client.
    pub dropped: u64,
    /// Events of all clients, a second.
    pub events_hz: f64,
    /// Age of an angle at a client: median, 99 of 100, 999 of 1000, ms. None without traces.
    pub age_ms: Option<[f64; 3]>,
    /// Of all processes of the machine, in the mean of a minute: how busy it was beside.
    pub machine_load: f64,
}

impl Measured {
    /// Processor time of the daemon for each sample, µs.
    pub fn sample_us(&self, load: &Load) -> f64 {
        self.core * 1e6 / (load.boards as f64 * f64::from(load.rate_hz))
    }
}

/// Puts the daemon under a load.
///
/// # Errors
/// When it does not start, or a client is given up.
pub fn run(load: &Load) -> io::Result<Measured> {
    let family = families::named(load.family).ok_or_else(|| io::Error::other("no such format"))?;
    let mut boards = Boards::new(load.boards, &family)?;
    let daemon = Daemon::with_boards(boards.ports(), &format!("format = \"{}\"", load.family))?;
    boards.talk(load.rate_hz);
    thread::sleep(SETTLING);
    let mut clients = Vec::new();
    for nth in 0..load.streams {
        clients.push(Client::listen(
            daemon.address(),
            "/api/v1/stream",
            nth,
            false,
        )?);
    }
    for nth in 0..load.traces {
        // One looks, for all: they are sent the same.
        let nth_of_all = load.streams + nth;
        clients.push(Client::listen(
            daemon.address(),
            "/api/v1/traces",
            nth_of_all,
            nth == 0,
        )?);
    }
    thread::sleep(Duration::from_secs(1));
    for client in &clients {
        client.forget();
    }
    let figures = |daemon: &Daemon| -> io::Result<[f64; 4]> {
        Ok([
            daemon.metric("hubplumb_board_frames_total")?,
            daemon.metric("hubplumb_board_bad_frames_total")?,
            daemon.metric("hubplumb_board_unused_readings_total")?,
            daemon.metric("hubplumb_queue_dropped_total")?,
        ])
    };
    let before = figures(&daemon)?;
    let sent_before = boards.sent();
    let (began, taken_before) = (Instant::now(), daemon.taken()?);
    thread::sleep(Duration::from_secs(load.seconds));
    let (length_s, taken) = (began.elapsed().as_secs_f64(), daemon.taken()?);
    let sent = boards.sent();
    let after = figures(&daemon)?;
    let mut heard = Vec::new();
    for client in clients {
        heard.push(client.heard()?);
    }
    let ages = heard.iter().find(|heard| !heard.ages_ms.is_empty());
    let age = |share| ages.and_then(|heard| quantile(&heard.ages_ms, share));
    let refused = sent.refused - sent_before.refused;
    let lost: u64 = heard.iter().map(|heard| heard.lost).sum();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "counts are whole, and only rise"
    )]
    let risen = |nth: usize| (after[nth] - before[nth]) as u64;
    Ok(Measured {
        core: (taken.processor_s - taken_before.processor_s) / length_s,
        resident_mb: taken.resident_mb,
        ready_ms: daemon.started_in().as_secs_f64() * 1e3,
        sent: sent.samples - sent_before.samples,
        taken: risen(0),
        dropped: refused + lost + risen(1) + risen(2) + risen(3),
        events_hz: heard.iter().map(|heard| heard.events).sum::<u64>() as f64 / length_s,
        age_ms: age(0.5)
            .zip(age(0.99))
            .zip(age(0.999))
            .map(|((half, most), nearly_all)| [half, most, nearly_all]),
        machine_load: machine_load(),
    })
}

/// Processes that wanted to run, in the mean of the last minute (proc(5)).
pub fn machine_load() -> f64 {
    let told = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    let minute = told.split(' ').next().and_then(|load| load.parse().ok());
    minute.unwrap_or(f64::NAN)
}
