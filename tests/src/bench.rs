//! Simulated boards on a bench, with the daemon listening to them, both faster than life.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::time::Duration;

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step};
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::Daemon;

/// How much faster than life.
pub const SPEED: f64 = 8.0;
const SOON: Duration = Duration::from_secs(15);
/// A hand carries a board over in this time, s of the simulation.
const OVER_S: f64 = 1.5;

/// The boards, the daemon and the folder of calibrations.
pub struct Bench {
    /// The boards, and hands to lay them.
    pub sim: LiveSim,
    /// The daemon.
    pub daemon: Daemon,
    folder: TempDir,
}

impl Bench {
    /// Starts boards and daemon; `prepare` may put files into the store before.
    ///
    /// # Panics
    /// When one of them does not come up.
    #[track_caller]
    pub fn open(seed: u64, prepare: impl FnOnce(&LiveSim, &Path)) -> Self {
        println!("scenario bench, seed {seed}");
        let folder = tempfile::tempdir().expect("a folder");
        let scenario = Scenario::shipped("bench").expect("shipped");
        let ports = folder.path().join("ports");
        let sim = LiveSim::start(scenario.with_seed(seed), &ports, SPEED).expect("boards");
        let store = folder.path().join("store");
        std::fs::create_dir_all(&store).expect("a folder");
        prepare(&sim, &store);
        let daemon = start(&sim, folder.path());
        let bench = Self {
            sim,
            daemon,
            folder,
        };
        bench.wait_live();
        bench
    }

    /// Ends the daemon and starts it again.
    ///
    /// # Panics
    /// When it does not come up.
    #[must_use]
    #[track_caller]
    pub fn restart(self) -> Self {
        let Self {
            sim,
            daemon,
            folder,
        } = self;
        drop(daemon);
        let daemon = start(&sim, folder.path());
        let bench = Self {
            sim,
            daemon,
            folder,
        };
        bench.wait_live();
        bench
    }

    #[track_caller]
    fn wait_live(&self) {
        self.daemon.wait("both boards live", SOON, |state| {
            let boards = state["boards"].as_array().expect("boards");
            boards
                .iter()
                .all(|board| board["state"] == "live" && !board["temperature_c"].is_null())
        });
    }

    /// Identity of a board.
    ///
    /// # Panics
    /// When there is no such board.
    pub fn id(&self, mount: Mount) -> String {
        id(&self.sim, mount)
    }

    /// The file that holds a board's calibration.
    pub fn file(&self, mount: Mount) -> PathBuf {
        file(&self.folder.path().join("store"), &self.id(mount))
    }

    /// Asks something about the calibration of a board.
    ///
    /// # Panics
    /// When there is no answer.
    #[track_caller]
    pub fn ask(&self, what: &str, mount: Mount, more: &Value) -> (u16, Value) {
        let mut body = json!({ "board": self.id(mount) });
        for (key, value) in more.as_object().into_iter().flatten() {
            body[key] = value.clone();
        }
        self.daemon
            .post(&format!("/api/v1/calibration/{what}"), &body)
    }

    /// The same, where it must be granted.
    ///
    /// # Panics
    /// When it is not.
    #[track_caller]
    pub fn granted(&self, what: &str, mount: Mount, more: &Value) -> Value {
        let (status, answer) = self.ask(what, mount, more);
        assert!(matches!(status, 200 | 202), "{what}: {answer:#}");
        answer
    }

    /// Lets hands do something, and does not wait for it.
    ///
    /// # Panics
    /// When it cannot be done.
    pub fn hands(&self, steps: Vec<Step>) {
        self.sim.drive(&Script::new(steps)).expect("it can be done");
    }

    /// Waits for something about the calibration of a board.
    ///
    /// # Panics
    /// When it does not come.
    #[track_caller]
    pub fn wait(&self, mount: Mount, what: &str, wanted: impl Fn(&Value) -> bool) -> Value {
        let state = self.daemon.wait(what, SOON, |state| {
            wanted(&crate::board(state, mount.name())["calibration"])
        });
        crate::board(&state, mount.name())["calibration"].clone()
    }
}

/// Steps that lay a board in ways one after the other and let it lie.
pub fn laid(mount: Mount, ways: &[[f64; 3]]) -> Vec<Step> {
    ways.iter()
        .flat_map(|up| {
            let lay = Step::LayBoard {
                mount,
                up: *up,
                over_s: OVER_S,
            };
            let rest = Step::Rest {
                for_s: 6.5,
                label: None,
            };
            [lay, rest]
        })
        .collect()
}

/// The name of a board's file as docs/CALIBRATION.md gives it.
pub fn file(store: &Path, id: &str) -> PathBuf {
    let mut name = String::new();
    for (at, c) in id.char_indices() {
        if c.is_ascii_alphanumeric() || c == '-' || (c == '.' && at > 0) {
            name.push(c);
        } else {
            let mut bytes = [0; 4];
            for byte in c.encode_utf8(&mut bytes).bytes() {
                write!(name, "_{byte:02x}").expect("a string takes text");
            }
        }
    }
    store.join(name + ".toml")
}

/// Identity of a board.
///
/// # Panics
/// When there is no such board.
pub fn id(sim: &LiveSim, mount: Mount) -> String {
    let mut boards = sim.boards().iter();
    let board = boards.find(|board| board.mount == mount).expect("a board");
    board.path.to_string_lossy().into_owned()
}

fn start(sim: &LiveSim, folder: &Path) -> Daemon {
    let mut config = "[http]\nlisten = \"127.0.0.1:0\"\n".to_owned();
    for (board, up) in sim.boards().iter().zip(["-y", "+y"]) {
        write!(
            config,
            "[[board]]\nport = \"{}\"\nmount = \"{}\"\nbaud = 115200\nformat = \"{}\"\n\
             mounting = {{ outboard = \"+z\", up = \"{up}\" }}\n",
            board.path.display(),
            board.mount.name(),
            board.wire_format.name(),
        )
        .expect("a string takes text");
    }
    let path = folder.join("bench.toml");
    std::fs::write(&path, config).expect("a file");
    Daemon::start(&[
        "run",
        "--config",
        &path.to_string_lossy(),
        "--store",
        &folder.join("store").to_string_lossy(),
        "--speed",
        &SPEED.to_string(),
    ])
}
