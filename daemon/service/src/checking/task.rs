//! The task itself.

use std::sync::Arc;

use hubplumb_core::check::{Check, Ended, Evidence, Kind, solve};
use hubplumb_core::side::Side;
use hubplumb_core::time::HostTime;
use tokio::sync::{mpsc, watch};
use tokio_util::sync::CancellationToken;

use super::setup::{Made, figure};
use super::{
    Answer, CheckError, CheckFound, CheckHandle, CheckInlet, CheckInput, CheckNow, CheckSnapshot,
    CheckWish, WISHES,
};
use crate::board::{Board, Boards, Heard};
use crate::clock::DaemonClock;
use crate::http::views::CheckStart;
use crate::journal::{CheckNote, Entry, Journal, Task};
use crate::levelling::LevelSnapshot;
use crate::mount::Mount;
use crate::swing::SwingSnapshot;

/// Results kept: a long day's work on one car, and little for a page to draw.
const FOUND: usize = 64;

/// What the task works with.
#[derive(Debug, Clone)]
pub struct CheckBoards {
    /// All boards, as they are when a check starts.
    pub boards: Boards,
    /// Floor, toe and run-outs as they stand.
    pub level: watch::Receiver<LevelSnapshot>,
    /// The swing as it stands.
    pub swing: watch::Receiver<SwingSnapshot>,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Where what happens is written down.
    pub journal: Journal,
}

/// A check that runs, and what it listens to.
#[derive(Debug)]
struct Running {
    check: Check,
    mount: Option<Mount>,
    boards: Vec<(Arc<Board>, Side)>,
    may_step: bool,
    last: HostTime,
}

/// Owns the checks.
#[derive(Debug)]
pub struct CheckTask {
    given: CheckBoards,
    inlet: Arc<CheckInlet>,
    wishes: mpsc::Receiver<(CheckWish, Answer)>,
    publish: watch::Sender<CheckSnapshot>,
    running: Option<Running>,
    now: CheckSnapshot,
}

