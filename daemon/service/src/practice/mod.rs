//! A simulated car for whoever wants to try: on real ports, measured like any other, and
//! kept apart from everything that is real.
//!
//! [`driver`] and [`hands`] do what the page asks; `hubplumb demo` uses them as well.
//! [`desk`] runs one practice inside a daemon: a second daemon on simulated boards with
//! its store in a temporary folder, served under [`PATH`] of the same address.

pub(crate) mod car;
mod desk;
pub(crate) mod driver;
mod follow;
pub(crate) mod hands;
#[cfg(test)]
mod tests;

use hubplumb_sim::SimError;
use thiserror::Error;

pub use desk::{Practice, PracticeDesk, PracticeState, forward};

use crate::store::StoreFault;
use crate::swing::WishError;
use crate::text;
use crate::text::Text;

/// Under which path of the page a practice is served.
pub const PATH: &str = "/practice";

/// What goes wrong with a simulated car.
#[derive(Debug, Error)]
pub enum PracticeFault {
    /// There is no folder for its ports and its store.
    #[error("there is no folder for the simulated car: {0}")]
    Folder(std::io::Error),
    /// The simulator does not do it.
    #[error("the simulated car does not do that: {0}")]
    Sim(#[from] SimError),
    /// The scenario or the record that come with the program cannot be read.
    #[error("the simulated car cannot be read: {0}")]
    Unreadable(String),
    /// Its store cannot be used.
    #[error(transparent)]
    Store(#[from] StoreFault),
    /// Its boards are not read.
    #[error("not every simulated board is read")]
    NotRead,
    /// The swing is not started.
    #[error("the swing does not start: {0}")]
    NotStarted(WishError),
    /// The swing does not end.
    #[error("the swing did not come to an end")]
    NoEnd,
    /// The daemon has ended.
    #[error("the daemon has ended")]
    Ended,
    /// Somebody practises already.
    #[error("somebody practises already")]
    Runs,
    /// This is the practice.
    #[error("this is the practice itself")]
    Inside,
    /// Nobody practises.
    #[error("nobody practises")]
    NotRunning,
}

impl PracticeFault {
    /// What to do about it.
    pub fn remedy(&self) -> Text {
        match self {
            Self::Folder(_) => text!("Make room in the temporary folder."),
            Self::Sim(_) => text!("Start again, or choose another scenario."),
            Self::Unreadable(_) => {
                text!("The program is at fault, not you: report this with the version.")
            }
            Self::Store(fault) => fault.remedy(),
            Self::NotRead | Self::NotStarted(_) | Self::NoEnd => {
                text!("Look at the boards' troubles on the page.")
            }
            Self::Ended => text!("Start it again."),
            Self::Runs => text!("Open /practice/ to join in, or end it there."),
            Self::Inside => text!("End this practice first."),
            Self::NotRunning => text!("Start one on the page."),
        }
    }
}
