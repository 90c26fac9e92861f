//! Playing a journal again, note by note.

use std::path::Path;
use std::sync::Arc;

use hubplumb_core::floor::FloorSlope;
use hubplumb_core::time::HostTime;
use time::Date;
use tokio::sync::watch;

use super::Journal;
use super::entry::{Entry, Task};
use super::read::{JournalError, Recorded};
use crate::board::{Board, Inlets, Intake, status_of};
use crate::calibration_store;
use crate::checking::{CheckBoards, CheckSnapshot, CheckTask};
use crate::clock::DaemonClock;
use crate::config::{self, BoardConfig, Config};
use crate::levelling::{LevelBoards, LevelSnapshot, LevelTask};
use crate::link::Target;
use crate::swing::{SwingSnapshot, SwingTask, SwingWheels, Wish};

/// A swing that ended in the journal, and what playing it again gives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ended {
    /// Which run.
    pub run: u64,
    /// What it found then; none where the journal ends before it says so.
    pub then: Option<String>,
    /// What it finds now.
    pub now: Option<String>,
}

impl Ended {
    /// Is it the same, to the last bit?
    pub fn agrees(&self) -> bool {
        self.then.is_some() && self.then == self.now
    }
}

/// A journal that was played.
#[derive(Debug)]
pub struct Replay {
    /// The swings that ended, in order.
    pub ended: Vec<Ended>,
    /// The swing as it stands at the end, with all findings.
    pub swing: SwingSnapshot,
    /// Floor, toe and run-outs as they stand at the end.
    pub level: LevelSnapshot,
    /// The checks as they stand at the end, with all that they found.
    pub check: CheckSnapshot,
    /// Readings that were played.
    pub readings: u64,
    /// Notes that fit no board or wish of the configuration.
    pub unusable: u64,
}

/// The daemon without its links.
struct Player {
    inlets: Inlets,
    floor: FloorSlope,
    /// Every board that was ever read, by its number.
    intakes: Vec<Intake>,
    /// The boards that are read.
    boards: watch::Sender<Vec<Arc<Board>>>,
    names: Vec<String>,
    swing: SwingTask,
    level: LevelTask,
    check: CheckTask,
    checked: watch::Receiver<CheckSnapshot>,
    played: watch::Receiver<LevelSnapshot>,
    shown: watch::Receiver<SwingSnapshot>,
    readings: u64,
    unusable: u64,
}

impl Replay {
    /// Plays `recorded`.
    pub fn of(recorded: &Recorded) -> Result<Self, JournalError> {
        let config = config::parse_texts(&recorded.configuration, Path::new("configuration"))
            .map_err(|error| JournalError::Configuration(error.to_string()))?;
        let mut player = Player::new(&config);
        let mut ended: Vec<Ended> = Vec::new();
        for entry in &recorded.entries {
            if let Entry::SwingOver { run, found } = entry {
                match ended.last_mut().filter(|last| last.run == *run) {
                    Some(last) => last.then = Some(found.clone()),
                    None => ended.push(Ended {
                        run: *run,
                        then: Some(found.clone()),
                        now: None,
                    }),
                }
                continue;
            }
            player.play(entry);
            if let Some((run, found)) = player.swing.over() {
                ended.push(Ended {
                    run,
                    then: None,
                    now: Some(found),
                });
            }
        }
        Ok(Self {
            ended,
            swing: player.shown.borrow().clone(),
            level: player.played.borrow().clone(),
            check: player.checked.borrow().clone(),
            readings: player.readings,
            unusable: player.unusable,
        })
    }
}

