//! Writing down everything that goes into the measurements, in the order in
//! which it went in, and playing it again.
//!
//! Links, the run-outs and the swing are tasks of their own. Whatever changes
//! what is measured takes a [`Turn`] first, changes it, and notes the change in
//! the same turn; so the order of the notes is the order of what happened, and
//! playing them one after the other gives the same findings bit for bit.
//! Without a journal a turn costs nothing and holds nobody up.

mod entry;
mod level;
mod line;
mod read;
mod replay;
#[cfg(test)]
mod tests;
mod writer;

use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{SyncSender, TrySendError};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

pub use entry::{CheckNote, Entry, Presence, SwingNote, Task};
pub use level::{LevelNote, LineNote};
pub use line::{BadPlayed, Played, PlayedLine, PlayedTransport, Tempo};
pub use read::{JournalError, Recorded, read};
pub use replay::{Ended, Replay};
pub use writer::{JournalLimit, JournalWriter};

/// Notes that may wait for the disk: a second of eight boards at 1 kHz.
const WAITING: usize = 16_384;

/// A way to the journal, or to none.
#[derive(Debug, Clone, Default)]
pub struct Journal(Option<Arc<Book>>);

#[derive(Debug)]
struct Book {
    order: Mutex<()>,
    pen: SyncSender<Entry>,
    missing: AtomicU64,
}

impl Journal {
    /// No journal is kept.
    pub fn off() -> Self {
        Self(None)
    }

    /// A journal whose notes go to `pen`.
    fn to(pen: SyncSender<Entry>) -> Self {
        Self(Some(Arc::new(Book {
            order: Mutex::new(()),
            pen,
            missing: AtomicU64::new(0),
        })))
    }

    /// Is one kept?
    pub fn is_on(&self) -> bool {
        self.0.is_some()
    }

    /// Waits for everybody else's turn to end. A turn is short, never held
    /// across a wait, and nobody who has one takes another.
    pub fn turn(&self) -> Turn<'_> {
        Turn(self.0.as_deref().map(|book| {
            // The order itself cannot be left broken by a holder that panicked.
            let guard = book.order.lock().unwrap_or_else(PoisonError::into_inner);
            (book, guard)
        }))
    }
}

/// The right to change what is measured, while nobody else does.
#[derive(Debug)]
pub struct Turn<'a>(Option<(&'a Book, MutexGuard<'a, ()>)>);

impl Turn<'_> {
    /// Notes what was done or is about to be done in this turn.
    pub fn note(&mut self, entry: impl FnOnce() -> Entry) {
        let Some((book, _order)) = &self.0 else {
            return;
        };
        let missing = book.missing.swap(0, Ordering::Relaxed);
        if missing > 0 && !book.send(Entry::Missing { notes: missing }) {
            book.missing.fetch_add(missing, Ordering::Relaxed);
        }
        if !book.send(entry()) {
            book.missing.fetch_add(1, Ordering::Relaxed);
        }
    }
}

impl Book {
    /// A disk that is late must not hold the measuring up: what does not fit is counted.
    fn send(&self, entry: Entry) -> bool {
        match self.pen.try_send(entry) {
            Ok(()) => true,
            Err(TrySendError::Full(_) | TrySendError::Disconnected(_)) => false,
        }
    }
}
