//! Putting the tasks together: one per board, one for the swing, one for the
//! view, and one that finds boards when no configuration names any.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::floor::FloorSlope;
use tokio::sync::watch;
use tokio::time::{MissedTickBehavior, interval};
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use crate::board::{Board, BoardKeeper, Inlets, Intake, Kept};
use crate::calibrating::CalibrationDesk;
use crate::calibration_store::CalibrationStore;
use crate::checking::{CheckBoards, CheckHandle, CheckTask};
use crate::clock::DaemonClock;
use crate::config::{BoardConfig, Config, MOST_BOARDS, SwingConfig};
use crate::http::App;
use crate::http::views::ScenarioView;
use crate::journal::Journal;
use crate::levelling::{LevelBoards, LevelHandle, LevelSnapshot, LevelTask};
use crate::link::{FoundPort, LinkSettings, Target, Timing, Ways};
use crate::recording::recorder::{RecordInlet, Recorded, Recorder, SwingRecord, role_of};
use crate::snapshot::{self, Sources};
use crate::swing::{SwingHandle, SwingSnapshot, SwingTask, SwingWheels};
use crate::visiting::{Scribe, VisitDesk, Watched};

/// How often ports are looked for when none is configured.
const SEARCH: Duration = Duration::from_secs(1);

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
}

/// A running daemon, without its page.
#[derive(Debug)]
pub struct Daemon {
    app: App,
    tasks: TaskTracker,
}

impl Daemon {
    /// Starts all tasks; they end with `stop`.
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
        let boards: Vec<Arc<Board>> = config
            .boards
            .iter()
            .enumerate()
            .map(|(number, board)| links.open(number, board))
            .collect();
        let level = links.levels(&boards, config.swing);
        let (mut task, swing) = SwingTask::new(
            SwingWheels {
                boards: boards.clone(),
                config: config.swing,
                level: level.watch(),
            },
            links.inlets.swing.clone(),
            journal.clone(),
        );
        let recorded = record
            .map(|(folder, inlet)| links.record(folder, inlet, &config.boards, task.records()));
        links.tasks.spawn(task.run(stop.clone()));
        let check = links.checks(&boards, level.watch(), swing.watch());
        let (publish, shown) = watch::channel(boards);
        let calibration =
            CalibrationDesk::new(shown.clone(), swing.watch(), links.store.clone(), journal);
        let traces = links.inlets.traces.clone();
        let sources = Sources {
            boards: shown,
            swing: swing.watch(),
            level: level.watch(),
            check: check.watch(),
            inlet: links.inlets.swing.clone(),
            scenario,
            clock: links.clock,
            visit: visits.at_hand(),
        };
        links.write_visits(
            visits.clone(),
            Watched {
                swing: swing.watch(),
                check: check.clone(),
                level: level.clone(),
                recorded,
                keeps_folders,
                boards: sources.boards.clone(),
                clock: links.clock,
            },
        );
        let (state, keep) = snapshot::start(sources, stop.clone());
        links.tasks.spawn(keep);
        let tasks = links.tasks.clone();
        if config.boards.is_empty() {
            let search = links.search(publish);
            tasks.spawn(stop.clone().run_until_cancelled_owned(search));
        }
        tasks.close();
        Self {
            app: App {
                state,
                swing,
                calibration,
                level,
                visits,
                check,
                traces,
                clock,
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

/// What every link and every task is started with.
struct Links {
    tasks: TaskTracker,
    stop: CancellationToken,
    clock: DaemonClock,
    inlets: Inlets,
    ways: Ways,
    floor: FloorSlope,
    record: Option<Arc<RecordInlet>>,
    store: CalibrationStore,
    journal: Journal,
}

impl Links {
    /// Starts the recorder, and tells what it closes.
    fn record(
        &self,
        folder: PathBuf,
        inlet: Arc<RecordInlet>,
        boards: &[BoardConfig],
        swing: watch::Receiver<Option<SwingRecord>>,
    ) -> watch::Receiver<Option<Recorded>> {
        let roles = boards.iter().filter_map(|b| role_of(b.mount?)).collect();
        let recorder = Recorder::new(folder, roles, inlet, swing);
        let closed = recorder.closed();
        self.tasks.spawn(recorder.run(self.stop.clone()));
        closed
    }

    /// Starts what writes finished procedures into the visit at hand.
    fn write_visits(&self, visits: VisitDesk, watched: Watched) {
        let scribe = Scribe::new(visits, watched);
        self.tasks.spawn(scribe.run(self.stop.clone()));
    }

    fn open(&self, number: usize, config: &BoardConfig) -> Arc<Board> {
        let board = Arc::new(Board::new(config, self.floor));
        let kept = Kept {
            store: self.store.clone(),
            target: config.target.clone(),
            ways: self.ways.clone(),
        };
        let intake = Intake::new(board.clone(), self.inlets.clone(), self.record.clone());
        let keeper = BoardKeeper::new(number, intake, self.clock, self.journal.clone(), kept);
        let settings = LinkSettings {
            baud: config.baud,
            format: config.format.clone(),
            timing: Timing::default(),
        };
        self.tasks.spawn(self.ways.clone().run(
            config.target.clone(),
            settings,
            keeper,
            self.stop.clone(),
        ));
        board
    }

    /// Starts the task of floor, toe and run-outs.
    fn levels(&self, boards: &[Arc<Board>], config: SwingConfig) -> LevelHandle {
        let given = LevelBoards {
            boards: boards.to_vec(),
            floor: self.floor,
            config,
            clock: self.clock,
            journal: self.journal.clone(),
        };
        let (task, level) = LevelTask::new(given, self.inlets.level.clone());
        self.tasks.spawn(task.run(self.stop.clone()));
        level
    }

    /// Starts the task of the guided checks.
    fn checks(
        &self,
        boards: &[Arc<Board>],
        level: watch::Receiver<LevelSnapshot>,
        swing: watch::Receiver<SwingSnapshot>,
    ) -> CheckHandle {
        let given = CheckBoards {
            boards: boards.to_vec(),
            level,
            swing,
            clock: self.clock,
            journal: self.journal.clone(),
        };
        let (task, check) = CheckTask::new(given, self.inlets.check.clone());
        self.tasks.spawn(task.run(self.stop.clone()));
        check
    }

    /// Opens every port that appears.
    async fn search(self, publish: watch::Sender<Vec<Arc<Board>>>) {
        let mut known = BTreeSet::new();
        let mut looks = interval(SEARCH);
        looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
        loop {
            looks.tick().await;
            let tree = self.ways.ports.clone();
            let Ok(ports) = tokio::task::spawn_blocking(move || tree.ports()).await else {
                continue;
            };
            for port in ports {
                if known.len() < MOST_BOARDS && known.insert(port.id.clone()) {
                    tracing::info!(id = port.id, node = %port.node.display(), "found a port");
                    let board = self.open(known.len() - 1, &unknown_board(&port));
                    publish.send_modify(|boards| boards.push(board));
                }
            }
        }
    }
}

/// What can be said of a board that no configuration names.
fn unknown_board(port: &FoundPort) -> BoardConfig {
    BoardConfig {
        id: port.id.clone(),
        name: port.product.clone().unwrap_or_else(|| port.id.clone()),
        target: Target::Identity(port.id.clone()),
        mount: None,
        baud: None,
        format: None,
        chip: ChipFigures::RAW,
        calibration: Calibration::none(),
        mounting: None,
        away: None,
    }
}
