//! Connections as they come in: bounded in number, secured where HTTPS is on, spoken to within
//! bounds of time and size, and ended with the daemon.
//!
//! A secured connection begins with a record of the type `handshake` (RFC 8446, 5.1: 22), and no
//! method of HTTP begins with that byte; so the first byte tells it from a plain one on the same
//! port, which is told where to go.

use std::convert::Infallible;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::pin;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::response::Response;
use hyper::Request;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::server::TlsStream;
use tokio_util::either::Either;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;
use tower::ServiceExt as _;

use super::gate::{Gate, Place};
use super::patient::Patient;

/// First byte of a secured connection.
const HANDSHAKE: u8 = 22;

/// How long a connection may take until it is known and secured. Browsers open some ahead of
/// need and say nothing on them; they open others when they want one.
const PATIENCE: Duration = Duration::from_secs(10);

/// How long the head of a request may take to come, and how long a connection may lie idle
/// between two: a browser opens another when it needs one.
const HEAD_PATIENCE: Duration = Duration::from_secs(30);

/// How long a client may take nothing of what is sent to it.
const WRITE_PATIENCE: Duration = Duration::from_secs(10);

/// Most lines in the head of a request; browsers send some twenty.
const MOST_HEADERS: usize = 64;

/// Longest head of a request, and most that is read ahead of the handler.
const MOST_HEAD_BYTES: usize = 32 * 1024;

/// What the system keeps for a client that does not read. Its own bound would be megabytes for
/// each; this is what a garage's network carries in a few milliseconds.
const SEND_BUFFER_BYTES: usize = 128 * 1024;

/// Pause after the system could not take a connection, e.g. because all its files are open.
const PAUSE: Duration = Duration::from_secs(1);

/// Whose connection a request came over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Peer {
    /// The other machine.
    pub(super) address: IpAddr,
    /// Over HTTPS?
    pub(super) secured: bool,
}

/// What every connection is given.
#[derive(Clone)]
pub(super) struct Hall {
    pub(super) router: Router,
    pub(super) tls: Option<watch::Receiver<Arc<ServerConfig>>>,
    /// No new requests.
    pub(super) stop: CancellationToken,
    /// No answers either.
    pub(super) cut: CancellationToken,
    pub(super) tasks: TaskTracker,
}

impl Hall {
    /// Takes connections until the daemon stops.
    pub(super) async fn take(self, listener: TcpListener, gate: Gate) {
        loop {
            let accepted = self.stop.run_until_cancelled(listener.accept()).await;
            match accepted {
                None => return,
                Some(Ok((stream, from))) => {
                    if let Some(place) = gate.enter(from.ip().to_canonical()) {
                        let hall = self.clone();
                        self.tasks.spawn(hall.lead_in(stream, from, place));
                    } else {
                        // Closed at once: whoever holds the others has to let go of one.
                        tracing::debug!(%from, "a connection too many was not taken");
                    }
                }
                Some(Err(error)) => {
                    tracing::debug!(%error, "a connection was not taken");
                    // One that was broken off before it was taken needs no pause.
                    if error.kind() != io::ErrorKind::ConnectionAborted {
                        sleep(PAUSE).await;
                    }
                }
            }
        }
    }

    async fn lead_in(self, stream: TcpStream, from: SocketAddr, _place: Place) {
        let stop = self.stop.clone();
        let through = stop.run_until_cancelled(timeout(PATIENCE, self.secured(stream)));
        match through.await {
            Some(Ok(Ok(through))) => {
                let cut = self.cut.clone();
                cut.run_until_cancelled(self.serve(through, from)).await;
            }
            // A browser that does not trust the certificate breaks off here; it tells its user why.
            Some(Ok(Err(error))) => tracing::debug!(%from, %error, "a connection was not secured"),
            Some(Err(_)) => tracing::debug!(%from, "a connection said nothing"),
            None => {}
        }
    }

    async fn secured(&self, stream: TcpStream) -> io::Result<Through> {
        socket2::SockRef::from(&stream).set_send_buffer_size(SEND_BUFFER_BYTES)?;
        // A change for the page is small and goes out at once.
        stream.set_nodelay(true)?;
        let Some(tls) = &self.tls else {
            return Ok(Either::Left(stream));
        };
        let mut first = [0];
        if stream.peek(&mut first).await? == 0 {
            return Err(io::Error::from(io::ErrorKind::UnexpectedEof));
        }
        if first[0] != HANDSHAKE {
            return Ok(Either::Left(stream));
        }
        let acceptor = TlsAcceptor::from(tls.borrow().clone());
        let stream = acceptor.accept(stream).await?;
        Ok(Either::Right(Box::new(stream)))
    }

    async fn serve(self, through: Through, from: SocketAddr) {
        let peer = Peer {
            address: from.ip().to_canonical(),
            secured: matches!(through, Either::Right(_)),
        };
        let answer = service_fn(|mut request: Request<Incoming>| {
            request.extensions_mut().insert(peer);
            let router = self.router.clone();
            async move { Ok::<Response, Infallible>(answered(router, request).await) }
        });
        let mut connection = pin!(
            http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD_PATIENCE)
                .max_headers(MOST_HEADERS)
                .max_buf_size(MOST_HEAD_BYTES)
                .serve_connection(TokioIo::new(Patient::new(through, WRITE_PATIENCE)), answer)
        );
        let served = tokio::select! {
            served = connection.as_mut() => served,
            () = self.stop.cancelled() => {
                connection.as_mut().graceful_shutdown();
                connection.await
            }
        };
        if let Err(error) = served {
            tracing::debug!(%from, %error, "a connection broke off");
        }
    }
}

async fn answered(router: Router, request: Request<Incoming>) -> Response {
    match router.oneshot(request).await {
        Ok(response) => response,
        Err(never) => match never {},
    }
}

/// One connection: as it came, or secured.
type Through = Either<TcpStream, Box<TlsStream<TcpStream>>>;
