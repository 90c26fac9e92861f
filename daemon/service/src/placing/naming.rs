//! Naming the mounts by tapping: "tap the board on the front left hub", and the board that
//! was tapped is it. Goes on to the next mount by itself, so that nobody needs a hand for
//! the tablet.

use std::sync::Arc;

use hubplumb_core::tap::{Jolt, TapListener, Unclear};
use tokio::sync::{mpsc, oneshot, watch};
use tokio_util::sync::CancellationToken;

use super::tap_inlet::TapInlet;
use super::{PlaceError, Placer};
use crate::board::{Board, Seat};
use crate::mount::Mount;

/// Wishes that may wait: one person presses one button at a time.
const WISHES: usize = 16;

/// The naming as it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NamingSnapshot {
    /// Rises with every start.
    pub run: u64,
    /// Mounts whose board is still to be tapped; the first is at hand. Empty when none runs.
    pub wanted: Vec<Mount>,
    /// Mounts and the boards, by number, that were tapped there.
    pub named: Vec<(Mount, usize)>,
    /// Mounts on which there is no board.
    pub skipped: Vec<Mount>,
    /// The last jolt, and how many there were: two alike are two.
    pub heard: Option<(u64, HeardTap)>,
}

impl NamingSnapshot {
    /// The mount whose board is to be tapped now.
    pub fn at_hand(&self) -> Option<Mount> {
        self.wanted.first().copied()
    }
}

/// What became of a jolt. Boards are told by number.
#[derive(Debug, Clone, PartialEq)]
pub enum HeardTap {
    /// The board that was tapped is on that mount now.
    Named {
        /// The board.
        board: usize,
        /// Its mount.
        mount: Mount,
    },
    /// More than one board moved alike.
    Alike {
        /// The two that moved most.
        boards: [usize; 2],
    },
    /// The board was carried or shoved.
    Carried {
        /// The board.
        board: usize,
    },
    /// That board was tapped before, for another mount.
    Again {
        /// The board.
        board: usize,
        /// The mount it was tapped for.
        mount: Mount,
    },
    /// The board cannot be put there.
    Refused {
        /// The board.
        board: usize,
        /// Why.
        why: PlaceError,
    },
}

/// What a client may wish for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NamingWish {
    /// Begin with the front left hub.
    Start,
    /// There is no board on the mount at hand.
    Skip,
    /// End it; what was named stays.
    End,
}

type Answer = oneshot::Sender<Result<NamingSnapshot, PlaceError>>;

/// A way to the naming.
#[derive(Debug, Clone)]
pub struct NamingHandle {
    wishes: mpsc::Sender<(NamingWish, Answer)>,
    snapshot: watch::Receiver<NamingSnapshot>,
}

impl NamingHandle {
    /// Asks for something.
    pub async fn wish(&self, wish: NamingWish) -> Result<NamingSnapshot, PlaceError> {
        let (answer, answered) = oneshot::channel();
        self.wishes
            .send((wish, answer))
            .await
            .map_err(|_| PlaceError::Stopping)?;
        answered.await.map_err(|_| PlaceError::Stopping)?
    }

    /// The naming as it stands, and every change of it.
    pub fn watch(&self) -> watch::Receiver<NamingSnapshot> {
        self.snapshot.clone()
    }
}

/// Owns the naming.
#[derive(Debug)]
pub struct NamingTask {
    placer: Placer,
    inlet: Arc<TapInlet>,
    wishes: mpsc::Receiver<(NamingWish, Answer)>,
    publish: watch::Sender<NamingSnapshot>,
    listener: TapListener,
    /// Boards the listener has ears for.
    ears: usize,
    now: NamingSnapshot,
}

impl NamingTask {
    /// A task and the way to it; it does nothing before it is run.
    pub fn new(placer: Placer, inlet: Arc<TapInlet>) -> (Self, NamingHandle) {
        let (wish, wishes) = mpsc::channel(WISHES);
        let (publish, snapshot) = watch::channel(NamingSnapshot::default());
        let task = Self {
            placer,
            inlet,
            wishes,
            publish,
            listener: TapListener::default(),
            ears: 0,
            now: NamingSnapshot::default(),
        };
        let handle = NamingHandle {
            wishes: wish,
            snapshot,
        };
        (task, handle)
    }

    /// Runs until `stop`.
    pub async fn run(mut self, stop: CancellationToken) {
        loop {
            tokio::select! {
                () = stop.cancelled() => return,
                wish = self.wishes.recv() => {
                    let Some((wish, answer)) = wish else { return };
                    let granted = self.grant(wish).await;
                    self.tell();
                    // A client that went away does not want the answer.
                    let _ = answer.send(granted.map(|()| self.now.clone()));
                }
                () = self.inlet.filled() => {
                    self.listen().await;
                    self.tell();
                }
            }
        }
    }

