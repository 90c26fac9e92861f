//! What can be measured of the daemon itself, for whoever watches over it (docs/OPERATING.md).
//!
//! Nearly everything is counted where it happens anyway and only read out when somebody asks. What is
//! recorded for this alone, the way from a read to the snapshot, is a fixed array and an atomic
//! histogram: on the way of a reading nothing is allocated and nobody waits.

mod exposition;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use prometheus::{Histogram, HistogramOpts};
use tokio::time::Instant;

use crate::board::{Arrivals, Boards, Inlets};
use crate::clock::DaemonClock;
use crate::pulse::Pulse;
use crate::recording::recorder::RecordInlet;
use crate::visiting::VisitDesk;

pub use exposition::{CONTENT_TYPE, exposition};

/// From a millisecond, below which nobody can tell, to the two seconds after which the pulse is lost.
const LATENCY_S: [f64; 11] = [
    0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.075, 0.1, 0.25, 0.5, 2.0,
];

/// Everything that is read out.
#[derive(Debug, Clone)]
pub struct Instruments {
    /// The boards.
    pub boards: Boards,
    /// Ways from the boards to what is measured.
    pub inlets: Inlets,
    /// Way to the recorder, where swings are recorded.
    pub record: Option<Arc<RecordInlet>>,
    /// Cars and visits.
    pub visits: VisitDesk,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Beats with every snapshot.
    pub pulse: Pulse,
    /// From a read to the snapshot.
    pub latency: Latency,
    /// Clients that listen.
    pub streams: Streams,
}

impl Instruments {
    /// Instruments that have measured nothing yet.
    pub fn over(boards: Boards, inlets: Inlets, visits: VisitDesk, clock: DaemonClock) -> Self {
        Self {
            boards,
            inlets,
            record: None,
            visits,
            clock,
            pulse: Pulse::default(),
            latency: Latency::default(),
            streams: Streams::default(),
        }
    }
}

/// How long readings take from the read of the line to the snapshot that is the first to have them.
#[derive(Debug, Clone)]
pub struct Latency {
    /// None only if the library refused the bounds above, which a test rules out.
    histogram: Option<Histogram>,
}

impl Default for Latency {
    fn default() -> Self {
        let told = HistogramOpts::new(
            "hubplumb_snapshot_latency_seconds",
            "From the read of a line to the first snapshot that has its readings.",
        );
        let histogram = Histogram::with_opts(told.buckets(LATENCY_S.to_vec()))
            .inspect_err(|error| tracing::error!(%error, "the latency is not measured"));
        Self {
            histogram: histogram.ok(),
        }
    }
}

impl Latency {
    /// A snapshot was published that is the first to have what came then.
    pub fn shown(&self, arrivals: &Arrivals, published: Instant) {
        let Some(histogram) = &self.histogram else {
            return;
        };
        for at in arrivals.moments() {
            histogram.observe(published.saturating_duration_since(at).as_secs_f64());
        }
    }
}

/// Clients that listen to a stream, each counted for as long as it holds its place.
#[derive(Debug, Clone, Default)]
pub struct Streams {
    seats: Arc<Seats>,
}

#[derive(Debug, Default)]
struct Seats {
    state: Arc<()>,
    traces: Arc<()>,
}

/// A client's place, given back when it is dropped.
#[derive(Debug)]
pub struct Listening {
    _seat: Arc<()>,
}

impl Streams {
    /// A client listens to the state.
    pub fn to_state(&self) -> Listening {
        Listening {
            _seat: self.seats.state.clone(),
        }
    }

    /// A client listens to the traces.
    pub fn to_traces(&self) -> Listening {
        Listening {
            _seat: self.seats.traces.clone(),
        }
    }

    /// Clients by the name of the stream.
    pub fn clients(&self) -> [(&'static str, usize); 2] {
        // The seat itself is the one that is no client's.
        let taken = |seat| Arc::strong_count(seat).saturating_sub(1);
        [
            ("state", taken(&self.seats.state)),
            ("traces", taken(&self.seats.traces)),
        ]
    }
}
