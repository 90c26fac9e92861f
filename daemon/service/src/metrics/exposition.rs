//! Everything that is measured, in the text format 0.0.4 that collectors read.
//!
//! Labels are bounded: a daemon reads at most [`crate::config::MOST_BOARDS`] boards, and reasons,
//! queues, states and streams are closed lists of the program.

use hubplumb_core::time::HostTime;
use prometheus::process_collector::ProcessCollector;
use prometheus::{Error, GaugeVec, IntCounterVec, IntGaugeVec, Opts, Registry, TextEncoder};

use super::Instruments;
use crate::board::{Board, BoardNow, presence};
use crate::journal::Presence;
use crate::link::LinkState;
use crate::mount::Mount;

/// What the text is sent as.
pub const CONTENT_TYPE: &str = "text/plain; version=0.0.4; charset=utf-8";

/// Everything as it is now.
pub fn exposition(instruments: &Instruments) -> Result<String, Error> {
    let registry = Registry::new();
    daemon(&registry, instruments)?;
    boards(&registry, instruments)?;
    queues(&registry, instruments)?;
    store(&registry, instruments)?;
    if let Some(histogram) = &instruments.latency.histogram {
        registry.register(Box::new(histogram.clone()))?;
    }
    registry.register(Box::new(ProcessCollector::for_self()))?;
    TextEncoder::new().encode_to_string(&registry.gather())
}

fn counter(of: &Registry, name: &str, help: &str, labels: &[&str]) -> Result<IntCounterVec, Error> {
    let made = IntCounterVec::new(Opts::new(name, help), labels)?;
    of.register(Box::new(made.clone()))?;
    Ok(made)
}

fn gauge(of: &Registry, name: &str, help: &str, labels: &[&str]) -> Result<GaugeVec, Error> {
    let made = GaugeVec::new(Opts::new(name, help), labels)?;
    of.register(Box::new(made.clone()))?;
    Ok(made)
}

fn count(of: &Registry, name: &str, help: &str, labels: &[&str]) -> Result<IntGaugeVec, Error> {
    let made = IntGaugeVec::new(Opts::new(name, help), labels)?;
    of.register(Box::new(made.clone()))?;
    Ok(made)
}

