//! Findings on their way to the broker.
//!
//! Whoever finds something puts it in and never waits. One connection at a time takes them out,
//! oldest first; a finding stays in until the broker has said that it has it, so a connection
//! that breaks off loses none. Whoever puts it in may have kept it on disk under a number; those
//! numbers come out again when a finding need not be kept any more.

use std::collections::{BTreeMap, VecDeque};
use std::sync::{Mutex, MutexGuard, PoisonError};

use tokio::sync::Notify;

/// Most findings that wait: some forty swings of both wheels during one outage, 200 kB of memory.
/// When it is full the oldest goes and is counted; it stands in the visit all the same.
pub(crate) const MOST_WAITING: usize = 512;

/// A document and where it belongs; an empty one takes what stands there away.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Letter {
    /// The rest of the topic, behind the prefix.
    pub(crate) topic: String,
    /// The document.
    pub(crate) document: Vec<u8>,
}

/// Findings on their way.
#[derive(Debug, Default)]
pub(crate) struct Outbox {
    inner: Mutex<Inner>,
    filled: Notify,
    done: Notify,
}

#[derive(Debug, Default)]
struct Inner {
    waiting: VecDeque<Waiting>,
    /// What stands at each topic by what was put in so far. Bounded by the number of topics.
    standing: BTreeMap<String, Vec<u8>>,
    /// Topics that are told once more on this connection: the broker may have forgotten them.
    again: VecDeque<String>,
    /// Numbers of those that need not be kept any more. Bounded by what was put in and not taken out.
    done: Vec<i64>,
    dropped: u64,
}

#[derive(Debug)]
struct Waiting {
    letter: Letter,
    kept: Option<i64>,
    sent_as: Option<u16>,
}

impl Outbox {
    fn lock(&self) -> MutexGuard<'_, Inner> {
        self.inner.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts a letter in, which is kept under a number.
    pub(crate) fn put(&self, letter: Letter, kept: Option<i64>) {
        let mut inner = self.lock();
        if letter.document.is_empty() {
            inner.standing.remove(&letter.topic);
        } else {
            inner
                .standing
                .insert(letter.topic.clone(), letter.document.clone());
        }
        if inner.waiting.len() >= MOST_WAITING {
            let oldest = inner.waiting.pop_front();
            inner.done.extend(oldest.and_then(|oldest| oldest.kept));
            inner.dropped += 1;
        }
        inner.waiting.push_back(Waiting {
            letter,
            kept,
            sent_as: None,
        });
        drop(inner);
        self.filled.notify_one();
    }

    /// Topics at which something stands.
    pub(crate) fn standing(&self) -> Vec<String> {
        self.lock().standing.keys().cloned().collect()
    }

    /// Does this stand at its topic?
    pub(crate) fn stands(&self, letter: &Letter) -> bool {
        self.lock().standing.get(&letter.topic) == Some(&letter.document)
    }

    /// A new connection begins: what was not taken is sent again, and what stands is told anew.
    pub(crate) fn begin(&self) {
        let mut inner = self.lock();
        for waiting in &mut inner.waiting {
            waiting.sent_as = None;
        }
        let to_come: Vec<&str> = inner
            .waiting
            .iter()
            .map(|waiting| waiting.letter.topic.as_str())
            .collect();
        let again = inner
            .standing
            .keys()
            .filter(|topic| !to_come.contains(&topic.as_str()))
            .cloned()
            .collect();
        inner.again = again;
    }

    /// The next letter to send, if there is one; it goes out under `number`.
    pub(crate) fn next(&self, number: impl FnOnce() -> Option<u16>) -> Option<(Letter, u16)> {
        let mut inner = self.lock();
        while let Some(topic) = inner.again.front().cloned() {
            let Some(document) = inner.standing.get(&topic).cloned() else {
                // Taken away since.
                inner.again.pop_front();
                continue;
            };
            let number = number()?;
            inner.again.pop_front();
            return Some((Letter { topic, document }, number));
        }
        let waiting = inner
            .waiting
            .iter_mut()
            .find(|waiting| waiting.sent_as.is_none())?;
        let number = number()?;
        waiting.sent_as = Some(number);
        Some((waiting.letter.clone(), number))
    }

