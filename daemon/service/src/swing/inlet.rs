//! Where the boards hand their samples to the swing.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use hubplumb_core::reading::Sample;
use hubplumb_core::side::Side;

use crate::queue::NewestQueue;

/// Two boards at 1 kHz, for two seconds: longer than the daemon is ever late
/// on a machine that it can work on at all.
const CAPACITY: usize = 4096;

/// What a board tells the swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SwingInput {
    /// A calibrated reading.
    Sample(Side, Sample),
    /// A reading at the end of the range.
    Saturated(Side),
    /// The board is gone.
    Lost(Side),
}

impl SwingInput {
    const fn side(&self) -> Side {
        match self {
            Self::Sample(side, _) | Self::Saturated(side) | Self::Lost(side) => *side,
        }
    }
}

/// A bounded way from the boards to the swing; closed while none runs.
#[derive(Debug)]
pub struct SwingInlet {
    queue: NewestQueue<SwingInput>,
    open: AtomicBool,
    dropped_left: AtomicU64,
    dropped_right: AtomicU64,
}

impl Default for SwingInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
            open: AtomicBool::new(false),
            dropped_left: AtomicU64::new(0),
            dropped_right: AtomicU64::new(0),
        }
    }
}

impl SwingInlet {
    /// Hands an input over; passed over while no swing runs.
    pub fn offer(&self, input: SwingInput) {
        if !self.open.load(Ordering::Relaxed) {
            return;
        }
        if let Some(gone) = self.queue.push(input) {
            self.dropped_of(gone.side()).fetch_add(1, Ordering::Relaxed);
        }
    }

    /// Readings of a side that had to go because the swing was late.
    pub fn dropped(&self, side: Side) -> u64 {
        self.dropped_of(side).load(Ordering::Relaxed)
    }

    pub(super) fn set_open(&self, open: bool) {
        self.open.store(open, Ordering::Relaxed);
    }

    pub(super) async fn take(&self) -> VecDeque<SwingInput> {
        self.queue.take().await
    }

    fn dropped_of(&self, side: Side) -> &AtomicU64 {
        match side {
            Side::Left => &self.dropped_left,
            Side::Right => &self.dropped_right,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn is_closed_until_a_swing_runs_and_counts_what_it_drops_by_side() {
        let inlet = SwingInlet::default();
        inlet.offer(SwingInput::Lost(Side::Left));
        inlet.set_open(true);
        inlet.offer(SwingInput::Saturated(Side::Left));
        for _ in 0..CAPACITY {
            inlet.offer(SwingInput::Saturated(Side::Right));
        }
        assert_eq!(
            (inlet.dropped(Side::Left), inlet.dropped(Side::Right)),
            (1, 0)
        );
        assert!(
            inlet
                .take()
                .await
                .iter()
                .all(|input| *input == SwingInput::Saturated(Side::Right))
        );
    }
}