impl CheckTask {
    /// A task and the way to it; it does nothing before it is run.
    pub fn new(given: CheckBoards, inlet: Arc<CheckInlet>) -> (Self, CheckHandle) {
        let (wish, wishes) = mpsc::channel(WISHES);
        let (publish, snapshot) = watch::channel(CheckSnapshot::default());
        let task = Self {
            given,
            inlet,
            wishes,
            publish,
            running: None,
            now: CheckSnapshot::default(),
        };
        let handle = CheckHandle {
            wishes: wish,
            snapshot,
        };
        (task, handle)
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

    fn wished(&mut self, wish: CheckWish) -> Result<CheckSnapshot, CheckError> {
        let journal = self.given.journal.clone();
        let mut turn = journal.turn();
        let now = self.given.clock.now();
        turn.note(|| Entry::Check {
            at_us: now.us(),
            wish: CheckNote::from(&wish),
        });
        self.wished_at(wish, now)
    }

    /// Does what somebody wished for at `now`.
    pub fn wished_at(
        &mut self,
        wish: CheckWish,
        now: HostTime,
    ) -> Result<CheckSnapshot, CheckError> {
        let granted = self.grant(wish, now);
        self.settle();
        self.tell();
        granted.map(|()| self.now.clone())
    }

    /// Takes what the boards have said since; gives how much that was.
    pub fn take(&mut self) -> usize {
        let journal = self.given.journal.clone();
        let mut turn = journal.turn();
        let inputs = self.inlet.take();
        turn.note(|| Entry::Fed {
            task: Task::Check,
            readings: inputs.len(),
        });
        for input in &inputs {
            self.feed(input);
        }
        self.tell();
        inputs.len()
    }

    fn grant(&mut self, wish: CheckWish, now: HostTime) -> Result<(), CheckError> {
        match wish {
            CheckWish::Start(start) => self.start(&start, now),
            CheckWish::TurnsOfSwing => self.turns_of_swing(now),
            CheckWish::Figure(typed) => {
                let figure = figure(&typed)?;
                let running = self.running_mut(now)?;
                running.check.figure(figure).map_err(CheckError::from)
            }
            CheckWish::Finish => {
                self.running_mut(now)?.check.finish();
                Ok(())
            }
            CheckWish::Cancel => {
                self.running_mut(now)?.check.cancel();
                Ok(())
            }
        }
    }

    fn running_mut(&mut self, now: HostTime) -> Result<&mut Running, CheckError> {
        let running = self.running.as_mut().ok_or(CheckError::NotRunning)?;
        running.last = now;
        Ok(running)
    }

    /// One procedure at a time: two would tell one person two things to do.
    fn nothing_runs(&self) -> Result<(), CheckError> {
        if self.running.is_some() {
            return Err(CheckError::Running);
        }
        if self.given.swing.borrow().is_running() {
            return Err(CheckError::SwingRunning);
        }
        if self.given.level.borrow().is_running() {
            return Err(CheckError::RunOutRunning);
        }
        Ok(())
    }

    fn start(&mut self, start: &CheckStart, now: HostTime) -> Result<(), CheckError> {
        self.nothing_runs()?;
        let Made {
            setup,
            mount,
            boards,
            may_step,
        } = self.given.make(start)?;
        let check = Check::start(setup)?;
        tracing::info!(kind = ?check.kind(), "check started");
        self.now.run += 1;
        // What was left over from the check before is not of this one.
        self.inlet.take();
        self.inlet.set_open(!boards.is_empty());
        self.running = Some(Running {
            check,
            mount,
            boards,
            may_step,
            last: now,
        });
        Ok(())
    }

    fn turns_of_swing(&mut self, now: HostTime) -> Result<(), CheckError> {
        self.nothing_runs()?;
        let turns = self.given.swing.borrow().turns.clone();
        let evidence = Evidence::TurnOut((*turns.ok_or(CheckError::NoSwing)?).clone());
        let result = solve(&evidence).map_err(CheckError::SwingGivesNone)?;
        self.now.run += 1;
        self.now.current = None;
        self.keep(CheckFound {
            run: self.now.run,
            kind: Kind::TurnOut,
            mount: None,
            at_us: now.us(),
            evidence,
            result,
        });
        Ok(())
    }

    fn keep(&mut self, found: CheckFound) {
        self.now.found.push(Arc::new(found));
        let excess = self.now.found.len().saturating_sub(FOUND);
        self.now.found.drain(..excess);
    }

    fn feed(&mut self, input: &CheckInput) {
        let Some(running) = &mut self.running else {
            return;
        };
        let mut taking = running.boards.iter();
        let of = taking.find(|(board, _)| Arc::ptr_eq(board, &input.board));
        let Some((_, side)) = of else {
            return;
        };
        match &input.heard {
            Heard::Sample(sample) => {
                running.check.sample(*side, sample);
                running.last = sample.at;
            }
            Heard::Saturated => running.check.saturated(),
            // What it says is as good as nothing.
            Heard::Lost | Heard::Stuck | Heard::Torn | Heard::Garbled => running.check.board_lost(),
        }
        self.settle();
    }

    /// Keeps what a check found that has just ended.
    fn settle(&mut self) {
        let over = |running: &mut Running| running.check.is_over();
        let Some(running) = self.running.take_if(over) else {
            return;
        };
        self.inlet.set_open(false);
        self.now.current = Some(shown(&running));
        tracing::info!(kind = ?running.check.kind(), phase = ?running.check.phase(), "check over");
        if let Some(Ended::Found { evidence, result }) = running.check.ended() {
            self.keep(CheckFound {
                run: self.now.run,
                kind: running.check.kind(),
                mount: running.mount,
                at_us: running.last.us(),
                evidence: evidence.clone(),
                result: result.clone(),
            });
        }
    }

    fn tell(&mut self) {
        if let Some(running) = &self.running {
            self.now.current = Some(shown(running));
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

fn shown(running: &Running) -> CheckNow {
    let check = &running.check;
    CheckNow {
        kind: check.kind(),
        mount: running.mount,
        boards: running
            .boards
            .iter()
            .map(|(board, _)| board.number())
            .collect(),
        phase: check.phase(),
        progress: check.progress(),
        may_step: running.may_step && !check.stops().is_empty(),
        stops: check.stops(),
        refusal: match check.ended() {
            Some(Ended::Refused { refusal, .. }) => Some(*refusal),
            _ => None,
        },
    }
}
