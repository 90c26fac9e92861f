//! Where the boards hand their samples to the run-outs.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::board::Heard;
use crate::mount::Mount;
use crate::queue::{Backlog, NewestQueue};

/// Five boards at 1 kHz, for nearly a second: longer than the daemon is ever
/// late on a machine that it can work on at all. What is lost beyond shows as
/// a gap, which a run-out refuses by itself.
const CAPACITY: usize = 4096;

/// What a board tells the run-outs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LevelInput {
    /// Where it is strapped.
    pub mount: Mount,
    /// What it says.
    pub heard: Heard,
}

/// A bounded way from the boards to the run-outs; closed while none runs.
#[derive(Debug)]
pub struct LevelInlet {
    queue: NewestQueue<LevelInput>,
    open: AtomicBool,
}

impl Default for LevelInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
            open: AtomicBool::new(false),
        }
    }
}

impl LevelInlet {
    /// How its queue stands.
    pub fn backlog(&self) -> Backlog {
        self.queue.backlog()
    }

    /// Hands an input over; passed over while no run-out runs.
    pub fn offer(&self, input: LevelInput) {
        if self.open.load(Ordering::Relaxed) && self.queue.push(input).is_some() {
            tracing::debug!("a run-out was too late for a reading");
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
    pub(super) fn take(&self) -> VecDeque<LevelInput> {
        self.queue.take_now()
    }
}
