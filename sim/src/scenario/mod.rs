//! Scenarios: a car, a floor, boards, a script and a seed.

mod build;
mod chip;
mod error;
mod faults;
mod file;
mod file_workshop;
mod shipped;
mod steps;
mod workshop;

use std::collections::BTreeMap;
use std::sync::Arc;

pub use error::ScenarioError;

use hubplumb_protocol::WireFormat;

use crate::board::{BoardSpec, LinkSpec};
use crate::car::{Car, Mount};
use crate::fault::FaultPlan;
use crate::motion::{Block, Hand, Idle, Script, Timeline};
use crate::truth::Truth;

/// Everything a run needs; the same scenario with the same seed gives the same readings, bit for bit.
#[derive(Debug, Clone, PartialEq)]
pub struct Scenario {
    name: String,
    about: String,
    seed: u64,
    car: Arc<Car>,
    idle: Idle,
    starts_locked: bool,
    plate_sigma_rad: f64,
    tape_sigma_m: f64,
    bar_seat_rad: f64,
    hand: Hand,
    block: Block,
    targets: BTreeMap<String, [f64; 2]>,
    boards: Vec<BoardSpec>,
    script: Script,
    faults: FaultPlan,
}

impl Scenario {
    /// Reads a scenario file (see `docs/SIMULATOR.md` for its keys).
    pub fn from_toml(text: &str) -> Result<Self, ScenarioError> {
        build::scenario(file::read(text)?)
    }

    /// One of the scenarios that come with the simulator.
    pub fn shipped(name: &str) -> Option<Self> {
        // The shipped files are read by a test; one that did not read would be a broken build.
        Self::from_toml(shipped::text(name)?).ok()
    }

    /// Names of the scenarios that come with the simulator.
    pub fn shipped_names() -> Vec<&'static str> {
        shipped::names().collect()
    }

    /// The file of a scenario that comes with the simulator.
    pub fn shipped_toml(name: &str) -> Option<&'static str> {
        shipped::text(name)
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What it is for, in a sentence.
    pub fn about(&self) -> &str {
        &self.about
    }

    /// Seed of its randomness.
    pub fn seed(&self) -> u64 {
        self.seed
    }

    /// The same with another seed: other chips of the same make, other noise, the same car.
    #[must_use]
    pub fn with_seed(mut self, seed: u64) -> Self {
        self.seed = seed;
        self
    }

    /// The same with another script. Whether it can be done shows when it is driven or rendered.
    #[must_use]
    pub fn with_script(mut self, script: Script) -> Self {
        self.script = script;
        self
    }

    /// The same with the board on a mount, if there is one, speaking another format over
    /// another link.
    #[must_use]
    pub fn with_wire(mut self, mount: Mount, wire: &WireFormat, link: LinkSpec) -> Self {
        for board in self.boards.iter_mut().filter(|board| board.mount == mount) {
            (board.wire, board.link) = (wire.clone(), link);
        }
        self
    }

    /// The same with these faults beside those it has.
    #[must_use]
    pub fn with_faults(mut self, faults: FaultPlan) -> Self {
        self.faults = self.faults.and(faults);
        self
    }

    /// What goes wrong, and when.
    pub fn faults(&self) -> &FaultPlan {
        &self.faults
    }

    /// The car.
    pub fn car(&self) -> &Arc<Car> {
        &self.car
    }

    /// The boards, in the order of the file.
    pub fn boards(&self) -> &[BoardSpec] {
        &self.boards
    }

    /// The board on a mount.
    pub fn board(&self, mount: Mount) -> Option<&BoardSpec> {
        self.boards.iter().find(|board| board.mount == mount)
    }

    /// The script.
    pub fn script(&self) -> &Script {
        &self.script
    }

    /// Standard deviation of reading a turn plate, rad.
    pub fn plate_sigma_rad(&self) -> f64 {
        self.plate_sigma_rad
    }

    /// Standard deviation of reading a tape against a string or between rims, m.
    pub fn tape_sigma_m(&self) -> f64 {
        self.tape_sigma_m
    }

    /// What the maker of the invented car wants: name of an angle, value and tolerance either way,
    /// degrees.
    pub fn targets(&self) -> &BTreeMap<String, [f64; 2]> {
        &self.targets
    }

    /// What is true about the car and its boards, the script's rests included.
    pub fn truth(&self) -> Truth {
        Truth::of(self)
    }

    /// The car at rest before anything is done.
    pub fn timeline(&self) -> Timeline {
        let placed = self
            .boards
            .iter()
            .map(|board| (board.mount, board.placement))
            .collect();
        Timeline::new(Arc::clone(&self.car), self.idle, self.starts_locked)
            .with_boards(placed)
            .with_bar(self.bar_seat_rad)
            .with_hand(
                Hand {
                    seed: self.seed,
                    ..self.hand
                },
                self.block,
            )
    }
}
