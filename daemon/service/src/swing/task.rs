//! The task itself.

use std::sync::Arc;

use hubplumb_core::check::evidence::TurnsEvidence;
use hubplumb_core::check::evidence_of_swing;
use hubplumb_core::swing::curve::curves;
use hubplumb_core::swing::{
    BodyMotion, Difference, Refusal, SteerSource, SwingBody, SwingCurve, SwingProcedure,
    SwingSetup, SwingWheel,
};
use tokio::sync::{mpsc, watch};
use tokio_util::sync::CancellationToken;

use super::{
    Answer, Current, Found, SwingHandle, SwingInlet, SwingInput, SwingPlace, SwingSnapshot, WISHES,
    Wish, WishError,
};
use crate::board::{Boards, Heard};
use crate::config::SwingConfig;
use crate::journal::{Entry, Journal, SwingNote, Task, Turn};
use crate::levelling::LevelSnapshot;
use crate::mount::Mount;
use crate::recording::recorder::{RecordedBoard, Stage, SwingRecord};

/// Findings kept: a long day's work on one car, and little for a page to draw.
const FINDINGS: usize = 64;

/// Boards among which a swing finds its wheels.
#[derive(Debug, Clone)]
pub struct SwingWheels {
    /// All boards, as they are when a swing starts.
    pub boards: Boards,
    /// What the configuration says of swings.
    pub config: SwingConfig,
    /// Floor, toe and run-outs as they stand.
    pub level: watch::Receiver<LevelSnapshot>,
}

impl SwingWheels {
    /// What a swing that starts now works with: the steered wheels whose boards give readings.
    fn setup(&self, steer_source: SteerSource) -> Result<SwingSetup, WishError> {
        let level = self.level.borrow().clone();
        if level.is_running() {
            return Err(WishError::RunOutRunning);
        }
        let boards = self.boards.borrow();
        let known: Vec<_> = boards
            .iter()
            .filter_map(|board| {
                let mount = board.facts().mount.filter(|mount| mount.is_steered())?;
                Some((board, mount, board.wheel()?))
            })
            .collect();
        if known.is_empty() {
            return Err(WishError::NoWheels);
        }
        let wheels: Vec<SwingWheel> = known
            .into_iter()
            .filter(|(board, ..)| board.is_live())
            .map(|(_, mount, wheel)| SwingWheel {
                wheel,
                run_out: level
                    .result(mount)
                    .map_or_else(Vec::new, |result| result.evidence.clone()),
                toe: level.toe_of(wheel.side).estimate,
            })
            .collect();
        if wheels.is_empty() {
            return Err(WishError::NoneLive);
        }
        Ok(SwingSetup {
            wheels,
            steer_source,
            body: BodyMotion {
                roll: self.config.body_roll,
                pitch: self.config.body_pitch,
            },
            body_board: self.body_board(&level),
            hold_us: self.config.hold_us,
            plate_standard: self.config.plate_standard,
        })
    }

    /// The board on the body, if one is there and talks.
    fn body_board(&self, level: &LevelSnapshot) -> Option<SwingBody> {
        let boards = self.boards.borrow();
        let board = boards
            .iter()
            .find(|board| board.facts().mount == Some(Mount::Body) && board.is_live())?;
        Some(SwingBody {
            chip: board.chip(),
            jacked: level.jackings(),
            forward: level
                .forward
                .map(|(forward, standard)| (forward.dir(), standard)),
        })
    }
}

/// The mounts whose boards take part.
fn mounts(setup: &SwingSetup) -> Vec<Mount> {
    let wheels = setup.wheels.iter();
    let mut mounts: Vec<Mount> = wheels
        .map(|wheel| Mount::steered(wheel.wheel.side))
        .collect();
    mounts.extend(setup.body_board.is_some().then_some(Mount::Body));
    mounts
}

/// Owns the swing.
#[derive(Debug)]
pub struct SwingTask {
    wheels: SwingWheels,
    inlet: Arc<SwingInlet>,
    wishes: mpsc::Receiver<(Wish, Answer)>,
    publish: watch::Sender<SwingSnapshot>,
    running: Option<SwingProcedure>,
    run: u64,
    found: Vec<Found>,
    records: Option<watch::Sender<Option<SwingRecord>>>,
    differences: Vec<(u64, Difference)>,
    curves: Vec<(u64, Arc<SwingCurve>)>,
    turns: Option<Arc<TurnsEvidence>>,
    journal: Journal,
    over_told: u64,
}

