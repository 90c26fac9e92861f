//! Boards that call us. Several may share one port, told apart by the address
//! they call from.

use std::collections::BTreeMap;
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWriteExt as _, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::Notify;
use tokio::task::AbortHandle;
use tokio::time::{Instant, sleep, timeout};
use tokio_util::sync::{CancellationToken, WaitForCancellationFutureOwned};

use super::address::ListenAddress;
use super::refusal::NetRefusal;
use super::sockets::{Sockets, lock, meant};
use crate::link::transport::{Line, OpenError, Transport};

/// A board at another address takes the place of one that has been silent for so
/// long: the time after which a link is called silent.
const KEEPS_CALLER: Duration = Duration::from_secs(3);
/// How long a first call is waited for before it is told that there was none.
/// Boards that lost their server call again about once a second (common practice, no source).
const FIRST_CALL: Duration = Duration::from_millis(1500);
/// Wait after a call that failed while it was taken, for instance for want of descriptors.
const AFTER_FAILURE: Duration = Duration::from_millis(200);

/// One listening port and whose calls are waited for.
#[derive(Debug)]
pub(in crate::link) struct ListeningPort {
    desk: Arc<Desk>,
    pump: AbortHandle,
}

impl ListeningPort {
    /// Must be called in a runtime, which then takes the calls.
    fn bind(local: SocketAddr) -> io::Result<Self> {
        let socket = std::net::TcpListener::bind(local)?;
        socket.set_nonblocking(true)?;
        let socket = TcpListener::from_std(socket)?;
        let desk = Arc::new(Desk::default());
        let pump = tokio::spawn(pump(socket, desk.clone())).abort_handle();
        Ok(Self { desk, pump })
    }
}

impl Drop for ListeningPort {
    fn drop(&mut self) {
        self.pump.abort();
    }
}

async fn pump(socket: TcpListener, desk: Arc<Desk>) {
    loop {
        match socket.accept().await {
            Ok((stream, from)) => desk.take(stream, from.ip().to_canonical(), Instant::now()),
            Err(error) => {
                tracing::debug!(%error, "a call could not be taken");
                sleep(AFTER_FAILURE).await;
            }
        }
    }
}

/// Hands calls to the boards they are from.
#[derive(Debug, Default)]
struct Desk {
    posts: Mutex<Vec<Arc<Post>>>,
}

impl Desk {
    /// A new post; none when somebody waits for that caller already.
    fn wait_for(&self, remote: Option<IpAddr>) -> Option<Arc<Post>> {
        let mut posts = lock(&self.posts);
        if posts.iter().any(|post| post.remote == remote) {
            return None;
        }
        let post = Arc::new(Post {
            remote,
            calls: Mutex::default(),
            rung: Notify::new(),
        });
        posts.push(post.clone());
        Some(post)
    }

    fn leave(&self, post: &Arc<Post>) {
        lock(&self.posts).retain(|other| !Arc::ptr_eq(other, post));
    }

    /// Takes a call, or hangs up by dropping it.
    fn take(&self, stream: TcpStream, from: IpAddr, now: Instant) {
        let posts = lock(&self.posts);
        match meant(&posts, |post| post.remote, from) {
            Some(post) => post.take(stream, from, now),
            None => {
                for post in posts.iter() {
                    lock(&post.calls).leave_out("other_sender");
                }
            }
        }
    }
}

/// Whose calls a link waits for, and the call it has.
#[derive(Debug)]
struct Post {
    remote: Option<IpAddr>,
    calls: Mutex<Calls>,
    rung: Notify,
}

#[derive(Debug, Default)]
struct Calls {
    waiting: Option<(TcpStream, IpAddr)>,
    current: Option<Current>,
    left_out: BTreeMap<&'static str, u64>,
}

#[derive(Debug)]
struct Current {
    from: IpAddr,
    last_heard: Instant,
    replaced: CancellationToken,
}

impl Post {
    /// The newest call of a board is its only one: a board that lost its power has
    /// closed nothing, and calls again. Another board has to wait for silence.
    fn take(&self, stream: TcpStream, from: IpAddr, now: Instant) {
        let mut calls = lock(&self.calls);
        if let Some(current) = &calls.current {
            if current.from != from && now < current.last_heard + KEEPS_CALLER {
                calls.leave_out("other_sender");
                return;
            }
            current.replaced.cancel();
        }
        calls.waiting = Some((stream, from));
        self.rung.notify_one();
    }

