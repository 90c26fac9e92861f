//! Strapping boards elsewhere while the daemon runs.

use std::sync::Arc;

use super::task::{LevelTask, outboard};
use super::{LevelError, Procedure, RunOut};
use crate::board::{Board, Seat};
use crate::mount::Mount;

/// A wheel whose board's seat nobody found out.
pub(super) fn unknown(board: &Board, run: u64) -> RunOut {
    let (outboard, declared) = outboard(board);
    RunOut {
        board: board.facts().id.clone(),
        run,
        outboard,
        declared,
        current: None,
        result: None,
    }
}

impl LevelTask {
    /// Straps a board elsewhere. What was found of how it sat is forgotten; floor, toe and
    /// the other boards stay as they are.
    pub(super) fn seat(&mut self, id: &str, seat: Seat) -> Result<(), LevelError> {
        let board = self.given.named(id)?;
        let facts = board.facts();
        if facts.configured {
            return Err(LevelError::Configured(id.to_owned()));
        }
        let was = facts.mount;
        if let Some(mount) = seat.mount()
            && let Some(other) = self.given.on(mount)
            && !Arc::ptr_eq(&other, &board)
        {
            return Err(LevelError::Occupied {
                mount,
                by: other.facts().name.clone(),
            });
        }
        if let Some(mount) = was {
            self.is_free(mount, &board)?;
        }
        board.seat(&seat, self.now.floor.slope);
        for mount in was.into_iter().chain(seat.mount()) {
            self.forget_seat(mount, &board);
            // After a start a board is put where it was.
            if was.is_some() {
                self.forget_earlier(mount);
            }
        }
        self.settle_boards();
        tracing::info!(
            board = id,
            mount = seat.mount().map_or("none", Mount::name),
            "board strapped"
        );
        Ok(())
    }

    /// Does no procedure use the board on that mount?
    fn is_free(&self, mount: Mount, board: &Board) -> Result<(), LevelError> {
        let watches_body = mount == Mount::Body && !self.running.is_empty();
        if watches_body || self.running.contains_key(&mount) {
            return Err(LevelError::InUse {
                mount,
                by: Procedure::RunOut,
            });
        }
        let Some((swing, check)) = &self.others else {
            return Ok(());
        };
        if swing.borrow().uses(mount) {
            return Err(LevelError::InUse {
                mount,
                by: Procedure::Swing,
            });
        }
        if check.borrow().uses(board.number()) {
            return Err(LevelError::InUse {
                mount,
                by: Procedure::Check,
            });
        }
        Ok(())
    }

    /// A board came to that mount or left it.
    fn forget_seat(&mut self, mount: Mount, board: &Board) {
        if mount == Mount::Body {
            // What the body board saw of the jackings, it saw from where it sat.
            self.now.forward = None;
            for run_out in self.now.run_outs.values_mut() {
                if let Some(result) = run_out.result.as_mut().filter(|r| r.body.is_some()) {
                    Arc::make_mut(result).body = None;
                }
            }
            return;
        }
        let run = self.now.run_outs.remove(&mount).map_or(0, |r| r.run);
        if board.facts().mount == Some(mount) {
            self.now.run_outs.insert(mount, unknown(board, run));
        }
    }
}
