//! The task itself.

use std::collections::BTreeMap;
use std::sync::Arc;

use hubplumb_core::calibrate::Pose;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::levelling::survey::{FloorSurvey, Line, by_heights, by_lines, edge_slope};
use hubplumb_core::levelling::{Outboard, RunOutProcedure, RunOutSetup};
use hubplumb_core::live::WheelSetup;
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;
use hubplumb_core::time::HostTime;
use tokio::sync::{mpsc, watch};
use tokio_util::sync::CancellationToken;

use super::seating::unknown;
use super::{
    Answer, Floor, FloorBy, Known, LevelError, LevelHandle, LevelInlet, LevelInput, LevelSnapshot,
    LevelWish, RunOutNow, WISHES,
};
use crate::board::{Board, Boards, Heard};
use crate::checking::CheckSnapshot;
use crate::clock::DaemonClock;
use crate::config::SwingConfig;
use crate::journal::{Entry, Journal, LevelNote, Task};
use crate::mount::Mount;
use crate::swing::SwingSnapshot;

/// What the task works with.
#[derive(Debug, Clone)]
pub struct LevelBoards {
    /// All boards, as they are when something is asked for.
    pub boards: Boards,
    /// The floor as configured.
    pub floor: FloorSlope,
    /// Toe as configured.
    pub config: SwingConfig,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Where what happens is written down.
    pub journal: Journal,
}

impl LevelBoards {
    pub(super) fn on(&self, mount: Mount) -> Option<Arc<Board>> {
        let on = |board: &&Arc<Board>| board.facts().mount == Some(mount);
        self.boards.borrow().iter().find(on).cloned()
    }

    pub(super) fn named(&self, id: &str) -> Result<Arc<Board>, LevelError> {
        let named = |board: &&Arc<Board>| board.facts().id == id;
        let board = self.boards.borrow().iter().find(named).cloned();
        board.ok_or_else(|| LevelError::NoSuchBoard(id.to_owned()))
    }
}

/// Owns floor, toe and run-outs.
#[derive(Debug)]
pub struct LevelTask {
    pub(super) given: LevelBoards,
    inlet: Arc<LevelInlet>,
    wishes: mpsc::Receiver<(LevelWish, Answer)>,
    publish: watch::Sender<LevelSnapshot>,
    pub(super) running: BTreeMap<Mount, RunOutProcedure>,
    pub(super) now: LevelSnapshot,
    half: Option<(Line, BoardAxis, String, Pose)>,
    pub(super) others: Option<(
        watch::Receiver<SwingSnapshot>,
        watch::Receiver<CheckSnapshot>,
    )>,
}

impl LevelTask {
    /// A task and the way to it; it does nothing before it is run.
    pub fn new(given: LevelBoards, inlet: Arc<LevelInlet>) -> (Self, LevelHandle) {
        let run_outs = given
            .boards
            .borrow()
            .iter()
            .filter_map(|board| {
                let mount = board.facts().mount.filter(|mount| mount.side().is_some())?;
                Some((mount, unknown(board, 0)))
            })
            .collect();
        let now = LevelSnapshot {
            floor: configured(given.floor),
            toe: [
                Known::configured(given.config.toe_left),
                Known::configured(given.config.toe_right),
            ],
            forward: None,
            run_outs,
            earlier: None,
        };
        let (wish, wishes) = mpsc::channel(WISHES);
        let (publish, snapshot) = watch::channel(now.clone());
        let task = Self {
            given,
            inlet,
            wishes,
            publish,
            running: BTreeMap::new(),
            now,
            half: None,
            others: None,
        };
        let handle = LevelHandle {
            wishes: wish,
            snapshot,
        };
        (task, handle)
    }

    /// Moves no board from now on that a swing or a check uses. They are made after this
    /// task, because they go by what it knows.
    pub fn mind(
        &mut self,
        swing: watch::Receiver<SwingSnapshot>,
        check: watch::Receiver<CheckSnapshot>,
    ) {
        self.others = Some((swing, check));
    }

    /// Runs until `stop`.
    pub async fn run(mut self, stop: CancellationToken) {
        loop {
            tokio::select! {
                () = stop.cancelled() => return,
                wish = self.wishes.recv() => {
                    let Some((wish, answer)) = wish else { return };
                    // A client that went away does not want the answer.
                    let _ = answer.send(self.wished(wish));
                }
                () = self.inlet.filled() => {
                    self.take();
                }
            }
        }
    }

