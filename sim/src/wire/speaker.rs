//! What a board says, with its faults, as a matter of time alone: no wire, no clock.

use hubplumb_protocol::{Encoder, Reading};

use super::answering::Answering;
use crate::board::{BoardSampler, BoardSpec, Placement, Purpose, stream, tilt_of};
use crate::car::Mount;
use crate::fault::{ByteStage, Carried, FaultKind, FaultName, FaultPlan, Ranges, SampleStage};
use crate::motion::Timeline;
use crate::scenario::Scenario;

/// Seed of the second board on a line, beside that of the run: another chip of the same make.
const TWIN: u64 = 0x7415;
/// What the second board's clock shows more at the start, s.
const TWIN_AHEAD_S: f64 = 1234.5;

/// A board from its motion to the bytes that leave it and those that arrive.
#[derive(Debug, Clone)]
pub struct Speaker {
    sampler: BoardSampler,
    encoder: Encoder,
    answering: Option<Answering>,
    seed: u64,
    plan: FaultPlan,
    samples: SampleStage,
    bytes: ByteStage,
    /// The boards of the car.
    others: Vec<BoardSpec>,
    twin: Option<Box<BoardSampler>>,
    /// When a board that is down works again, s.
    down_until_s: Option<f64>,
}

impl Speaker {
    /// The board on a mount of a scenario, if there is one.
    pub fn of(scenario: &Scenario, mount: Mount) -> Option<Self> {
        let spec = scenario.board(mount)?;
        Some(Self::new(
            spec,
            scenario.boards(),
            scenario.faults(),
            scenario.seed(),
        ))
    }

    pub(super) fn new(spec: &BoardSpec, all: &[BoardSpec], plan: &FaultPlan, seed: u64) -> Self {
        Self {
            sampler: BoardSampler::new(spec.clone(), seed),
            encoder: Encoder::new(&spec.wire),
            answering: Answering::new(&spec.wire),
            seed,
            plan: plan.of(spec.mount),
            samples: SampleStage::default(),
            bytes: ByteStage::new(stream(seed, Some(spec.mount), Purpose::Faults)),
            others: all.to_vec(),
            twin: None,
            down_until_s: None,
        }
    }

    /// The board.
    pub fn spec(&self) -> &BoardSpec {
        self.sampler.spec()
    }

    /// When it measures next, s.
    pub fn due_s(&self) -> f64 {
        self.sampler.due_s()
    }

    /// Is its plug pulled?
    pub fn is_unplugged(&self, t_s: f64) -> bool {
        self.plan.is_unplugged(t_s)
    }

    /// Causes a fault that lasts until it is ended.
    pub(super) fn begin(&mut self, kind: FaultKind, t_s: f64) {
        let mount = self.spec().mount;
        self.plan.begin(mount, kind, t_s);
    }

    pub(super) fn end(&mut self, name: FaultName, t_s: f64) {
        self.plan.end(name, t_s);
    }

    /// The board lost its power and got it back.
    pub fn restart(&mut self, at_s: f64) {
        self.sampler.restart(at_s);
        self.encoder = Encoder::new(&self.sampler.spec().wire);
        self.answering = Answering::new(&self.sampler.spec().wire);
        self.bytes.cut();
    }

    /// What it says to a listener that comes.
    pub fn preamble(&self) -> Vec<u8> {
        let mut header = Vec::new();
        self.encoder.preamble(&mut header);
        header
    }

    /// What it says to what was written to it.
    pub(super) fn answers(&mut self, written: &[u8]) -> Vec<u8> {
        let mut answers = Vec::new();
        if let Some(board) = &mut self.answering {
            board.asked(written, &self.encoder, &mut answers);
        }
        answers
    }

    /// What it says up to an instant, piece by piece.
    pub fn says(&mut self, timeline: &Timeline, until_s: f64) -> Vec<Vec<u8>> {
        let mut said = Vec::new();
        while self.due_s() <= until_s {
            let t_s = self.due_s();
            if let Some(until_s) = self.plan.down(t_s) {
                self.down_until_s = Some(until_s);
                // Nothing is measured meanwhile, and nobody counts.
                self.sampler.restart(until_s.min(t_s + 1.0));
                continue;
            }
            if let Some(since_s) = self.down_until_s.take() {
                self.restart(since_s);
                said.push(self.preamble());
                continue;
            }
            let reading = self.measures(timeline, t_s);
            match &mut self.answering {
                None => said.push(self.encoded(&reading)),
                Some(board) => board.measured(reading),
            }
            self.twin_says(timeline, t_s, &mut said);
        }
        said
    }

    fn measures(&mut self, timeline: &Timeline, t_s: f64) -> Reading {
        let swapped = self.plan.on(t_s).find_map(|fault| match fault.kind {
            FaultKind::Swapped { with } => self.others.iter().find(|other| other.mount == with),
            _ => None,
        });
        let (mount, placement): (Mount, Placement) = match swapped {
            Some(other) => (other.mount, other.placement),
            None => (self.spec().mount, self.spec().placement),
        };
        let (_, mut reading) = self.sampler.read_at(timeline, mount, &placement);
        let chip = self.spec().chip;
        let ranges = Ranges {
            accel_g: chip.accel.range,
            gyro_radps: chip.gyro.map_or(f64::INFINITY, |gyro| gyro.range),
        };
        let times = (self.sampler.switched_on_s(), t_s);
        self.samples.change(&mut reading, &self.plan, ranges, times);
        if let (Some(tilt), Some(accel_g)) = (&mut reading.tilt_rad, reading.accel_g) {
            *tilt = tilt_of(&accel_g.into());
        }
        reading
    }

    /// The second board of the line, if there is one now.
    fn twin_says(&mut self, timeline: &Timeline, until_s: f64, said: &mut Vec<Vec<u8>>) {
        let of = self.plan.on(until_s).find_map(|fault| match fault.kind {
            FaultKind::Twin { of } => self.others.iter().find(|other| other.mount == of),
            _ => None,
        });
        let Some(of) = of else {
            self.twin = None;
            return;
        };
        let (seed, wire) = (self.seed ^ TWIN, self.spec().wire.clone());
        let twin = self.twin.get_or_insert_with(|| {
            let mut spec = of.clone();
            spec.wire = wire;
            let mut twin = BoardSampler::new(spec, seed);
            twin.switch_on(until_s, TWIN_AHEAD_S);
            Box::new(twin)
        });
        while twin.due_s() <= until_s {
            let (_, reading) = twin.read(timeline);
            let mut bytes = Vec::new();
            self.encoder.encode(&reading, &mut bytes);
            said.push(bytes);
        }
    }

    fn encoded(&self, reading: &Reading) -> Vec<u8> {
        let mut bytes = Vec::new();
        self.encoder.encode(reading, &mut bytes);
        bytes
    }

    /// What arrives by an instant of all that was said.
    pub fn carries(&mut self, said: Vec<Vec<u8>>, now_s: f64) -> Carried {
        self.bytes.carry(said, &self.plan, now_s)
    }
}
