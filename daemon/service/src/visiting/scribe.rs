//! What writes finished procedures into the visit at hand.
//!
//! A finished swing becomes an entry by itself: nobody has to press anything with
//! dirty hands, and what was not wanted is taken back. Its recording goes into the
//! store with it, so that a later version can solve it again.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;

use super::VisitDesk;
use crate::board::Board;
use crate::clock::DaemonClock;
use crate::mount::Mount;
use crate::present;
use crate::recording::recorder::Recorded;
use crate::store::{Recording, StoreFault};
use crate::swing::SwingSnapshot;
use crate::visit::{BoardUsed, Entry, Run, Stage, Visit};

/// How long a recording may take to be closed after its swing.
const CLOSED_WITHIN: Duration = Duration::from_secs(10);

/// What the scribe watches.
#[derive(Debug)]
pub struct Watched {
    /// The swing.
    pub swing: watch::Receiver<SwingSnapshot>,
    /// The last recording that was closed; none where nothing is recorded.
    pub recorded: Option<watch::Receiver<Option<Recorded>>>,
    /// Are recordings the user's own, to be left where they are?
    pub keeps_folders: bool,
    /// The boards.
    pub boards: watch::Receiver<Vec<Arc<Board>>>,
    /// The daemon's time.
    pub clock: DaemonClock,
}

/// The task that writes.
#[derive(Debug)]
pub struct Scribe {
    desk: VisitDesk,
    watched: Watched,
    /// Tells this life of the daemon from others: runs begin anew with each.
    life: String,
    written: u64,
}

impl Scribe {
    /// A scribe for a desk.
    pub fn new(desk: VisitDesk, watched: Watched) -> Self {
        Self {
            desk,
            watched,
            life: uuid::Uuid::new_v4().to_string(),
            written: 0,
        }
    }

    /// Runs until `stop`. What is finished by then is still written.
    pub async fn run(mut self, stop: CancellationToken) {
        loop {
            let ended = tokio::select! {
                () = stop.cancelled() => true,
                changed = self.watched.swing.changed() => changed.is_err(),
            };
            self.look().await;
            if ended {
                return;
            }
        }
    }

    async fn look(&mut self) {
        let snapshot = self.watched.swing.borrow_and_update().clone();
        let over = snapshot.current.as_ref().is_some_and(|now| now.is_over());
        if !over || snapshot.run <= self.written {
            return;
        }
        self.written = snapshot.run;
        let boards = self.boards();
        let folder = self.recording(snapshot.run).await;
        let at_hand = *self.desk.at_hand().borrow();
        if let (Some(visit), Some(run)) = (
            at_hand,
            present::swing_run(&snapshot, Stage::Preparing, boards),
        ) {
            let recordings = match &folder {
                Some(folder) => files(folder).await,
                None => Vec::new(),
            };
            let ask = format!("{}/swing/{}", self.life, snapshot.run);
            if let Err(fault) = self.write(visit.id, ask, run, recordings).await {
                tracing::error!("the swing is not in the visit: {fault} {}", fault.remedy());
                // The folder is what is left of it.
                return;
            }
        }
        if let Some(folder) = folder.filter(|_| !self.watched.keeps_folders)
            && let Err(error) = tokio::fs::remove_dir_all(&folder).await
        {
            tracing::warn!(folder = %folder.display(), %error, "a recording that is stored stays in its folder");
        }
    }

    async fn write(
        &self,
        visit: i64,
        ask: String,
        mut run: Run,
        recordings: Vec<Recording>,
    ) -> Result<u32, StoreFault> {
        run.stage = self
            .desk
            .run(move |store| {
                let entries = store.entries(visit)?;
                Ok(Visit::of(&entries).map_or(Stage::Before, |visit| measured_in(visit.stage)))
            })
            .await?;
        self.desk
            .add(visit, Some(ask), Entry::Run(Box::new(run)), recordings)
            .await
    }

    /// The folder of the swing's recording, when it is closed.
    async fn recording(&mut self, run: u64) -> Option<PathBuf> {
        let recorded = self.watched.recorded.as_mut()?;
        let closed = recorded.wait_for(|last| last.as_ref().is_some_and(|last| last.run >= run));
        let last = timeout(CLOSED_WITHIN, closed).await.ok()?.ok()?.clone()?;
        (last.run == run).then_some(last.folder)
    }

    fn boards(&self) -> Vec<BoardUsed> {
        let boards = self.watched.boards.borrow();
        boards
            .iter()
            .filter(|board| board.is_live())
            .filter_map(|board| {
                let mount = board.facts().mount?;
                present::SWING_MOUNTS
                    .contains(&mount)
                    .then(|| self.used(board, mount))
            })
            .collect()
    }

    fn used(&self, board: &Board, mount: Mount) -> BoardUsed {
        let seen = board.look(self.watched.clock.now());
        BoardUsed {
            id: board.facts().id.clone(),
            name: board.facts().name.clone(),
            mount: mount.words().to_owned(),
            calibration: present::calibration_view(&seen.calibration).say,
        }
    }
}

/// The part of a visit that a run made in `stage` belongs to: while the car is still
/// being made ready, it is how the car came.
const fn measured_in(stage: Stage) -> Stage {
    match stage {
        Stage::Preparing => Stage::Before,
        other => other,
    }
}

/// The files of a folder; those that cannot be read are left out, and told.
async fn files(folder: &Path) -> Vec<Recording> {
    let folder = folder.to_owned();
    let read = tokio::task::spawn_blocking(move || {
        let mut found = Vec::new();
        for entry in std::fs::read_dir(&folder)? {
            let path = entry?.path();
            if let Some(name) = path.file_name().and_then(|name| name.to_str()) {
                found.push(Recording {
                    name: name.to_owned(),
                    content: std::fs::read(&path)?,
                });
            }
        }
        found.sort_by(|a, b| a.name.cmp(&b.name));
        std::io::Result::Ok(found)
    })
    .await;
    match read {
        Ok(Ok(found)) => found,
        Ok(Err(error)) => {
            tracing::error!(%error, "the recording of the swing cannot be read; its findings are stored without it");
            Vec::new()
        }
        Err(_) => Vec::new(),
    }
}
