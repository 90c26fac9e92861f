//! Boards that send datagrams. Several may share one port, told apart by the
//! address they send from.

use std::collections::{BTreeMap, VecDeque};
use std::io;
use std::net::{IpAddr, SocketAddr};
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll, Waker};
use std::time::Duration;

use hubplumb_protocol::Packing;
use tokio::io::{AsyncRead, ReadBuf};
use tokio::net::UdpSocket;
use tokio::task::AbortHandle;
use tokio::time::Instant;

use super::address::ListenAddress;
use super::refusal::NetRefusal;
use super::sockets::{Sockets, lock, meant};
use crate::link::listen::READ_BYTES;
use crate::link::transport::{Line, OpenError, Transport};

/// Datagrams that wait for their link at most: half a second of the fastest
/// boards. Whoever is later than that is better served by what is new.
const QUEUE: usize = 256;

/// A board that names nobody listens to the first sender it hears, until that has
/// been silent for so long: the time after which a link is called silent.
const KEEPS_SENDER: Duration = Duration::from_secs(3);

/// One bound port and who listens at it.
#[derive(Debug)]
pub(in crate::link) struct DatagramPort {
    desk: Arc<Desk>,
    pump: AbortHandle,
}

impl DatagramPort {
    /// Must be called in a runtime, which then reads the socket.
    fn bind(local: SocketAddr) -> io::Result<Self> {
        let socket = std::net::UdpSocket::bind(local)?;
        socket.set_nonblocking(true)?;
        let socket = UdpSocket::from_std(socket)?;
        let desk = Arc::new(Desk::default());
        let pump = tokio::spawn(pump(socket, desk.clone())).abort_handle();
        Ok(Self { desk, pump })
    }
}

impl Drop for DatagramPort {
    fn drop(&mut self) {
        self.pump.abort();
    }
}

async fn pump(socket: UdpSocket, desk: Arc<Desk>) {
    // One byte more than a line takes, so that a longer datagram shows.
    let mut buffer = [0; READ_BYTES + 1];
    loop {
        match socket.recv_from(&mut buffer).await {
            Ok((count, from)) => {
                desk.deliver(&buffer[..count], from.ip().to_canonical(), Instant::now());
            }
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => {
                tracing::debug!(%error, "a datagram port ended");
                desk.end();
                return;
            }
        }
    }
}

/// Hands datagrams to the boards they are from.
#[derive(Debug, Default)]
struct Desk {
    ears: Mutex<Vec<Arc<Ear>>>,
    ended: Mutex<bool>,
}

impl Desk {
    fn has_ended(&self) -> bool {
        *lock(&self.ended)
    }

    fn end(&self) {
        *lock(&self.ended) = true;
        for ear in lock(&self.ears).iter() {
            lock(&ear.heard).end();
        }
    }

    /// A new ear; none when somebody listens to that sender already.
    fn listen(&self, remote: Option<IpAddr>) -> Option<Arc<Ear>> {
        let mut ears = lock(&self.ears);
        if ears.iter().any(|ear| ear.remote == remote) {
            return None;
        }
        let ear = Arc::new(Ear {
            remote,
            heard: Mutex::default(),
        });
        ears.push(ear.clone());
        Some(ear)
    }

    fn leave(&self, ear: &Arc<Ear>) {
        lock(&self.ears).retain(|other| !Arc::ptr_eq(other, ear));
    }

    fn deliver(&self, datagram: &[u8], from: IpAddr, now: Instant) {
        let ears = lock(&self.ears);
        match meant(&ears, |ear| ear.remote, from) {
            Some(ear) => lock(&ear.heard).take(datagram, from, now),
            // Nobody's board: every link of the port tells of it, since any of them may be meant.
            None => {
                for ear in ears.iter() {
                    lock(&ear.heard).leave_out("other_sender");
                }
            }
        }
    }
}

