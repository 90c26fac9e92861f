//! A scenario on real wires, in real time or faster.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;
use std::sync::mpsc::{Sender, channel, sync_channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{Builder, JoinHandle};
use std::time::Instant;

use hubplumb_protocol::WireFormat;

use super::board_thread::{BoardThread, Command, Common, Tally};
use super::mishear::Mishearing;
use super::outlet::Places;
use super::speaker::Speaker;
use crate::car::{Car, CarState, Mount};
use crate::error::SimError;
use crate::motion::Script;
use crate::scenario::Scenario;
use crate::stance::{StringReading, TapeReader, TrammelReading};
use crate::truth::{PlateReader, RestWheelTruth, Truth};

/// One board as it can be reached.
#[derive(Debug, Clone, PartialEq)]
pub struct SimBoard {
    /// Where it is strapped.
    pub mount: Mount,
    /// The link to its port: `<folder>/<mount>`; not there where it is on a network.
    pub path: PathBuf,
    /// How the host reaches it, as the daemon's configuration writes it: the path, or
    /// `tcp:…`, `tcp-listen:…`, `udp:…`, `ble:…`.
    pub port: String,
    /// What it speaks.
    pub wire_format: WireFormat,
    /// Readings per second.
    pub rate_hz: f64,
    /// Has its chip a gyro?
    pub has_gyro: bool,
}

#[derive(Debug)]
struct Handle {
    mount: Mount,
    commands: Sender<Command>,
    tally: Arc<Tally>,
    thread: JoinHandle<()>,
}

/// A running simulation. Dropping it stops every board and takes the ports away.
#[derive(Debug)]
pub struct LiveSim {
    scenario: Scenario,
    common: Arc<Common>,
    plates: Mutex<PlateReader>,
    tape: Mutex<TapeReader>,
    boards: Vec<SimBoard>,
    handles: Vec<Handle>,
    #[cfg(feature = "bluetooth")]
    bluetooth: Option<super::bluetooth::Bluetooth>,
}

impl LiveSim {
    /// Starts all boards with the car at rest, straight ahead. One second of the simulation takes
    /// `1 / speed` seconds. The folder is made if need be.
    pub fn start(scenario: Scenario, folder: &Path, speed: f64) -> Result<Self, SimError> {
        Self::launch(scenario, folder, speed, false)
    }

    /// The same, and the scenario's script begins with the first reading; the times in
    /// [`Truth::rests`] hold then, and the readings are those of [`crate::render`].
    pub fn start_scripted(scenario: Scenario, folder: &Path, speed: f64) -> Result<Self, SimError> {
        Self::launch(scenario, folder, speed, true)
    }

    fn launch(
        scenario: Scenario,
        folder: &Path,
        speed: f64,
        scripted: bool,
    ) -> Result<Self, SimError> {
        if !(speed.is_finite() && speed > 0.0) {
            return Err(SimError::Speed { speed });
        }
        fs::create_dir_all(folder).map_err(|source| SimError::File {
            path: folder.to_owned(),
            source,
        })?;
        let mut timeline = scenario.timeline();
        if scripted {
            timeline.extend(scenario.script(), 0.0)?;
        }
        let mut places = Places::default();
        let mut plugged = Vec::new();
        for spec in scenario.boards() {
            let outlet = places.open(spec.mount, &spec.link, scenario.seed(), folder)?;
            plugged.push((spec.clone(), outlet));
        }
        let mut sim = Self {
            common: Arc::new(Common {
                timeline: Mutex::new(timeline),
                started: Instant::now(),
                speed,
            }),
            plates: Mutex::new(PlateReader::new(&scenario)),
            tape: Mutex::new(TapeReader::new(&scenario)),
            boards: Vec::new(),
            handles: Vec::new(),
            #[cfg(feature = "bluetooth")]
            bluetooth: places.bluetooth.take(),
            scenario,
        };
        for (spec, (place, outlet)) in plugged {
            let mount = spec.mount;
            sim.boards.push(SimBoard {
                mount,
                path: folder.join(mount.name()),
                port: place.port(),
                wire_format: spec.wire.clone(),
                rate_hz: spec.rate_hz,
                has_gyro: spec.chip.gyro.is_some(),
            });
            let tally = Arc::new(Tally::default());
            let (commands, obeyed) = channel();
            let board = BoardThread::new(
                Arc::clone(&sim.common),
                Arc::clone(&tally),
                Speaker::new(
                    &spec,
                    sim.scenario.boards(),
                    sim.scenario.faults(),
                    sim.scenario.seed(),
                ),
                sim.scenario.seed(),
                (place, outlet),
            );
            let thread = Builder::new()
                .name(format!("board {mount}"))
                .spawn(move || board.run(&obeyed))
                .map_err(|source| SimError::Thread { mount, source })?;
            sim.handles.push(Handle {
                mount,
                commands,
                tally,
                thread,
            });
        }
        Ok(sim)
    }

    /// The stand-in for the machine's Bluetooth, if a board is on it.
    #[cfg(feature = "bluetooth")]
    pub fn bluetooth(&self) -> Option<&super::bluetooth::Bluetooth> {
        self.bluetooth.as_ref()
    }

    /// The boards, in the order of the scenario.
    pub fn boards(&self) -> &[SimBoard] {
        &self.boards
    }

    /// What is simulated.
    pub fn scenario(&self) -> &Scenario {
        &self.scenario
    }

    /// What is true about the car and its boards: the angles as they are now, the rests as the
    /// scenario's own script would have them.
    pub fn truth(&self) -> Truth {
        let now_s = self.now_s();
        let told = self.scenario.truth();
        self.common
            .with_timeline(|timeline| told.at(timeline, now_s))
    }

    /// The car and its joints now.
    pub fn car(&self) -> (Arc<Car>, CarState) {
        let now_s = self.now_s();
        self.common
            .with_timeline(|timeline| (Arc::clone(timeline.car_at(now_s)), timeline.state(now_s)))
    }

    /// Somebody reads strings beside all four wheels now: `string_m` from the centreline, at rim
    /// edges `diameter_m` apart; every call reads anew.
    pub fn read_strings(&self, diameter_m: f64, string_m: f64) -> Vec<StringReading> {
        let (car, state) = self.car();
        self.with_tape(|tape| tape.strings(&car, &state, diameter_m, string_m))
    }

    /// Somebody holds a trammel across the front or the rear axle now; every call reads anew.
    pub fn read_trammel(&self, front_axle: bool, diameter_m: f64) -> TrammelReading {
        let (car, state) = self.car();
        self.with_tape(|tape| tape.trammel(&car, &state, front_axle, diameter_m))
    }

    fn with_tape<T>(&self, read: impl FnOnce(&mut TapeReader) -> T) -> T {
        read(&mut self.tape.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// Seed of the randomness.
    pub fn seed(&self) -> u64 {
        self.scenario.seed()
    }

    /// Time of the simulation, s since its start.
    pub fn now_s(&self) -> f64 {
        self.common.now_s()
    }

    /// Does a script now, or as soon as what is queued has ended; returns when it will have
    /// ended, in seconds of the simulation. Afterwards the car rests where it is.
    pub fn drive(&self, script: &Script) -> Result<f64, SimError> {
        self.common.with_timeline(|timeline| {
            // Taken under the lock: no board has sampled anything later than this.
            timeline.extend(script, self.common.now_s())?;
            Ok(timeline.end_s())
        })
    }

    /// Has every queued step ended?
    pub fn is_idle(&self) -> bool {
        let now_s = self.now_s();
        self.common
            .with_timeline(|timeline| timeline.end_s() <= now_s)
    }

    /// Joints of the car now.
    pub fn state(&self) -> CarState {
        let now_s = self.now_s();
        self.common.with_timeline(|timeline| timeline.state(now_s))
    }

    /// Somebody reads both turn plates now, with the scenario's reading error; every call reads anew.
    pub fn read_plates(&self) -> Vec<RestWheelTruth> {
        let (car, state) = self.car();
        self.plates
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .read(&car, &state)
    }

    /// Pulls a board's plug: its port and link are gone when this returns. The board is without
    /// power until [`LiveSim::replug`], and its clock then starts from zero.
    pub fn unplug(&self, mount: Mount) -> Result<(), SimError> {
        let (done, wait) = sync_channel(1);
        self.tell(mount, Command::Unplug(done))?;
        wait.recv().map_err(|_| SimError::NoBoard { mount })
    }

    /// Puts the plug in again: a new port under the same link is there when this returns.
    pub fn replug(&self, mount: Mount) -> Result<(), SimError> {
        let (done, wait) = sync_channel(1);
        self.tell(mount, Command::Replug(done))?;
        wait.recv().map_err(|_| SimError::NoBoard { mount })?
    }

    /// Sends bytes that no board would send, between two readings.
    pub fn garbage(&self, mount: Mount, bytes: &[u8]) -> Result<(), SimError> {
        self.tell(mount, Command::Garbage(bytes.to_vec()))
    }

    /// The board goes on measuring but says nothing, or speaks again.
    pub fn silence(&self, mount: Mount, silent: bool) -> Result<(), SimError> {
        self.tell(mount, Command::Silence(silent))
    }

    /// From now on the host hears the board at a wrong speed; `None` puts that right.
    pub fn mishear(&self, mount: Mount, line: Option<Mishearing>) -> Result<(), SimError> {
        self.tell(mount, Command::Mishear(line))
    }

    /// Is every board's port open at the other end?
    pub fn is_heard(&self) -> bool {
        self.handles
            .iter()
            .all(|handle| handle.tally.heard.load(Ordering::Relaxed))
    }

    /// Is one board's port open at the other end? Known as of the board's last reading.
    pub fn is_heard_on(&self, mount: Mount) -> Result<bool, SimError> {
        Ok(self.handle(mount)?.tally.heard.load(Ordering::Relaxed))
    }

    /// Bytes sent to somebody who had the port open, and bytes lost because they did
    /// not read or because the link loses some.
    pub fn bytes(&self, mount: Mount) -> Result<(u64, u64), SimError> {
        let tally = &self.handle(mount)?.tally;
        Ok((
            tally.sent.load(Ordering::Relaxed),
            tally.lost.load(Ordering::Relaxed),
        ))
    }

    fn tell(&self, mount: Mount, command: Command) -> Result<(), SimError> {
        self.handle(mount)?
            .commands
            .send(command)
            .map_err(|_| SimError::NoBoard { mount })
    }

    fn handle(&self, mount: Mount) -> Result<&Handle, SimError> {
        self.handles
            .iter()
            .find(|handle| handle.mount == mount)
            .ok_or(SimError::NoBoard { mount })
    }
}

impl Drop for LiveSim {
    fn drop(&mut self) {
        for handle in self.handles.drain(..) {
            // Without its sender the thread ends at its next wait, a sample period at most.
            drop(handle.commands);
            // A thread that panicked has already dropped its port.
            let _ = handle.thread.join();
        }
    }
}
