//! Listening, where it was asked for: every free board at once, in silence.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use hubplumb_protocol::Reading;
use tokio::task::JoinSet;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;

use super::found::{Found, HeardView, SpeechView, columns};
use crate::link::{
    CANDIDATE_BAUDS, LinkSettings, LinkState, LinkStatus, Observer, Speech, Target, Timing, Ways,
};
use crate::present::link_trouble;
use crate::speech_store::RememberedSpeech;

/// Readings after which a board has been heard well enough.
const ENOUGH_READINGS: u64 = 20;

/// Long enough for a remembered guess that fails, every speed once, and a board that
/// restarted when its port was opened (its boot loader takes a second or two).
pub(in crate::cli) fn patience(timing: Timing) -> Duration {
    let speeds = u32::try_from(CANDIDATE_BAUDS.len()).unwrap_or(u32::MAX);
    timing.unreadable + timing.listen_window * speeds + timing.silence
}

/// Listens to every board that nothing stands in the way of.
pub(super) async fn listen(found: &mut Found, ways: &Ways, stop: &CancellationToken) {
    let mut ears = JoinSet::new();
    for (index, board) in found.boards.iter().enumerate() {
        if board.refused.is_some() || board.stranger {
            continue;
        }
        let (ways, target, settings) = (ways.clone(), board.target.clone(), board.settings());
        let (remembered, stop) = (board.remembered.clone(), stop.clone());
        ears.spawn(async move {
            let at_most = patience(Timing::default());
            let heard = hear(&ways, &target, settings, remembered, at_most);
            (
                index,
                stop.run_until_cancelled(Box::pin(heard)).await.flatten(),
            )
        });
    }
    while let Some(ended) = ears.join_next().await {
        let Ok((index, status)) = ended else { continue };
        if let (Some(board), Some(status)) = (found.boards.get_mut(index), status) {
            board.heard = Some(heard(&status));
        }
    }
}

/// Listens to one board until it was heard well enough, or for so long; what was known of it then.
pub(in crate::cli) async fn hear(
    ways: &Ways,
    target: &Target,
    settings: LinkSettings,
    remembered: Option<RememberedSpeech>,
    at_most: Duration,
) -> Option<LinkStatus> {
    let last = Arc::new(Mutex::new(None));
    let enough = CancellationToken::new();
    let ear = Ear {
        last: last.clone(),
        remembered,
        enough: enough.clone(),
    };
    let link = ways.clone().run(target.clone(), settings, ear, enough);
    // Out of patience is no failure: what was heard until then is told.
    let _ = timeout(at_most, link).await;
    let mut last = last.lock().unwrap_or_else(PoisonError::into_inner);
    last.take()
}

struct Ear {
    last: Arc<Mutex<Option<LinkStatus>>>,
    remembered: Option<RememberedSpeech>,
    enough: CancellationToken,
}

impl Observer for Ear {
    fn arrived(&mut self, _: &[u8], _: &[Reading], _: u64) {}

    fn status(&mut self, status: &LinkStatus) {
        if status.state == LinkState::Live && status.good_frames >= ENOUGH_READINGS {
            self.enough.cancel();
        }
        *self.last.lock().unwrap_or_else(PoisonError::into_inner) = Some(status.clone());
    }

    fn remembered(&mut self) -> Option<RememberedSpeech> {
        self.remembered.clone()
    }
}

fn heard(status: &LinkStatus) -> HeardView {
    HeardView {
        live: status.state == LinkState::Live,
        readings: status.good_frames,
        bad_frames: status.bad_frames.values().sum(),
        speech: status.speech.as_ref().map(|known| speech(known)),
        trouble: link_trouble(status),
    }
}

fn speech(speech: &Speech) -> SpeechView {
    SpeechView {
        baud: speech.baud,
        baud_is_guess: speech.baud_is_guess,
        format: Some(speech.format.name()),
        columns: columns(&speech.format),
        format_is_guess: speech.format_is_guess,
        why: speech.why.clone(),
    }
}
