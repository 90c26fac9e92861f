//! A bounded queue that keeps the newest.

use std::collections::VecDeque;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

use tokio::sync::Notify;

/// How a queue stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Backlog {
    /// Entries that wait for the reader.
    pub waiting: usize,
    /// Entries that had to go since the start.
    pub dropped: u64,
}

/// A bounded queue between one or more writers that never wait and one
/// reader. When it is full the oldest entry goes and is counted: late
/// readings are worth less than new ones, and a waiting writer would only
/// move the loss into the kernel, where nobody counts it.
#[derive(Debug)]
pub struct NewestQueue<T> {
    entries: Mutex<VecDeque<T>>,
    capacity: usize,
    dropped: AtomicU64,
    filled: Notify,
}

impl<T> NewestQueue<T> {
    /// An empty queue of at most `capacity` entries.
    pub fn bounded(capacity: usize) -> Self {
        Self {
            entries: Mutex::new(VecDeque::with_capacity(capacity)),
            capacity,
            dropped: AtomicU64::new(0),
            filled: Notify::new(),
        }
    }

    /// Adds an entry; gives back the one that had to go for it.
    pub fn push(&self, entry: T) -> Option<T> {
        let gone = {
            let mut entries = self.entries.lock().unwrap_or_else(PoisonError::into_inner);
            let gone = if entries.len() >= self.capacity {
                entries.pop_front()
            } else {
                None
            };
            entries.push_back(entry);
            gone
        };
        if gone.is_some() {
            self.dropped.fetch_add(1, Ordering::Relaxed);
        }
        self.filled.notify_one();
        gone
    }

    /// Waits until there is something and takes all of it, oldest first.
    pub async fn take(&self) -> VecDeque<T> {
        loop {
            self.filled().await;
            let taken = self.take_now();
            if !taken.is_empty() {
                return taken;
            }
        }
    }

    /// Waits until there is something.
    pub async fn filled(&self) {
        while self.is_empty() {
            self.filled.notified().await;
        }
    }

    fn is_empty(&self) -> bool {
        self.entries
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .is_empty()
    }

    /// Takes all there is, oldest first, without waiting.
    pub fn take_now(&self) -> VecDeque<T> {
        std::mem::take(&mut *self.entries.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// How it stands.
    pub fn backlog(&self) -> Backlog {
        let entries = self.entries.lock().unwrap_or_else(PoisonError::into_inner);
        Backlog {
            waiting: entries.len(),
            dropped: self.dropped(),
        }
    }

    /// How many entries had to go so far.
    pub fn dropped(&self) -> u64 {
        self.dropped.load(Ordering::Relaxed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn keeps_the_newest_and_counts_the_rest() {
        let queue = NewestQueue::bounded(3);
        let gone: Vec<_> = (0..5).filter_map(|n| queue.push(n)).collect();
        assert_eq!(gone, [0, 1]);
        let (waiting, dropped) = (3, 2);
        assert_eq!(queue.backlog(), Backlog { waiting, dropped });
        assert_eq!(queue.take().await, [2, 3, 4]);
    }

    #[tokio::test(start_paused = true)]
    async fn a_waiting_reader_is_woken() {
        let queue = std::sync::Arc::new(NewestQueue::bounded(3));
        let reader = tokio::spawn({
            let queue = queue.clone();
            async move { queue.take().await }
        });
        tokio::time::sleep(std::time::Duration::from_secs(1)).await;
        queue.push(7);
        assert_eq!(reader.await.unwrap(), [7]);
    }
}
