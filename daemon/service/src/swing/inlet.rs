//! Where the boards hand their samples to the swing.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use hubplumb_core::side::Side;

use crate::board::Heard;
use crate::mount::Mount;
use crate::queue::{Backlog, NewestQueue};

/// Three boards at 1 kHz, for more than a second: longer than the daemon is ever late
/// on a machine that it can work on at all.
const CAPACITY: usize = 4096;

/// Where a board that takes part in a swing sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SwingPlace {
    /// On the steered wheel of this side.
    Wheel(Side),
    /// On the body.
    Body,
}

impl SwingPlace {
    /// The place of a mount; none on wheels that are not steered.
    pub fn of(mount: Mount) -> Option<Self> {
        match mount {
            Mount::Body => Some(Self::Body),
            wheel if wheel.is_steered() => wheel.side().map(Self::Wheel),
            _ => None,
        }
    }
}

/// What a board tells the swing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingInput {
    /// Which board.
    pub place: SwingPlace,
    /// What it says.
    pub heard: Heard,
}

/// A bounded way from the boards to the swing; closed while none runs.
#[derive(Debug)]
pub struct SwingInlet {
    queue: NewestQueue<SwingInput>,
    open: AtomicBool,
    dropped_left: AtomicU64,
    dropped_right: AtomicU64,
    dropped_body: AtomicU64,
}

impl Default for SwingInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
            open: AtomicBool::new(false),
            dropped_left: AtomicU64::new(0),
            dropped_right: AtomicU64::new(0),
            dropped_body: AtomicU64::new(0),
        }
    }
}

impl SwingInlet {
    /// How its queue stands.
    pub fn backlog(&self) -> Backlog {
        self.queue.backlog()
    }

    /// Hands an input over; passed over while no swing runs.
    pub fn offer(&self, input: SwingInput) {
        if !self.open.load(Ordering::Relaxed) {
            return;
        }
        if let Some(gone) = self.queue.push(input) {
            self.dropped_of(gone.place).fetch_add(1, Ordering::Relaxed);
        }
    }

    /// Readings of a board that had to go because the swing was late.
    pub fn dropped(&self, place: SwingPlace) -> u64 {
        self.dropped_of(place).load(Ordering::Relaxed)
    }

    pub(super) fn set_open(&self, open: bool) {
        self.open.store(open, Ordering::Relaxed);
    }

    /// Waits until there is something to take.
    pub(super) async fn filled(&self) {
        self.queue.filled().await;
    }

    /// Takes all there is, oldest first.
    pub(super) fn take(&self) -> VecDeque<SwingInput> {
        self.queue.take_now()
    }

    const fn dropped_of(&self, place: SwingPlace) -> &AtomicU64 {
        match place {
            SwingPlace::Wheel(Side::Left) => &self.dropped_left,
            SwingPlace::Wheel(Side::Right) => &self.dropped_right,
            SwingPlace::Body => &self.dropped_body,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const fn saturated(place: SwingPlace) -> SwingInput {
        SwingInput {
            place,
            heard: Heard::Saturated,
        }
    }

    #[test]
    fn is_closed_until_a_swing_runs_and_counts_what_it_drops_by_board() {
        let (left, right) = (
            SwingPlace::Wheel(Side::Left),
            SwingPlace::Wheel(Side::Right),
        );
        let inlet = SwingInlet::default();
        inlet.offer(saturated(left));
        inlet.set_open(true);
        inlet.offer(saturated(left));
        for _ in 0..CAPACITY {
            inlet.offer(saturated(right));
        }
        assert_eq!((inlet.dropped(left), inlet.dropped(right)), (1, 0));
        let kept = inlet.take();
        assert!(kept.iter().all(|input| *input == saturated(right)));
    }

    #[test]
    fn wheels_that_are_not_steered_have_no_place_in_a_swing() {
        assert_eq!(SwingPlace::of(Mount::RearLeft), None);
        assert_eq!(SwingPlace::of(Mount::Body), Some(SwingPlace::Body));
        assert_eq!(
            SwingPlace::of(Mount::FrontRight),
            Some(SwingPlace::Wheel(Side::Right))
        );
    }
}
