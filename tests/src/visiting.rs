//! A whole visit: the car that is wrong, the daemon that listens, and the hands of the person who
//! measures, adjusts and measures again.

use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::motion::Rocked;
use hubplumb_sim::{
    LiveSim, Mount, Scenario, Script, Step, StringReading, TrammelReading, Truth, Wheel,
};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::Daemon;
use crate::garage::{Told, board_toml, sits_square, told_all};
use crate::running::write_config;

/// Rim diameter a tape is read at, m.
pub const RIM_M: f64 = 0.35;
/// String from the centreline, m.
const STRING_M: f64 = 0.75;
/// Longest time that the daemon may take to see something, s of the simulation.
const PATIENCE_S: f64 = 40.0;
/// How long hands take for one thing, s.
const HANDS_S: f64 = 2.0;
/// The stops of a swing: mean steer angle, degrees, and time to get there, s.
const STOPS: [(f64, f64); 3] = [(19.0, 2.0), (-20.0, 4.0), (0.0, 2.0)];

/// The car, its boards, the daemon, and somebody's hands.
pub struct Visiting {
    /// The car.
    pub sim: LiveSim,
    /// The daemon.
    pub daemon: Daemon,
    speed: f64,
    folder: TempDir,
}

/// What the daemon is told when it starts.
#[derive(Debug, Clone, Copy)]
pub struct Opening<'a> {
    /// Seconds of the simulation per second.
    pub speed: f64,
    /// Is the floor told as it is? Else it is taken for level to within a degree or so.
    pub floor_told: bool,
    /// Is it told that the boards sit square on their hubs?
    pub seats_told: bool,
    /// Further lines of configuration, whole tables.
    pub further: &'a str,
    /// Further arguments of the daemon.
    pub arguments: &'a [&'a str],
}

impl Opening<'_> {
    /// Everything that a careful person knows beforehand.
    pub const fn at_speed(speed: f64) -> Self {
        Self {
            speed,
            floor_told: true,
            seats_told: true,
            further: "",
            arguments: &[],
        }
    }
}

/// One sigma of a floor that nobody looked at, degrees.
const ANY_FLOOR_DEG: f64 = 0.5;

/// The configuration: nobody knows the toe yet.
fn config(sim: &LiveSim, opening: &Opening<'_>) -> String {
    let floor = sim.truth().floor;
    let (roll_deg, pitch_deg, standard_deg) = if opening.floor_told {
        (floor.roll_deg, floor.pitch_deg, 0.02)
    } else {
        (0.0, 0.0, ANY_FLOOR_DEG)
    };
    let sits: Told<'_> = if opening.seats_told {
        &sits_square
    } else {
        &|_| String::new()
    };
    let boards = sim
        .boards()
        .iter()
        .map(|board| board_toml(board, &told_all, sits));
    format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n\
         [floor]\nroll_deg = {roll_deg}\npitch_deg = {pitch_deg}\nstandard_deg = {standard_deg}\n\
         [swing]\nhold_s = 3\n\
         [swing.toe]\nfront_left_deg = 0\nfront_right_deg = 0\nstandard_deg = 0.2\n\
         {}\n{}",
        opening.further,
        boards.collect::<String>(),
    )
}

impl Visiting {
    /// The shipped car with the bent knuckle; the seed is told.
    ///
    /// # Panics
    /// When car or daemon do not come up.
    #[track_caller]
    pub fn begin(speed: f64) -> Self {
        let scenario = Scenario::shipped("bent-knuckle").expect("a shipped scenario");
        Self::with(scenario, speed, "", &[])
    }

    /// Any car, with further lines of configuration (whole tables) and arguments of the daemon.
    ///
    /// # Panics
    /// When car or daemon do not come up.
    #[track_caller]
    pub fn with(scenario: Scenario, speed: f64, further: &str, arguments: &[&str]) -> Self {
        let opening = Opening {
            further,
            arguments,
            ..Opening::at_speed(speed)
        };
        Self::open(scenario, &opening)
    }

