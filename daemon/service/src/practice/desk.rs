//! One practice inside a daemon.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse as _, Response};
use hubplumb_sim::{LiveSim, Scenario};
use tempfile::TempDir;
use tokio::sync::watch;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;
use tower::ServiceExt as _;

use super::follow::Follower;
use super::{PracticeFault, car};
use crate::calibration_store::CalibrationStore;
use crate::clock::DaemonClock;
use crate::config::HttpConfig;
use crate::daemon::{Daemon, DaemonOptions};
use crate::http;
use crate::journal::Journal;
use crate::link::Ways;
use crate::visiting::{VisitDesk, now};

/// The car and its boards.
const SCENARIO: &str = include_str!("car.scenario.toml");
/// What its owner knows of it.
pub(super) const RECORD: &str = include_str!("car.record.toml");
/// How long the tasks of a practice may take to end.
const GRACE: Duration = Duration::from_millis(1500);

/// What a page is told of practising.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PracticeState {
    /// Nobody practises.
    #[default]
    Off,
    /// Somebody practises.
    Running,
    /// This is the practice itself.
    Inside,
}

/// The practice that a daemon is: how it ends.
#[derive(Debug, Clone)]
pub struct Practice {
    /// Ends it.
    pub end: CancellationToken,
}

/// Where a practice is started and ended. There is one at most.
#[derive(Debug, Clone)]
pub struct PracticeDesk(Place);

#[derive(Debug, Clone)]
enum Place {
    Host(Arc<Host>),
    Inside(Practice),
}

#[derive(Debug)]
struct Host {
    running: Mutex<Slot>,
    state: watch::Sender<PracticeState>,
    tasks: TaskTracker,
    stop: CancellationToken,
}

#[derive(Debug, Default)]
enum Slot {
    #[default]
    Free,
    Starting,
    Taken {
        router: Router,
        end: CancellationToken,
    },
}

impl PracticeDesk {
    /// A desk of a daemon that ends with `stop`; its tasks are counted with the daemon's.
    pub fn none_yet(stop: CancellationToken, tasks: TaskTracker) -> Self {
        Self(Place::Host(Arc::new(Host {
            running: Mutex::new(Slot::Free),
            state: watch::Sender::new(PracticeState::Off),
            tasks,
            stop,
        })))
    }

    /// The desk of a daemon that is a practice itself.
    pub const fn inside(practice: Practice) -> Self {
        Self(Place::Inside(practice))
    }

    /// What a page is told, and every change of it.
    pub fn watch(&self) -> watch::Receiver<PracticeState> {
        match &self.0 {
            Place::Host(host) => host.state.subscribe(),
            Place::Inside(_) => watch::Sender::new(PracticeState::Inside).subscribe(),
        }
    }

    /// Starts a practice; it is there when this returns.
    pub async fn start(&self) -> Result<(), PracticeFault> {
        let Place::Host(host) = &self.0 else {
            return Err(PracticeFault::Inside);
        };
        host.start().await
    }

    /// Ends the practice, here or the one this is.
    pub fn end(&self) -> Result<(), PracticeFault> {
        let end = match &self.0 {
            Place::Inside(practice) => practice.end.clone(),
            Place::Host(host) => match &*host.slot() {
                Slot::Taken { end, .. } => end.clone(),
                Slot::Free | Slot::Starting => return Err(PracticeFault::NotRunning),
            },
        };
        end.cancel();
        Ok(())
    }

    fn router(&self) -> Option<Router> {
        match &self.0 {
            Place::Inside(_) => None,
            Place::Host(host) => match &*host.slot() {
                Slot::Taken { router, end } if !end.is_cancelled() => Some(router.clone()),
                _ => None,
            },
        }
    }
}

