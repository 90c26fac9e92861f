//! A connection that is given up when its other end takes nothing any more.
//!
//! A page that is not read (its tablet left the garage, or somebody opens streams and never reads
//! them) would keep its place and its buffers for as long as the other system likes.

use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::time::{Instant, Sleep, sleep};

/// A connection whose writes may not wait for longer than a while.
pub(super) struct Patient<T> {
    inner: T,
    patience: Duration,
    /// Runs while a write waits.
    waiting: Option<Pin<Box<Sleep>>>,
}

impl<T> Patient<T> {
    pub(super) fn new(inner: T, patience: Duration) -> Self {
        Self {
            inner,
            patience,
            waiting: None,
        }
    }

    /// Lets a result through; one that has to be waited for is waited for no longer than that.
    fn judged<R>(
        &mut self,
        context: &mut Context<'_>,
        result: Poll<io::Result<R>>,
    ) -> Poll<io::Result<R>> {
        if result.is_ready() {
            self.waiting = None;
            return result;
        }
        let patience = self.patience;
        let waiting = self
            .waiting
            .get_or_insert_with(|| Box::pin(sleep(patience)));
        match waiting.as_mut().poll(context) {
            Poll::Ready(()) => {
                // Whoever asks again gets the same answer.
                waiting.as_mut().reset(Instant::now());
                Poll::Ready(Err(io::ErrorKind::TimedOut.into()))
            }
            Poll::Pending => Poll::Pending,
        }
    }
}

impl<T: AsyncRead + Unpin> AsyncRead for Patient<T> {
    fn poll_read(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.get_mut().inner).poll_read(context, buffer)
    }
}

impl<T: AsyncWrite + Unpin> AsyncWrite for Patient<T> {
    fn poll_write(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        let own = self.get_mut();
        let result = Pin::new(&mut own.inner).poll_write(context, bytes);
        own.judged(context, result)
    }

    fn poll_flush(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let own = self.get_mut();
        let result = Pin::new(&mut own.inner).poll_flush(context);
        own.judged(context, result)
    }

    fn poll_shutdown(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let own = self.get_mut();
        let result = Pin::new(&mut own.inner).poll_shutdown(context);
        own.judged(context, result)
    }

    fn poll_write_vectored(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        parts: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        let own = self.get_mut();
        let result = Pin::new(&mut own.inner).poll_write_vectored(context, parts);
        own.judged(context, result)
    }

    fn is_write_vectored(&self) -> bool {
        self.inner.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _, duplex};

    use super::*;

    const PATIENCE: Duration = Duration::from_secs(10);

    #[tokio::test(start_paused = true)]
    async fn a_write_that_nobody_takes_ends() {
        let (near, far) = duplex(8);
        let mut near = Patient::new(near, PATIENCE);
        let began = Instant::now();
        let given_up = near.write_all(&[0; 64]).await.unwrap_err();
        assert_eq!(given_up.kind(), io::ErrorKind::TimedOut);
        assert_eq!(began.elapsed().as_secs(), PATIENCE.as_secs());
        drop(far);
    }

    #[tokio::test(start_paused = true)]
    async fn whoever_takes_some_now_and_then_is_waited_for() {
        let (near, mut far) = duplex(8);
        let mut near = Patient::new(near, PATIENCE);
        let reader = tokio::spawn(async move {
            let mut part = [0; 8];
            for _ in 0..8 {
                sleep(PATIENCE * 9 / 10).await;
                far.read_exact(&mut part).await.unwrap();
            }
        });
        near.write_all(&[0; 64]).await.unwrap();
        reader.await.unwrap();
    }
}
