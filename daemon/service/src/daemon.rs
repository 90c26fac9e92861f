//! Putting the tasks together: one per board, one per kind of procedure, one that finds
//! boards and one that names their mounts, and one for the view.

use std::path::PathBuf;
use std::sync::Arc;

use tokio::sync::watch;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use crate::board::{Boards, Inlets};
use crate::calibrating::CalibrationDesk;
use crate::calibration_store::CalibrationStore;
use crate::checking::{CheckBoards, CheckHandle, CheckTask};
use crate::clock::DaemonClock;
use crate::config::Config;
use crate::http::views::ScenarioView;
use crate::http::{App, Told};
use crate::journal::Journal;
use crate::levelling::{LevelBoards, LevelHandle, LevelTask};
use crate::link::Ways;
use crate::links::Links;
use crate::metrics::Instruments;
use crate::placing::{Finder, NamingTask, Placer};
use crate::practice::{Practice, PracticeDesk};
use crate::publishing::{Given, Publishing};
use crate::recording::recorder::{RecordInlet, Recorded, Recorder};
use crate::setup_store::SetupStore;
use crate::snapshot::{self, Sources};
use crate::swing::{SwingHandle, SwingTask, SwingWheels};
use crate::visiting::standing::StandingDesk;
use crate::visiting::{Scribe, VisitDesk, Watched};

/// What a daemon is started with.
#[derive(Debug, Clone)]
pub struct DaemonOptions {
    /// Boards, floor and swing.
    pub config: Config,
    /// Where ports are looked up.
    pub ways: Ways,
    /// Truth of a simulated car.
    pub scenario: Option<ScenarioView>,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Folder into which swings are recorded.
    pub record: Option<PathBuf>,
    /// Where calibrations are kept.
    pub store: CalibrationStore,
    /// Where everything that happens is written down.
    pub journal: Journal,
    /// Cars and visits.
    pub visits: VisitDesk,
    /// Is this daemon somebody's practice itself, and how does it end?
    pub practice: Option<Practice>,
}

/// A running daemon, without its page.
#[derive(Debug)]
pub struct Daemon {
    app: App,
    tasks: TaskTracker,
}