    /// Any car, and a daemon that is told so much.
    ///
    /// # Panics
    /// When car or daemon do not come up.
    #[track_caller]
    pub fn open(scenario: Scenario, opening: &Opening<'_>) -> Self {
        println!("scenario {}, seed {}", scenario.name(), scenario.seed());
        let speed = opening.speed;
        let folder = tempfile::tempdir().expect("a folder");
        let sim = LiveSim::start(scenario, &folder.path().join("ports"), speed).expect("the car");
        let path = write_config(folder.path(), &config(&sim, opening));
        let (path, factor) = (path.to_string_lossy(), speed.to_string());
        let usual = ["run", "--config", &*path, "--speed", &factor];
        let daemon = Daemon::start(&[&usual, opening.arguments].concat());
        let visiting = Self {
            sim,
            daemon,
            speed,
            folder,
        };
        let is_live = |state: &Value| {
            let boards = state["boards"].as_array().expect("boards");
            boards.iter().all(|board| board["state"] == "live")
        };
        visiting
            .daemon
            .wait("all boards live", Duration::from_secs(20), is_live);
        visiting
    }

    /// Where its files are.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// What is true now.
    pub fn truth(&self) -> Truth {
        self.sim.truth()
    }

    /// True angles of one wheel now: camber and toe, degrees.
    ///
    /// # Panics
    /// When the truth lacks the wheel.
    pub fn camber_toe_deg(&self, wheel: Wheel) -> (f64, f64) {
        let truth = self.truth();
        let wheel = truth.wheel(wheel).expect("a wheel");
        (wheel.camber_deg, wheel.toe_deg)
    }

    /// Seconds of the simulation in real time, with patience for a busy machine.
    pub fn real(&self, seconds: f64) -> Duration {
        Duration::from_secs_f64(seconds / self.speed) + Duration::from_secs(5)
    }

    /// Does these steps and comes back when they are done.
    ///
    /// # Panics
    /// When one cannot be done, or does not end.
    #[track_caller]
    pub fn act(&self, steps: Vec<Step>) {
        self.follow(&Script::new(steps));
    }

    /// The same with a script.
    ///
    /// # Panics
    /// When it cannot be done, or does not end.
    #[track_caller]
    pub fn follow(&self, script: &Script) {
        let ends_s = self.sim.drive(script).expect("steps that can be done");
        let at_most = self.real((ends_s - self.sim.now_s()).max(0.0));
        let began = Instant::now();
        while self.sim.now_s() < ends_s {
            assert!(began.elapsed() < at_most, "the hands do not come to an end");
            thread::sleep(Duration::from_millis(2));
        }
    }

    /// Rests so long, s.
    #[track_caller]
    pub fn rest(&self, for_s: f64) {
        self.act(Script::rest(for_s).steps);
    }

    /// Turns an adjuster, or adds to its shims, in the unit of the scenario's guide.
    #[track_caller]
    pub fn adjust(&self, wheel: Wheel, adjuster: &str, by: f64) {
        self.act(vec![Step::Adjust {
            wheel,
            adjuster: adjuster.to_owned(),
            by,
            clock_deg: None,
            over_s: HANDS_S,
        }]);
    }

    /// Turns a front tie rod; + is longer.
    #[track_caller]
    pub fn turn_tie_rod(&self, wheel: Wheel, turns: f64) {
        self.adjust(wheel, "tie_rod", turns);
    }

    /// Turns a rear toe eccentric, degrees; + is toe-in.
    #[track_caller]
    pub fn turn_eccentric(&self, wheel: Wheel, by_deg: f64) {
        self.adjust(wheel, "toe_eccentric", by_deg);
    }

    /// Adds shims under the front and the rear bolt of a front upper arm, mm.
    #[track_caller]
    pub fn add_shims(&self, wheel: Wheel, front_mm: f64, rear_mm: f64) {
        self.adjust(wheel, "front_shim", front_mm);
        self.adjust(wheel, "rear_shim", rear_mm);
    }

    /// Replaces what is damaged at a wheel.
    #[track_caller]
    pub fn replace_damaged(&self, wheel: Wheel) {
        let over_s = HANDS_S;
        self.act(vec![Step::Mend { wheel, over_s }]);
    }

