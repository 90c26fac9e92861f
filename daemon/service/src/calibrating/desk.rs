//! Where clients ask for calibrations.

use std::sync::Arc;

use time::OffsetDateTime;
use tokio::sync::watch;

use super::{DeskError, Kind, KindWish};
use crate::board::Board;
use crate::calibration_store::{self, CalibrationStore, StoreError};
use crate::journal::{Entry, Journal};
use crate::swing::SwingSnapshot;

/// The way to the calibrations of all boards.
#[derive(Debug, Clone)]
pub struct CalibrationDesk {
    boards: watch::Receiver<Vec<Arc<Board>>>,
    swing: watch::Receiver<SwingSnapshot>,
    store: CalibrationStore,
    journal: Journal,
}

impl CalibrationDesk {
    /// A desk for boards, which does nothing while a swing runs.
    pub fn new(
        boards: watch::Receiver<Vec<Arc<Board>>>,
        swing: watch::Receiver<SwingSnapshot>,
        store: CalibrationStore,
        journal: Journal,
    ) -> Self {
        Self {
            boards,
            swing,
            store,
            journal,
        }
    }

    /// Starts a calibration of a board.
    pub fn start(&self, board: &str, wish: KindWish) -> Result<Arc<Board>, DeskError> {
        let board = self.board(board)?;
        self.no_swing()?;
        if !board.is_live() {
            return Err(DeskError::NotLive);
        }
        let kind = match wish {
            KindWish::Poses => Kind::Poses,
            KindWish::Reversal { sensing, about } => {
                let axes = board.mounted_axes();
                let sensing = sensing.or(axes.map(|axes| axes.0));
                let about = about.or(axes.map(|axes| axes.1));
                match (sensing, about) {
                    (Some(sensing), Some(about)) => Kind::Reversal { sensing, about },
                    _ => return Err(DeskError::NoAxes),
                }
            }
        };
        board.calibration(|held, pipeline| held.begin(kind, pipeline))?;
        tracing::info!(board = board.facts().id, ?kind, "calibration started");
        Ok(board)
    }

    /// Takes back a pose, the last one if none is named.
    pub fn take_back(&self, board: &str, pose: Option<usize>) -> Result<Arc<Board>, DeskError> {
        let board = self.board(board)?;
        board.calibration(|held, _| held.take_back(pose))?;
        Ok(board)
    }

    /// Solves the poses taken so far.
    pub fn solve(&self, board: &str) -> Result<Arc<Board>, DeskError> {
        let board = self.board(board)?;
        board.calibration(|held, _| held.solve())?;
        Ok(board)
    }

    /// Gives the running one up, or discards its result.
    pub fn put_away(&self, board: &str) -> Result<Arc<Board>, DeskError> {
        let board = self.board(board)?;
        board.calibration(|held, _| held.put_away())?;
        Ok(board)
    }

    /// Keeps the result, which comes into force at once.
    pub async fn keep(&self, board: &str) -> Result<Arc<Board>, DeskError> {
        let board = self.board(board)?;
        self.no_swing()?;
        let stored = board.calibration(|held, _| held.result(OffsetDateTime::now_utc()))?;
        let store = self.store.clone();
        let (file, stored) = tokio::task::spawn_blocking(move || {
            let file = store.keep(&stored)?;
            // In force is what the file says, to the last digit, as it will be after a restart.
            let text = calibration_store::to_text(&stored)?;
            let stored = calibration_store::read(&text, &stored.board, file.clone())?;
            Ok::<_, StoreError>((file, stored))
        })
        .await
        .map_err(|_| DeskError::Stopping)??;
        tracing::info!(board = stored.board, file = %file.display(), "calibration kept");
        let mut turn = self.journal.turn();
        turn.note(|| Entry::Calibration {
            board: board.number(),
            identity: stored.board.clone(),
            file: calibration_store::to_text(&stored).ok(),
        });
        board.calibration(|held, pipeline| held.kept(stored, pipeline));
        drop(turn);
        Ok(board)
    }

    fn board(&self, id: &str) -> Result<Arc<Board>, DeskError> {
        self.boards
            .borrow()
            .iter()
            .find(|board| board.facts().id == id)
            .cloned()
            .ok_or_else(|| DeskError::NoBoard {
                board: id.to_owned(),
            })
    }

    /// Another calibration in the middle of a swing would be seen as a hub that moved.
    fn no_swing(&self) -> Result<(), DeskError> {
        let swing = self.swing.borrow();
        match &swing.current {
            Some(current) if current.refusal.is_none() && !current.is_over() => {
                Err(DeskError::SwingRunning)
            }
            _ => Ok(()),
        }
    }
}
