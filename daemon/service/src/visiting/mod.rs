//! The visit at hand, and the way to everything that is stored.

pub mod recompute;
mod scribe;
pub mod standing;
pub mod toe;

use std::path::PathBuf;
use std::sync::Arc;

use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;
use tokio::sync::watch;

use crate::calibration_store::CalibrationStore;
use crate::store::{NewEntry, Recording, Store, StoreFault};
use crate::visit::Entry;

pub use scribe::{Scribe, Watched};

/// The visit into which finished procedures go.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AtHand {
    /// Number of the visit.
    pub id: i64,
    /// Number of its last entry.
    pub entries: u32,
}

/// Way to cars and visits, for handlers and for the scribe.
#[derive(Debug, Clone)]
pub struct VisitDesk {
    store: Result<Store, StoreFault>,
    at_hand: Arc<watch::Sender<Option<AtHand>>>,
}

impl VisitDesk {
    /// A desk over a store, or over the reason why there is none.
    pub fn new(store: Result<Store, StoreFault>) -> Self {
        let desk = Self {
            store,
            at_hand: Arc::new(watch::Sender::new(None)),
        };
        if let Ok(store) = &desk.store {
            match look(store) {
                Ok(at_hand) => drop(desk.at_hand.send_replace(at_hand)),
                Err(fault) => tracing::error!("{fault} {}", fault.meaning()),
            }
        }
        desk
    }

    /// The desk whose file lies beside a folder of calibrations. The daemon runs without it
    /// too: the page then says why nothing can be kept.
    pub fn beside(calibrations: &CalibrationStore) -> Self {
        let opened = calibrations
            .folder()
            .map_or(Err(StoreFault::NoFolder), |folder| {
                Store::open(&folder.join(Store::FILE))
            });
        if let Err(fault) = &opened {
            tracing::error!("{fault} {} {}", fault.meaning(), fault.remedy());
        }
        Self::new(opened)
    }

    /// The store.
    pub fn store(&self) -> Result<&Store, StoreFault> {
        self.store.as_ref().map_err(Clone::clone)
    }

    /// Where recordings lie until they are stored; none where nothing is stored on a disk.
    pub fn recordings(&self) -> Option<PathBuf> {
        let folder = self.store.as_ref().ok()?.file()?.parent()?;
        Some(folder.join("swings"))
    }

    /// The visit at hand, as it changes.
    pub fn at_hand(&self) -> watch::Receiver<Option<AtHand>> {
        self.at_hand.subscribe()
    }

    /// Does something with the store, and tells whoever watches what became of the visit at hand.
    pub async fn run<T, F>(&self, act: F) -> Result<T, StoreFault>
    where
        T: Send + 'static,
        F: FnOnce(&Store) -> Result<T, StoreFault> + Send + 'static,
    {
        let (result, at_hand) = self
            .store()?
            .run(|store| {
                let result = act(store)?;
                Ok((result, look(store)?))
            })
            .await?;
        self.at_hand.send_if_modified(|before| {
            let changed = *before != at_hand;
            *before = at_hand;
            changed
        });
        Ok(result)
    }

    /// Adds an entry to a visit and gives its number.
    pub async fn add(
        &self,
        visit: i64,
        ask: Option<String>,
        what: Entry,
        recordings: Vec<Recording>,
    ) -> Result<u32, StoreFault> {
        let entry = NewEntry {
            ask,
            at: now(),
            what,
            recordings,
        };
        self.run(move |store| store.add(visit, &entry)).await
    }
}

fn look(store: &Store) -> Result<Option<AtHand>, StoreFault> {
    let Some(id) = store.at_hand()? else {
        return Ok(None);
    };
    Ok(Some(AtHand {
        id,
        entries: store.last_entry(id)?,
    }))
}

/// The time now, RFC 3339 in UTC to the second.
pub fn now() -> String {
    OffsetDateTime::now_utc()
        .replace_nanosecond(0)
        .unwrap_or(OffsetDateTime::UNIX_EPOCH)
        .format(&Rfc3339)
        .unwrap_or_default()
}
