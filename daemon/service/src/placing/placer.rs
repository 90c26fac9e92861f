//! Saying where a board is: to the task that goes by it, and to the file that keeps it.

use std::sync::Arc;

use hubplumb_core::mounting::{BoardAxis, Stands};
use hubplumb_protocol::WireFormat;
use tokio::sync::{Mutex, watch};

use super::PlaceError;
use crate::board::{Board, Boards, Seat, Sits};
use crate::clock::DaemonClock;
use crate::levelling::{LevelError, LevelHandle, LevelWish, Procedure};
use crate::link::Target;
use crate::mount::Mount;
use crate::setup_store::{PlacedBoard, SetupError, SetupStore};

/// Longest name of a board, letters: what a page can show in one line.
const LONGEST_NAME: usize = 60;

/// How somebody says that a board sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SaidToSit {
    /// The axis that points away from the car.
    pub outboard: BoardAxis,
    /// The axis that points up; none: gravity says it.
    pub up: Option<BoardAxis>,
}

/// Puts boards on mounts.
#[derive(Debug, Clone)]
pub struct Placer {
    boards: Boards,
    level: LevelHandle,
    clock: DaemonClock,
    kept: Arc<Kept>,
}

/// What was said, and the file it is kept in.
#[derive(Debug)]
struct Kept {
    store: SetupStore,
    said: Mutex<Vec<PlacedBoard>>,
    trouble: watch::Sender<Option<SetupError>>,
}

impl Placer {
    /// One that goes on with what the file says.
    pub fn new(boards: Boards, level: LevelHandle, clock: DaemonClock, store: SetupStore) -> Self {
        let (said, trouble) = match store.load() {
            Ok(said) => (said, None),
            Err(error) => {
                tracing::error!(%error, "nothing is known of where the boards are");
                (Vec::new(), Some(error))
            }
        };
        Self {
            boards,
            level,
            clock,
            kept: Arc::new(Kept {
                store,
                said: Mutex::new(said),
                trouble: watch::Sender::new(trouble),
            }),
        }
    }

    /// The boards there are.
    pub fn boards(&self) -> Vec<Arc<Board>> {
        self.boards.borrow().clone()
    }

    /// The board on a mount.
    pub fn on(&self, mount: Mount) -> Option<Arc<Board>> {
        let mut boards = self.boards().into_iter();
        boards.find(|board| board.facts().mount == Some(mount))
    }

    /// The board of that identity.
    pub fn named(&self, id: &str) -> Result<Arc<Board>, PlaceError> {
        let board = self.boards().into_iter().find(|b| b.facts().id == id);
        board.ok_or_else(|| LevelError::NoSuchBoard(id.to_owned()).into())
    }

    pub(super) fn numbered(&self, number: usize) -> Result<Arc<Board>, PlaceError> {
        let board = self.boards().into_iter().find(|b| b.number() == number);
        board.ok_or_else(|| LevelError::NoSuchBoard(number.to_string()).into())
    }

    /// Where it is said to be now.
    pub fn seat_of(&self, board: &Board) -> Seat {
        let facts = board.facts();
        Seat::new(facts.mount, facts.sits).unwrap_or(Seat::NOWHERE)
    }

    /// What was last said of why the set-up is not kept or not read.
    pub fn trouble(&self) -> watch::Receiver<Option<SetupError>> {
        self.kept.trouble.subscribe()
    }

    /// Everything that is kept.
    pub async fn said(&self) -> Vec<PlacedBoard> {
        self.kept.said.lock().await.clone()
    }

    /// Somebody says where a board is and, if they do, how it sits. What could not be kept is in
    /// force all the same, and so it is with a name.
    pub async fn seat(
        &self,
        id: &str,
        mount: Option<Mount>,
        sits: Option<SaidToSit>,
    ) -> Result<(), PlaceError> {
        let board = self.named(id)?;
        let seat = match (mount, sits) {
            (None, None) => Seat::NOWHERE,
            (Some(mount), None) => self.seat_of(&board).moved_to(mount),
            (mount, Some(said)) => Seat::new(mount, Some(self.sits(&board, said)?))?,
        };
        self.strap(&board, seat).await
    }

