//! Listening, serving, and ending in time.

use std::io;
use std::net::SocketAddr;
use std::time::Duration;

use axum::Router;
use nix::sys::resource::{Resource, getrlimit, setrlimit};
use thiserror::Error;
use tokio::net::TcpListener;
use tokio::time::timeout;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

use super::door::Hall;
use super::gate::Gate;
use crate::reach::ReachDesk;

/// How long open connections may take to end.
const GRACE: Duration = Duration::from_millis(1500);

/// Why the address cannot be listened on.
#[derive(Debug, Error)]
#[error("cannot listen on {address}: {source}")]
pub struct BindError {
    /// The address.
    pub address: SocketAddr,
    /// What the system says.
    pub source: io::Error,
}

impl BindError {
    /// What to do about it.
    pub fn remedy(&self) -> String {
        match self.source.kind() {
            io::ErrorKind::AddrInUse => format!(
                "another program, perhaps a second hubplumb, listens there: stop it, or give another port with `--listen {}:{}`",
                self.address.ip(),
                self.address.port().checked_add(1).unwrap_or(8710),
            ),
            io::ErrorKind::PermissionDenied => {
                format!(
                    "ports below 1024 are for root: use `--listen {}:8710`",
                    self.address.ip()
                )
            }
            io::ErrorKind::AddrNotAvailable => format!(
                "no network card of this machine has that address: use `--listen 127.0.0.1:{port}` or `--listen 0.0.0.0:{port}`",
                port = self.address.port(),
            ),
            _ => "give another address with `--listen`".to_owned(),
        }
    }
}

/// Begins to listen.
pub async fn bind(address: SocketAddr) -> Result<TcpListener, BindError> {
    TcpListener::bind(address)
        .await
        .map_err(|source| BindError { address, source })
}

/// Most connections in all, where the system gives as many files: a garage has a few tablets
/// with six each, and a thousand idle ones cost some tens of megabytes.
const MOST_CONNECTIONS: usize = 1280;

/// Most connections from one machine: ten browsers' worth.
const MOST_OF_ONE: usize = 64;

/// Files that may be open, where the system lets us have them.
const WANTED_FILES: u64 = 4096;

/// Serves until `stop`; connections that do not end by themselves are cut after a moment.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    reach: &ReachDesk,
    stop: CancellationToken,
) -> io::Result<()> {
    let hall = Hall {
        router,
        tls: reach.tls(),
        stop,
        cut: CancellationToken::new(),
        tasks: TaskTracker::new(),
    };
    let (tasks, cut) = (hall.tasks.clone(), hall.cut.clone());
    hall.take(listener, Gate::new(places(), MOST_OF_ONE)).await;
    tasks.close();
    if timeout(GRACE, tasks.wait()).await.is_err() {
        cut.cancel();
        tasks.wait().await;
    }
    Ok(())
}

/// How many connections there is room for: half of the files, for boards and the store need some.
fn places() -> usize {
    let files = getrlimit(Resource::RLIMIT_NOFILE).and_then(|(soft, hard)| {
        let wanted = WANTED_FILES.min(hard);
        if soft >= wanted {
            return Ok(soft);
        }
        setrlimit(Resource::RLIMIT_NOFILE, wanted, hard).map(|()| wanted)
    });
    // The least that systems give.
    let files = files.unwrap_or(256);
    usize::try_from(files / 2).map_or(MOST_CONNECTIONS, |half| half.min(MOST_CONNECTIONS))
}
