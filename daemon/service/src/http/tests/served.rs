//! The router with everything behind it, and no board.

use std::sync::Arc;

use axum::Router;
use hubplumb_core::angle::Angle;
use hubplumb_core::floor::FloorSlope;
use tokio::sync::watch;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use super::sample::state;
use crate::board::Inlets;
use crate::calibration_store::CalibrationStore;
use crate::checking::{CheckBoards, CheckTask};
use crate::clock::DaemonClock;
use crate::config::SwingConfig;
use crate::http::views::StateView;
use crate::http::{App, Told, calibration_sample, router};
use crate::journal::Journal;
use crate::levelling::{LevelBoards, LevelTask};
use crate::link::Ways;
use crate::links::Links;
use crate::metrics::Instruments;
use crate::pairing::{Commands, PairingDesk};
use crate::placing::{Finder, NamingTask, Placer};
use crate::practice::PracticeDesk;
use crate::reach;
use crate::setup_store::SetupStore;
use crate::store::Store;
use crate::swing::{SwingTask, SwingWheels};
use crate::traces::Traces;
use crate::visiting::VisitDesk;
use crate::visiting::standing::StandingDesk;

pub(super) struct Served {
    pub(super) router: Router,
    pub(super) publish: watch::Sender<Arc<StateView>>,
    pub(super) traces: Arc<Traces>,
    pub(super) instruments: Instruments,
    pub(super) stop: CancellationToken,
    /// Where the set-up is kept, until this goes.
    pub(super) home: tempfile::TempDir,
}

/// The router with all tasks behind it that have no boards, and whose ports are nowhere.
pub(super) fn served() -> Served {
    served_at(reach::tests::desk("127.0.0.1:8710", false))
}

/// The same, found in these ways.
pub(super) fn served_at(reach: reach::ReachDesk) -> Served {
    served_to(reach, PairingDesk::at(Commands::Open, None))
}

/// The same, commanded by these devices.
pub(super) fn served_to(reach: reach::ReachDesk, pairing: PairingDesk) -> Served {
    let (publish, shown) = watch::channel(Arc::new(state()));
    let (found, boards) = watch::channel(Vec::new());
    let stop = CancellationToken::new();
    let clock = DaemonClock::starting_now();
    let inlets = Inlets::default();
    let floor = FloorSlope::presumed_level(Angle::from_deg(0.1));
    let given = LevelBoards {
        boards: boards.clone(),
        floor,
        config: SwingConfig::default(),
        clock,
        journal: Journal::off(),
    };
    let (task, level) = LevelTask::new(given, inlets.level.clone());
    tokio::spawn(task.run(stop.clone()));
    let wheels = SwingWheels {
        boards: boards.clone(),
        config: SwingConfig::default(),
        level: level.watch(),
    };
    let (task, swing) = SwingTask::new(wheels, inlets.swing.clone(), Journal::off());
    tokio::spawn(task.run(stop.clone()));
    let given = CheckBoards {
        boards: boards.clone(),
        level: level.watch(),
        swing: swing.watch(),
        clock,
        journal: Journal::off(),
    };
    let (task, check) = CheckTask::new(given, inlets.check.clone());
    tokio::spawn(task.run(stop.clone()));
    let home = tempfile::tempdir().unwrap();
    let store = CalibrationStore::at(home.path());
    let placed = boards.clone();
    let placer = Placer::new(boards, level.clone(), clock, SetupStore::beside(&store));
    let (task, naming) = NamingTask::new(placer.clone(), inlets.tap.clone());
    tokio::spawn(task.run(stop.clone()));
    let mut ways = Ways::system();
    ways.ports = crate::link::PortTree::listing("/nowhere".as_ref());
    let tasks = TaskTracker::new();
    let links = Links {
        tasks: tasks.clone(),
        stop: stop.clone(),
        clock,
        inlets,
        ways,
        floor,
        record: None,
        store,
        journal: Journal::off(),
    };
    let visits = VisitDesk::new(Store::in_memory());
    let seen = found.subscribe();
    let instruments = Instruments::over(seen, links.inlets.clone(), visits.clone(), clock);
    let traces = links.inlets.traces.clone();
    let (task, finder) = Finder::new(links, placer.clone(), found);
    tokio::spawn(task.run());
    Served {
        router: router(
            App {
                state: shown,
                swing,
                calibration: calibration_sample::desk(),
                standing: StandingDesk::new(visits.clone(), level.clone(), placed, clock),
                level,
                visits,
                check,
                placer,
                finder,
                naming,
                practice: PracticeDesk::none_yet(stop.clone(), tasks),
                traces: traces.clone(),
                clock,
                told: Told::default(),
                instruments: instruments.clone(),
                stop: stop.clone(),
            },
            reach,
            pairing,
        ),
        publish,
        traces,
        instruments,
        stop,
        home,
    }
}