    /// Bounces the car, front and rear.
    #[track_caller]
    pub fn bounce(&self) {
        self.act(vec![Step::Bounce { over_s: HANDS_S }]);
    }

    /// Brings corners to a ride height over that of the car as made, mm.
    #[track_caller]
    pub fn set_height(&self, wheels: &[Wheel], to_mm: f64) {
        self.act(vec![Step::SetHeight {
            wheels: wheels.into(),
            to_mm,
            over_s: HANDS_S,
        }]);
    }

    /// Jacks a wheel up, rocks it and lets it down again.
    #[track_caller]
    pub fn rock(&self, wheel: Wheel, about: Rocked, cycles: u32) {
        let jack = |up| Step::Jack {
            wheel,
            up,
            over_s: HANDS_S,
        };
        let rock = Step::Rock {
            wheel,
            about,
            cycles,
            hold_s: 1.5,
            over_s: 0.5,
        };
        self.act(vec![jack(true), rock, jack(false)]);
    }

    /// Turns the steering wheel to both locks and back, resting at each; tells what it shows at the
    /// left and at the right one, degrees.
    ///
    /// # Panics
    /// When the car has no locks.
    #[track_caller]
    pub fn lock_to_lock(&self) -> [f64; 2] {
        let (car, _) = self.sim.car();
        let [left, right] = car.workshop.gear.locks_rad.expect("a car with locks");
        self.act(vec![Step::LockToLock {
            rest_s: 4.0,
            over_s: 3.0,
        }]);
        [left, -right].map(|lock| car.steering_wheel_rad(lock).to_degrees())
    }

    /// Holds a board on the straight bar across a rim, as it is or turned end for end.
    #[track_caller]
    pub fn hold_bar(&self, mount: Mount, wheel: Wheel, reversed: bool) {
        self.act(vec![Step::HoldBar {
            mount,
            wheel,
            reversed,
            over_s: HANDS_S,
        }]);
    }

    /// Straps a board to its own hub again.
    #[track_caller]
    pub fn strap(&self, mount: Mount) {
        let over_s = HANDS_S;
        self.act(vec![Step::StrapBoard { mount, over_s }]);
    }

    /// Reads a tape at the front and rear edge of every rim, from strings beside the car.
    pub fn string_box_readings(&self) -> Vec<StringReading> {
        self.sim.read_strings(RIM_M, STRING_M)
    }

    /// Reads a trammel across the front or the rear axle.
    pub fn trammel(&self, front_axle: bool) -> TrammelReading {
        self.sim.read_trammel(front_axle, RIM_M)
    }

    /// Does a swing as the daemon asks for it, and returns the state when it is over.
    ///
    /// # Panics
    /// When it does not start, or does not go on.
    #[track_caller]
    pub fn swing(&self) -> Value {
        let body = json!({ "steer_source": "gyro" });
        let (status, answer) = self.daemon.post("/api/v1/swing", &body);
        assert_eq!(status, 202, "{answer:#}");
        let is_over = |state: &Value| {
            ["done", "refused"]
                .iter()
                .any(|phase| state["swing"]["phase"] == **phase)
        };
        let is_ready = |state: &Value| {
            let phase = &state["swing"]["phase"];
            phase == "await_turn" || phase == "stop_taken"
        };
        let patience = self.real(PATIENCE_S);
        // The state may still be that of the swing before.
        self.daemon
            .wait("the swing has begun", patience, |state| !is_over(state));
        for (to_deg, over_s) in STOPS {
            let wanted = |state: &Value| is_ready(state) || is_over(state);
            let state = self.daemon.wait("a stop is taken", patience, wanted);
            if is_over(&state) {
                return state;
            }
            self.act(vec![Step::SteerTo {
                to_deg,
                over_s,
                slip: None,
            }]);
            // The next stop must not be taken for the one that was just left.
            self.daemon
                .wait("the turn is seen", patience, |state| !is_ready(state));
        }
        self.daemon.wait("the swing is over", patience, is_over)
    }
}
