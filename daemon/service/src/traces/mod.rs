//! Every angle of every board, for whoever draws it as it comes.
//!
//! The snapshot shows what is now; a drawn line needs every reading between. So the
//! boards hand each angle on, while somebody listens, into one bounded channel that
//! every listener reads at its own pace. Nobody waits for a slow one: it loses the
//! oldest and is told of which board how many.

mod pen;

use std::sync::Arc;

use hubplumb_core::estimate::Estimate;
use hubplumb_core::reading::Missing;
use hubplumb_core::time::HostTime;
use tokio::sync::broadcast;

pub use pen::{Pen, UNSEEN_US};

use crate::board::Board;

/// Marks that are kept for a listener: four boards at 100 Hz for twenty seconds, which is
/// longer than a tablet on a radio link is out of reach without the browser giving the
/// line up; sixteen at 500 Hz for one. A megabyte, and no more however many listen.
const CAPACITY: usize = 8192;

/// A mark on the trace of a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mark {
    /// Its angles at one reading.
    Angles {
        /// When.
        at: HostTime,
        /// Camber of a wheel, + top out; roll of the body, + left side up.
        lean: Estimate,
        /// Pitch of hub or body, + front up.
        pitch: Estimate,
    },
    /// From here to the next angles there is none.
    Gap {
        /// Since when.
        at: HostTime,
        /// Why.
        why: Missing,
    },
}

/// A mark, by which board.
#[derive(Debug, Clone)]
pub struct Trace {
    /// Which board.
    pub board: Arc<Board>,
    /// Counts the marks of that board: whoever misses some sees how many.
    pub nth: u64,
    /// The mark.
    pub mark: Mark,
}

/// The way from the boards to whoever draws.
#[derive(Debug)]
pub struct Traces {
    sender: broadcast::Sender<Trace>,
}

impl Default for Traces {
    fn default() -> Self {
        Self {
            sender: broadcast::Sender::new(CAPACITY),
        }
    }
}

impl Traces {
    /// Does somebody listen? Otherwise nothing need be worked out.
    pub fn is_wanted(&self) -> bool {
        self.sender.receiver_count() > 0
    }

    /// Begins to listen: what comes from now on.
    pub fn listen(&self) -> broadcast::Receiver<Trace> {
        self.sender.subscribe()
    }

    /// Hands a mark on; never waits.
    pub fn hand_on(&self, trace: Trace) {
        // Without a listener it has nowhere to go.
        let _ = self.sender.send(trace);
    }
}