    fn wished(&mut self, wish: LevelWish) -> Result<LevelSnapshot, LevelError> {
        let journal = self.given.journal.clone();
        let mut turn = journal.turn();
        let now = self.given.clock.now();
        turn.note(|| Entry::Level {
            at_us: now.us(),
            wish: LevelNote::from(&wish),
        });
        self.wished_at(wish, now)
    }

    /// Does what somebody wished for at `now`.
    pub fn wished_at(
        &mut self,
        wish: LevelWish,
        now: HostTime,
    ) -> Result<LevelSnapshot, LevelError> {
        let granted = self.grant(wish, now);
        self.tell();
        granted.map(|()| self.now.clone())
    }

    /// Takes what the boards have said since; gives how much that was.
    pub fn take(&mut self) -> usize {
        let journal = self.given.journal.clone();
        let mut turn = journal.turn();
        let inputs = self.inlet.take();
        turn.note(|| Entry::Fed {
            task: Task::Level,
            readings: inputs.len(),
        });
        for input in &inputs {
            self.feed(input);
        }
        self.tell();
        inputs.len()
    }

    fn grant(&mut self, wish: LevelWish, now: HostTime) -> Result<(), LevelError> {
        match wish {
            LevelWish::Start { mount, jacked } => self.start(mount, jacked),
            LevelWish::Cancel(mount) => {
                self.procedure(mount)?.cancel();
                self.settle(mount);
                Ok(())
            }
            LevelWish::Finish(mount) => {
                self.procedure(mount)?.finish();
                self.settle(mount);
                Ok(())
            }
            LevelWish::Forget(mount) => {
                let run_out = self
                    .now
                    .run_outs
                    .get_mut(&mount)
                    .ok_or(LevelError::NoBoard(mount))?;
                run_out.result = None;
                self.forget_earlier(mount);
                self.settle_boards();
                Ok(())
            }
            LevelWish::Heights(pads) => {
                self.surveyed(by_heights(&pads)?, FloorBy::Heights);
                Ok(())
            }
            LevelWish::LineRest {
                line,
                board,
                along,
                turned,
            } => self.line_rest(line, board, along, turned, now),
            LevelWish::ForgetFloor => {
                self.half = None;
                self.now.floor = configured(self.given.floor);
                self.settle_boards();
                Ok(())
            }
            LevelWish::Toe { side, told } => {
                let (place, configured) = match side {
                    Side::Left => (0, self.given.config.toe_left),
                    Side::Right => (1, self.given.config.toe_right),
                };
                self.now.toe[place] = told.known(configured);
                Ok(())
            }
            LevelWish::Forward(forward) => {
                self.now.forward = forward;
                self.settle_boards();
                Ok(())
            }
            LevelWish::Seat { board, seat } => self.seat(&board, seat),
            LevelWish::Earlier(earlier) => {
                self.now.earlier = Some(earlier);
                Ok(())
            }
            LevelWish::GoOn => self.go_on(),
            LevelWish::LeaveEarlier => match self.now.earlier.take() {
                Some(_) => Ok(()),
                None => Err(LevelError::NothingEarlier),
            },
        }
    }

    fn start(&mut self, mount: Mount, jacked: bool) -> Result<(), LevelError> {
        let board = self.given.on(mount).ok_or(LevelError::NoBoard(mount))?;
        let side = mount.side().ok_or(LevelError::NoBoard(mount))?;
        if !board.is_live() {
            return Err(LevelError::NotLive(mount));
        }
        if self.running.contains_key(&mount) {
            return Err(LevelError::Running(mount));
        }
        let (outboard, _) = outboard(&board);
        let body = self.given.on(Mount::Body).filter(|body| body.is_live());
        let procedure = RunOutProcedure::start(RunOutSetup {
            side,
            chip: board.chip(),
            outboard,
            jacked,
            body: body.map(|body| body.chip()),
        });
        self.running.insert(mount, procedure);
        if let Some(run_out) = self.now.run_outs.get_mut(&mount) {
            run_out.run += 1;
        }
        self.inlet.set_open(true);
        tracing::info!(mount = mount.name(), jacked, "run-out started");
        Ok(())
    }

    fn procedure(&mut self, mount: Mount) -> Result<&mut RunOutProcedure, LevelError> {
        self.running
            .get_mut(&mount)
            .ok_or(LevelError::NotRunning(mount))
    }

    fn feed(&mut self, input: &LevelInput) {
        if input.mount == Mount::Body {
            if let Heard::Sample(sample) = &input.heard {
                for procedure in self.running.values_mut() {
                    procedure.body_sample(sample);
                }
            }
            return;
        }
        let Some(procedure) = self.running.get_mut(&input.mount) else {
            return;
        };
        match &input.heard {
            Heard::Sample(sample) => procedure.sample(sample),
            Heard::Saturated => procedure.saturated(),
            // What it says is as good as nothing.
            Heard::Lost | Heard::Stuck | Heard::Torn | Heard::Garbled => procedure.board_lost(),
        }
        self.settle(input.mount);
    }