impl Daemon {
    /// Starts all tasks; they end with `stop`.
    #[expect(
        clippy::too_many_lines,
        reason = "one list of parts, each given what it needs of those before it"
    )]
    pub fn start(options: DaemonOptions, stop: &CancellationToken) -> Self {
        let DaemonOptions {
            config,
            ways,
            scenario,
            clock,
            record,
            store,
            journal,
            visits,
            practice,
        } = options;

        let keeps_folders = record.is_some();
        let record = record
            .or_else(|| visits.recordings())
            .map(|folder| (folder, Arc::new(RecordInlet::default())));
        let links = Links {
            tasks: TaskTracker::new(),
            stop: stop.clone(),
            clock,
            inlets: Inlets::default(),
            ways,
            floor: config.floor,
            record: record.as_ref().map(|(_, inlet)| inlet.clone()),
            store,
            journal: journal.clone(),
        };
        let tasks = links.tasks.clone();
        let practising = match practice {
            Some(of) => PracticeDesk::inside(of),
            None => PracticeDesk::none_yet(stop.clone(), tasks.clone()),
        };
        let opened = config.boards.iter().enumerate();
        let opened = opened.map(|(number, board)| links.open(number, board));
        let (publish, boards) = watch::channel(opened.collect::<Vec<_>>());
        let procedures = Procedures::start(&links, &config, &boards, record);
        let Procedures {
            swing,
            level,
            check,
            recorded,
        } = procedures;
        let setup = SetupStore::beside(&links.store);
        let placer = Placer::new(boards.clone(), level.clone(), clock, setup);
        let (task, naming) = NamingTask::new(placer.clone(), links.inlets.tap.clone());
        tasks.spawn(task.run(stop.clone()));
        let calibration =
            CalibrationDesk::new(boards.clone(), swing.watch(), links.store.clone(), journal);
        let scribe = Scribe::new(
            visits.clone(),
            Watched {
                swing: swing.watch(),
                check: check.clone(),
                level: level.clone(),
                recorded,
                keeps_folders,
                boards: boards.clone(),
                clock,
            },
        );
        tasks.spawn(scribe.run(stop.clone()));
        let standing = StandingDesk::new(visits.clone(), level.clone(), boards.clone(), clock);
        tasks.spawn(standing.clone().run(stop.clone()));
        let mut instruments =
            Instruments::over(boards.clone(), links.inlets.clone(), visits.clone(), clock);
        instruments.record.clone_from(&links.record);
        let inlet = links.inlets.swing.clone();
        let traces = links.inlets.traces.clone();
        let (finder, finding) = Finder::new(links, placer.clone(), publish);
        tasks.spawn(stop.clone().run_until_cancelled_owned(finder.run()));
        let given = Given {
            boards: boards.clone(),
            clock,
            desk: visits.clone(),
            swing: swing.watch(),
            check: check.watch(),
        };
        let publishing = Publishing::start(&config.publish, given, &tasks, stop);
        let sources = Sources {
            swing: swing.watch(),
            level: level.watch(),
            check: check.watch(),
            naming: naming.watch(),
            look: finding.seen(),
            kept: placer.trouble(),
            inlet,
            scenario,
            practice: practising.watch(),
            clock,
            visit: visits.at_hand(),
            pulse: instruments.pulse.clone(),
            latency: instruments.latency.clone(),
            publishing,
            boards,
        };
        let (state, keep) = snapshot::start(sources, stop.clone());
        tasks.spawn(keep);
        tasks.close();
        Self {
            app: App {
                state,
                swing,
                calibration,
                level,
                standing,
                visits,
                check,
                traces,
                clock,
                told: Told::default(),
                placer,
                finder: finding,
                naming,
                practice: practising,
                instruments,
                stop: stop.clone(),
            },
            tasks,
        }
    }

    /// What the page's handlers need.
    pub fn app(&self) -> App {
        self.app.clone()
    }

    /// Way to the swing's task.
    pub fn swing(&self) -> &SwingHandle {
        &self.app.swing
    }

    /// Waits until every task has ended, which they do after `stop`.
    pub async fn ended(&self) {
        self.tasks.wait().await;
    }
}

/// The tasks that measure.
struct Procedures {
    swing: SwingHandle,
    level: LevelHandle,
    check: CheckHandle,
    recorded: Option<watch::Receiver<Option<Recorded>>>,
}

impl Procedures {
    fn start(
        links: &Links,
        config: &Config,
        boards: &Boards,
        record: Option<(PathBuf, Arc<RecordInlet>)>,
    ) -> Self {
        let Links {
            tasks,
            stop,
            clock,
            inlets,
            journal,
            ..
        } = links;
        let given = LevelBoards {
            boards: boards.clone(),
            floor: config.floor,
            config: config.swing,
            clock: *clock,
            journal: journal.clone(),
        };
        let (mut levelling, level) = LevelTask::new(given, inlets.level.clone());
        let given = SwingWheels {
            boards: boards.clone(),
            config: config.swing,
            level: level.watch(),
        };
        let (mut swinging, swing) = SwingTask::new(given, inlets.swing.clone(), journal.clone());
        let recorded = record.map(|(folder, inlet)| {
            let recorder = Recorder::new(folder, inlet, swinging.records());
            let closed = recorder.closed();
            tasks.spawn(recorder.run(stop.clone()));
            closed
        });
        let given = CheckBoards {
            boards: boards.clone(),
            level: level.watch(),
            swing: swing.watch(),
            clock: *clock,
            journal: journal.clone(),
        };
        let (checking, check) = CheckTask::new(given, inlets.check.clone());
        levelling.mind(swing.watch(), check.watch());
        tasks.spawn(levelling.run(stop.clone()));
        tasks.spawn(swinging.run(stop.clone()));
        tasks.spawn(checking.run(stop.clone()));
        Self {
            swing,
            level,
            check,
            recorded,
        }
    }
}