    async fn grant(&mut self, wish: NamingWish) -> Result<(), PlaceError> {
        match (wish, self.now.at_hand()) {
            (NamingWish::Start, _) => self.start(),
            (_, None) => Err(PlaceError::NotNaming),
            (NamingWish::End, Some(_)) => {
                self.now.wanted.clear();
                self.settle();
                Ok(())
            }
            (NamingWish::Skip, Some(mount)) => {
                let named = |number| self.now.named.iter().any(|(_, board)| *board == number);
                let there = self.placer.on(mount);
                // No board is there: so the one that was said to be there is not.
                let kept = match there.filter(|board| !named(board.number())) {
                    Some(board) => self.placer.strap(&board, Seat::NOWHERE).await,
                    None => Ok(()),
                };
                in_force(kept.clone())?;
                self.now.skipped.push(mount);
                self.next();
                kept
            }
        }
    }

    fn start(&mut self) -> Result<(), PlaceError> {
        if self.unnamed(&[]) == 0 {
            return Err(PlaceError::NoneLive);
        }
        let fixed = |mount: &Mount| {
            let there = self.placer.on(*mount);
            there.is_some_and(|board| board.facts().configured)
        };
        self.now = NamingSnapshot {
            run: self.now.run + 1,
            wanted: Mount::ALL.into_iter().filter(|m| !fixed(m)).collect(),
            ..NamingSnapshot::default()
        };
        self.listener = TapListener::default();
        self.ears = 0;
        // What was felt before is no answer to a question not yet asked.
        self.inlet.take();
        self.settle();
        Ok(())
    }

    /// Boards that give readings, may be placed, and are not among the named.
    fn unnamed(&self, named: &[(Mount, usize)]) -> usize {
        let boards = self.placer.boards();
        let may = |board: &&Arc<Board>| board.is_live() && !board.facts().configured;
        let boards = boards.iter().filter(may);
        boards
            .filter(|board| named.iter().all(|(_, number)| *number != board.number()))
            .count()
    }

    fn next(&mut self) {
        if !self.now.wanted.is_empty() {
            self.now.wanted.remove(0);
        }
        // Every board has its mount: nobody is asked for what cannot be.
        if self.unnamed(&self.now.named) == 0 {
            self.now.wanted.clear();
        }
        self.settle();
    }

    fn settle(&self) {
        self.inlet.set_open(!self.now.wanted.is_empty());
    }

    async fn listen(&mut self) {
        for felt in self.inlet.take() {
            while self.ears <= felt.board {
                self.listener.add();
                self.ears += 1;
            }
            let jolt = self.listener.feel(felt.board, felt.at, felt.accel_g);
            if let (Some(jolt), Some(mount)) = (jolt, self.now.at_hand()) {
                let heard = self.heard(jolt, mount).await;
                tracing::info!(?heard, "a jolt while a tap was awaited");
                let count = self.now.heard.as_ref().map_or(0, |(count, _)| *count);
                let is_named = matches!(heard, HeardTap::Named { .. });
                self.now.heard = Some((count + 1, heard));
                if is_named {
                    self.next();
                }
            }
        }
    }

    async fn heard(&mut self, jolt: Jolt, mount: Mount) -> HeardTap {
        let number = match jolt {
            Jolt::Tapped { board, .. } => board,
            Jolt::Unclear(Unclear::Alike {
                strongest, next, ..
            }) => {
                return HeardTap::Alike {
                    boards: [strongest, next],
                };
            }
            Jolt::Unclear(Unclear::Carried { board, .. }) => return HeardTap::Carried { board },
        };
        let mut named = self.now.named.iter();
        if let Some((mount, board)) = named.find(|(_, board)| *board == number) {
            return HeardTap::Again {
                board: *board,
                mount: *mount,
            };
        }
        match self.put(number, mount).await {
            Ok(()) => {
                self.now.named.push((mount, number));
                HeardTap::Named {
                    board: number,
                    mount,
                }
            }
            Err(why) => HeardTap::Refused { board: number, why },
        }
    }

    /// Puts the board that was tapped there; the one that was said to be there is not.
    async fn put(&self, number: usize, mount: Mount) -> Result<(), PlaceError> {
        let board = self.placer.numbered(number)?;
        if board.facts().mount == Some(mount) {
            return Ok(());
        }
        let was = self.placer.seat_of(&board);
        if let Some(other) = self.placer.on(mount) {
            in_force(self.placer.strap(&other, Seat::NOWHERE).await)?;
        }
        in_force(self.placer.strap(&board, was.moved_to(mount)).await)
    }

    fn tell(&self) {
        self.publish.send_if_modified(|before| {
            let changed = *before != self.now;
            if changed {
                before.clone_from(&self.now);
            }
            changed
        });
    }
}

/// Nobody waits for an answer to a tap: that something could not be kept stands in the state.
fn in_force(done: Result<(), PlaceError>) -> Result<(), PlaceError> {
    match done {
        Err(PlaceError::NotKept(_)) => Ok(()),
        done => done,
    }
}
