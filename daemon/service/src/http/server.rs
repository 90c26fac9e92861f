//! Listening, serving, and ending in time.

use std::io;
use std::net::SocketAddr;
use std::time::Duration;

use axum::Router;
use axum::middleware::from_fn_with_state;
use thiserror::Error;
use tokio::net::TcpListener;
use tokio_util::sync::CancellationToken;

use super::door::{Door, Secured};
use super::plain::plain;
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

/// Serves until `stop`; connections that do not end by themselves are cut after a moment.
pub async fn serve(
    listener: TcpListener,
    router: Router,
    reach: ReachDesk,
    stop: CancellationToken,
) -> io::Result<()> {
    let stopped = stop.clone().cancelled_owned();
    let server = match reach.tls() {
        None => {
            let graceful = axum::serve(listener, router).with_graceful_shutdown(stopped);
            tokio::spawn(async move { graceful.await })
        }
        Some(tls) => {
            let door = Door::open(listener, tls, stop.clone())?;
            let service = router
                .layer(from_fn_with_state(reach, plain))
                .into_make_service_with_connect_info::<Secured>();
            let graceful = axum::serve(door, service).with_graceful_shutdown(stopped);
            tokio::spawn(async move { graceful.await })
        }
    };
    let abort = server.abort_handle();
    let overdue = async {
        stop.cancelled().await;
        tokio::time::sleep(GRACE).await;
    };
    tokio::select! {
        served = server => served.unwrap_or_else(|stopped| Err(io::Error::other(stopped))),
        () = overdue => {
            abort.abort();
            Ok(())
        }
    }
}