    /// The broker has what went out under `number`, or will never take it. Gives its topic.
    pub(crate) fn settle(&self, number: u16) -> Option<String> {
        let mut inner = self.lock();
        let at = inner
            .waiting
            .iter()
            .position(|waiting| waiting.sent_as == Some(number))?;
        let settled = inner.waiting.remove(at)?;
        inner.done.extend(settled.kept);
        drop(inner);
        self.done.notify_one();
        Some(settled.letter.topic)
    }

    /// Waits until something need not be kept any more.
    pub(crate) async fn done(&self) {
        self.done.notified().await;
    }

    /// What need not be kept any more since this was last asked.
    pub(crate) fn take_done(&self) -> Vec<i64> {
        std::mem::take(&mut self.lock().done)
    }

    /// Waits until something was put in.
    pub(crate) async fn filled(&self) {
        self.filled.notified().await;
    }

    /// How many are not yet with the broker, and how many were given up.
    pub(crate) fn counts(&self) -> (usize, u64) {
        let inner = self.lock();
        (inner.waiting.len(), inner.dropped)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letter(topic: &str, document: &str) -> Letter {
        Letter {
            topic: topic.to_owned(),
            document: document.as_bytes().to_vec(),
        }
    }

    /// Everything that would go out now.
    fn sent(outbox: &Outbox) -> Vec<(String, u16)> {
        let mut number = 0;
        let mut sent = Vec::new();
        while let Some((letter, number)) = outbox.next(|| {
            number += 1;
            Some(number)
        }) {
            let told = String::from_utf8(letter.document).unwrap();
            sent.push((format!("{} {told}", letter.topic), number));
        }
        sent
    }

    fn owned(sent: &[(&str, u16)]) -> Vec<(String, u16)> {
        sent.iter().map(|(t, n)| ((*t).to_owned(), *n)).collect()
    }

    #[test]
    fn what_was_not_taken_is_sent_again_and_in_order() {
        let outbox = Outbox::default();
        for number in 1..=3 {
            outbox.put(letter("a", &number.to_string()), None);
        }
        assert_eq!(sent(&outbox), owned(&[("a 1", 1), ("a 2", 2), ("a 3", 3)]));
        assert_eq!(outbox.settle(2), Some("a".to_owned()));
        assert_eq!(outbox.settle(2), None);
        assert_eq!(sent(&outbox), []);
        assert_eq!(outbox.counts(), (2, 0));
        outbox.begin();
        assert_eq!(sent(&outbox), owned(&[("a 1", 1), ("a 3", 2)]));
    }

    #[test]
    fn a_new_connection_is_told_what_stands_and_not_what_was_taken_away() {
        let outbox = Outbox::default();
        outbox.put(letter("a", "1"), None);
        outbox.put(letter("b", "1"), None);
        for (_, number) in sent(&outbox) {
            outbox.settle(number);
        }
        outbox.put(letter("b", "2"), None);
        outbox.put(letter("c", "1"), None);
        outbox.put(letter("c", ""), None);
        outbox.begin();
        // First what stands and has nothing newer to come, then what waits.
        let expected = [("a 1", 1), ("b 2", 2), ("c 1", 3), ("c ", 4)];
        assert_eq!(sent(&outbox), owned(&expected));
        assert_eq!(outbox.standing(), ["a", "b"]);
    }

    #[test]
    fn it_never_grows_beyond_its_bound_and_counts_what_it_gives_up() {
        let outbox = Outbox::default();
        for number in 0..MOST_WAITING + 10 {
            outbox.put(letter("a", &number.to_string()), None);
        }
        assert_eq!(outbox.counts(), (MOST_WAITING, 10));
        assert_eq!(sent(&outbox)[0].0, "a 10");
    }

    #[test]
    fn without_a_number_nothing_goes_out_and_nothing_is_lost() {
        let outbox = Outbox::default();
        outbox.put(letter("a", "1"), None);
        assert_eq!(outbox.next(|| None), None);
        assert_eq!(sent(&outbox).len(), 1);
    }

    #[test]
    fn what_was_kept_is_told_when_it_need_not_be_any_more() {
        let outbox = Outbox::default();
        for number in 0..=i64::try_from(MOST_WAITING).unwrap() {
            outbox.put(letter("a", &number.to_string()), Some(number));
        }
        // The first had to go.
        assert_eq!(outbox.take_done(), [0]);
        let sent = sent(&outbox);
        outbox.settle(sent[1].1);
        assert_eq!(outbox.take_done(), [2]);
        assert_eq!(outbox.take_done(), [0; 0]);
    }
}