/// No queue and no number of clients comes near the end of it.
fn as_gauge(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

fn daemon(registry: &Registry, instruments: &Instruments) -> Result<(), Error> {
    count(
        registry,
        "hubplumb_build_info",
        "Version of the daemon; always 1.",
        &["version"],
    )?
    .with_label_values(&[env!("CARGO_PKG_VERSION")])
    .set(1);
    gauge(
        registry,
        "hubplumb_snapshot_age_seconds",
        "Since everything was last looked at; some hundredths while the daemon is well.",
        &[],
    )?
    .with_label_values::<&str>(&[])
    .set(instruments.pulse.age().as_secs_f64());
    let clients = count(
        registry,
        "hubplumb_stream_clients",
        "Clients that listen to a stream.",
        &["stream"],
    )?;
    for (stream, number) in instruments.streams.clients() {
        clients.with_label_values(&[stream]).set(as_gauge(number));
    }
    Ok(())
}

/// What is told of each board.
struct BoardMetrics {
    info: IntGaugeVec,
    up: IntGaugeVec,
    frames: IntCounterVec,
    bad: IntCounterVec,
    unused: IntCounterVec,
    bytes: IntCounterVec,
    reconnects: IntCounterVec,
    age: GaugeVec,
    rate: GaugeVec,
}

impl BoardMetrics {
    fn of(registry: &Registry) -> Result<Self, Error> {
        let one = &["board"];
        Ok(Self {
            info: count(
                registry,
                "hubplumb_board_info",
                "Where a board sits, how it talks and what its link does; always 1.",
                &["board", "mount", "format", "state"],
            )?,
            up: count(
                registry,
                "hubplumb_board_up",
                "1 while good frames arrive, else 0.",
                one,
            )?,
            frames: counter(registry, "hubplumb_board_frames_total", "Good frames.", one)?,
            bad: counter(
                registry,
                "hubplumb_board_bad_frames_total",
                "Frames that were bad, and what the line left out, by the reason.",
                &["board", "reason"],
            )?,
            unused: counter(
                registry,
                "hubplumb_board_unused_readings_total",
                "Readings of good frames that could not be used, by the reason.",
                &["board", "reason"],
            )?,
            bytes: counter(
                registry,
                "hubplumb_board_bytes_total",
                "Bytes that were read in a known format.",
                one,
            )?,
            reconnects: counter(
                registry,
                "hubplumb_board_reconnects_total",
                "Times that the line was opened again after the first.",
                one,
            )?,
            age: gauge(
                registry,
                "hubplumb_board_reading_age_seconds",
                "Since the last good frame; missing before the first.",
                one,
            )?,
            rate: gauge(
                registry,
                "hubplumb_board_readings_per_second",
                "Readings per second over the last three seconds; missing while none arrive.",
                one,
            )?,
        })
    }

    fn tell(&self, board: &Board, seen: &BoardNow, now: HostTime) {
        let facts = board.facts();
        let id = facts.id.as_str();
        let status = &seen.status;
        let format = status.speech.as_ref().map(|speech| speech.format.name());
        self.info
            .with_label_values(&[
                id,
                facts.mount.map_or("", Mount::name),
                format.unwrap_or_default(),
                state(&status.state),
            ])
            .set(1);
        let is_up = presence(&status.state) == Presence::Live;
        self.up.with_label_values(&[id]).set(i64::from(is_up));
        self.frames
            .with_label_values(&[id])
            .inc_by(status.good_frames);
        for (reason, number) in &status.bad_frames {
            self.bad.with_label_values(&[id, reason]).inc_by(*number);
        }
        for (reason, number) in &seen.unused {
            self.unused.with_label_values(&[id, reason]).inc_by(*number);
        }
        self.bytes.with_label_values(&[id]).inc_by(status.bytes);
        self.reconnects
            .with_label_values(&[id])
            .inc_by(status.openings.saturating_sub(1));
        if let Some(heard_at) = seen.heard_at {
            let age_us = now.us().saturating_sub(heard_at.us()).max(0);
            self.age.with_label_values(&[id]).set(age_us as f64 * 1e-6);
        }
        if let Some(rate_hz) = seen.rate_hz {
            self.rate.with_label_values(&[id]).set(rate_hz);
        }
    }
}

fn boards(registry: &Registry, instruments: &Instruments) -> Result<(), Error> {
    let metrics = BoardMetrics::of(registry)?;
    let now = instruments.clock.now();
    for board in instruments.boards.borrow().iter() {
        metrics.tell(board, &board.look(now), now);
    }
    Ok(())
}

const fn state(state: &LinkState) -> &'static str {
    match state {
        LinkState::Listening => "listening",
        LinkState::Live => "live",
        LinkState::Silent => "silent",
        LinkState::Unreadable(_) => "unreadable",
        LinkState::Absent { .. } => "absent",
        LinkState::Refused(_) => "refused",
    }
}

fn queues(registry: &Registry, instruments: &Instruments) -> Result<(), Error> {
    let waiting = count(
        registry,
        "hubplumb_queue_entries",
        "Readings that wait for a procedure.",
        &["queue"],
    )?;
    let dropped = counter(
        registry,
        "hubplumb_queue_dropped_total",
        "Readings that were given up because a procedure was late.",
        &["queue"],
    )?;
    let inlets = &instruments.inlets;
    let record = instruments.record.as_ref();
    let queues = [
        ("swing", Some(inlets.swing.backlog())),
        ("level", Some(inlets.level.backlog())),
        ("check", Some(inlets.check.backlog())),
        ("tap", Some(inlets.tap.backlog())),
        ("record", record.map(|record| record.backlog())),
    ];
    for (queue, backlog) in queues {
        if let Some(backlog) = backlog {
            waiting
                .with_label_values(&[queue])
                .set(as_gauge(backlog.waiting));
            dropped.with_label_values(&[queue]).inc_by(backlog.dropped);
        }
    }
    Ok(())
}

fn store(registry: &Registry, instruments: &Instruments) -> Result<(), Error> {
    let store = instruments.visits.store();
    count(
        registry,
        "hubplumb_store_open",
        "1 if cars and visits can be kept, else 0.",
        &[],
    )?
    .with_label_values::<&str>(&[])
    .set(i64::from(store.is_ok()));
    let Ok(store) = store else {
        return Ok(());
    };
    counter(
        registry,
        "hubplumb_store_writes_total",
        "Changes that the store of cars and visits took.",
        &[],
    )?
    .with_label_values::<&str>(&[])
    .inc_by(store.tally().commits());
    counter(
        registry,
        "hubplumb_store_failures_total",
        "Times that the store's database refused something.",
        &[],
    )?
    .with_label_values::<&str>(&[])
    .inc_by(store.tally().faults());
    Ok(())
}