impl SwingTask {
    /// A task and the way to it; it does nothing before it is run.
    pub fn new(
        wheels: SwingWheels,
        inlet: Arc<SwingInlet>,
        journal: Journal,
    ) -> (Self, SwingHandle) {
        let (wish, wishes) = mpsc::channel(WISHES);
        let (publish, snapshot) = watch::channel(SwingSnapshot::default());
        let task = Self {
            wheels,
            inlet,
            wishes,
            publish,
            running: None,
            run: 0,
            found: Vec::new(),
            records: None,
            differences: Vec::new(),
            curves: Vec::new(),
            turns: None,
            journal,
            over_told: 0,
        };
        (
            task,
            SwingHandle {
                wishes: wish,
                snapshot,
            },
        )
    }

    /// The swing as a recording of it needs to know it, and every change of that.
    pub fn records(&mut self) -> watch::Receiver<Option<SwingRecord>> {
        let (publish, records) = watch::channel(None);
        self.records = Some(publish);
        records
    }

    /// Runs until `stop`.
    pub async fn run(mut self, stop: CancellationToken) {
        loop {
            tokio::select! {
                () = stop.cancelled() => return,
                wish = self.wishes.recv() => {
                    let Some((wish, answer)) = wish else { return };
                    let granted = self.wished(wish);
                    // A client that went away does not want the answer.
                    let _ = answer.send(granted);
                }
                () = self.inlet.filled() => {
                    self.take();
                }
            }
        }
    }

    /// Does what somebody wishes.
    pub fn wished(&mut self, wish: Wish) -> Result<SwingSnapshot, WishError> {
        let journal = self.journal.clone();
        let mut turn = journal.turn();
        turn.note(|| Entry::Swing {
            wish: SwingNote::from(&wish),
        });
        let granted = self.grant(wish);
        let told = self.tell();
        self.note_end(&mut turn);
        granted.map(|()| told)
    }

    /// Takes what the boards have said since; gives how much that was.
    pub fn take(&mut self) -> usize {
        let journal = self.journal.clone();
        let mut turn = journal.turn();
        let inputs = self.inlet.take();
        turn.note(|| Entry::Fed {
            task: Task::Swing,
            readings: inputs.len(),
        });
        for input in &inputs {
            self.feed(input);
        }
        self.tell();
        self.note_end(&mut turn);
        inputs.len()
    }

    /// Everything that the last swing found, to the last bit; once, when it is over.
    pub fn over(&mut self) -> Option<(u64, String)> {
        let swing = self.running.as_ref().filter(|swing| swing.is_over())?;
        if self.over_told == self.run {
            return None;
        }
        self.over_told = self.run;
        // A number written so is the shortest that reads back as the same.
        let found = format!(
            "{:?} {:?} {:?} {:?}",
            swing.phase(),
            swing.refusal(),
            swing.outcome(),
            swing.differences()
        );
        Some((self.run, found))
    }

    fn note_end(&mut self, turn: &mut Turn<'_>) {
        if self.journal.is_on()
            && let Some((run, found)) = self.over()
        {
            turn.note(|| Entry::SwingOver { run, found });
        }
    }

    fn grant(&mut self, wish: Wish) -> Result<(), WishError> {
        let running = self.running.as_mut().filter(|swing| !swing.is_over());
        match (wish, running) {
            (Wish::Start(_), Some(_)) => Err(WishError::Running),
            (Wish::Start(source), None) => {
                self.running = Some(SwingProcedure::start(self.wheels.setup(source)?)?);
                self.run += 1;
                // What was left over from the swing before is not of this one.
                self.inlet.take();
                self.inlet.set_open(true);
                tracing::info!(run = self.run, "steering swing started");
                Ok(())
            }
            (Wish::Cancel | Wish::Plate { .. }, None) => Err(WishError::NotRunning),
            (Wish::Cancel, Some(swing)) => {
                swing.cancel();
                self.settle();
                Ok(())
            }
            (Wish::Plate { rest, side, plate }, Some(swing)) => {
                swing.enter_plate(rest, side, plate)?;
                self.settle();
                Ok(())
            }
        }
    }

