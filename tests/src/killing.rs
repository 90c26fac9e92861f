//! Whole visits during which the daemon is killed at moments drawn from a seed, and a look at what
//! is there afterwards.
//!
//! In each of its lives the daemon is asked for one kind of thing, again and again, until nobody
//! answers any more. What was answered must be there in the next life, in its order and once; of
//! the one thing that was under way nobody knows.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::mpsc::{Sender, channel};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use tempfile::TempDir;
use ureq::Agent;

use crate::Daemon;
use crate::bench::laid;

/// Seconds of the simulation per second.
const SPEED: f64 = 8.0;
const SOON: Duration = Duration::from_secs(30);
const BOARDS: [Mount; 2] = [Mount::FrontLeft, Mount::FrontRight];
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
    /// Camber on a hub, again and again.
    Check,
    /// A steering swing with its recording.
    Swing,
    /// A calibration by poses, and keeping it.
    Calibration,
}

impl Deed {
    /// As often as a visit has them, roughly, and the quick ones more often.
    const DRAWN: [Self; 12] = [
        Self::Entries,
        Self::Entries,
        Self::Entries,
        Self::Cars,
        Self::Cars,
        Self::Visits,
        Self::Visits,
        Self::Setup,
        Self::Setup,
        Self::Check,
        Self::Swing,
        Self::Calibration,
    ];
}

/// What was asked for, or seen.
#[derive(Debug, Clone, PartialEq)]
enum Fact {
    /// An entry, as it was sent.
    Entry(Value),
    Car(String),
    Visit,
    Name(Mount, String),
    /// When a calibration was done.
    Kept(Mount, String),
    /// So many runs are in the visit at hand.
    Ran(usize),
}

/// What has to be there.
#[derive(Debug, Clone, Default)]
struct Expected {
    cars: Vec<String>,
    /// The gist of what was entered into each visit, but for its opening and its runs.
    entered: Vec<Vec<String>>,
    /// Every entry of each visit as it was found last.
    seen: Vec<Vec<Value>>,
    names: BTreeMap<&'static str, String>,
    kept: BTreeMap<&'static str, String>,
    runs: usize,
}

