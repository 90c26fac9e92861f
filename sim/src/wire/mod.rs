//! Real wires: one pseudo-terminal per board, named `<folder>/<mount>`, or a network
//! connection on this machine.

mod air;
mod answering;
#[cfg(feature = "bluetooth")]
pub mod bluetooth;
mod board_thread;
mod live;
mod mishear;
mod outlet;
mod port;
mod speaker;
mod tcp;
mod udp;

pub use live::{LiveSim, SimBoard};
pub use mishear::{Mishearing, misheard};
pub use speaker::Speaker;
