//! Some minutes of one car: its boards with their faults, and the service that reads them, in time
//! that is made and not waited for.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use hubplumb::board::{Board, BoardKeeper, Inlets, Intake, Kept};
use hubplumb::calibration_store::CalibrationStore;
use hubplumb::clock::DaemonClock;
use hubplumb::config::{Config, parse};
use hubplumb::journal::Journal;
use hubplumb::levelling::{LevelBoards, LevelTask};
use hubplumb::link::{LinkSettings, Target, Timing, Ways, run};
use hubplumb::swing::{SwingHandle, SwingTask, SwingWheels};
use hubplumb_core::swing::SteerSource;
use hubplumb_core::time::HostTime;
use hubplumb_protocol::WireFormat;
use hubplumb_sim::Script;
use hubplumb_sim::motion::Timeline;
use hubplumb_sim::{
    Fault, FaultDraw, FaultKind, FaultName, FaultPlan, LinkKind, LinkSpec, Mount, Scenario,
    Speaker, Step,
};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use tokio::sync::watch;
use tokio::time::{Instant, sleep_until};
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use crate::ear::Ear;
use crate::judge::{Judge, Verdict};
use crate::line::{Joined, Plug};

/// Length of a shift, s of the simulation.
pub(crate) const SHIFT_S: f64 = 600.0;
/// How often boards send and the service is looked at.
const BEAT: Duration = Duration::from_millis(10);
const BEATS_PER_LOOK: u64 = 10;

/// Formats that are tried: with a clock of the board, with running numbers, with neither; with a
/// check sum, and without.
const FORMATS: [&str; 6] = ["csv", "json-lines", "mavlink", "xbus", "rvc", "ahrs55"];
const MOUNTS: [Mount; 2] = [Mount::FrontLeft, Mount::FrontRight];

/// What a seed makes of a shift.
#[derive(Debug, Clone)]
pub(crate) struct Shift {
    pub(crate) seed: u64,
    pub(crate) format: &'static str,
    pub(crate) joined: Joined,
    pub(crate) scenario: Scenario,
}

impl Shift {
    /// Everything of it comes from the seed; with `only`, no other kind of fault.
    pub(crate) fn of(seed: u64, only: Option<FaultName>) -> Self {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let format = FORMATS[rng.random_range(0..FORMATS.len())];
        let joined = Joined::ALL[rng.random_range(0..Joined::ALL.len())];
        let every_s = [6.0, 15.0, 40.0][rng.random_range(0..3_usize)];
        let mut scenario = Scenario::shipped("garage-good").expect("it is shipped");
        let wire = WireFormat::from_name(format, None).expect("a format");
        for mount in MOUNTS {
            scenario = scenario.with_wire(mount, &wire, LinkSpec::of(LinkKind::Pty));
        }
        let draw = FaultDraw {
            every_s,
            kinds: only.map_or_else(|| FaultName::ALL.to_vec(), |only| vec![only]),
            ..FaultDraw::of_all(MOUNTS.to_vec(), SHIFT_S - 20.0)
        };
        let plan = FaultPlan::drawn(seed, &draw);
        Self {
            seed,
            format,
            joined,
            scenario: scenario.with_seed(seed).with_faults(plan),
        }
    }

    /// Nothing but two boards on the wrong sides, all the time.
    pub(crate) fn swapped(seed: u64) -> Self {
        let scenario = Scenario::shipped("garage-good").expect("it is shipped");
        let swapped = Fault {
            mount: Mount::FrontLeft,
            kind: FaultKind::Swapped {
                with: Mount::FrontRight,
            },
            from_s: 0.0,
            to_s: SHIFT_S,
        };
        Self {
            seed,
            format: "csv",
            joined: Joined::Serial,
            scenario: scenario
                .with_seed(seed)
                .with_faults(FaultPlan::new(vec![swapped])),
        }
    }

    /// Can two boards on one line be told apart? By their clocks or numbers.
    pub(crate) fn tells_twins(&self) -> bool {
        !matches!(self.format, "ahrs55")
    }

    /// One at each line.
    fn ears(&self) -> [Ear; 2] {
        let wire = WireFormat::from_name(self.format, None).expect("a format");
        MOUNTS.map(|_| Ear::new(&wire, self.joined.packing()))
    }

