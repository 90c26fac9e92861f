//! Where the boards hand their samples to the running check.

use std::collections::VecDeque;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::board::{Board, Heard};
use crate::queue::{Backlog, NewestQueue};

/// Sixteen boards at 200 Hz for more than a second: longer than the daemon is ever
/// late on a machine that it can work on at all. What is lost beyond shows as a
/// gap, which a check refuses by itself.
const CAPACITY: usize = 4096;

/// What a board tells the check. A board on a bar has no mount, so it is the board itself.
#[derive(Debug, Clone)]
pub struct CheckInput {
    /// Which board.
    pub board: Arc<Board>,
    /// What it says.
    pub heard: Heard,
}

/// A bounded way from the boards to the check; closed while none runs.
#[derive(Debug)]
pub struct CheckInlet {
    queue: NewestQueue<CheckInput>,
    open: AtomicBool,
}

impl Default for CheckInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
            open: AtomicBool::new(false),
        }
    }
}

impl CheckInlet {
    /// How its queue stands.
    pub fn backlog(&self) -> Backlog {
        self.queue.backlog()
    }

    /// Hands an input over; passed over while no check runs.
    pub fn offer(&self, board: &Arc<Board>, heard: Heard) {
        if !self.open.load(Ordering::Relaxed) {
            return;
        }
        let board = board.clone();
        if self.queue.push(CheckInput { board, heard }).is_some() {
            tracing::debug!("a check was too late for a reading");
        }
    }

    pub(super) fn set_open(&self, open: bool) {
        self.open.store(open, Ordering::Relaxed);
    }

    /// Waits until there is something to take.
    pub(super) async fn filled(&self) {
        self.queue.filled().await;
    }

    /// Takes all there is, oldest first.
    pub(super) fn take(&self) -> VecDeque<CheckInput> {
        self.queue.take_now()
    }
}
