//! What every link of a daemon is started with.

use std::sync::Arc;

use hubplumb_core::floor::FloorSlope;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use crate::board::{Board, BoardKeeper, Inlets, Intake, Kept};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::BoardConfig;
use crate::journal::Journal;
use crate::link::{LinkSettings, Timing, Ways};
use crate::recording::recorder::RecordInlet;

/// What every link is started with.
#[derive(Debug, Clone)]
pub struct Links {
    /// Where the links' tasks are counted.
    pub tasks: TaskTracker,
    /// Ends all of them.
    pub stop: CancellationToken,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Where readings go.
    pub inlets: Inlets,
    /// Where boards are looked up.
    pub ways: Ways,
    /// The floor as configured.
    pub floor: FloorSlope,
    /// Where readings are recorded.
    pub record: Option<Arc<RecordInlet>>,
    /// Where calibrations are kept.
    pub store: CalibrationStore,
    /// Where what happens is written down.
    pub journal: Journal,
}

impl Links {
    /// Starts the link of a board, which ends with `stop`.
    pub fn start(&self, board: &Arc<Board>, config: &BoardConfig, stop: CancellationToken) {
        let kept = Kept {
            store: self.store.clone(),
            target: config.target.clone(),
            ways: self.ways.clone(),
        };
        let intake = Intake::new(board.clone(), self.inlets.clone(), self.record.clone());
        let keeper = BoardKeeper::new(intake, self.clock, self.journal.clone(), kept);
        let settings = LinkSettings {
            baud: config.baud,
            format: config.format.clone(),
            timing: Timing::default(),
        };
        let link = self
            .ways
            .clone()
            .run(config.target.clone(), settings, keeper, stop);
        self.tasks.spawn(link);
    }

    /// Opens a board that the configuration names.
    pub fn open(&self, number: usize, config: &BoardConfig) -> Arc<Board> {
        let board = Arc::new(Board::new(number, config, self.floor));
        self.start(&board, config, self.stop.clone());
        board
    }
}
