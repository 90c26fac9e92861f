//! The live stream: a snapshot, then what changed.
//!
//! Each client is compared with what it was sent last, so one that reads
//! slowly gets fewer and larger changes, never an outdated queue.

use std::convert::Infallible;
use std::sync::Arc;
use std::time::Duration;

use axum::response::sse::Event;
use futures_util::Stream;
use futures_util::stream;
use serde::Serialize;
use tokio::sync::watch;
use tokio::time::{Instant, sleep_until, timeout_at};
use tokio_util::sync::CancellationToken;

use super::told::Told;
use super::views::{ChangeView, StateView};
use crate::metrics::Listening;
use crate::text::Language;

/// Least time between two changes sent to a client: 20 a second is more than the eye reads.
const LEAST_INTERVAL: Duration = Duration::from_millis(50);

/// After how much silence a line shows that it is alive: by a change without sections, because
/// a browser hides comments from its page. The page gives a line up after two and a half of these.
const HEARTBEAT: Duration = Duration::from_secs(1);

struct Client {
    state: watch::Receiver<Arc<StateView>>,
    /// What clients are told, encoded once for all of them.
    told: Told,
    sent: Option<Arc<StateView>>,
    next_at: Instant,
    language: Language,
    stop: CancellationToken,
    /// Counted for as long as it listens.
    _seat: Listening,
}

/// Events for one client in its language, until the daemon stops.
pub(super) fn events(
    state: watch::Receiver<Arc<StateView>>,
    told: Told,
    language: Language,
    stop: CancellationToken,
    seat: Listening,
) -> impl Stream<Item = Result<Event, Infallible>> {
    let client = Client {
        state,
        told,
        sent: None,
        next_at: Instant::now(),
        language,
        stop,
        _seat: seat,
    };
    stream::unfold(client, |mut client| async move {
        let stop = client.stop.clone();
        let event = stop.run_until_cancelled(client.next()).await??;
        Some((Ok(event), client))
    })
}

impl Client {
    /// The next event; none when there will be no more.
    async fn next(&mut self) -> Option<Event> {
        let Some(sent) = self.sent.clone() else {
            let now = self.state.borrow_and_update().clone();
            let text = self
                .told
                .telling(self.language, None, now.serial, || self.text(&*now));
            self.sent = Some(now);
            return Some(Event::default().event("snapshot").data(text?));
        };
        let beat = Instant::now() + HEARTBEAT;
        loop {
            match timeout_at(beat, self.state.changed()).await {
                Ok(changed) => changed.ok()?,
                Err(_) => return Some(changed(&self.text(&nothing(&sent))?)),
            }
            sleep_until(self.next_at).await;
            let now = self.state.borrow_and_update().clone();
            let text = self
                .told
                .telling(self.language, Some(sent.serial), now.serial, || {
                    self.text(&change(&sent, &now)?)
                });
            let Some(text) = text else {
                continue;
            };
            self.sent = Some(now);
            self.next_at = Instant::now() + LEAST_INTERVAL;
            return Some(changed(&text));
        }
    }

    /// A view in the client's language.
    fn text(&self, view: &impl Serialize) -> Option<Arc<str>> {
        let text = self.language.tell(|| serde_json::to_string(view));
        text.inspect_err(|error| tracing::error!(%error, "a view does not become JSON"))
            .ok()
            .map(Into::into)
    }
}

fn changed(text: &str) -> Event {
    Event::default().event("change").data(text)
}

/// What is different in `now`; none when nothing is.
fn change(before: &StateView, now: &StateView) -> Option<ChangeView> {
    fn section<T: PartialEq + Clone>(before: &T, now: &T) -> Option<T> {
        (before != now).then(|| now.clone())
    }
    let change = ChangeView {
        serial: now.serial,
        now_us: now.now_us,
        boards: section(&before.boards, &now.boards),
        wheels: section(&before.wheels, &now.wheels),
        swing: section(&before.swing, &now.swing),
        findings: section(&before.findings, &now.findings),
        differences: section(&before.differences, &now.differences),
        curves: section(&before.curves, &now.curves),
        levelling: section(&before.levelling, &now.levelling),
        visit: section(&before.visit, &now.visit),
        check: section(&before.check, &now.check),
        checked: section(&before.checked, &now.checked),
        setup: section(&before.setup, &now.setup),
        publishing: section(&before.publishing, &now.publishing),
    };
    (change != nothing(now)).then_some(change)
}

/// A change of nothing since `state`.
fn nothing(state: &StateView) -> ChangeView {
    ChangeView {
        serial: state.serial,
        now_us: state.now_us,
        ..ChangeView::default()
    }
}
