//! The lines to the boards: finding ports, opening them, noticing that they
//! went, and reading what they say. Nothing here writes to a board, and
//! nothing here knows what a reading means.

mod backoff;
mod foreseen;
mod identity;
mod line_watch;
mod listen;
mod refusal;
mod run;
mod serial;
mod status;
mod target;
mod timing;
mod transport;
mod ways;

#[cfg(test)]
mod tests;

pub use backoff::Backoff;
pub use foreseen::{foreseen, grabbers};
pub use identity::{FoundPort, PortTree};
pub use line_watch::{LineState, LineWatch};
pub use refusal::{Holder, Membership, Permission};
pub use run::{LinkSettings, Observer, run};
pub use serial::{SerialLine, SerialTransport};
pub use status::{LinkState, LinkStatus, Speech, Unreadable};
pub use target::{BadTarget, Target};
pub use timing::{CANDIDATE_BAUDS, Timing};
pub use transport::{About, Line, OpenError, Transport};
pub use ways::Ways;
