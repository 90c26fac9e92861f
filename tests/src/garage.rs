//! A simulated car on real wires with the daemon listening to it.

use std::path::Path;
use std::time::Duration;

use hubplumb_sim::wire::bluetooth::Bluetooth;
use hubplumb_sim::{LiveSim, Mount, Scenario, Script, SimBoard, Wheel};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::Daemon;
use crate::running::write_config;

/// Longest time from the end of a script to the end of the swing that sees it.
const AFTERWARDS: Duration = Duration::from_secs(10);

/// The car, its boards and the daemon.
pub struct Garage {
    /// The car.
    pub sim: LiveSim,
    /// The daemon.
    pub daemon: Daemon,
    folder: TempDir,
    /// How the daemon was started.
    arguments: Vec<String>,
}

/// How a test tells the daemon of one board; lines of TOML under its `[[board]]`.
pub type Told<'a> = &'a dyn Fn(&SimBoard) -> String;

/// Speed and format as they are.
pub fn told_all(board: &SimBoard) -> String {
    format!("baud = 115200\nformat = \"{}\"\n", board.wire_format.name())
}

/// A board that sits square on its hub, x forward and z outboard, to within a little.
pub fn sits_square(board: &SimBoard) -> String {
    let up = match board.mount {
        Mount::FrontLeft | Mount::RearLeft => "-y",
        Mount::FrontRight | Mount::RearRight => "+y",
        // How a board sits on the body is found, or said later.
        Mount::Body => return String::new(),
    };
    format!(
        "mounting = {{ outboard = \"+z\", up = \"{up}\", camber_standard_deg = 0.02, \
         pitch_standard_deg = 0.02, heading_standard_deg = 0.1 }}\n"
    )
}

/// What a test says of the boards and of the swing.
pub struct Sitting<'a> {
    /// How each board talks.
    pub told: Told<'a>,
    /// How each board sits.
    pub sits: Told<'a>,
    /// Further lines of TOML under `[swing]`.
    pub swing: &'a str,
    /// Is every swing recorded into the folder `swings` beside the other files?
    pub record: bool,
    /// Is a journal kept in the folder `journals` beside the other files?
    pub journal: bool,
}

impl<'a> Sitting<'a> {
    /// Boards that sit square, nothing recorded.
    pub fn square(told: Told<'a>) -> Self {
        Self {
            told,
            sits: &sits_square,
            swing: "",
            record: false,
            journal: false,
        }
    }
}

/// A board in the configuration.
pub(crate) fn board_toml(board: &SimBoard, told: Told<'_>, sits: Told<'_>) -> String {
    let chip = if board.has_gyro {
        "good"
    } else {
        "inclinometer"
    };
    format!(
        "[[board]]\nport = \"{}\"\nmount = \"{}\"\nchip = \"{chip}\"\n{}{}\
         calibration = {{ accel_offset_g = [0, 0, 0], gyro_offset_dps = [0, 0, 0] }}\n",
        board.port,
        board.mount,
        told(board),
        sits(board),
    )
}

/// The configuration for a scenario.
fn config(sim: &LiveSim, sitting: &Sitting<'_>) -> String {
    let truth = sim.truth();
    let toe = |wheel| truth.wheel(wheel).map_or(0.0, |wheel| wheel.toe_deg);
    let mut text = format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n\
         [floor]\nroll_deg = {}\npitch_deg = {}\nstandard_deg = 0.02\n\
         [swing]\nhold_s = 3\nplate_standard_deg = 0.25\n{}\
         [swing.toe]\nfront_left_deg = {}\nfront_right_deg = {}\nstandard_deg = 0.03\n",
        truth.floor.roll_deg,
        truth.floor.pitch_deg,
        if sitting.swing.is_empty() {
            // The simulated body is as stiff as its scenario says.
            "body_roll_standard_deg = 0\nbody_pitch_standard_deg = 0\n"
        } else {
            sitting.swing
        },
        toe(Wheel::FrontLeft),
        toe(Wheel::FrontRight),
    );
    for board in sim.boards() {
        text.push_str(&board_toml(board, sitting.told, sitting.sits));
    }
    text
}

