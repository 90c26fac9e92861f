//! The thread that is one board: it samples, encodes and sends in step with the clock.

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::air::Air;
use super::mishear::{Mishearing, misheard};
use super::outlet::{Outlet, Place, Written};
use super::speaker::Speaker;
use crate::error::SimError;
use crate::fault::{FaultKind, FaultName};
use crate::motion::Timeline;

/// What all boards share.
#[derive(Debug)]
pub(super) struct Common {
    pub(super) timeline: Mutex<Timeline>,
    pub(super) started: Instant,
    pub(super) speed: f64,
}

impl Common {
    /// Time of the simulation, s.
    pub(super) fn now_s(&self) -> f64 {
        self.started.elapsed().as_secs_f64() * self.speed
    }

    /// The timeline; a thread that died while it held it has left it whole, since it is replaced
    /// as one piece.
    pub(super) fn with_timeline<T>(&self, act: impl FnOnce(&mut Timeline) -> T) -> T {
        act(&mut self.timeline.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// What a board can be told to do.
#[derive(Debug)]
pub(super) enum Command {
    /// The plug is pulled; answered when the port is gone.
    Unplug(SyncSender<()>),
    /// The plug is put in again; answered when the port is there.
    Replug(SyncSender<Result<(), SimError>>),
    /// These bytes go out as they are.
    Garbage(Vec<u8>),
    /// The board says nothing for a while, or speaks again.
    Silence(bool),
    /// The ends of the line disagree about the speed, or agree again.
    Mishear(Option<Mishearing>),
}

/// What a board's thread lets others see.
#[derive(Debug, Default)]
pub(super) struct Tally {
    /// Has somebody opened the port?
    pub(super) heard: AtomicBool,
    /// Bytes that went out, and bytes that found no room.
    pub(super) sent: AtomicU64,
    pub(super) lost: AtomicU64,
}

/// Never sleep less than this; at high speeds several readings go out together.
const SHORTEST_WAIT: Duration = Duration::from_millis(1);

/// A board with a header repeats it this often, as firmware for late listeners does.
const HEADER_EVERY: Duration = Duration::from_secs(1);

/// How soon a plug that a plan of faults pulled is looked after again.
const PLUG_LOOK: Duration = Duration::from_millis(10);

pub(super) struct BoardThread {
    pub(super) common: Arc<Common>,
    pub(super) tally: Arc<Tally>,
    speaker: Speaker,
    place: Place,
    outlet: Option<Box<dyn Outlet>>,
    /// Has somebody pulled the plug?
    pulled: bool,
    air: Air,
    mishearing: Option<Mishearing>,
    was_heard: bool,
    header_sent: Option<Instant>,
}

impl BoardThread {
    pub(super) fn new(
        common: Arc<Common>,
        tally: Arc<Tally>,
        speaker: Speaker,
        seed: u64,
        (place, outlet): (Place, Box<dyn Outlet>),
    ) -> Self {
        Self {
            air: Air::new(speaker.spec().link, speaker.spec().mount, seed),
            common,
            tally,
            speaker,
            place,
            outlet: Some(outlet),
            pulled: false,
            mishearing: None,
            was_heard: false,
            header_sent: None,
        }
    }

    /// Works until the sender of commands is gone.
    pub(super) fn run(mut self, commands: &Receiver<Command>) {
        loop {
            self.mind_the_plug();
            let next = if self.outlet.is_some() {
                let said = self.due();
                self.send(said);
                let wait_s = (self.speaker.due_s() - self.common.now_s()) / self.common.speed;
                // Below zero: still behind, so only look whether there is a command.
                let wait = Duration::try_from_secs_f64(wait_s)
                    .map_or(Duration::ZERO, |wait| wait.max(SHORTEST_WAIT));
                commands.recv_timeout(wait)
            } else if !self.pulled {
                commands.recv_timeout(PLUG_LOOK)
            } else {
                commands.recv().map_err(|_| RecvTimeoutError::Disconnected)
            };
            match next {
                Ok(command) => self.obey(command),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => return,
            }
        }
    }

    /// Every reading that is due by now, encoded; at most what a second of the simulation or a tenth
    /// of a second of the wall brings, which bounds the memory when the machine was too busy. The
    /// rest follows at once.
    fn due(&mut self) -> Vec<Vec<u8>> {
        let now_s = self.common.now_s();
        let at_most_s = (0.1 * self.common.speed).max(1.0);
        let until_s = now_s.min(self.speaker.due_s() + at_most_s);
        let speaker = &mut self.speaker;
        self.common
            .with_timeline(|timeline| speaker.says(timeline, until_s))
    }

    /// Pulls the plug or puts it in again as the plan of faults says.
    fn mind_the_plug(&mut self) {
        let unplugged = self.speaker.is_unplugged(self.common.now_s());
        if unplugged && self.outlet.is_some() {
            self.unplug();
        }
        if !unplugged && !self.pulled && self.outlet.is_none() {
            // What hinders it may be over at the next look.
            let _ = self.replug();
        }
    }

    fn unplug(&mut self) {
        self.outlet = None;
        self.was_heard = false;
        self.tally.heard.store(false, Ordering::Relaxed);
    }

    fn send(&mut self, said: Vec<Vec<u8>>) {
        let Some(outlet) = self.outlet.as_mut() else {
            return;
        };
        let written = outlet.written();
        let is_heard = outlet.is_heard();
        let mut out: Vec<Vec<u8>> = Vec::new();
        let answers = self.speaker.answers(&written);
        if !answers.is_empty() {
            out.push(answers);
        }
        // Opening the port resets most boards, and a board that starts prints its header. A host
        // that flushes its line after opening it may lose that one, so it comes again.
        let due = self
            .header_sent
            .is_none_or(|at| at.elapsed() >= HEADER_EVERY);
        if (outlet.was_opened() || !self.was_heard || due) && is_heard {
            let header = self.speaker.preamble();
            if !header.is_empty() {
                out.push(header);
            }
            self.header_sent = Some(Instant::now());
        }
        if self.was_heard && !is_heard {
            outlet.forget_unread();
        }
        self.was_heard = is_heard;
        self.tally.heard.store(is_heard, Ordering::Relaxed);
        out.extend(said);
        let carried = self.speaker.carries(out, self.common.now_s());
        let mut out = carried.pieces;
        if let Some(line) = self.mishearing {
            out = vec![misheard(&out.concat(), line)];
        }
        let (out, lost_on_the_way) = self.air.carry(out, Instant::now());
        if let Written::Sent { lost } = outlet.send(&out) {
            let sent = out.iter().map(Vec::len).sum::<usize>() - lost;
            let lost = lost + carried.lost + lost_on_the_way;
            self.tally.sent.fetch_add(sent as u64, Ordering::Relaxed);
            self.tally.lost.fetch_add(lost as u64, Ordering::Relaxed);
        }
    }

    fn obey(&mut self, command: Command) {
        match command {
            Command::Unplug(done) => {
                self.pulled = true;
                self.unplug();
                // Whoever asked may have stopped waiting.
                let _ = done.send(());
            }
            Command::Replug(done) => {
                self.pulled = false;
                let _ = done.send(self.replug());
            }
            Command::Garbage(bytes) => {
                if let Some(outlet) = self.outlet.as_mut() {
                    outlet.send(&[bytes]);
                }
            }
            Command::Silence(true) => self.speaker.begin(FaultKind::Mute, self.common.now_s()),
            Command::Silence(false) => self.speaker.end(FaultName::Mute, self.common.now_s()),
            Command::Mishear(line) => self.mishearing = line,
        }
    }

    fn replug(&mut self) -> Result<(), SimError> {
        if self.outlet.is_some() {
            return Ok(());
        }
        self.outlet = Some(self.place.open(self.speaker.spec().mount)?);
        self.speaker.restart(self.common.now_s());
        Ok(())
    }
}
