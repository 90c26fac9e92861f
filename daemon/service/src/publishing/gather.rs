//! The task that puts findings into the outbox as they are made.
//!
//! While a visit is at hand its entries are what is published: so figures that were typed go out,
//! too, what was taken back is taken back, and after a start of the daemon in the middle of a
//! visit nothing of it is missing. Without a visit it is what swings and checks find.
//!
//! Whatever goes into the outbox is kept in the store until the broker has it, so it goes out after
//! the daemon was ended or killed, too. Ended between the broker's word and the store's it goes out
//! twice; its `id` tells.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use time::OffsetDateTime;
use tokio::sync::watch;
use tokio_util::sync::CancellationToken;

use super::document::{FindingDocument, finding_topic, written};
use super::outbox::{Letter, MOST_WAITING, Outbox};
use crate::car::CarRecord;
use crate::checking::CheckSnapshot;
use crate::present::{self, Provenance};
use crate::store::{Store, StoreFault, Unsent};
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
        self.go_on().await;
        loop {
            self.look_at_visit(&mut seen).await;
            let more = tokio::select! {
                () = stop.cancelled() => false,
                changed = self.swing.changed() => changed.is_ok(),
                changed = self.check.changed() => changed.is_ok(),
                changed = at_hand.changed() => changed.is_ok(),
                () = self.outbox.done() => true,
            };
            self.forget().await;
            if !more {
                return;
            }
            let outside = at_hand.borrow_and_update().is_none();
            self.look_at_runs(&mut seen, outside).await;
        }
    }

    /// Goes on with what the broker did not have when the daemon ended.
    async fn go_on(&self) {
        match self.desk.run(Store::unsent).await {
            Ok(unsent) => {
                for Unsent {
                    id,
                    topic,
                    document,
                } in unsent
                {
                    self.outbox.put(Letter { topic, document }, Some(id));
                }
            }
            Err(fault) => tracing::warn!("what was not published before is not now: {fault}"),
        }
    }

    /// What the broker has need not be kept.
    async fn forget(&self) {
        let done = self.outbox.take_done();
        if done.is_empty() {
            return;
        }
        let forgotten = self.desk.run(move |store| store.forget_unsent(&done)).await;
        if let Err(fault) = forgotten {
            tracing::warn!("what is published may be published again: {fault}");
        }
    }

    /// Keeps letters and puts them in. What cannot be kept goes out all the same, while the daemon lives.
    async fn put(&self, letters: Vec<Letter>) {
        if letters.is_empty() {
            return;
        }
        let documents: Vec<_> = letters
            .iter()
            .map(|letter| (letter.topic.clone(), letter.document.clone()))
            .collect();
        let kept = self
            .desk
            .run(move |store| store.keep_unsent(&documents, MOST_WAITING))
            .await;
        let kept = kept.unwrap_or_else(|fault| {
            tracing::warn!("a finding that is to be published is not kept: {fault}");
            Vec::new()
        });
        let mut kept = kept.into_iter();
        for letter in letters {
            self.outbox.put(letter, kept.next());
        }
    }

    /// Swings and checks that ended; they go out from here only outside a visit.
    async fn look_at_runs(&mut self, seen: &mut Seen, outside: bool) {
        let swing = self.swing.borrow_and_update().clone();
        let over = swing.current.as_ref().is_some_and(Current::is_over);
        if over && swing.run > seen.swing {
            seen.swing = swing.run;
            if outside {
                let car = CarRecord::default();
                let run = present::swing_run(&swing, &car, Stage::Before, Vec::new());
                self.put_outside(run, "swing", swing.run).await;
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
                self.put_outside(run, "check", check.run).await;
            }
        }
    }

    async fn put_outside(&self, run: Option<Run>, kind: &str, number: u64) {
        let Some(run) = run else { return };
        let provenance = Provenance {
            at: written(OffsetDateTime::now_utc()),
            id: format!("{}/{kind}/{number}", self.life),
            visit: None,
        };
        let documents = present::published(&run, &provenance);
        self.put(letters(&documents)).await;
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
            let mut stands: BTreeMap<String, Letter> = standing(at_hand.id, &entries)
                .values()
                .filter_map(|document| Some((document.topic(), document.letter()?)))
                .collect();
            let mut put = Vec::new();
            for topic in self.outbox.standing() {
                // It is, where the daemon was ended before the broker had it.
                if stands
                    .get(&topic)
                    .is_some_and(|new| self.outbox.stands(new))
                {
                    stands.remove(&topic);
                } else {
                    put.push(taken_away(topic));
                }
            }
            seen.visit = Some(at_hand.id);
            seen.entry = 0;
            put.extend(stands.into_values());
            self.put(put).await;
        } else {
            self.put(follow(at_hand.id, &entries, seen.entry)).await;
        }
        seen.entry = entries.last().map_or(seen.entry, |last| last.number);
    }

    async fn entries(&self, visit: i64) -> Result<Vec<Noted<Entry>>, StoreFault> {
        self.desk.run(move |store| store.entries(visit)).await
    }
}

/// What entries behind `after` change.
fn follow(visit: i64, entries: &[Noted<Entry>], after: u32) -> Vec<Letter> {
    let mut put = Vec::new();
    for entry in entries.iter().filter(|entry| entry.number > after) {
        match &entry.what {
            Entry::Run(run) => put.extend(letters(&documents(visit, entry, run))),
            Entry::TakenBack { number, .. } => {
                let standing = standing(visit, entries);
                for topic in topics_of(entries, *number) {
                    match standing.get(&topic) {
                        Some(document) => put.extend(document.letter()),
                        None => put.push(taken_away(topic)),
                    }
                }
            }
            _ => {}
        }
    }
    put
}

const fn taken_away(topic: String) -> Letter {
    Letter {
        topic,
        document: Vec::new(),
    }
}

fn letters(documents: &[FindingDocument]) -> Vec<Letter> {
    documents
        .iter()
        .filter_map(FindingDocument::letter)
        .collect()
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
