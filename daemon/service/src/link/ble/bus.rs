//! A thread for a session with the bus.

use std::future::Future;
use std::io;

use tokio::runtime::{Builder, Runtime};

/// What the Bluetooth library does on the bus by itself it does on this thread.
///
/// Its connection ends neither with the session nor with anything that is asked
/// of it, and a bus grants each user a few hundred of them. Dropping the thread
/// ends the connection. A panic in the library's own tasks stays in here.
#[derive(Debug)]
pub(super) struct BusThread(Option<Runtime>);

impl BusThread {
    pub(super) fn start() -> io::Result<Self> {
        let runtime = Builder::new_multi_thread()
            .worker_threads(1)
            .thread_name("bluetooth")
            .enable_all()
            .build()?;
        Ok(Self(Some(runtime)))
    }

    /// Runs a call on the thread; what it spawns stays there.
    pub(super) async fn run<T: Send + 'static>(
        &self,
        call: impl Future<Output = T> + Send + 'static,
    ) -> io::Result<T> {
        match &self.0 {
            Some(runtime) => runtime.spawn(call).await.map_err(io::Error::other),
            None => Err(io::ErrorKind::NotConnected.into()),
        }
    }
}

impl Drop for BusThread {
    fn drop(&mut self) {
        // Waiting for its end is not allowed where other tasks run.
        if let Some(runtime) = self.0.take() {
            runtime.shutdown_background();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn what_was_spawned_on_it_ends_with_it_and_a_panic_stays_in_it() {
        let bus = BusThread::start().unwrap();
        let (alive, mut ended) = tokio::sync::mpsc::channel::<()>(1);
        bus.run(async {
            tokio::spawn(async move {
                let _alive = alive;
                std::future::pending::<()>().await;
            });
        })
        .await
        .unwrap();
        let panicked = bus.run(async { panic!("as the library may") }).await;
        assert!(panicked.is_err());
        drop(bus);
        assert_eq!(ended.recv().await, None);
    }
}
