//! The ways from this machine to its boards.

use tokio_util::sync::CancellationToken;

use super::identity::PortTree;
use super::run::{LinkSettings, Observer, run};
use super::serial::SerialTransport;
use super::target::Target;
use crate::journal::PlayedTransport;

/// What the links of one daemon share.
#[derive(Debug, Clone)]
pub struct Ways {
    /// Where serial ports are looked up.
    pub ports: PortTree,
}

impl Ways {
    /// The ways of the running system.
    pub fn system() -> Self {
        Self {
            ports: PortTree::system(),
        }
    }

    /// Runs the link to `target` until `stop`.
    pub async fn run<O: Observer>(
        self,
        target: Target,
        settings: LinkSettings,
        observer: O,
        stop: CancellationToken,
    ) {
        match target {
            Target::Played(played) => {
                run(PlayedTransport::new(played), settings, observer, stop).await;
            }
            Target::Path(_) | Target::Identity(_) => {
                let transport = SerialTransport::new(target, self.ports);
                run(transport, settings, observer, stop).await;
            }
        }
    }

    /// The name that stays with a board while the ways to it are numbered anew.
    pub fn identity(&self, target: &Target) -> String {
        let named = target.to_string();
        match target {
            Target::Played(_) => named,
            Target::Path(_) | Target::Identity(_) => {
                match <[_; 1]>::try_from(self.ports.find(&named)) {
                    Ok([port]) => port.id,
                    Err(_) => named,
                }
            }
        }
    }
}
