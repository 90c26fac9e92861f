//! A car, its floor and the sensor boards on its hubs: real wires out, the truth beside them.
//!
//! The simulator shares no code with the estimation it is used to judge. It knows how a steered
//! wheel moves ([`car`]), what the operator does with it ([`motion`]), what a cheap chip makes of
//! that ([`board`]) and what goes over the wire ([`wire`]); all of it comes from a scenario file
//! ([`Scenario`]) and a seed.
//!
//! Degrees appear in files, in [`motion::Step`] and in [`Truth`]; everything else is in radians.

pub mod board;
pub mod car;
mod error;
pub mod fault;
mod jet;
pub mod judge;
pub mod motion;
mod render;
mod scenario;
mod stance;
mod truth;
pub mod wire;

pub use board::{Gatt, LinkKind, LinkSpec};
pub use car::{Mount, Wheel};
pub use error::SimError;
pub use fault::{Fault, FaultDraw, FaultKind, FaultName, FaultPlan};
pub use jet::Jet;
pub use motion::{Script, ScriptError, Step};
pub use render::{Recording, case_csv, render, render_case_csv};
pub use scenario::{Scenario, ScenarioError};
pub use stance::{Stance, StringReading, TapeReader, TrammelReading, light_spot_m};
pub use truth::{
    BoardTruth, FloorTruth, PlateReader, RestTruth, RestWheelTruth, Truth, WheelTruth,
};
pub use wire::{LiveSim, SimBoard, Speaker};