impl Host {
    fn slot(&self) -> std::sync::MutexGuard<'_, Slot> {
        // A slot is replaced as a whole, so a holder that panicked left a whole one.
        self.running.lock().unwrap_or_else(PoisonError::into_inner)
    }

    async fn start(self: &Arc<Self>) -> Result<(), PracticeFault> {
        {
            let mut slot = self.slot();
            if !matches!(*slot, Slot::Free) {
                return Err(PracticeFault::Runs);
            }
            *slot = Slot::Starting;
        }
        let end = self.stop.child_token();
        let started = Started::new(end.clone()).await;
        let mut slot = self.slot();
        let started = started.inspect_err(|_| *slot = Slot::Free)?;
        *slot = Slot::Taken {
            router: http::inside(started.daemon.app()),
            end,
        };
        drop(slot);
        self.state.send_replace(PracticeState::Running);
        tracing::info!("a practice with a simulated car begins");
        let host = self.clone();
        self.tasks.spawn(async move {
            started.ended().await;
            *host.slot() = Slot::Free;
            host.state.send_replace(PracticeState::Off);
            tracing::info!("the practice is over");
        });
        Ok(())
    }
}

/// A practice that runs, with everything that is gone after it.
struct Started {
    daemon: Daemon,
    sim: Arc<LiveSim>,
    folder: TempDir,
    end: CancellationToken,
}

impl Started {
    async fn new(end: CancellationToken) -> Result<Self, PracticeFault> {
        let (folder, sim) = tokio::task::spawn_blocking(|| {
            let folder = tempfile::Builder::new()
                .prefix("hubplumb-practice-")
                .tempdir()
                .map_err(PracticeFault::Folder)?;
            let sim = LiveSim::start(scenario()?, &folder.path().join("ports"), 1.0)?;
            Ok::<_, PracticeFault>((folder, Arc::new(sim)))
        })
        .await
        .map_err(|_| PracticeFault::Ended)??;
        let visits = visits(folder.path()).await?;
        let store = CalibrationStore::at(folder.path());
        let daemon = Daemon::start(
            DaemonOptions {
                config: car::config(&sim, HttpConfig::default()),
                ways: Ways::system(),
                scenario: Some(car::scenario_view(&sim)),
                clock: DaemonClock::starting_now(),
                record: None,
                store,
                journal: Journal::off(),
                visits,
                practice: Some(Practice { end: end.clone() }),
            },
            &end,
        );
        let follower = Follower::new(sim.clone(), daemon.app());
        let follow = end.clone().run_until_cancelled_owned(follower.run());
        tokio::spawn(follow);
        Ok(Self {
            daemon,
            sim,
            folder,
            end,
        })
    }

    /// Waits until it was ended, and leaves nothing behind.
    async fn ended(self) {
        self.end.cancelled().await;
        if timeout(GRACE, self.daemon.ended()).await.is_err() {
            tracing::warn!("a task of the practice did not end in time and is left behind");
        }
        let Self { sim, folder, .. } = self;
        // Its boards are threads that are waited for.
        let _ = tokio::task::spawn_blocking(move || drop((sim, folder))).await;
    }
}

pub(super) fn scenario() -> Result<Scenario, PracticeFault> {
    Scenario::from_toml(SCENARIO).map_err(|error| PracticeFault::Unreadable(error.to_string()))
}

/// Cars and visits of the practice, with its car in them.
async fn visits(folder: &Path) -> Result<VisitDesk, PracticeFault> {
    let record =
        crate::car::read(RECORD).map_err(|error| PracticeFault::Unreadable(error.to_string()))?;
    let desk = VisitDesk::beside(&CalibrationStore::at(folder));
    desk.run(move |store| store.add_car(&record, &now()))
        .await?;
    Ok(desk)
}

/// Hands a request on to the practice; where there is none, pages go back to where they came from.
pub async fn forward(State(desk): State<PracticeDesk>, request: Request<Body>) -> Response {
    if let Some(router) = desk.router() {
        return match router.oneshot(request).await {
            Ok(response) => response,
            Err(never) => match never {},
        };
    }
    let is_page = !request.uri().path().starts_with("/api");
    if is_page {
        // Relative, so that it holds behind another server's path as well.
        return (StatusCode::SEE_OTHER, [(header::LOCATION, "../")]).into_response();
    }
    crate::present::practice_problem(&PracticeFault::NotRunning).into_response()
}