    fn feed(&mut self, input: &SwingInput) {
        let Some(swing) = self.running.as_mut().filter(|swing| !swing.is_over()) else {
            return;
        };
        match (input.place, &input.heard) {
            (SwingPlace::Wheel(side), Heard::Sample(sample)) => swing.sample(side, sample),
            (SwingPlace::Wheel(side), Heard::Saturated) => swing.saturated(side),
            (SwingPlace::Wheel(side), Heard::Stuck) => swing.unfit(side, Refusal::Stuck { side }),
            (SwingPlace::Wheel(side), Heard::Torn) => swing.unfit(side, Refusal::Torn { side }),
            (SwingPlace::Wheel(side), Heard::Garbled) => {
                swing.unfit(side, Refusal::Garbled { side });
            }
            (SwingPlace::Wheel(side), Heard::Lost) => swing.board_lost(side),
            (SwingPlace::Body, Heard::Sample(sample)) => swing.body_sample(sample),
            (SwingPlace::Body, Heard::Saturated) => swing.body_saturated(),
            (SwingPlace::Body, Heard::Lost | Heard::Stuck | Heard::Torn | Heard::Garbled) => {
                swing.body_lost();
            }
        }
        self.settle();
    }

    /// Keeps the findings of a swing that just went through.
    fn settle(&mut self) {
        let Some(swing) = self.running.as_ref().filter(|swing| swing.is_over()) else {
            return;
        };
        self.inlet.set_open(false);
        let run = self.run;
        if swing.refusal().is_none() {
            self.turns = evidence_of_swing(swing).map(Arc::new);
        }
        for wheel in swing.outcome().iter().flatten() {
            self.found.push(Found {
                run,
                wheel: wheel.clone(),
                body: swing.body(),
            });
        }
        let differences = swing.differences().iter();
        self.differences
            .extend(differences.map(|difference| (run, *difference)));
        let excess = self.found.len().saturating_sub(FINDINGS);
        self.found.drain(..excess);
        let drawn = curves(swing).into_iter();
        self.curves
            .extend(drawn.map(|curve| (run, Arc::new(curve))));
        let excess = self.curves.len().saturating_sub(FINDINGS);
        self.curves.drain(..excess);
        let excess = self.differences.len().saturating_sub(FINDINGS);
        self.differences.drain(..excess);
        tracing::info!(run, phase = ?swing.phase(), refusal = ?swing.refusal(), "steering swing over");
    }

    fn tell_recorder(&self) {
        let (Some(records), Some(swing)) = (&self.records, &self.running) else {
            return;
        };
        let rests = swing.rests();
        let plates = rests.iter().flat_map(|rest| &rest.wheels);
        let boards = self.wheels.boards.borrow();
        // What a recording has to know anew; the readings themselves go another way.
        let stage = Stage {
            run: self.run,
            begun: swing.has_begun(),
            over: swing.is_over(),
            rests: rests.len(),
            plates: plates.filter(|wheel| wheel.plate.is_some()).count(),
        };
        records.send_if_modified(|before| {
            if before.as_ref().is_some_and(|before| before.stage == stage) {
                return false;
            }
            *before = Some(SwingRecord {
                stage,
                setup: swing.setup().clone(),
                boards: boards.iter().filter_map(|b| RecordedBoard::of(b)).collect(),
                windows: swing.windows(),
                refusal: swing.refusal().copied(),
                outcome: swing.outcome().to_vec(),
                differences: swing.differences().to_vec(),
            });
            true
        });
    }

    fn tell(&mut self) -> SwingSnapshot {
        self.tell_recorder();
        let current = self.running.as_ref().map(|swing| Current {
            phase: swing.phase(),
            progress: swing.progress(),
            steer_source: swing.setup().steer_source,
            mounts: mounts(swing.setup()),
            rests: swing.rests(),
            body: swing.body(),
            refusal: swing.refusal().copied(),
            refused_wheels: swing
                .outcome()
                .iter()
                .filter_map(|outcome| match outcome {
                    Ok(wheel) => wheel.axis.as_ref().err().copied(),
                    Err(refusal) => Some(*refusal),
                })
                .collect(),
        });
        let snapshot = SwingSnapshot {
            run: self.run,
            current,
            found: self.found.clone(),
            differences: self.differences.clone(),
            curves: self.curves.clone(),
            turns: self.turns.clone(),
        };
        self.publish.send_if_modified(|before| {
            let changed = *before != snapshot;
            if changed {
                before.clone_from(&snapshot);
            }
            changed
        });
        snapshot
    }
}