    /// Does nothing but the accelerometer tell how the board turns, in digits coarser than its noise?
    pub(crate) fn has_no_gyro(&self) -> bool {
        self.format == "rvc"
    }

    /// How long its numbers take to come round, s, where they are all there is of time.
    pub(crate) fn round_s(&self) -> Option<f64> {
        // Eight bits at 100 readings a second.
        (self.format == "rvc").then_some(2.56)
    }

    /// Plays it and says what was seen.
    pub(crate) fn play(&self) -> Verdict {
        let runtime = tokio::runtime::Builder::new_current_thread()
            .enable_time()
            .start_paused(true)
            .build()
            .expect("a runtime");
        runtime.block_on(self.played())
    }

    async fn played(&self) -> Verdict {
        let clock = DaemonClock::starting_now();
        let began = Instant::now();
        let stop = CancellationToken::new();
        let service = Service::start(self, clock, &stop);
        let mut timeline = self.scenario.timeline();
        let mut speakers: Vec<Speaker> = MOUNTS
            .iter()
            .map(|mount| Speaker::of(&self.scenario, *mount).expect("a board"))
            .collect();
        let mut hands = Hands::new(self.seed);
        let mut judge = Judge::new(self);
        let mut ears = self.ears();
        let beats = (SHIFT_S / BEAT.as_secs_f64()) as u64;
        for beat in 1..=beats {
            let now_s = beat as f64 * BEAT.as_secs_f64();
            hands.work(&mut timeline, &service.swing, now_s).await;
            for ((speaker, plug), ear) in speakers.iter_mut().zip(&service.plugs).zip(&mut ears) {
                speak(speaker, plug, ear, &timeline, now_s, beat);
            }
            sleep_until(began + Duration::from_secs_f64(now_s)).await;
            if beat.is_multiple_of(BEATS_PER_LOOK) {
                let now = clock.now();
                judge.look(&service.boards, &ears, &timeline, now_s, now);
                judge.swing(&service.swing.watch().borrow(), &hands);
            }
        }
        stop.cancel();
        service.tasks.close();
        service.tasks.wait().await;
        judge.verdict()
    }
}

fn speak(
    speaker: &mut Speaker,
    plug: &Plug,
    ear: &mut Ear,
    timeline: &Timeline,
    now_s: f64,
    beat: u64,
) {
    let unplugged = speaker.is_unplugged(now_s);
    plug.plug(!unplugged);
    let mut said = Vec::new();
    // Whoever opens the port resets the board; it repeats its header every second besides.
    if plug.was_opened() || beat.is_multiple_of(100) {
        said.push(speaker.preamble());
    }
    said.extend(speaker.says(timeline, now_s));
    let carried = speaker.carries(said, now_s);
    if !unplugged {
        ear.hears(&carried.pieces, now_s);
        plug.send(carried.pieces);
    }
}

/// The service without its page.
struct Service {
    boards: Vec<Arc<Board>>,
    plugs: Vec<Plug>,
    swing: SwingHandle,
    tasks: TaskTracker,
    _home: tempfile::TempDir,
    /// Tasks end when nobody can wish any more.
    _kept: (
        watch::Sender<Vec<Arc<Board>>>,
        hubplumb::levelling::LevelHandle,
    ),
}

impl Service {
    fn start(shift: &Shift, clock: DaemonClock, stop: &CancellationToken) -> Self {
        let config = config(&shift.scenario);
        let home = tempfile::tempdir().expect("a folder");
        let tasks = TaskTracker::new();
        let inlets = Inlets::default();
        let mut boards = Vec::new();
        let mut plugs = Vec::new();
        for (number, told) in config.boards.iter().enumerate() {
            let board = Arc::new(Board::new(number, told, config.floor));
            let plug = Plug::new(&told.id, shift.joined);
            let kept = Kept {
                store: CalibrationStore::at(home.path()),
                target: "udp:127.0.0.1:9".parse::<Target>().expect("a target"),
                ways: Ways::system(),
            };
            let intake = Intake::new(board.clone(), inlets.clone(), None);
            let keeper = BoardKeeper::new(intake, clock, Journal::off(), kept);
            let settings = LinkSettings {
                baud: Some(115_200),
                format: told.format.clone(),
                timing: Timing::default(),
            };
            tasks.spawn(run(plug.clone(), settings, keeper, stop.clone()));
            boards.push(board);
            plugs.push(plug);
        }
        let (publish, seen) = watch::channel(boards.clone());
        let given = LevelBoards {
            boards: seen.clone(),
            floor: config.floor,
            config: config.swing,
            clock,
            journal: Journal::off(),
        };
        let (levelling, level) = LevelTask::new(given, inlets.level.clone());
        let given = SwingWheels {
            boards: seen,
            config: config.swing,
            level: level.watch(),
        };
        let (swinging, swing) = SwingTask::new(given, inlets.swing.clone(), Journal::off());
        tasks.spawn(levelling.run(stop.clone()));
        tasks.spawn(swinging.run(stop.clone()));
        Self {
            boards,
            plugs,
            swing,
            tasks,
            _home: home,
            _kept: (publish, level),
        }
    }
}

