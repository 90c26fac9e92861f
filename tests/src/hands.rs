//! Hands at a simulated car that somebody else asks for: one JSON object a line, one a line back.
//!
//! The browser tests press what a person presses and ask here for what a person's hands do
//! meanwhile. What is asked for is said in the words of a scenario's script, so there is one way to
//! describe it and one place that knows how it is done.

use std::io::{BufRead, Write};

use hubplumb_sim::{Mount, Scenario, Script};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::visiting::{Opening, Visiting};

/// The first line: which car, and what the daemon is told of it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Garage {
    /// A shipped scenario.
    scenario: String,
    /// Texts of its file that are replaced.
    #[serde(default)]
    changes: Vec<[String; 2]>,
    /// In place of the scenario's.
    seed: Option<u64>,
    /// Seconds of the simulation per second.
    speed: f64,
    /// See [`Opening::floor_told`].
    #[serde(default = "told")]
    floor_told: bool,
    /// See [`Opening::seats_told`].
    #[serde(default = "told")]
    seats_told: bool,
    /// Further arguments of the daemon.
    #[serde(default)]
    arguments: Vec<String>,
}

const fn told() -> bool {
    true
}

/// Every further line.
#[derive(Debug, Deserialize)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
enum Ask {
    /// Do these steps; answered when they are done.
    Do {
        /// As in a scenario.
        steps: Script,
    },
    /// What is true now.
    Truth,
    /// Read both turn plates.
    Plates,
    /// Read a tape beside all four wheels.
    Strings {
        /// Between the edges that are read, m.
        diameter_m: f64,
        /// From the centreline to the strings, m.
        string_m: f64,
    },
    /// Hold a trammel across an axle.
    Trammel {
        /// The front one?
        front: bool,
        /// Between the edges that are read, m.
        diameter_m: f64,
    },
    /// Pull a board's plug.
    Unplug {
        /// Which board.
        mount: Mount,
    },
    /// Put it in again.
    Replug {
        /// Which board.
        mount: Mount,
    },
}

fn open(garage: &Garage) -> Visiting {
    let name = &garage.scenario;
    let text = Scenario::shipped_toml(name).unwrap_or_else(|| panic!("no scenario {name}"));
    let text = garage
        .changes
        .iter()
        .fold(text.to_owned(), |text, [old, new]| {
            assert!(text.contains(old.as_str()), "{name} has no {old:?}");
            text.replace(old.as_str(), new)
        });
    let scenario = Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let seed = garage.seed.unwrap_or(scenario.seed());
    let arguments: Vec<&str> = garage.arguments.iter().map(String::as_str).collect();
    let opening = Opening {
        floor_told: garage.floor_told,
        seats_told: garage.seats_told,
        arguments: &arguments,
        ..Opening::at_speed(garage.speed)
    };
    Visiting::open(scenario.with_seed(seed), &opening)
}

fn answer(visiting: &Visiting, ask: &Ask) -> Value {
    let sim = &visiting.sim;
    match ask {
        Ask::Do { steps } => {
            visiting.follow(steps);
            Value::Null
        }
        Ask::Truth => json!(visiting.truth()),
        Ask::Plates => json!(sim.read_plates()),
        Ask::Strings {
            diameter_m,
            string_m,
        } => json!(sim.read_strings(*diameter_m, *string_m)),
        Ask::Trammel { front, diameter_m } => json!(sim.read_trammel(*front, *diameter_m)),
        Ask::Unplug { mount } => {
            sim.unplug(*mount).expect("a board there");
            Value::Null
        }
        Ask::Replug { mount } => {
            sim.replug(*mount).expect("a board there");
            Value::Null
        }
    }
}

/// Opens the garage of the first line and does what every further one asks, until there is none.
///
/// # Panics
/// When a line cannot be understood, or what it asks for cannot be done.
pub fn serve(lines: impl BufRead, mut out: impl Write) {
    let mut lines = lines.lines().map_while(Result::ok);
    let first = lines.next().expect("a first line");
    let garage: Garage =
        serde_json::from_str(&first).unwrap_or_else(|error| panic!("{first}: {error}"));
    let visiting = open(&garage);
    let mut say = |told: &Value| {
        writeln!(out, "{told}").expect("somebody listens");
        out.flush().expect("somebody listens");
    };
    say(&json!({ "address": visiting.daemon.address(), "seed": visiting.sim.seed() }));
    for line in lines {
        let ask: Ask =
            serde_json::from_str(&line).unwrap_or_else(|error| panic!("{line}: {error}"));
        say(&json!({ "done": answer(&visiting, &ask) }));
    }
}
