//! Whole visits during which the daemon is killed at moments drawn from a seed, and a look at what
//! is there afterwards.
//!
//! In each of its lives the daemon is asked for one kind of thing, again and again, until nobody
//! answers any more. What was answered must be there in the next life, in its order and once; of
//! the one thing that was under way nobody knows.

mod expected;
mod work;

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::mpsc::channel;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use tempfile::TempDir;

use self::expected::{Expected, Fact, Found, is_run};
use self::work::{Work, agent};
use crate::Daemon;

/// Seconds of the simulation per second.
const SPEED: f64 = 8.0;
const SOON: Duration = Duration::from_secs(30);
const BOARDS: [Mount; 2] = [Mount::FrontLeft, Mount::FrontRight];
/// Of the floor that is surveyed.
const TRACK_MM: f64 = 1480.0;
/// Poses that a calibration takes here.
const POSES: [[f64; 3]; 6] = [
    [0.01, 0.02, 1.0],
    [0.02, -0.01, -1.0],
    [1.0, 0.03, 0.01],
    [-1.0, 0.01, 0.02],
    [-0.02, 1.0, 0.01],
    [0.01, -1.0, 0.02],
];

/// What a life is spent with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Deed {
    /// Notes, points, conditions and stages in the visit at hand.
    Entries,
    /// Cars that are kept.
    Cars,
    /// Visits that begin.
    Visits,
    /// Boards that get names.
    Setup,
    /// The floor, surveyed again and again.
    Floor,
    /// Camber on a hub, again and again.
    Check,
    /// A steering swing with its recording.
    Swing,
    /// A calibration by poses, and keeping it.
    Calibration,
}

impl Deed {
    /// All of them, by the names that the command takes.
    pub const NAMED: [(&'static str, Self); 8] = [
        ("entries", Self::Entries),
        ("cars", Self::Cars),
        ("visits", Self::Visits),
        ("setup", Self::Setup),
        ("floor", Self::Floor),
        ("check", Self::Check),
        ("swing", Self::Swing),
        ("calibration", Self::Calibration),
    ];

    /// As often as a visit has them, roughly, and the quick ones more often.
    const DRAWN: [Self; 14] = [
        Self::Entries,
        Self::Entries,
        Self::Entries,
        Self::Cars,
        Self::Cars,
        Self::Visits,
        Self::Visits,
        Self::Setup,
        Self::Setup,
        Self::Floor,
        Self::Floor,
        Self::Check,
        Self::Swing,
        Self::Calibration,
    ];
}

/// What came of it.
#[derive(Debug, Clone, Default)]
pub struct Kills {
    /// Kills by what the life was spent with.
    pub kills: BTreeMap<String, u64>,
    /// Things that were answered, and all there.
    pub confirmed: u64,
    /// Things under way at a kill that are there, and that are not.
    pub under_way: [u64; 2],
    /// Runs of procedures that were kept.
    pub runs: u64,
}

/// The car, its boards, a store, and one daemon after the other.
pub struct Killing {
    sim: LiveSim,
    folder: TempDir,
    random: ChaCha8Rng,
    /// The one that lives now.
    daemon: Option<Daemon>,
    expected: Expected,
    only: Option<Deed>,
    /// What came of it so far.
    pub kills: Kills,
}

impl Killing {
    /// Two boards out of the bag and an empty store.
    ///
    /// # Panics
    /// When the car does not come up.
    pub fn begin(seed: u64) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let scenario = Scenario::shipped("bench").expect("shipped").with_seed(seed);
        let sim = LiveSim::start(scenario, &folder.path().join("ports"), SPEED).expect("the car");
        let mut killing = Self {
            sim,
            folder,
            random: ChaCha8Rng::seed_from_u64(seed),
            daemon: None,
            expected: Expected::default(),
            only: None,
            kills: Kills::default(),
        };
        let daemon = killing.start();
        killing.prepare(&daemon);
        killing.daemon = Some(daemon);
        killing
    }

    /// Spends every life with this.
    #[must_use]
    pub const fn only(mut self, deed: Option<Deed>) -> Self {
        self.only = deed;
        self
    }

    fn start(&self) -> Daemon {
        let path = |name: &str| self.folder.path().join(name).to_string_lossy().into_owned();
        let (ports, store) = (path("ports"), path("store"));
        let speed = SPEED.to_string();
        Daemon::start(&[
            "run",
            "--listen",
            "127.0.0.1:0",
            "--ports",
            &ports,
            "--store",
            &store,
            "--speed",
            &speed,
        ])
    }

    /// A car, a visit, and boards that are placed.
    fn prepare(&mut self, daemon: &Daemon) {
        wait_live(daemon);
        granted(daemon, "/api/v1/cars", &json!({ "name": "Wicket" }));
        granted(daemon, "/api/v1/visits", &json!({ "car": 1 }));
        self.expected.cars.push("Wicket".to_owned());
        self.expected.entered.push(Vec::new());
        for mount in BOARDS {
            daemon.wait("it rests", SOON, |state| {
                let boards = state["boards"].as_array().expect("boards");
                let is = |board: &&Value| board["id"] == mount.name();
                boards
                    .iter()
                    .find(is)
                    .is_some_and(|board| !board["up_now"].is_null())
            });
            let seat = json!({ "board": mount.name(), "mount": mount.name(), "outboard": "+z" });
            granted(daemon, "/api/v1/setup/seat", &seat);
        }
    }