    /// What was said, with what gravity adds to it.
    fn sits(&self, board: &Board, said: SaidToSit) -> Result<Sits, PlaceError> {
        if let Some(up) = said.up {
            return Ok(Sits::Face {
                outboard: said.outboard,
                up,
            });
        }
        let id = || board.facts().id.clone();
        match board.stands(said.outboard, self.clock.now()) {
            Some(Stands::Square { up }) => Ok(Sits::Face {
                outboard: said.outboard,
                up,
            }),
            Some(Stands::Askew { .. }) => Ok(Sits::Away(said.outboard)),
            Some(Stands::Upended) => Err(PlaceError::Upended(id(), said.outboard)),
            None => Err(PlaceError::NotStill(id())),
        }
    }

    /// Puts a board there at once, and keeps that.
    pub(super) async fn strap(&self, board: &Arc<Board>, seat: Seat) -> Result<(), PlaceError> {
        let facts = board.facts();
        if board.calibration(|held, _| held.is_under_way())
            && let Some(mount) = facts.mount
        {
            return Err(LevelError::InUse {
                mount,
                by: Procedure::Calibration,
            }
            .into());
        }
        if self.seat_of(board) != seat {
            self.strap_only(board, seat).await?;
        }
        self.keep(&facts.id, |said| said.seat = seat).await
    }

    /// The same for what is kept already.
    pub(super) async fn strap_only(&self, board: &Board, seat: Seat) -> Result<(), PlaceError> {
        let wish = LevelWish::Seat {
            board: board.facts().id.clone(),
            seat,
        };
        self.level.wish(wish).await?;
        Ok(())
    }

    /// Somebody calls a board so.
    pub async fn call(&self, id: &str, name: &str) -> Result<(), PlaceError> {
        let board = self.named(id)?;
        if board.facts().configured {
            return Err(LevelError::Configured(id.to_owned()).into());
        }
        let name: String = name.trim().chars().filter(|c| !c.is_control()).collect();
        let letters = name.chars().count();
        if letters == 0 || letters > LONGEST_NAME {
            return Err(PlaceError::Name {
                letters,
                most: LONGEST_NAME,
            });
        }
        board.call(&name);
        self.keep(id, |said| said.name = Some(name)).await
    }

    /// A board is taken in, and is read again after a start.
    pub(super) async fn took_in(
        &self,
        id: &str,
        reached: Target,
        name: Option<String>,
        format: Option<WireFormat>,
    ) -> Result<(), PlaceError> {
        self.keep(id, |said| {
            said.reached = Some(reached);
            said.format = format;
            said.name = name.or(said.name.take());
        })
        .await
    }

    /// Nothing is said of a board any more.
    pub(super) async fn forget(&self, id: &str) -> Result<(), PlaceError> {
        self.change(|said| said.retain(|board| board.id != id))
            .await
    }

    async fn keep(
        &self,
        id: &str,
        change: impl FnOnce(&mut PlacedBoard) + Send,
    ) -> Result<(), PlaceError> {
        self.change(|said| one(said, id, change)).await
    }

    async fn change(
        &self,
        change: impl FnOnce(&mut Vec<PlacedBoard>) + Send,
    ) -> Result<(), PlaceError> {
        let mut said = self.kept.said.lock().await;
        change(&mut said);
        let (store, all) = (self.kept.store.clone(), said.clone());
        // The lock is held until the disk has it, so that an older one never overtakes a newer.
        let kept = tokio::task::spawn_blocking(move || store.keep(&all)).await;
        let kept = kept.map_err(|_ended| PlaceError::Stopping)?;
        if let Err(error) = &kept {
            tracing::error!(%error, "where the boards are is not kept");
        }
        self.kept.trouble.send_replace(kept.clone().err());
        kept.map_err(PlaceError::from)
    }
}

/// Changes what is said of one board.
fn one(said: &mut Vec<PlacedBoard>, id: &str, change: impl FnOnce(&mut PlacedBoard)) {
    if !said.iter().any(|board| board.id == id) {
        said.push(PlacedBoard::unknown(id.to_owned()));
    }
    let Some(board) = said.iter_mut().find(|board| board.id == id) else {
        return;
    };
    change(board);
    let Some(mount) = board.seat.mount() else {
        return;
    };
    // A board that is not there now was there once: the mount has another now.
    for other in said.iter_mut().filter(|other| other.id != id) {
        if other.seat.mount() == Some(mount) {
            other.seat = Seat::NOWHERE;
        }
    }
}