impl Garage {
    /// A scenario that comes with the simulator, and the seed told.
    ///
    /// # Panics
    /// When there is none of that name.
    pub fn shipped(name: &str, seed: Option<u64>) -> Self {
        let scenario = Scenario::shipped(name).expect("a shipped scenario");
        let seed = seed.unwrap_or(scenario.seed());
        Self::open(scenario.with_seed(seed), &told_all)
    }

    /// Starts car and daemon and waits until every board is live.
    ///
    /// # Panics
    /// When one of them does not come up.
    #[track_caller]
    pub fn open(scenario: Scenario, told: Told<'_>) -> Self {
        Self::open_sitting(scenario, &Sitting::square(told))
    }

    /// The same, and every swing is recorded.
    ///
    /// # Panics
    /// When one of them does not come up.
    #[track_caller]
    pub fn recorded(scenario: Scenario, told: Told<'_>) -> Self {
        let sitting = Sitting {
            record: true,
            ..Sitting::square(told)
        };
        Self::open_sitting(scenario, &sitting)
    }

    /// The same with boards that sit otherwise.
    ///
    /// # Panics
    /// When one of them does not come up.
    #[track_caller]
    pub fn open_sitting(scenario: Scenario, sitting: &Sitting<'_>) -> Self {
        println!("scenario {}, seed {}", scenario.name(), scenario.seed());
        let folder = tempfile::tempdir().expect("a folder");
        let sim = LiveSim::start(scenario, &folder.path().join("ports"), 1.0).expect("the car");
        let path = write_config(folder.path(), &config(&sim, sitting));
        let path = path.to_string_lossy();
        let swings = folder.path().join("swings");
        let swings = swings.to_string_lossy();
        let journals = folder.path().join("journals");
        let journals = journals.to_string_lossy();
        let mut arguments = vec!["run", "--config", &*path];
        if sitting.record {
            arguments.extend(["--record", &*swings]);
        }
        if sitting.journal {
            arguments.extend(["--journal", &*journals]);
        }
        let bus = sim.bluetooth().map(Bluetooth::bus_address);
        let daemon = Daemon::start_on_bus(&arguments, bus.as_deref());
        let arguments = arguments.into_iter().map(str::to_owned).collect();
        let garage = Self {
            sim,
            daemon,
            folder,
            arguments,
        };
        garage.wait_all("live", Duration::from_secs(15));
        garage
    }

    /// Kills the daemon and starts it anew beside the same car, until every board is live again.
    ///
    /// # Panics
    /// When it does not come up.
    #[track_caller]
    pub fn kill_and_start(&mut self) {
        let arguments: Vec<&str> = self.arguments.iter().map(String::as_str).collect();
        self.daemon.kill_and_start(&arguments, &[]);
        self.wait_all("live", Duration::from_secs(15));
    }

    /// Where its files are.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// Waits until every board is in a state.
    ///
    /// # Panics
    /// When they are not in time.
    #[track_caller]
    pub fn wait_all(&self, state: &str, at_most: Duration) -> Value {
        self.daemon
            .wait(&format!("all boards {state}"), at_most, |now| {
                let boards = now["boards"].as_array().expect("boards");
                boards.iter().all(|board| board["state"] == state)
            })
    }

    /// Starts a swing, steers as the script says, and returns the state when it is over.
    ///
    /// # Panics
    /// When it does not start or does not end.
    #[track_caller]
    pub fn swing(&self, steer_source: &str, script: &Script) -> Value {
        let body = json!({ "steer_source": steer_source });
        let (status, answer) = self.daemon.post("/api/v1/swing", &body);
        assert_eq!(status, 202, "{answer:#}");
        let ends_s = self.sim.drive(script).expect("a script that can be driven");
        let lasts = Duration::from_secs_f64((ends_s - self.sim.now_s()).max(0.0));
        self.daemon
            .wait("the swing is over", lasts + AFTERWARDS, |state| {
                ["done", "refused", "await_plates"]
                    .iter()
                    .any(|phase| state["swing"]["phase"] == **phase)
            })
    }

    /// The script of the scenario itself.
    pub fn script(&self) -> Script {
        self.sim.scenario().script().clone()
    }
}

/// The board on a mount, in a state.
///
/// # Panics
/// When there is none.
#[track_caller]
pub fn board<'a>(state: &'a Value, mount: &str) -> &'a Value {
    let boards = state["boards"].as_array().expect("boards");
    boards
        .iter()
        .find(|board| board["mount"] == mount)
        .expect("a board there")
}