    /// One life: a daemon is used for a deed and killed; the next one is asked.
    ///
    /// # Panics
    /// When something that was answered is not there.
    pub fn live(&mut self, life: u64) {
        let drawn = Deed::DRAWN[self.random.random_range(0..Deed::DRAWN.len())];
        let deed = self.only.unwrap_or(drawn);
        let daemon = self.daemon.take().unwrap_or_else(|| self.start());
        wait_live(&daemon);
        let (tell, told) = channel();
        let (ready, is_ready) = channel();
        let work = Work {
            agent: agent(),
            address: daemon.address().to_owned(),
            life,
            visit: self.expected.entered.len(),
            runs: self.expected.runs,
            tell,
            ready,
        };
        let wait = match deed {
            Deed::Entries | Deed::Cars | Deed::Visits | Deed::Setup | Deed::Floor => {
                Duration::from_micros(self.random.random_range(0..250_000))
            }
            // Around its end: two seconds of holding, and half of a second before them.
            Deed::Check => Duration::from_millis(self.random.random_range(200..1200)),
            Deed::Swing => Duration::from_millis(self.random.random_range(3500..6000)),
            Deed::Calibration => Duration::from_micros(self.random.random_range(0..40_000)),
        };
        let hands = &self.sim;
        let under_way = thread::scope(|scope| {
            let working = scope.spawn(|| work.until_it_is_gone(deed, hands));
            // Poses take their time; the moment that counts is that of keeping.
            is_ready.recv_timeout(3 * SOON).expect("the work begins");
            let moment = Instant::now() + wait;
            while Instant::now() < moment {
                thread::sleep(Duration::from_micros(100));
            }
            // By SIGKILL.
            drop(daemon);
            working.join().expect("the working thread")
        });
        let confirmed: Vec<Fact> = told.try_iter().collect();
        *self.kills.kills.entry(format!("{deed:?}")).or_default() += 1;
        println!("life {life}: {deed:?}, {} answered", confirmed.len());
        self.kills.confirmed += confirmed.len() as u64;
        for fact in confirmed {
            self.expected.take(fact);
        }
        if deed == Deed::Calibration {
            // Wherever it was left, it goes back onto its hub.
            let strap = Step::StrapBoard {
                mount: work.mount(),
                over_s: 1.0,
            };
            let done = self.sim.drive(&Script::new(vec![strap]));
            done.expect("it can be done");
        }
        let next = self.start();
        let kept_before = self.expected.kept.clone();
        let mut came = self.look(&next, under_way.as_ref());
        if let Some(Fact::Keeping(mount)) = under_way {
            let before = kept_before.get(mount.name());
            came = self.expected.kept.get(mount.name()) != before;
        }
        if under_way.is_some() {
            self.kills.under_way[usize::from(!came)] += 1;
        }
        self.daemon = Some(next);
    }

    /// Compares what is there with what has to be; is the thing that was under way there?
    fn look(&mut self, daemon: &Daemon, under_way: Option<&Fact>) -> bool {
        let found = Found::of(daemon);
        let mut possible = self.expected.clone();
        if let Some(fact) = under_way {
            possible.take(fact.clone());
        }
        let without = found.differs(&self.expected);
        let with = found.differs(&possible);
        assert!(
            without.is_none() || with.is_none(),
            "without what was under way ({under_way:?}): {without:?}\nand with it: {with:?}"
        );
        let came = without.is_some();
        if came {
            self.expected = possible;
        }
        let runs = |entries: &Vec<Value>| entries.iter().filter(|entry| is_run(entry)).count();
        self.kills.runs = found.entries.iter().map(runs).sum::<usize>() as u64;
        self.expected.runs = found.entries.last().map_or(0, runs);
        self.expected.kept = found.kept;
        self.expected.seen = found.entries;
        came
    }
}

fn wait_live(daemon: &Daemon) -> Value {
    daemon.wait("both boards live", SOON, |state| {
        let boards = state["boards"].as_array().expect("boards");
        boards.len() == BOARDS.len() && boards.iter().all(|board| board["state"] == "live")
    })
}

fn granted(daemon: &Daemon, path: &str, body: &Value) {
    let (status, answer) = daemon.post(path, body);
    assert!((200..300).contains(&status), "{path}: {answer:#}");
}

/// The store after all: is its file whole?
///
/// # Panics
/// When it is not.
pub fn check_file(folder: &Path) {
    let store = folder.to_string_lossy();
    let listed = crate::run(&["visits", "list", "--store", &store], SOON);
    assert_eq!(listed.code, Some(0), "{listed:#?}");
}

impl Killing {
    /// Where the store is.
    pub fn store(&self) -> std::path::PathBuf {
        self.folder.path().join("store")
    }
}