/// What a careful person writes down of the car.
fn config(scenario: &Scenario) -> Config {
    let truth = scenario.truth();
    let toe = |place: usize| truth.wheels[place].toe_deg;
    let mut text = format!(
        "[floor]\nroll_deg = 0\npitch_deg = 0\nstandard_deg = 0.02\n[swing]\nhold_s = 3\n\
         body_roll_standard_deg = 0\nbody_pitch_standard_deg = 0\n[swing.toe]\n\
         front_left_deg = {}\nfront_right_deg = {}\nstandard_deg = 0.03\n",
        toe(0),
        toe(1),
    );
    for board in scenario.boards() {
        let up = if board.mount == Mount::FrontLeft {
            "-y"
        } else {
            "+y"
        };
        write!(
            text,
            "[[board]]\nport = \"/made/of/{mount}\"\nmount = \"{mount}\"\nchip = \"good\"\nbaud = 115200\n\
             format = \"{format}\"\n\
             calibration = {{ accel_offset_g = [0, 0, 0], gyro_offset_dps = [0, 0, 0] }}\n\
             mounting = {{ outboard = \"+z\", up = \"{up}\", camber_standard_deg = 0.02, \
             pitch_standard_deg = 0.02, heading_standard_deg = 0.1 }}\n",
            mount = board.mount,
            format = board.wire.name(),
        )
        .expect("a string takes text");
    }
    parse(&text, Path::new("shift.toml")).expect("a sound configuration")
}

/// Somebody who does one swing after the other, whatever the boards do.
pub(crate) struct Hands {
    rng: ChaCha8Rng,
    next_s: f64,
    gives_up_s: f64,
    /// When the present swing began, s.
    pub(crate) began_s: f64,
}

impl Hands {
    fn new(seed: u64) -> Self {
        Self {
            rng: ChaCha8Rng::seed_from_u64(seed ^ 0x4841_4e44),
            next_s: 4.0,
            gives_up_s: f64::INFINITY,
            began_s: 0.0,
        }
    }

    async fn work(&mut self, timeline: &mut Timeline, swing: &SwingHandle, now_s: f64) {
        if now_s >= self.gives_up_s {
            // It may be over: then there is nothing to give up.
            let _ = swing.cancel().await;
            self.gives_up_s = f64::INFINITY;
        }
        if now_s < self.next_s {
            return;
        }
        let steps = self.steps();
        timeline
            .extend(&Script::new(steps), now_s)
            .expect("steps that can be done");
        self.next_s = timeline.end_s() + self.rng.random_range(3.0..12.0);
        // Refused where no board talks: then there is no swing.
        if swing.start(SteerSource::Gyro).await.is_ok() {
            self.began_s = now_s;
            self.gives_up_s = timeline.end_s() + 2.0;
        }
    }

    fn steps(&mut self) -> Vec<Step> {
        let rest = |for_s| Step::Rest { for_s, label: None };
        let steer = |to_deg, over_s| Step::SteerTo {
            to_deg,
            over_s,
            slip: None,
        };
        let left = self.rng.random_range(15.0..22.0);
        let right = self.rng.random_range(15.0..22.0);
        let pace = self.rng.random_range(0.7..1.5);
        vec![
            rest(5.5),
            steer(left, 2.0 * pace),
            rest(4.5),
            steer(-right, 4.0 * pace),
            rest(4.5),
            steer(0.0, 2.0 * pace),
            rest(5.5),
        ]
    }
}

/// Seconds of the daemon's time.
pub(crate) fn seconds(at: HostTime) -> f64 {
    at.us() as f64 * 1e-6
}
