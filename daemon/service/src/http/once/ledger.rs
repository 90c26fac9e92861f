//! Which commands were taken on, and what was answered. Pure: times come in from outside.

use std::collections::HashMap;
use std::time::Duration;

use axum::body::Bytes;
use axum::http::{HeaderMap, StatusCode};
use tokio::sync::watch;
use tokio::time::Instant;

/// Most keys that are kept. A page makes one for each press; one a second from each of the four
/// tablets that a garage may hold fills this only after a minute, four times as long as a page
/// goes on sending the same command again.
pub(super) const MOST_KEYS: usize = 256;

/// Most bytes of answers that are kept. A visit with all its runs is some hundred kilobytes; the
/// daemon may run on a board with half a gigabyte.
pub(super) const MOST_BYTES: usize = 8 * 1024 * 1024;

/// How long a key is kept: far longer than a page sends the same command again (15 s), also when
/// the network held its last try back for some minutes.
pub(super) const LONGEST: Duration = Duration::from_secs(600);

/// A key younger than this is not given up for another: its page may be about to send it again.
pub(super) const YOUNG: Duration = Duration::from_secs(60);

/// An answer as it was given, to be given again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Answered {
    pub(super) status: StatusCode,
    pub(super) headers: HeaderMap,
    pub(super) body: Bytes,
}

/// What became of a command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Fate {
    /// It is being done.
    Running,
    /// It was done and answered.
    Done(Answered),
    /// It was done; its answer was given up for newer ones.
    Forgotten,
}

/// What a request is recognised by beside its key: SHA-256 over method, address and body.
pub(super) type Print = [u8; 32];

/// How a request with a key is to be treated.
#[derive(Debug)]
pub(super) enum Entry {
    /// Nobody asked under this key: do it, and tell the outcome.
    New(watch::Sender<Fate>),
    /// It was asked before: wait until it is no longer running, and give the same answer.
    Known(watch::Receiver<Fate>),
    /// The key belongs to another request.
    Other,
    /// Too many young keys: nothing can be taken on without giving one of them up.
    Full,
}

struct Line {
    print: Print,
    since: Instant,
    fate: watch::Sender<Fate>,
}

impl Line {
    fn bytes(&self) -> usize {
        match &*self.fate.borrow() {
            Fate::Done(answer) => answer.body.len(),
            Fate::Running | Fate::Forgotten => 0,
        }
    }

    fn is_running(&self) -> bool {
        matches!(&*self.fate.borrow(), Fate::Running)
    }
}

/// The commands of the last minutes by their keys.
#[derive(Default)]
pub(super) struct Ledger {
    lines: HashMap<String, Line>,
}

impl Ledger {
    /// Looks a key up, and takes it on if it is new.
    pub(super) fn enter(&mut self, key: &str, print: Print, now: Instant) -> Entry {
        self.lines
            .retain(|_, line| line.is_running() || now.duration_since(line.since) < LONGEST);
        if let Some(line) = self.lines.get(key) {
            return if line.print == print {
                Entry::Known(line.fate.subscribe())
            } else {
                Entry::Other
            };
        }
        if self.lines.len() >= MOST_KEYS && !self.give_up_oldest(now) {
            return Entry::Full;
        }
        let (fate, _) = watch::channel(Fate::Running);
        let line = Line {
            print,
            since: now,
            fate: fate.clone(),
        };
        self.lines.insert(key.to_owned(), line);
        Entry::New(fate)
    }

    /// Drops the bodies of the oldest answers until the rest is within its bound. The keys stay:
    /// that a command was done is never forgotten before its time.
    pub(super) fn slim(&mut self) {
        let mut total: usize = self.lines.values().map(Line::bytes).sum();
        while total > MOST_BYTES {
            let oldest = self
                .lines
                .values()
                .filter(|line| line.bytes() > 0)
                .min_by_key(|line| line.since);
            let Some(line) = oldest else { return };
            total -= line.bytes();
            line.fate.send_replace(Fate::Forgotten);
        }
    }

