//! The task that puts findings into the outbox as they are made.
//!
//! While a visit is at hand its entries are what is published: so figures that were typed go out,
//! too, what was taken back is taken back, and after a start of the daemon in the middle of a
//! visit nothing of it is missing. Without a visit it is what swings and checks find.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use time::OffsetDateTime;
use tokio::sync::watch;
use tokio_util::sync::CancellationToken;

use super::document::{FindingDocument, finding_topic, written};
use super::outbox::{Letter, Outbox};
use crate::car::CarRecord;
use crate::checking::CheckSnapshot;
use crate::present::{self, Provenance};
use crate::store::StoreFault;
use crate::swing::{Current, SwingSnapshot};
use crate::visit::{Entry, Noted, Run, Stage};
use crate::visiting::VisitDesk;

/// See the module.
#[derive(Debug)]
pub(crate) struct Gatherer {
    pub(crate) desk: VisitDesk,
    pub(crate) swing: watch::Receiver<SwingSnapshot>,
    pub(crate) check: watch::Receiver<CheckSnapshot>,
    pub(crate) outbox: Arc<Outbox>,
    /// Tells this life of the daemon from others: runs begin anew with each.
    pub(crate) life: String,
}

/// How far it is.
#[derive(Debug, Default)]
struct Seen {
    swing: u64,
    check: u64,
    visit: Option<i64>,
    entry: u32,
}

impl Gatherer {
    /// Runs until `stop`.
    pub(crate) async fn run(mut self, stop: CancellationToken) {
        let mut seen = Seen::default();
        let mut at_hand = self.desk.at_hand();
        loop {
            self.look_at_visit(&mut seen).await;
            let more = tokio::select! {
                () = stop.cancelled() => false,
                changed = self.swing.changed() => changed.is_ok(),
                changed = self.check.changed() => changed.is_ok(),
                changed = at_hand.changed() => changed.is_ok(),
            };
            if !more {
                return;
            }
            let outside = at_hand.borrow_and_update().is_none();
            self.look_at_runs(&mut seen, outside);
        }
    }

    /// Swings and checks that ended; they go out from here only outside a visit.
    fn look_at_runs(&mut self, seen: &mut Seen, outside: bool) {
        let swing = self.swing.borrow_and_update().clone();
        let over = swing.current.as_ref().is_some_and(Current::is_over);
        if over && swing.run > seen.swing {
            seen.swing = swing.run;
            if outside {
                let car = CarRecord::default();
                let run = present::swing_run(&swing, &car, Stage::Before, Vec::new());
                self.put_outside(run, "swing", swing.run);
            }
        }
        let found = self.check.borrow_and_update().found.clone();
        for check in found {
            if check.run <= seen.check {
                continue;
            }
            seen.check = check.run;
            if outside {
                let car = CarRecord::default();
                let run = present::check_run(&check, &car, Stage::Before, Vec::new());
                self.put_outside(run, "check", check.run);
            }
        }
    }

    fn put_outside(&self, run: Option<Run>, kind: &str, number: u64) {
        let Some(run) = run else { return };
        let provenance = Provenance {
            at: written(OffsetDateTime::now_utc()),
            id: format!("{}/{kind}/{number}", self.life),
            visit: None,
        };
        for document in present::published(&run, &provenance) {
            self.put(&document);
        }
    }

    fn put(&self, document: &FindingDocument) {
        if let Some(letter) = document.letter() {
            self.outbox.put(letter);
        }
    }

    /// What was added to the visit at hand.
    async fn look_at_visit(&self, seen: &mut Seen) {
        let at_hand = *self.desk.at_hand().borrow();
        let Some(at_hand) = at_hand else { return };
        let another = seen.visit != Some(at_hand.id);
        if !another && at_hand.entries <= seen.entry {
            return;
        }
        let entries = match self.entries(at_hand.id).await {
            Ok(entries) => entries,
            Err(fault) => {
                tracing::warn!("findings of the visit are not published: {fault}");
                return;
            }
        };
        if another {
            // It may be another car: what stands is not of it.
            for topic in self.outbox.standing() {
                self.take_away(topic);
            }
            seen.visit = Some(at_hand.id);
            seen.entry = 0;
            for document in standing(at_hand.id, &entries).into_values() {
                self.put(&document);
            }
        } else {
            self.follow(at_hand.id, &entries, seen.entry);
        }
        seen.entry = entries.last().map_or(seen.entry, |last| last.number);
    }

    async fn entries(&self, visit: i64) -> Result<Vec<Noted<Entry>>, StoreFault> {
        self.desk.run(move |store| store.entries(visit)).await
    }

    /// Entries behind `after`.
    fn follow(&self, visit: i64, entries: &[Noted<Entry>], after: u32) {
        for entry in entries.iter().filter(|entry| entry.number > after) {
            match &entry.what {
                Entry::Run(run) => {
                    for document in documents(visit, entry, run) {
                        self.put(&document);
                    }
                }
                Entry::TakenBack { number, .. } => {
                    let mut standing = standing(visit, entries);
                    for topic in topics_of(entries, *number) {
                        match standing.remove(&topic) {
                            Some(document) => self.put(&document),
                            None => self.take_away(topic),
                        }
                    }
                }
                _ => {}
            }
        }
    }

    fn take_away(&self, topic: String) {
        self.outbox.put(Letter {
            topic,
            document: Vec::new(),
        });
    }
}

fn documents(visit: i64, entry: &Noted<Entry>, run: &Run) -> Vec<FindingDocument> {
    let provenance = Provenance {
        at: entry.at.clone(),
        id: format!("visit/{visit}/{}", entry.number),
        visit: Some((visit, entry.number)),
    };
    present::published(run, &provenance)
}

/// Topics of the findings of an entry.
fn topics_of(entries: &[Noted<Entry>], number: u32) -> Vec<String> {
    let entry = entries.iter().find(|entry| entry.number == number);
    match entry.map(|entry| &entry.what) {
        Some(Entry::Run(run)) => run
            .findings
            .iter()
            .map(|finding| finding_topic(finding.place, finding.quantity))
            .collect(),
        _ => Vec::new(),
    }
}

/// The newest finding of each topic that was not taken back.
fn standing(visit: i64, entries: &[Noted<Entry>]) -> BTreeMap<String, FindingDocument> {
    let gone: BTreeSet<u32> = entries
        .iter()
        .filter_map(|entry| match entry.what {
            Entry::TakenBack { number, .. } => Some(number),
            _ => None,
        })
        .collect();
    let mut standing = BTreeMap::new();
    for entry in entries {
        if let Entry::Run(run) = &entry.what
            && !gone.contains(&entry.number)
        {
            for document in documents(visit, entry, run) {
                standing.insert(document.topic(), document);
            }
        }
    }
    standing
}

#[cfg(test)]
mod tests;