impl Expected {
    fn take(&mut self, fact: Fact) {
        match fact {
            Fact::Entry(what) => {
                if let Some(visit) = self.entered.last_mut() {
                    visit.push(gist(&what));
                }
            }
            Fact::Car(name) => self.cars.push(name),
            Fact::Visit => {
                self.entered.push(Vec::new());
                self.runs = 0;
            }
            Fact::Name(mount, name) => drop(self.names.insert(mount.name(), name)),
            Fact::Kept(mount, date) => drop(self.kept.insert(mount.name(), date)),
            Fact::Ran(count) => self.runs = self.runs.max(count),
        }
    }
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
    expected: Expected,
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
            expected: Expected::default(),
            kills: Kills::default(),
        };
        let daemon = killing.start();
        killing.prepare(&daemon);
        killing
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

    /// One life: a daemon is started, used for a deed, and killed; the next one is asked.
    ///
    /// # Panics
    /// When something that was answered is not there.
    pub fn live(&mut self, life: u64) {
        let deed = Deed::DRAWN[self.random.random_range(0..Deed::DRAWN.len())];
        let daemon = self.start();
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
            Deed::Entries | Deed::Cars | Deed::Visits | Deed::Setup => {
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
            is_ready.recv_timeout(SOON).expect("the work begins");
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
        let next = self.start();
        let came = self.look(&next, under_way.as_ref());
        if under_way.is_some() {
            self.kills.under_way[usize::from(!came)] += 1;
        }
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

/// What is there.
struct Found {
    cars: Vec<String>,
    /// Entries of every visit.
    entries: Vec<Vec<Value>>,
    names: BTreeMap<&'static str, String>,
    kept: BTreeMap<&'static str, String>,
}

impl Found {
    fn of(daemon: &Daemon) -> Self {
        let state = wait_live(daemon);
        let list = |path: &str| -> Vec<Value> {
            let (status, _, body) = daemon.get(path);
            assert_eq!(status, 200, "{path}: {body}");
            serde_json::from_str(&body).expect("a list")
        };
        let text = |value: &Value| value.as_str().map(str::to_owned);
        let mut cars = list("/api/v1/cars");
        cars.sort_by_key(|car| car["id"].as_i64());
        let mut visits: Vec<i64> = list("/api/v1/visits")
            .iter()
            .filter_map(|visit| visit["id"].as_i64())
            .collect();
        visits.sort_unstable();
        let entries = visits.iter().map(|id| {
            let (status, _, body) = daemon.get(&format!("/api/v1/visits/{id}/export.json"));
            assert_eq!(status, 200, "{body}");
            let export: Value = serde_json::from_str(&body).expect("JSON");
            export["visits"][0]["entries"]
                .as_array()
                .cloned()
                .expect("entries")
        });
        let of_boards = |of: &dyn Fn(&Value) -> Option<String>| {
            BOARDS
                .iter()
                .filter_map(|mount| Some((mount.name(), of(board(&state, *mount))?)))
                .collect()
        };
        Self {
            cars: cars
                .iter()
                .filter_map(|car| text(&car["record"]["name"]).or_else(|| text(&car["name"])))
                .collect(),
            entries: entries.collect(),
            names: of_boards(&|board| text(&board["name"])),
            kept: of_boards(&|board| text(&board["calibration"]["date"])),
        }
    }

    /// How it differs from what has to be, if it does.
    fn differs(&self, expected: &Expected) -> Option<String> {
        let told = |what: &str, is: &dyn std::fmt::Debug, should: &dyn std::fmt::Debug| {
            Some(format!("{what}: {is:?} is there, {should:?} should be"))
        };
        if self.cars != expected.cars {
            return told("cars", &self.cars, &expected.cars);
        }
        let entered: Vec<Vec<String>> = self
            .entries
            .iter()
            .map(|entries| {
                let asked = entries.iter().skip(1).filter(|entry| !is_run(entry));
                asked.map(|entry| gist(&entry["what"])).collect()
            })
            .collect();
        if entered != expected.entered {
            return told("entries", &entered, &expected.entered);
        }
        for (number, seen) in expected.seen.iter().enumerate() {
            if !self.entries[number].starts_with(seen) {
                return told("entries seen before", &self.entries[number], seen);
            }
        }
        let last = self.entries.last()?;
        let runs = last.iter().filter(|entry| is_run(entry)).count();
        if runs < expected.runs {
            return told("runs", &runs, &expected.runs);
        }
        for (mount, name) in &expected.names {
            if self.names.get(mount) != Some(name) {
                return told("names of boards", &self.names, &expected.names);
            }
        }
        for (mount, date) in &expected.kept {
            // One that was under way when nobody had its answer may be there in its place.
            if self.kept.get(mount).is_none_or(|found| found < date) {
                return told("calibrations", &self.kept, &expected.kept);
            }
        }
        None
    }
}

/// What tells an entry from others; defaults are written into what is kept.
fn gist(what: &Value) -> String {
    let own = ["text", "note", "load", "stage"];
    let own = own.iter().find_map(|key| what[*key].as_str());
    format!("{} {}", what["entry"], own.unwrap_or_default())
}

fn is_run(entry: &Value) -> bool {
    entry["what"]["entry"] == "run"
}

fn board(state: &Value, mount: Mount) -> &Value {
    let boards = state["boards"].as_array().expect("boards");
    let is = |board: &&Value| board["id"] == mount.name();
    boards.iter().find(is).expect("a board")
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

fn agent() -> Agent {
    Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(10)))
        .http_status_as_error(false)
        .build()
        .into()
}

/// Somebody who asks for things until nobody answers.
struct Work {
    agent: Agent,
    address: String,
    life: u64,
    visit: usize,
    runs: usize,
    tell: Sender<Fact>,
    /// Told when what comes next is the moment that counts.
    ready: Sender<()>,
}

impl Work {
    /// None when the daemon is gone.
    fn post(&self, path: &str, body: &Value) -> Option<(u16, Value)> {
        let answer = self
            .agent
            .post(format!("{}{path}", self.address))
            .send_json(body);
        let mut answer = answer.ok()?;
        let status = answer.status().as_u16();
        // The answer counts once it is all there.
        let json = answer.body_mut().read_json().ok()?;
        Some((status, json))
    }

    fn get(&self, path: &str) -> Option<Value> {
        let mut answer = self
            .agent
            .get(format!("{}{path}", self.address))
            .call()
            .ok()?;
        answer.body_mut().read_json().ok()
    }

    /// Asks for a thing; gives it back when nobody answered.
    fn ask(&self, path: &str, body: &Value, fact: Fact) -> Result<(), Option<Fact>> {
        match self.post(path, body) {
            Some((200..300, _)) => {
                self.tell.send(fact).expect("somebody counts");
                Ok(())
            }
            Some((status, answer)) => panic!("{path}: {status} {answer:#}"),
            None => Err(Some(fact)),
        }
    }

    /// Gives back what was under way when the daemon was killed.
    fn until_it_is_gone(&self, deed: Deed, hands: &LiveSim) -> Option<Fact> {
        if deed != Deed::Calibration {
            self.ready.send(()).expect("somebody waits");
        }
        for number in 0_u32.. {
            let name = format!("{}-{number}", self.life);
            let done = match deed {
                Deed::Entries => self.entry(number, &name),
                Deed::Cars => {
                    let car = json!({ "name": name });
                    self.ask("/api/v1/cars", &car, Fact::Car(name))
                }
                Deed::Visits => {
                    // Every one of them is looked at again after every kill.
                    thread::sleep(Duration::from_millis(40));
                    self.ask("/api/v1/visits", &json!({ "car": 1 }), Fact::Visit)
                }
                Deed::Setup => {
                    let mount = BOARDS[number as usize % 2];
                    let body = json!({ "board": mount.name(), "name": name });
                    self.ask("/api/v1/setup/name", &body, Fact::Name(mount, name))
                }
                Deed::Check => self.check(),
                Deed::Swing => self.swing(hands),
                Deed::Calibration => self.calibration(hands),
            };
            if let Err(under_way) = done {
                return under_way;
            }
        }
        unreachable!("the loop ends with the daemon")
    }

    fn entry(&self, number: u32, name: &str) -> Result<(), Option<Fact>> {
        let what = match number % 4 {
            0 => json!({ "entry": "note", "text": name }),
            1 => json!({ "entry": "prepared", "point": "tyres", "done": true, "note": name }),
            2 => json!({ "entry": "conditions", "load": name }),
            _ => {
                json!({ "entry": "stage", "stage": ["before", "adjusting", "after"][number as usize / 4 % 3] })
            }
        };
        let wish = json!({ "ask": name, "what": what });
        let path = format!("/api/v1/visits/{}/entries", self.visit);
        self.ask(&path, &wish, Fact::Entry(what))
    }

    /// Runs that are in the visit, as anybody can see.
    fn runs_seen(&self) -> Result<usize, Option<Fact>> {
        let path = format!("/api/v1/visits/{}/export.json", self.visit);
        let export = self.get(&path).ok_or(None)?;
        let entries = export["visits"][0]["entries"].as_array();
        Ok(entries.map_or(0, |entries| {
            entries.iter().filter(|entry| is_run(entry)).count()
        }))
    }

    fn until_kept(&self) -> Result<(), Option<Fact>> {
        let began = Instant::now();
        loop {
            thread::sleep(Duration::from_millis(30));
            let runs = self.runs_seen()?;
            if runs > self.runs {
                self.tell.send(Fact::Ran(runs)).expect("somebody counts");
            }
            let state = self.get("/api/v1/state").ok_or(None)?;
            let over = |what: &str| {
                let phase = &state[what]["phase"];
                *phase == "done" || *phase == "refused" || phase.is_null() || *phase == "idle"
            };
            if (over("swing") && over("check")) || began.elapsed() > SOON {
                return Ok(());
            }
        }
    }

    fn check(&self) -> Result<(), Option<Fact>> {
        let start = json!({ "kind": "camber_on_hub", "mount": "front_left", "hold_s": 2 });
        // Refused while the one before has not ended.
        self.post("/api/v1/check", &start).ok_or(None)?;
        self.until_kept()
    }

    fn swing(&self, hands: &LiveSim) -> Result<(), Option<Fact>> {
        self.post("/api/v1/swing", &json!({ "steer_source": "gyro" }))
            .ok_or(None)?;
        let rest = |for_s| Step::Rest { for_s, label: None };
        let steer = |to_deg, over_s| Step::SteerTo {
            to_deg,
            over_s,
            slip: None,
        };
        let steps = vec![
            rest(6.0),
            steer(19.0, 2.0),
            rest(6.0),
            steer(-20.0, 4.0),
            rest(6.0),
            steer(0.0, 2.0),
            rest(6.0),
        ];
        let ends_s = hands.drive(&Script::new(steps)).expect("it can be done");
        while hands.now_s() < ends_s - 2.0 {
            self.get("/api/v1/health").ok_or(None)?;
            thread::sleep(Duration::from_millis(20));
        }
        self.until_kept()
    }

    fn calibration(&self, hands: &LiveSim) -> Result<(), Option<Fact>> {
        let mount = BOARDS[(self.life % 2) as usize];
        let of = json!({ "board": mount.name() });
        self.post("/api/v1/calibration/start", &of).ok_or(None)?;
        hands
            .drive(&Script::new(laid(mount, &POSES)))
            .expect("it can be done");
        let began = Instant::now();
        loop {
            let state = self.get("/api/v1/state").ok_or(None)?;
            let taken = board(&state, mount)["calibration"]["procedure"]["taken"].as_u64();
            if taken.is_some_and(|taken| taken >= POSES.len() as u64) {
                break;
            }
            assert!(began.elapsed() < SOON, "the poses are not taken: {state:#}");
            thread::sleep(Duration::from_millis(20));
        }
        self.post("/api/v1/calibration/solve", &of).ok_or(None)?;
        self.ready.send(()).expect("somebody waits");
        let (status, answer) = self.post("/api/v1/calibration/keep", &of).ok_or(None)?;
        assert_eq!(status, 200, "{answer:#}");
        let date = answer["date"].as_str().expect("a date").to_owned();
        self.tell
            .send(Fact::Kept(mount, date))
            .expect("somebody counts");
        let over_s = 1.0;
        hands
            .drive(&Script::new(vec![Step::StrapBoard { mount, over_s }]))
            .expect("it can be done");
        // Nothing more is asked; the kill comes.
        while self.get("/api/v1/health").is_some() {
            thread::sleep(Duration::from_millis(5));
        }
        Err(None)
    }
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