    fn give_up_oldest(&mut self, now: Instant) -> bool {
        let oldest = self
            .lines
            .iter()
            .filter(|(_, line)| !line.is_running() && now.duration_since(line.since) >= YOUNG)
            .min_by_key(|(_, line)| line.since)
            .map(|(key, _)| key.clone());
        oldest.is_some_and(|key| self.lines.remove(&key).is_some())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn answered(bytes: usize) -> Fate {
        Fate::Done(Answered {
            status: StatusCode::OK,
            headers: HeaderMap::new(),
            body: Bytes::from(vec![0; bytes]),
        })
    }

    fn done(ledger: &mut Ledger, key: &str, at: Instant, bytes: usize) {
        match ledger.enter(key, [1; 32], at) {
            Entry::New(fate) => {
                fate.send_replace(answered(bytes));
            }
            other => panic!("{key}: {other:?}"),
        }
        ledger.slim();
    }

    fn fate(ledger: &mut Ledger, key: &str, at: Instant) -> Option<Fate> {
        match ledger.enter(key, [1; 32], at) {
            Entry::Known(fate) => Some(fate.borrow().clone()),
            Entry::New(fate) => {
                fate.send_replace(answered(0));
                None
            }
            other => panic!("{key}: {other:?}"),
        }
    }

    #[test]
    fn a_key_is_new_once_and_belongs_to_one_request() {
        let mut ledger = Ledger::default();
        let now = Instant::now();
        let Entry::New(tell) = ledger.enter("a", [1; 32], now) else {
            panic!("the first is new")
        };
        assert_eq!(fate(&mut ledger, "a", now), Some(Fate::Running));
        tell.send_replace(answered(3));
        assert_eq!(fate(&mut ledger, "a", now), Some(answered(3)));
        assert!(matches!(ledger.enter("a", [2; 32], now), Entry::Other));
    }

    #[test]
    fn a_key_is_kept_for_its_time_and_a_running_one_for_longer() {
        let mut ledger = Ledger::default();
        let now = Instant::now();
        done(&mut ledger, "done", now, 3);
        let Entry::New(_running) = ledger.enter("running", [1; 32], now) else {
            panic!("new")
        };
        let last = now + LONGEST.checked_sub(Duration::from_millis(1)).unwrap();
        assert_eq!(fate(&mut ledger, "done", last), Some(answered(3)));
        let late = now + LONGEST;
        assert_eq!(fate(&mut ledger, "running", late), Some(Fate::Running));
        assert_eq!(fate(&mut ledger, "done", late), None);
    }

    #[test]
    fn a_full_ledger_gives_the_oldest_up_but_never_a_young_one() {
        let mut ledger = Ledger::default();
        let now = Instant::now();
        for number in 0..MOST_KEYS as u64 {
            let at = now + Duration::from_millis(number);
            done(&mut ledger, &number.to_string(), at, 1);
        }
        assert!(matches!(
            ledger.enter("more", [1; 32], now + Duration::from_secs(59)),
            Entry::Full
        ));
        done(&mut ledger, "more", now + YOUNG, 1);
        assert_eq!(ledger.lines.len(), MOST_KEYS);
        assert!(!ledger.lines.contains_key("0"), "the oldest went");
        assert!(ledger.lines.contains_key("1"));
    }

    #[test]
    fn too_many_bytes_drop_the_oldest_answers_and_keep_their_keys() {
        let mut ledger = Ledger::default();
        let now = Instant::now();
        let part = MOST_BYTES / 4;
        for number in 0..6_u64 {
            let at = now + Duration::from_millis(number);
            done(&mut ledger, &number.to_string(), at, part);
        }
        let fates: Vec<bool> = (0..6)
            .map(|number: u8| fate(&mut ledger, &number.to_string(), now) == Some(Fate::Forgotten))
            .collect();
        assert_eq!(fates, [true, true, false, false, false, false]);
    }
}