    fn answer(self: &Arc<Self>) -> Option<CallerLine> {
        let mut calls = lock(&self.calls);
        let (stream, from) = calls.waiting.take()?;
        let replaced = CancellationToken::new();
        calls.current = Some(Current {
            from,
            last_heard: Instant::now(),
            replaced: replaced.clone(),
        });
        Some(CallerLine {
            stream,
            replaced: Box::pin(replaced.cancelled_owned()),
            post: self.clone(),
        })
    }
}

impl Calls {
    fn leave_out(&mut self, code: &'static str) {
        *self.left_out.entry(code).or_default() += 1;
    }
}

/// Waits for the calls of one board.
#[derive(Debug)]
pub struct TcpListen {
    at: ListenAddress,
    sockets: Sockets<ListeningPort>,
    listening: Option<Listening>,
    /// Was it told that nobody calls? Then there is nothing new to tell until somebody does.
    told: bool,
}

/// A place at a port; given up when it is dropped.
#[derive(Debug)]
struct Listening {
    port: Arc<ListeningPort>,
    post: Arc<Post>,
}

impl Drop for Listening {
    fn drop(&mut self) {
        self.port.desk.leave(&self.post);
    }
}

impl TcpListen {
    /// Nothing is bound yet. Links that share a port share `sockets`.
    pub(in crate::link) fn new(at: ListenAddress, sockets: Sockets<ListeningPort>) -> Self {
        Self {
            at,
            sockets,
            listening: None,
            told: false,
        }
    }

    /// The port is bound at the first opening and kept, so that boards find it open while none of them is read.
    fn post(&mut self) -> Result<Arc<Post>, NetRefusal> {
        if let Some(listening) = &self.listening {
            return Ok(listening.post.clone());
        }
        let local = self.at.local;
        let port = self
            .sockets
            .at(local, |_| true, || ListeningPort::bind(local))
            .map_err(|error| NetRefusal::of_bind(local, &error))?;
        let post = port
            .desk
            .wait_for(self.at.remote)
            .ok_or(NetRefusal::AddressInUse { at: local })?;
        self.listening = Some(Listening {
            port,
            post: post.clone(),
        });
        Ok(post)
    }
}

impl Transport for TcpListen {
    type Line = CallerLine;

    /// Waits for a call. When the first does not come soon that is told once, as an
    /// error; the next opening then waits for as long as it takes.
    async fn open(&mut self, _: u32) -> Result<CallerLine, OpenError> {
        let post = self.post().map_err(OpenError::Net)?;
        loop {
            if let Some(line) = post.answer() {
                self.told = false;
                return Ok(line);
            }
            if self.told {
                post.rung.notified().await;
            } else if timeout(FIRST_CALL, post.rung.notified()).await.is_err() {
                self.told = true;
                return Err(OpenError::Net(NetRefusal::NoCaller {
                    at: self.at.to_string(),
                }));
            }
        }
    }

    fn port(&self) -> String {
        format!("tcp-listen:{}", self.at)
    }

    fn has_speed(&self) -> bool {
        false
    }

    fn ended(&self) -> OpenError {
        OpenError::Net(NetRefusal::Ended {
            peer: self.at.to_string(),
        })
    }
}

/// A connection that a board made.
#[derive(Debug)]
pub struct CallerLine {
    stream: TcpStream,
    replaced: Pin<Box<WaitForCancellationFutureOwned>>,
    post: Arc<Post>,
}

impl Drop for CallerLine {
    fn drop(&mut self) {
        // A link drops its line before it opens the next, so this one is the current.
        lock(&self.post.calls).current = None;
    }
}

impl AsyncRead for CallerLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.replaced.as_mut().poll(cx).is_ready() {
            return Poll::Ready(Ok(()));
        }
        let polled = Pin::new(&mut self.stream).poll_read(cx, buf);
        if polled.is_ready()
            && let Some(current) = &mut lock(&self.post.calls).current
        {
            current.last_heard = Instant::now();
        }
        polled
    }
}

impl Line for CallerLine {
    async fn ask(&mut self, question: &[u8]) -> io::Result<()> {
        self.stream.write_all(question).await
    }

    fn left_out(&mut self) -> BTreeMap<&'static str, u64> {
        std::mem::take(&mut lock(&self.post.calls).left_out)
    }
}

#[cfg(test)]
mod tests;