/// Whom a link listens to, and what it has not read yet.
#[derive(Debug)]
struct Ear {
    remote: Option<IpAddr>,
    heard: Mutex<Heard>,
}

#[derive(Debug, Default)]
struct Heard {
    datagrams: VecDeque<Vec<u8>>,
    sender: Option<(IpAddr, Instant)>,
    left_out: BTreeMap<&'static str, u64>,
    reader: Option<Waker>,
    ended: bool,
}

impl Heard {
    fn take(&mut self, datagram: &[u8], from: IpAddr, now: Instant) {
        if let Some((sender, last)) = self.sender
            && sender != from
            && now < last + KEEPS_SENDER
        {
            self.leave_out("other_sender");
            return;
        }
        self.sender = Some((from, now));
        if datagram.is_empty() {
            self.leave_out("empty_datagram");
            return;
        }
        if datagram.len() > READ_BYTES {
            self.leave_out("oversize_datagram");
            return;
        }
        if self.datagrams.len() >= QUEUE {
            self.datagrams.pop_front();
            self.leave_out("not_read_in_time");
        }
        self.datagrams.push_back(datagram.to_vec());
        self.wake();
    }

    fn leave_out(&mut self, code: &'static str) {
        *self.left_out.entry(code).or_default() += 1;
    }

    fn end(&mut self) {
        self.ended = true;
        self.wake();
    }

    fn wake(&mut self) {
        if let Some(reader) = self.reader.take() {
            reader.wake();
        }
    }
}

/// Waits for the datagrams of one board.
#[derive(Debug)]
pub struct UdpListen {
    at: ListenAddress,
    sockets: Sockets<DatagramPort>,
}

impl UdpListen {
    /// Nothing is bound yet. Links that share a port share `sockets`.
    pub(in crate::link) fn new(at: ListenAddress, sockets: Sockets<DatagramPort>) -> Self {
        Self { at, sockets }
    }
}

impl Transport for UdpListen {
    type Line = UdpLine;

    async fn open(&mut self, _: u32) -> Result<UdpLine, OpenError> {
        let local = self.at.local;
        let opened = self.sockets.at(
            local,
            |port| !port.desk.has_ended(),
            || DatagramPort::bind(local),
        );
        let port = opened.map_err(|error| OpenError::Net(NetRefusal::of_bind(local, &error)))?;
        let ear = port
            .desk
            .listen(self.at.remote)
            .ok_or(OpenError::Net(NetRefusal::AddressInUse { at: local }))?;
        Ok(UdpLine {
            ear,
            port,
            rest: Vec::new(),
        })
    }

    fn port(&self) -> String {
        format!("udp:{}", self.at)
    }

    fn has_speed(&self) -> bool {
        false
    }
}

/// What one board sends, datagram by datagram.
#[derive(Debug)]
pub struct UdpLine {
    ear: Arc<Ear>,
    port: Arc<DatagramPort>,
    /// What a read with little room left of a datagram.
    rest: Vec<u8>,
}

impl Drop for UdpLine {
    fn drop(&mut self) {
        self.port.desk.leave(&self.ear);
    }
}

impl AsyncRead for UdpLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.rest.is_empty() {
            let mut heard = lock(&self.ear.heard);
            match heard.datagrams.pop_front() {
                Some(datagram) => {
                    drop(heard);
                    self.rest = datagram;
                }
                None if heard.ended => return Poll::Ready(Ok(())),
                None => {
                    heard.reader = Some(cx.waker().clone());
                    return Poll::Pending;
                }
            }
        }
        let count = self.rest.len().min(buf.remaining());
        buf.put_slice(&self.rest[..count]);
        self.rest.drain(..count);
        Poll::Ready(Ok(()))
    }
}

impl Line for UdpLine {
    fn packing(&self) -> Packing {
        Packing::Messages
    }

    fn left_out(&mut self) -> BTreeMap<&'static str, u64> {
        std::mem::take(&mut lock(&self.ear.heard).left_out)
    }
}

#[cfg(test)]
mod tests;
