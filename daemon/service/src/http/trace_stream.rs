//! The stream of traces: all that came since the batch before, at most 20 times a second.

use std::collections::HashMap;
use std::convert::Infallible;
use std::time::Duration;

use axum::http::StatusCode;
use axum::response::sse::Event;
use futures_util::Stream;
use futures_util::stream;
use serde::Deserialize;
use tokio::sync::broadcast::{Receiver, error::RecvError};
use tokio::time::{Instant, sleep_until};
use tokio_util::sync::CancellationToken;

use super::problem::Problem;
use super::trace_views::{TraceBatchView, TraceBoardView, TraceGap};
use crate::clock::DaemonClock;
use crate::metrics::Listening;
use crate::present;
use crate::text;
use crate::traces::{Trace, Traces};

/// Least time between two batches where nothing is said: the head of a line need not move more often.
const LEAST_INTERVAL_MS: u16 = 50;
/// Longest that may be asked for; a listener of that pace still has half of what the channel keeps.
const MOST_INTERVAL_MS: u16 = 1000;

/// How often a listener wants batches.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
pub(super) struct Pace {
    interval_ms: Option<u16>,
}

impl Pace {
    /// Least time between two batches.
    pub(super) fn interval(self) -> Result<Duration, Problem> {
        let ms = self.interval_ms.unwrap_or(LEAST_INTERVAL_MS);
        if ms > MOST_INTERVAL_MS {
            return Err(Problem::new(
                StatusCode::UNPROCESSABLE_ENTITY,
                "interval",
                text!("No such interval"),
                text!(
                    "Traces come at most {most} ms apart; {asked} ms were asked for.",
                    most = MOST_INTERVAL_MS,
                    asked = ms
                ),
                text!("Ask for less; without interval_ms they come 20 times a second."),
            ));
        }
        Ok(Duration::from_millis(ms.into()))
    }
}

struct Client {
    traces: Receiver<Trace>,
    clock: DaemonClock,
    /// Number of the next mark, by board.
    next: HashMap<String, u64>,
    next_at: Instant,
    interval: Duration,
    stop: CancellationToken,
    /// Counted for as long as it listens.
    _seat: Listening,
}

/// Batches for one client, until the daemon stops.
pub(super) fn batches(
    traces: &Traces,
    clock: DaemonClock,
    interval: Duration,
    stop: CancellationToken,
    seat: Listening,
) -> impl Stream<Item = Result<Event, Infallible>> + use<> {
    let client = Client {
        traces: traces.listen(),
        clock,
        next: HashMap::new(),
        next_at: Instant::now(),
        interval,
        stop,
        _seat: seat,
    };
    stream::unfold(client, |mut client| async move {
        let stop = client.stop.clone();
        let batch = stop.run_until_cancelled(client.batch()).await??;
        let event = Event::default().event("traces").json_data(batch);
        let event = event
            .inspect_err(|error| tracing::error!(%error, "traces do not become JSON; they end"))
            .ok()?;
        Some((Ok(event), client))
    })
}

impl Client {
    /// The next batch; none when there will be no more.
    async fn batch(&mut self) -> Option<TraceBatchView> {
        // The timer's steps are a millisecond; whoever wants all at once does not wait for one.
        if !self.interval.is_zero() {
            sleep_until(self.next_at).await;
        }
        let mut batch = TraceBatchView::default();
        let first = loop {
            match self.traces.recv().await {
                Ok(trace) => break trace,
                // How many of which board shows by their numbers.
                Err(RecvError::Lagged(_)) => {}
                Err(RecvError::Closed) => return None,
            }
        };
        self.add(&mut batch, &first);
        // As many as lie there now; those who write meanwhile wait for the next batch.
        for _ in 0..self.traces.len() {
            if let Ok(trace) = self.traces.try_recv() {
                self.add(&mut batch, &trace);
            }
        }
        batch.now_us = self.clock.now().us();
        self.next_at = Instant::now() + self.interval;
        Some(batch)
    }

    fn add(&mut self, batch: &mut TraceBatchView, trace: &Trace) {
        let facts = trace.board.facts();
        let Some(mount) = facts.mount else {
            return;
        };
        let place = batch.boards.iter().position(|board| board.id == facts.id);
        let place = place.unwrap_or_else(|| {
            batch.boards.push(TraceBoardView {
                id: facts.id.clone(),
                mount: present::mount_view(mount),
                at_us: Vec::new(),
                lean_deg: Vec::new(),
                pitch_deg: Vec::new(),
                gaps: Vec::new(),
                lean_expanded_deg: None,
                pitch_expanded_deg: None,
                lost: 0,
            });
            batch.boards.len() - 1
        });
        let view = &mut batch.boards[place];
        let next = self.next.entry(facts.id.clone()).or_insert(trace.nth);
        let lost = trace.nth.saturating_sub(*next);
        *next = trace.nth + 1;
        if lost > 0 {
            view.lost += lost;
            present::trace_gap(view, present::at_us(&trace.mark), TraceGap::Lost);
        }
        present::trace_mark(view, &trace.mark);
    }
}
