//! Writing every swing down while it runs.
//!
//! A task of its own takes what the boards read from a bounded queue, keeps the
//! last seconds, and from the first rest on writes them into a folder that
//! `hubplumb solve` takes. Whatever moment the daemon is killed at, what is
//! there can be solved: tables are written a few times a second, and the
//! session file is replaced as a whole.

mod folder;
mod session;
mod writer;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::reading::RawSample;
use hubplumb_core::session::Window;
use hubplumb_core::side::Side;
use hubplumb_core::swing::{Difference, Refusal, SwingSetup, WheelOutcome};
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval};
use tokio_util::sync::CancellationToken;

use super::session_file::RoleEntry;
use crate::board::Board;
use crate::mount::Mount;
use crate::queue::{Backlog, NewestQueue};
use writer::Writer;

/// Three boards at 1 kHz for five seconds: longer than a disk holds up a machine that can measure at all.
const CAPACITY: usize = 16_384;
/// How often what came is written: a daemon that is killed loses no more.
const WRITE_EVERY: Duration = Duration::from_millis(200);

/// A swing as a recording of it needs to know it.
#[derive(Debug, Clone)]
pub struct SwingRecord {
    /// How far it is.
    pub stage: Stage,
    /// What it was started with.
    pub setup: SwingSetup,
    /// Its boards, with the calibrations in force.
    pub boards: Vec<RecordedBoard>,
    /// Its rests so far, and the moves between them.
    pub windows: Vec<Window>,
    /// Why the whole swing was refused.
    pub refusal: Option<Refusal>,
    /// What was found out about each wheel.
    pub outcome: Vec<Result<WheelOutcome, Refusal>>,
    /// Left less right.
    pub differences: Vec<Difference>,
}

/// How far a swing is: when this changes, its recording has to be told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stage {
    /// Rises with every start.
    pub run: u64,
    /// Is a first rest held or taken?
    pub begun: bool,
    /// Is it over?
    pub over: bool,
    /// Rests taken.
    pub rests: usize,
    /// Plate readings entered.
    pub plates: usize,
}

/// Where the boards hand their readings to the recorder.
#[derive(Debug)]
pub struct RecordInlet {
    queue: NewestQueue<(RoleEntry, RawSample)>,
}

impl Default for RecordInlet {
    fn default() -> Self {
        Self {
            queue: NewestQueue::bounded(CAPACITY),
        }
    }
}

impl RecordInlet {
    /// How its queue stands.
    pub fn backlog(&self) -> Backlog {
        self.queue.backlog()
    }

    /// Hands a reading over as it came, before calibration. It never waits: the
    /// oldest goes and is counted where the disk is late.
    pub fn offer(&self, role: RoleEntry, reading: RawSample) {
        let _gone_and_counted = self.queue.push((role, reading));
    }
}

/// A board that is recorded.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecordedBoard {
    /// Where it sits.
    pub role: RoleEntry,
    /// Its chip.
    pub chip: ChipFigures,
    /// Its calibration.
    pub calibration: Calibration,
}

impl RecordedBoard {
    /// A board that a swing may want, as it is now.
    pub fn of(board: &Board) -> Option<Self> {
        Some(Self {
            role: role_of(board.facts().mount?)?,
            chip: board.chip(),
            calibration: board.calibration_in_force(),
        })
    }
}

/// The role of a board in a recording; boards on wheels that are not steered have none.
pub const fn role_of(mount: Mount) -> Option<RoleEntry> {
    match mount {
        Mount::FrontLeft => Some(RoleEntry::Left),
        Mount::FrontRight => Some(RoleEntry::Right),
        Mount::Body => Some(RoleEntry::Body),
        Mount::RearLeft | Mount::RearRight => None,
    }
}

const fn role_of_side(side: Side) -> RoleEntry {
    match side {
        Side::Left => RoleEntry::Left,
        Side::Right => RoleEntry::Right,
    }
}

/// A recording that is closed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Recorded {
    /// Number of the swing.
    pub run: u64,
    /// Its folder.
    pub folder: PathBuf,
}

/// The task that writes.
#[derive(Debug)]
pub struct Recorder {
    inlet: Arc<RecordInlet>,
    swing: watch::Receiver<Option<SwingRecord>>,
    writer: Writer,
    closed: watch::Sender<Option<Recorded>>,
}

impl Recorder {
    /// A recorder into `folder`; it does nothing before it is run.
    pub fn new(
        folder: PathBuf,
        inlet: Arc<RecordInlet>,
        swing: watch::Receiver<Option<SwingRecord>>,
    ) -> Self {
        Self {
            inlet,
            swing,
            writer: Writer::new(folder),
            closed: watch::Sender::new(None),
        }
    }

    /// The last recording that was closed.
    pub fn closed(&self) -> watch::Receiver<Option<Recorded>> {
        self.closed.subscribe()
    }

    /// Runs until `stop`, and then writes what is left.
    pub async fn run(mut self, stop: CancellationToken) {
        let mut ticks = interval(WRITE_EVERY);
        ticks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            let stopped = tokio::select! {
                () = stop.cancelled() => true,
                // A swing that ends is closed before the next can begin.
                changed = self.swing.changed() => changed.is_err(),
                _ = ticks.tick() => false,
            };
            // In this order: readings are handed over here before the swing sees them,
            // so what the swing has seen is in the queue by now.
            let swing = self.swing.borrow_and_update().clone();
            let readings = self.inlet.queue.take_now();
            let dropped = self.inlet.queue.dropped();
            let mut writer = self.writer;
            let written = tokio::task::spawn_blocking(move || {
                writer.take(swing.as_ref(), readings, dropped);
                writer
            })
            .await;
            match written {
                Ok(writer) => {
                    self.writer = writer;
                    if let Some(closed) = self.writer.take_closed() {
                        self.closed.send_replace(Some(closed));
                    }
                }
                Err(error) => {
                    tracing::error!(%error, "swings are not recorded any longer");
                    return;
                }
            }
            if stopped {
                return;
            }
        }
    }
}
