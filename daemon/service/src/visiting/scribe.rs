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
use super::toe::{self, Telling};
use crate::board::Board;
use crate::car::CarRecord;
use crate::checking::{CheckFound, CheckHandle, CheckWish};
use crate::clock::DaemonClock;
use crate::levelling::LevelHandle;
use crate::mount::Mount;
use crate::present;
use crate::recording::recorder::Recorded;
use crate::store::{Recording, StoreFault};
use crate::swing::{Current, SwingSnapshot};
use crate::visit::{BoardUsed, Entry, Run, Stage, Visit};

/// How long a recording may take to be closed after its swing.
const CLOSED_WITHIN: Duration = Duration::from_secs(10);

/// What the scribe watches.
#[derive(Debug)]
pub struct Watched {
    /// The swing.
    pub swing: watch::Receiver<SwingSnapshot>,
    /// The guided checks.
    pub check: CheckHandle,
    /// Floor, toe and run-outs.
    pub level: LevelHandle,
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
    checked: u64,
}

impl Scribe {
    /// A scribe for a desk.
    pub fn new(desk: VisitDesk, watched: Watched) -> Self {
        Self {
            desk,
            watched,
            life: uuid::Uuid::new_v4().to_string(),
            written: 0,
            checked: 0,
        }
    }

    /// Runs until `stop`. What is finished by then is still written.
    pub async fn run(mut self, stop: CancellationToken) {
        // After a start in the middle of a visit, swings go on with the toe that was measured in it.
        toe::tell(&self.desk, &self.watched.level, Telling::Known).await;
        let mut checks = self.watched.check.watch();
        loop {
            let ended = tokio::select! {
                () = stop.cancelled() => true,
                changed = self.watched.swing.changed() => changed.is_err(),
                changed = checks.changed() => changed.is_err(),
            };
            self.look_at_swing().await;
            let found = checks.borrow_and_update().found.clone();
            self.look_at_checks(&found).await;
            if ended {
                return;
            }
        }
    }

    async fn look_at_swing(&mut self) {
        let snapshot = self.watched.swing.borrow_and_update().clone();
        let over = snapshot.current.as_ref().is_some_and(Current::is_over);
        if !over || snapshot.run <= self.written {
            return;
        }
        self.written = snapshot.run;
        let folder = self.recording(snapshot.run).await;
        let at_hand = *self.desk.at_hand().borrow();
        if let Some(visit) = at_hand
            && snapshot.found.iter().any(|found| found.run == snapshot.run)
        {
            let boards = self.boards(&present::SWING_MOUNTS);
            let recordings = match &folder {
                Some(folder) => files(folder).await,
                None => Some(Vec::new()),
            };
            let whole = recordings.is_some();
            let ask = format!("{}/swing/{}", self.life, snapshot.run);
            let run = |car: &CarRecord, stage| present::swing_run(&snapshot, car, stage, boards);
            let recordings = recordings.unwrap_or_default();
            let written = self.write(visit.id, ask, run, recordings).await;
            if !written {
                // The folder is what is left of it.
                return;
            }
            // Both wheels were seen at the stops, so nobody has to steer again for this.
            if let Err(error) = self.watched.check.wish(CheckWish::TurnsOfSwing).await {
                tracing::debug!(%error, "the swing tells no toe-out on turns");
            }
            if !whole {
                return;
            }
        }
        if let Some(folder) = folder.filter(|_| !self.watched.keeps_folders)
            && let Err(error) = tokio::fs::remove_dir_all(&folder).await
        {
            tracing::warn!(folder = %folder.display(), %error, "a recording that is stored stays in its folder");
        }
    }

    async fn look_at_checks(&mut self, found: &[Arc<CheckFound>]) {
        for check in found {
            if check.run <= self.checked {
                continue;
            }
            self.checked = check.run;
            let Some(visit) = *self.desk.at_hand().borrow() else {
                continue;
            };
            let mounts = match check.mount {
                Some(mount) => vec![mount],
                None => vec![Mount::FrontLeft, Mount::FrontRight],
            };
            let boards = self.boards(&mounts);
            let ask = format!("{}/check/{}", self.life, check.run);
            let run = |car: &CarRecord, stage| present::check_run(check, car, stage, boards);
            self.write(visit.id, ask, run, Vec::new()).await;
            toe::tell(&self.desk, &self.watched.level, Telling::Known).await;
        }
    }

    /// Writes a run into the visit, and tells whether nothing was lost.
    async fn write(
        &self,
        visit: i64,
        ask: String,
        run: impl FnOnce(&CarRecord, Stage) -> Option<Run>,
        recordings: Vec<Recording>,
    ) -> bool {
        let written = async {
            let entries = self.desk.run(move |store| store.entries(visit)).await?;
            let standing = Visit::of(&entries).ok_or(StoreFault::NoVisit { id: visit })?;
            match run(standing.car, standing.stage.measured_in()) {
                Some(run) => {
                    let what = Entry::Run(Box::new(run));
                    self.desk.add(visit, Some(ask), what, recordings).await
                }
                None => Ok(0),
            }
        };
        match written.await {
            Ok(_number) => true,
            Err(fault) => {
                tracing::error!(
                    "a finished procedure is not in the visit: {fault} {}",
                    fault.remedy()
                );
                false
            }
        }
    }

    /// The folder of the swing's recording, when it is closed.
    async fn recording(&mut self, run: u64) -> Option<PathBuf> {
        let recorded = self.watched.recorded.as_mut()?;
        let closed = recorded.wait_for(|last| last.as_ref().is_some_and(|last| last.run >= run));
        let last = timeout(CLOSED_WITHIN, closed).await.ok()?.ok()?.clone()?;
        (last.run == run).then_some(last.folder)
    }

    fn boards(&self, mounts: &[Mount]) -> Vec<BoardUsed> {
        let boards = self.watched.boards.borrow();
        boards
            .iter()
            .filter(|board| board.is_live())
            .filter_map(|board| {
                let mount = board.facts().mount?;
                mounts.contains(&mount).then(|| self.used(board, mount))
            })
            .collect()
    }

    fn used(&self, board: &Board, mount: Mount) -> BoardUsed {
        let seen = board.look(self.watched.clock.now());
        BoardUsed {
            id: board.facts().id.clone(),
            name: board.facts().name.clone(),
            mount: mount.words().to_string(),
            calibration: present::calibration_view(&seen.calibration).say.to_string(),
        }
    }
}

/// The files of a folder; none, and told, where one cannot be read.
async fn files(folder: &Path) -> Option<Vec<Recording>> {
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
        Ok(Ok(found)) => Some(found),
        Ok(Err(error)) => {
            tracing::error!(%error, "the recording of the swing cannot be read; its findings are stored without it");
            None
        }
        // The daemon is stopping.
        Err(_) => None,
    }
}