impl Player {
    fn new(config: &Config) -> Self {
        let inlets = Inlets::default();
        let boards: Vec<Arc<Board>> = config
            .boards
            .iter()
            .enumerate()
            .map(|(number, board)| Arc::new(Board::new(number, board, config.floor)))
            .collect();
        let (publish, shown) = watch::channel(boards.clone());
        let (mut level, level_handle) = LevelTask::new(
            LevelBoards {
                boards: shown.clone(),
                floor: config.floor,
                config: config.swing,
                // Never asked: every wish of a journal brings its time.
                clock: DaemonClock::starting_now(),
                journal: Journal::off(),
            },
            inlets.level.clone(),
        );
        let (swing, swing_handle) = SwingTask::new(
            SwingWheels {
                boards: shown.clone(),
                config: config.swing,
                level: level_handle.watch(),
            },
            inlets.swing.clone(),
            Journal::off(),
        );
        let (check, check_handle) = CheckTask::new(
            CheckBoards {
                boards: shown.clone(),
                level: level_handle.watch(),
                swing: swing_handle.watch(),
                // Never asked, as above.
                clock: DaemonClock::starting_now(),
                journal: Journal::off(),
            },
            inlets.check.clone(),
        );
        level.mind(swing_handle.watch(), check_handle.watch());
        Self {
            floor: config.floor,
            boards: publish,
            names: config.boards.iter().map(|board| board.id.clone()).collect(),
            intakes: boards
                .into_iter()
                .map(|board| Intake::new(board, inlets.clone(), None))
                .collect(),
            inlets,
            swing,
            level,
            check,
            checked: check_handle.watch(),
            played: level_handle.watch(),
            shown: swing_handle.watch(),
            readings: 0,
            unusable: 0,
        }
    }

    /// A board that was found while the daemon ran.
    fn find(&mut self, number: usize, id: &str, name: &str) -> Option<()> {
        if number != self.intakes.len() {
            return None;
        }
        let config = BoardConfig::unknown(
            id.to_owned(),
            name.to_owned(),
            Target::Identity(id.to_owned()),
        );
        let board = Arc::new(Board::found(number, &config, self.floor));
        self.names.push(id.to_owned());
        self.intakes
            .push(Intake::new(board.clone(), self.inlets.clone(), None));
        self.boards.send_modify(|boards| boards.push(board));
        Some(())
    }

    fn play(&mut self, entry: &Entry) {
        if self.try_play(entry).is_none() {
            self.unusable += 1;
        }
    }

    /// None when the note fits nothing that is there.
    fn try_play(&mut self, entry: &Entry) -> Option<()> {
        match entry {
            Entry::Heard {
                board,
                at_us,
                readings,
                bad,
                ..
            } => {
                let intake = self.intakes.get(*board)?;
                self.readings += readings.len() as u64;
                intake.refuse(HostTime::from_us(*at_us), *bad);
                if !readings.is_empty() {
                    intake.take(HostTime::from_us(*at_us), readings);
                }
            }
            Entry::Found { board, id, name } => self.find(*board, id, name)?,
            Entry::Left { board } => {
                self.boards.send_modify(|boards| {
                    boards.retain(|known| known.number() != *board);
                });
            }
            Entry::Day { board, julian } => {
                let today = Date::from_julian_day(*julian).ok()?;
                self.intakes.get(*board)?.dated(today);
            }
            Entry::Calibration {
                board,
                identity,
                file,
            } => {
                let loaded = file
                    .as_ref()
                    .map(|text| calibration_store::read(text, identity, identity.into()))
                    .transpose();
                self.intakes.get(*board)?.calibrated(identity, loaded);
            }
            Entry::Speaks {
                board,
                number_bits,
                summed,
                ..
            } => self.intakes.get(*board)?.speaks(*number_bits, *summed),
            Entry::Presence { board, is } => {
                let name = self.names.get(*board)?;
                self.intakes.get_mut(*board)?.shows(&status_of(name, *is));
            }
            Entry::Fed {
                task: Task::Swing, ..
            } => {
                self.swing.take();
            }
            Entry::Fed {
                task: Task::Level, ..
            } => {
                self.level.take();
            }
            Entry::Fed {
                task: Task::Check, ..
            } => {
                self.check.take();
            }
            // A wish that was refused then is refused now.
            Entry::Swing { wish } => {
                let _ = self.swing.wished(Wish::from(*wish));
            }
            Entry::Level { at_us, wish } => {
                let wish = wish.clone().wish()?;
                let _ = self.level.wished_at(wish, HostTime::from_us(*at_us));
            }
            Entry::Check { at_us, wish } => {
                let wish = wish.clone().into();
                let _ = self.check.wished_at(wish, HostTime::from_us(*at_us));
            }
            Entry::Begun { .. } | Entry::SwingOver { .. } | Entry::Missing { .. } => {}
        }
        Some(())
    }
}
