//! What has to be there, what is there, and the difference.

use std::collections::BTreeMap;

use hubplumb_sim::Mount;
use serde_json::{Value, json};

use super::{BOARDS, TRACK_MM, wait_live};
use crate::Daemon;

/// What was asked for, or seen.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fact {
    /// An entry, as it was sent.
    Entry(Value),
    Car(String),
    Visit,
    Name(Mount, String),
    /// When a calibration was done.
    Kept(Mount, String),
    /// A calibration was asked to be kept, and nobody answered.
    Keeping(Mount),
    /// The left pads were measured so many hundredths of a millimetre above the right ones.
    Floor(i64),
    /// So many runs are in the visit at hand.
    Ran(usize),
}

/// What has to be there.
#[derive(Debug, Clone, Default)]
pub(super) struct Expected {
    pub(super) cars: Vec<String>,
    /// The gist of what was entered into each visit, but for its opening and its runs.
    pub(super) entered: Vec<Vec<String>>,
    /// Every entry of each visit as it was found last.
    pub(super) seen: Vec<Vec<Value>>,
    pub(super) names: BTreeMap<&'static str, String>,
    pub(super) kept: BTreeMap<&'static str, String>,
    pub(super) floor: Option<i64>,
    pub(super) runs: usize,
}

impl Expected {
    pub(super) fn take(&mut self, fact: Fact) {
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
            Fact::Floor(hundredths) => self.floor = Some(hundredths),
            // One that is newer may be there, or not.
            Fact::Keeping(_) => {}
            Fact::Ran(count) => self.runs = self.runs.max(count),
        }
    }
}

/// What is there.
pub(super) struct Found {
    pub(super) cars: Vec<String>,
    /// Entries of every visit.
    pub(super) entries: Vec<Vec<Value>>,
    pub(super) names: BTreeMap<&'static str, String>,
    pub(super) kept: BTreeMap<&'static str, String>,
    pub(super) floor: Option<i64>,
}

impl Found {
    pub(super) fn of(daemon: &Daemon) -> Self {
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
        let of_boards = |of: &dyn Fn(&Value) -> Option<String>| -> BTreeMap<&'static str, String> {
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
            floor: floor(daemon, &state),
        }
    }

    /// How it differs from what has to be, if it does.
    pub(super) fn differs(&self, expected: &Expected) -> Option<String> {
        let told = |what: &str, is: &dyn std::fmt::Debug, should: &dyn std::fmt::Debug| {
            Some(format!("{what}: {is:?} is there, {should:?} should be"))
        };
        if self.floor != expected.floor {
            return told("floor", &self.floor, &expected.floor);
        }
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

pub(super) fn is_run(entry: &Value) -> bool {
    entry["what"]["entry"] == "run"
}

pub(super) fn board(state: &Value, mount: Mount) -> &Value {
    let boards = state["boards"].as_array().expect("boards");
    let is = |board: &&Value| board["id"] == mount.name();
    boards.iter().find(is).expect("a board")
}

/// How much higher the left pads are, hundredths of a millimetre, once somebody says that nothing was moved.
fn floor(daemon: &Daemon, state: &Value) -> Option<i64> {
    if !state["levelling"]["earlier"].is_object() {
        return None;
    }
    let (status, levelling) = daemon.post("/api/v1/levelling/go-on", &json!({}));
    assert_eq!(status, 200, "{levelling:#}");
    let floor = &levelling["floor"];
    assert_eq!(floor["by"], "heights", "{floor:#}");
    let roll_deg = floor["roll_deg"].as_f64().expect("a slope");
    #[expect(clippy::cast_possible_truncation, reason = "some millimetres")]
    let hundredths = (roll_deg.to_radians().tan() * TRACK_MM * 100.0).round() as i64;
    Some(hundredths)
}
