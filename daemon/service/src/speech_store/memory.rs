//! What one link remembers.

use std::sync::Arc;

use time::OffsetDateTime;

use super::{RememberedSpeech, SpeechStore};
use crate::link::{LinkState, LinkStatus, Speech};

/// Watches one link: keeps a guess that has proved right, forgets one that has proved wrong.
#[derive(Debug)]
pub struct SpeechMemory {
    store: SpeechStore,
    last: Option<Arc<Speech>>,
    kept: Option<Arc<Speech>>,
}

impl SpeechMemory {
    /// A memory in `store`.
    pub fn new(store: SpeechStore) -> Self {
        Self {
            store,
            last: None,
            kept: None,
        }
    }

    /// What is remembered of the board that is about to be opened.
    pub fn recall(&self, board: &str) -> Option<RememberedSpeech> {
        self.store.load(board).unwrap_or_else(|error| {
            tracing::warn!(board, %error, "what was remembered of a board cannot be used");
            None
        })
    }

    /// The link tells how it stands.
    pub fn status(&mut self, status: &LinkStatus, board: impl FnOnce() -> String) {
        let was = std::mem::replace(&mut self.last, status.speech.clone());
        match (&status.speech, was) {
            (Some(now), _)
                if status.state == LinkState::Live && now.is_guess() && !self.keeps(now) =>
            {
                self.kept = Some(now.clone());
                self.keep(now, &board());
            }
            // A guess that is taken back while the line stays open was wrong.
            (None, Some(was)) if was.is_guess() && status.state != LinkState::Live => {
                self.kept = None;
                let board = board();
                if let Err(error) = self.store.forget(&board) {
                    tracing::warn!(board, %error, "a board could not be forgotten");
                }
            }
            _ => {}
        }
    }

    /// It is told with every read: mostly it is the very one.
    fn keeps(&self, now: &Arc<Speech>) -> bool {
        let kept = self.kept.as_ref();
        kept.is_some_and(|kept| Arc::ptr_eq(kept, now) || kept == now)
    }

    fn keep(&self, speech: &Speech, board: &str) {
        let found = RememberedSpeech {
            date: OffsetDateTime::now_utc(),
            baud: speech.baud.filter(|_| speech.baud_is_guess),
            format: speech.format_is_guess.then(|| speech.format.clone()),
            why: speech.why.clone(),
        };
        // A guess that was remembered and holds is no news, and keeps its date.
        if let Ok(Some(there)) = self.store.load(board)
            && (&there.baud, &there.format) == (&found.baud, &found.format)
        {
            return;
        }
        if let Err(error) = self.store.keep(board, &found) {
            tracing::warn!(board, %error, "how a board talks could not be kept");
        }
    }
}
