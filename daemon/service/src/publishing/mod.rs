//! Findings and live angles for other programs, by MQTT 5 (docs/PUBLISH.md).
//!
//! One task gathers findings into an outbox that keeps a bounded number of them, and the store keeps
//! them too until the broker has them; another keeps a connection to the broker and empties it. Live angles are read where they are at the moment
//! they can be sent, and never wait. Nothing of the measuring waits for either.

mod dial;
mod document;
mod gather;
mod keep;
mod lost;
mod outbox;
mod pace;
mod session;
#[cfg(test)]
mod tests;
mod wire;

use std::sync::Arc;
use std::time::Duration;

use tokio::sync::watch;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

pub use document::{
    FindingDocument, LiveAngle, LiveDocument, LiveQuantity, LiveReading, Published,
};
pub use lost::Lost;
pub(crate) use lost::written as reason_code;

use crate::board::Boards;
use crate::checking::CheckSnapshot;
use crate::clock::DaemonClock;
use crate::config::PublishConfig;
use crate::present;
use crate::swing::SwingSnapshot;
use crate::visiting::VisitDesk;
use dial::Network;
use gather::Gatherer;
use keep::{Keeper, ReadLive};
use outbox::Outbox;

/// How it stands with the broker.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Link {
    /// Nothing is to be published.
    #[default]
    Off,
    /// The broker is called for the first time.
    Calling,
    /// The broker is there.
    Up {
        /// A topic that it did not take a finding for, and its reason code; none: too large.
        untaken: Option<(String, Option<u8>)>,
    },
    /// It is not there, and is called again by and by.
    Down(Lost),
}

impl Link {
    const fn is_up(&self) -> bool {
        matches!(self, Self::Up { .. })
    }
}

/// What is published comes from here.
#[derive(Debug)]
pub struct Given {
    /// All boards, as they are.
    pub boards: Boards,
    /// The daemon's time.
    pub clock: DaemonClock,
    /// Visits.
    pub desk: VisitDesk,
    /// The swing.
    pub swing: watch::Receiver<SwingSnapshot>,
    /// The checks.
    pub check: watch::Receiver<CheckSnapshot>,
}

/// How publishing stands, for who shows it.
#[derive(Debug, Clone)]
pub struct Publishing {
    broker: String,
    link: watch::Receiver<Link>,
    outbox: Arc<Outbox>,
}

/// How publishing stands at a moment.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PublishingNow {
    /// The broker as the configuration writes it.
    pub broker: String,
    /// Is it there?
    pub link: Link,
    /// Findings that it does not have yet.
    pub waiting: usize,
    /// Findings that were given up because too many waited.
    pub given_up: u64,
}

impl Publishing {
    /// Starts what the configuration asks for.
    pub fn start(
        config: &PublishConfig,
        given: Given,
        tasks: &TaskTracker,
        stop: &CancellationToken,
    ) -> Self {
        let outbox = Arc::new(Outbox::default());
        let Some(mqtt) = config.mqtt.clone() else {
            // The sender may go: what stands stays.
            let (_, link) = watch::channel(Link::Off);
            return Self {
                broker: String::new(),
                link,
                outbox,
            };
        };
        let broker = mqtt.broker();
        let (tell, link) = watch::channel(Link::Calling);
        let Given {
            boards,
            clock,
            desk,
            swing,
            check,
        } = given;
        if mqtt.findings {
            let gatherer = Gatherer {
                desk,
                swing,
                check,
                outbox: outbox.clone(),
                life: uuid::Uuid::new_v4().to_string(),
            };
            tasks.spawn(gatherer.run(stop.clone()));
        }
        let read: ReadLive =
            Box::new(move || present::live_readings(&boards.borrow(), clock.now()));
        let keeper = Keeper {
            outbox: outbox.clone(),
            live: mqtt
                .live
                .then(|| (read, Duration::from_secs_f64(1.0 / mqtt.live_hz))),
            deadband_deg: mqtt.deadband_deg,
            link: tell,
            dial: Network::new(mqtt),
        };
        tasks.spawn(keeper.run(stop.clone()));
        Self {
            broker,
            link,
            outbox,
        }
    }

    /// How it stands now.
    pub fn now(&self) -> PublishingNow {
        let (waiting, given_up) = self.outbox.counts();
        let link = self.link.borrow().clone();
        PublishingNow {
            broker: self.broker.clone(),
            // While the broker is there they are under way and would only flicker.
            waiting: if link.is_up() { 0 } else { waiting },
            link,
            given_up,
        }
    }
}