    /// Keeps the result of a run-out that just went through.
    fn settle(&mut self, mount: Mount) {
        let Some(procedure) = self.running.get(&mount).filter(|p| p.is_over()) else {
            return;
        };
        if let Some(run_out) = self.now.run_outs.get_mut(&mount) {
            run_out.current = Some(shown(procedure));
            if let Some(result) = procedure.result() {
                run_out.result = Some(Arc::new(result.clone()));
            }
        }
        tracing::info!(mount = mount.name(), refusal = ?procedure.refusal(), "run-out over");
        self.running.remove(&mount);
        self.inlet.set_open(!self.running.is_empty());
        self.settle_boards();
    }

    fn line_rest(
        &mut self,
        line: Line,
        id: String,
        along: BoardAxis,
        turned: bool,
        now: HostTime,
    ) -> Result<(), LevelError> {
        let board = self.given.named(&id)?;
        let pose = board
            .pose(now)
            .ok_or_else(|| LevelError::NotStill(id.clone()))?;
        if !turned {
            self.now.floor.half = Some(line);
            self.half = Some((line, along, id, pose));
            return Ok(());
        }
        let first = match &self.half {
            Some((of, axis, board, first)) if *of == line && *axis == along && *board == id => {
                *first
            }
            _ => return Err(LevelError::NoFirstRest),
        };
        let slope = edge_slope(along, &first, &pose)?;
        self.half = None;
        self.now.floor.half = None;
        self.now.floor.lines.insert(line, slope);
        let lines: Vec<_> = self.now.floor.lines.iter().map(|(l, s)| (*l, *s)).collect();
        match by_lines(&lines) {
            Ok(survey) => self.surveyed(survey, FloorBy::Lines),
            // Only the other direction is missing yet.
            Err(hubplumb_core::levelling::survey::SurveyError::Lines { .. }) => {}
            Err(error) => {
                self.now.floor.lines.remove(&line);
                return Err(error.into());
            }
        }
        Ok(())
    }

    fn surveyed(&mut self, survey: FloorSurvey, by: FloorBy) {
        self.now.floor.slope = survey.slope;
        self.now.floor.twist_mm = survey.twist_mm;
        self.now.floor.by = by;
        self.settle_boards();
    }

    /// Live camber goes by what is known now.
    pub(super) fn settle_boards(&self) {
        for board in self.given.boards.borrow().iter() {
            let facts = board.facts();
            if facts.mount == Some(Mount::Body) {
                board.settle_forward(self.now.body_forward());
            }
            let Some((mount, side)) = facts.mount.and_then(|m| Some((m, m.side()?))) else {
                board.settle_wheel(None);
                continue;
            };
            let by_turning = self
                .now
                .result(mount)
                .and_then(|result| result.mounting(result.last_up()?));
            let mounting = by_turning.or(facts.wheel.map(|wheel| wheel.mounting));
            board.settle_wheel(mounting.map(|mounting| WheelSetup {
                side,
                chip: board.chip(),
                mounting,
                floor: self.now.floor.slope,
            }));
        }
    }

    fn tell(&mut self) {
        for (mount, procedure) in &self.running {
            if let Some(run_out) = self.now.run_outs.get_mut(mount) {
                run_out.current = Some(shown(procedure));
            }
        }
        self.publish.send_if_modified(|before| {
            let changed = *before != self.now;
            if changed {
                before.clone_from(&self.now);
            }
            changed
        });
    }
}

fn shown(procedure: &RunOutProcedure) -> RunOutNow {
    RunOutNow {
        phase: procedure.phase(),
        progress: procedure.progress(),
        jacked: procedure.setup().jacked,
        refusal: procedure.refusal().copied(),
    }
}

/// What is known of outboard, and whether a face was declared.
pub(super) fn outboard(board: &Board) -> (Outboard, bool) {
    let facts = board.facts();
    match (facts.wheel, facts.away()) {
        (Some(wheel), _) => (Outboard::Declared(wheel.mounting.spindle(wheel.side)), true),
        (None, Some(away)) => (Outboard::AwayFromCar(away.dir()), false),
        (None, None) => (Outboard::ForwardRolling, false),
    }
}

fn configured(slope: FloorSlope) -> Floor {
    Floor {
        slope,
        by: FloorBy::Configuration,
        twist_mm: None,
        lines: BTreeMap::new(),
        half: None,
    }
}
