//! Real wires: one pseudo-terminal per board, named `<folder>/<mount>`.

mod answering;
mod board_thread;
mod live;
mod mishear;
mod port;

pub use live::{LiveSim, SimBoard};
pub use mishear::{Mishearing, misheard};
