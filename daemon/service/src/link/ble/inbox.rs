//! Notifications on their way from the radio to a line.

use std::collections::VecDeque;
use std::io;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::task::{Context, Poll, Waker};

use tokio::io::ReadBuf;

/// Notifications that may wait: over a second of the fastest connection (7.5 ms
/// events of six notifications each).
const MOST: usize = 1024;

/// A bounded queue with one reader. The oldest goes when it is full: behind it
/// stands the radio's own queue, which has no bound.
#[derive(Debug, Default)]
pub(super) struct Inbox(Mutex<Inside>);

#[derive(Debug, Default)]
struct Inside {
    waiting: VecDeque<Vec<u8>>,
    overrun: u64,
    ended: bool,
    reader: Option<Waker>,
}

impl Inbox {
    pub(super) fn put(&self, value: Vec<u8>) {
        let mut inside = self.lock();
        if inside.waiting.len() >= MOST {
            inside.waiting.pop_front();
            inside.overrun += 1;
        }
        inside.waiting.push_back(value);
        wake(inside);
    }

    /// Nothing more comes.
    pub(super) fn end(&self) {
        let mut inside = self.lock();
        inside.ended = true;
        wake(inside);
    }

    /// How many had to go since this was last asked.
    pub(super) fn overrun(&self) -> u64 {
        std::mem::take(&mut self.lock().overrun)
    }

    /// Gives one notification a read; what does not fit comes with the next.
    pub(super) fn poll_read(
        &self,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let mut inside = self.lock();
        // An empty notification says nothing, and an empty read would be the end.
        while let Some(mut value) = inside.waiting.pop_front() {
            if value.is_empty() {
                continue;
            }
            let later = value.split_off(value.len().min(buf.remaining()));
            buf.put_slice(&value);
            if !later.is_empty() {
                inside.waiting.push_front(later);
            }
            return Poll::Ready(Ok(()));
        }
        if inside.ended {
            return Poll::Ready(Ok(()));
        }
        inside.reader = Some(cx.waker().clone());
        Poll::Pending
    }

    fn lock(&self) -> MutexGuard<'_, Inside> {
        // What a panicking holder left is a queue; it is still one.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn wake(mut inside: MutexGuard<'_, Inside>) {
    let reader = inside.reader.take();
    drop(inside);
    if let Some(reader) = reader {
        reader.wake();
    }
}

#[cfg(test)]
mod tests {
    use std::future::poll_fn;

    use super::*;

    async fn read(inbox: &Inbox, room: usize) -> Vec<u8> {
        let mut space = vec![0; room];
        let mut buf = ReadBuf::new(&mut space);
        poll_fn(|cx| inbox.poll_read(cx, &mut buf)).await.unwrap();
        buf.filled().to_vec()
    }

    #[tokio::test]
    async fn each_read_gives_one_notification_or_part_of_one() {
        let inbox = Inbox::default();
        for value in [&b"one"[..], b"", b"second"] {
            inbox.put(value.to_vec());
        }
        inbox.end();
        let mut read_all = Vec::new();
        loop {
            let value = read(&inbox, 4).await;
            if value.is_empty() {
                break;
            }
            read_all.push(value);
        }
        assert_eq!(
            read_all,
            [b"one".to_vec(), b"seco".to_vec(), b"nd".to_vec()]
        );
    }

    #[tokio::test]
    async fn the_oldest_go_when_nobody_reads() {
        let inbox = Inbox::default();
        for number in 0..MOST + 3 {
            inbox.put(number.to_le_bytes().to_vec());
        }
        assert_eq!((inbox.overrun(), inbox.overrun()), (3, 0));
        assert_eq!(read(&inbox, 64).await, 3_usize.to_le_bytes());
    }
}
