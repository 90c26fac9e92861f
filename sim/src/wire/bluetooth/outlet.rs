//! The board's end of a Bluetooth link, and the connection events at which it sends.

use std::time::Duration;

use tokio::time::MissedTickBehavior;

use super::life;
use super::peripheral::Gives;
use super::world::{Board, Shared};
use crate::wire::outlet::{Outlet, Written};

/// How often an advertisement is passed on.
const ADVERTISING: Duration = Duration::from_millis(250);

/// Sends what waits at each connection event, and lets a board that is not connected
/// advertise in between.
pub(super) async fn events(world: Shared, at: usize, interval: Duration) {
    let mut events = tokio::time::interval(interval.max(Duration::from_millis(1)));
    events.set_missed_tick_behavior(MissedTickBehavior::Skip);
    let mut advertised = tokio::time::Instant::now();
    loop {
        let now = events.tick().await;
        if now - advertised >= ADVERTISING {
            advertised = now;
            // A bus or BlueZ that is gone takes nothing, and whoever listened to it knows.
            let _ = life::see(&world, at).await;
        }
        let at_once = world.board(at, |board| board.spec.radio.at_once);
        for _ in 0..at_once {
            let is_one = world.board(at, |board| {
                if !board.is_heard() {
                    board.queue.clear();
                }
                let Some(value) = board.queue.pop_front() else {
                    return false;
                };
                board.value = value;
                board.tally.notified += 1;
                true
            });
            if !is_one || life::send_value(&world, at, Gives::Readings).await.is_err() {
                break;
            }
        }
    }
}

/// Where a board of a scenario is.
#[derive(Debug, Clone)]
pub(in crate::wire) struct OnAir {
    pub(super) world: Shared,
    pub(super) at: usize,
    pub(super) runtime: tokio::runtime::Handle,
}

impl OnAir {
    /// Gives the board power.
    pub(in crate::wire) fn open(&self) -> Notifying {
        self.world.board(self.at, |board| board.is_on = true);
        Notifying {
            on_air: self.clone(),
        }
    }

    /// The name it advertises.
    pub(in crate::wire) fn name(&self) -> String {
        self.world.board(self.at, |board| board.spec.name.clone())
    }
}

/// A board of a scenario, sending by notifications. Dropping it takes the board's power.
#[derive(Debug)]
pub(in crate::wire) struct Notifying {
    on_air: OnAir,
}

impl Notifying {
    fn board<T>(&self, act: impl FnOnce(&mut Board) -> T) -> T {
        self.on_air.world.board(self.on_air.at, act)
    }
}

impl Drop for Notifying {
    fn drop(&mut self) {
        self.board(|board| board.is_on = false);
        let OnAir { world, at, runtime } = self.on_air.clone();
        // Where the bus is gone already, nobody can be told.
        runtime.spawn(async move { life::drop_link(&world, at).await });
    }
}

impl Outlet for Notifying {
    fn is_heard(&mut self) -> bool {
        self.board(|board| board.is_heard())
    }

    fn was_opened(&mut self) -> bool {
        self.board(|board| std::mem::take(&mut board.was_opened))
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        self.board(|board| {
            if board.is_heard() {
                Written::Sent {
                    lost: board.say(said),
                }
            } else {
                Written::Unheard
            }
        })
    }

    fn written(&mut self) -> Vec<u8> {
        self.board(|board| std::mem::take(&mut board.written))
    }
}
