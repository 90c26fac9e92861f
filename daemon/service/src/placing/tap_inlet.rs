//! Where the boards hand over what they feel while somebody waits for a tap.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};

use hubplumb_core::frames::{Board, Vec3};
use hubplumb_core::reading::RawSample;
use hubplumb_core::time::HostTime;

use crate::queue::{Backlog, NewestQueue};

/// Sixteen boards at 200 Hz for more than a second: longer than the daemon is ever late on
/// a machine that it can work on at all. A tap that is lost is tapped again.
const CAPACITY: usize = 4096;

/// What a board felt.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Felt {
    /// Number of the board.
    pub board: usize,
    /// When.
    pub at: HostTime,
    /// Specific force as it came, g.
    pub accel_g: Vec3<Board>,
}

/// A bounded way from the boards to the naming; closed while none runs.
#[derive(Debug)]
pub struct TapInlet {
    queue: NewestQueue<Felt>,
    open: AtomicBool,
}

impl Default for TapInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
            open: AtomicBool::new(false),
        }
    }
}

impl TapInlet {
    /// How its queue stands.
    pub fn backlog(&self) -> Backlog {
        self.queue.backlog()
    }

    /// Hands over what a board felt; passed over while nobody waits for a tap.
    pub fn offer(&self, board: usize, raw: &RawSample) {
        if !self.open.load(Ordering::Relaxed) {
            return;
        }
        let felt = Felt {
            board,
            at: raw.at,
            accel_g: raw.accel_g,
        };
        if self.queue.push(felt).is_some() {
            tracing::debug!("the naming was too late for a reading");
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
    pub(super) fn take(&self) -> VecDeque<Felt> {
        self.queue.take_now()
    }
}
