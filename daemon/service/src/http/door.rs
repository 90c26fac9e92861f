//! Connections as they come in where HTTPS is on: secured ones, and on the same port plain ones,
//! which are told where to go.
//!
//! A secured connection begins with a record of the type `handshake` (RFC 8446, 5.1: 22), and no
//! method of HTTP begins with that byte; so the first byte tells them apart.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, mpsc, watch};
use tokio::time::{sleep, timeout};
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::server::TlsStream;
use tokio_util::sync::CancellationToken;

/// First byte of a secured connection.
const HANDSHAKE: u8 = 22;

/// How long a connection may take until it is known and secured. Browsers open some ahead of
/// need and say nothing on them; they open others when they want one.
const PATIENCE: Duration = Duration::from_secs(10);

/// Most connections that are neither known nor secured: a browser has six to one address, and a
/// garage a few tablets.
const MOST_WAITING: usize = 64;

/// Pause after the system could not take a connection, e.g. because all its files are open.
const PAUSE: Duration = Duration::from_secs(1);

/// One connection.
pub(super) enum Through {
    /// As it came.
    Plain(TcpStream),
    /// Secured.
    Secure(Box<TlsStream<TcpStream>>),
}

/// How a request came in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Secured(pub(super) bool);

impl Connected<IncomingStream<'_, Door>> for Secured {
    fn connect_info(stream: IncomingStream<'_, Door>) -> Self {
        Self(matches!(stream.io(), Through::Secure(_)))
    }
}

/// Listens, and hands out connections that are ready to be spoken to.
pub(super) struct Door {
    ready: mpsc::Receiver<(Through, SocketAddr)>,
    address: SocketAddr,
}

impl Door {
    /// Begins to take connections, until `stop` or until nobody asks for them any more.
    pub(super) fn open(
        listener: TcpListener,
        tls: watch::Receiver<Arc<ServerConfig>>,
        stop: CancellationToken,
    ) -> io::Result<Self> {
        let address = listener.local_addr()?;
        // Ready ones wait only as long as the server takes to ask for the next.
        let (tell, ready) = mpsc::channel(1);
        tokio::spawn(stop.run_until_cancelled_owned(take(listener, tls, tell)));
        Ok(Self { ready, address })
    }
}

impl Listener for Door {
    type Io = Through;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Through, SocketAddr) {
        match self.ready.recv().await {
            Some(connection) => connection,
            // The daemon is stopping: the server is told so by other means.
            None => std::future::pending().await,
        }
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        Ok(self.address)
    }
}

async fn take(
    listener: TcpListener,
    tls: watch::Receiver<Arc<ServerConfig>>,
    tell: mpsc::Sender<(Through, SocketAddr)>,
) {
    let waiting = Arc::new(Semaphore::new(MOST_WAITING));
    loop {
        // The semaphore is never closed.
        let Ok(place) = waiting.clone().acquire_owned().await else {
            return;
        };
        match listener.accept().await {
            Ok((stream, from)) => {
                let acceptor = TlsAcceptor::from(tls.borrow().clone());
                tokio::spawn(lead_in(stream, from, acceptor, tell.clone(), place));
            }
            Err(error) => {
                tracing::debug!(%error, "a connection was not taken");
                // One that was broken off before it was taken needs no pause.
                if error.kind() != io::ErrorKind::ConnectionAborted {
                    sleep(PAUSE).await;
                }
            }
        }
        if tell.is_closed() {
            return;
        }
    }
}

async fn lead_in(
    stream: TcpStream,
    from: SocketAddr,
    acceptor: TlsAcceptor,
    tell: mpsc::Sender<(Through, SocketAddr)>,
    _place: OwnedSemaphorePermit,
) {
    let secured = async {
        let mut first = [0];
        if stream.peek(&mut first).await? == 0 {
            return Err(io::Error::from(io::ErrorKind::UnexpectedEof));
        }
        if first[0] == HANDSHAKE {
            let stream = acceptor.accept(stream).await?;
            Ok(Through::Secure(Box::new(stream)))
        } else {
            Ok(Through::Plain(stream))
        }
    };
    match timeout(PATIENCE, secured).await {
        Ok(Ok(through)) => {
            // Where nobody asks any more the daemon is stopping.
            let _ = tell.send((through, from)).await;
        }
        // A browser that does not trust the certificate breaks off here; it tells its user why.
        Ok(Err(error)) => tracing::debug!(%from, %error, "a connection was not secured"),
        Err(_) => tracing::debug!(%from, "a connection said nothing"),
    }
}

impl AsyncRead for Through {
    fn poll_read(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        buffer: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream) => Pin::new(stream).poll_read(context, buffer),
            Self::Secure(stream) => Pin::new(stream).poll_read(context, buffer),
        }
    }
}

impl AsyncWrite for Through {
    fn poll_write(
        self: Pin<&mut Self>,
        context: &mut Context<'_>,
        bytes: &[u8],
    ) -> Poll<io::Result<usize>> {
        match self.get_mut() {
            Self::Plain(stream) => Pin::new(stream).poll_write(context, bytes),
            Self::Secure(stream) => Pin::new(stream).poll_write(context, bytes),
        }
    }

    fn poll_flush(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream) => Pin::new(stream).poll_flush(context),
            Self::Secure(stream) => Pin::new(stream).poll_flush(context),
        }
    }

    fn poll_shutdown(self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        match self.get_mut() {
            Self::Plain(stream) => Pin::new(stream).poll_shutdown(context),
            Self::Secure(stream) => Pin::new(stream).poll_shutdown(context),
        }
    }
}
