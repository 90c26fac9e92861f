//! Boards on TCP: those that are called, and those that call.

use std::io::{self, Read, Write};
use std::net::{IpAddr, SocketAddr, TcpListener, TcpStream};
use std::time::{Duration, Instant};

use socket2::{Domain, Socket, Type};

use super::outlet::{Outlet, Written};

/// How often a board that has no connection calls (common practice, no source).
const CALL_EVERY: Duration = Duration::from_millis(200);
/// How long it waits for an answer; on one machine there is one at once.
const ANSWER: Duration = Duration::from_millis(100);

/// The one connection a small board serves.
#[derive(Debug, Default)]
struct Connection {
    stream: Option<TcpStream>,
    is_new: bool,
}

impl Connection {
    fn begin(&mut self, stream: TcpStream) -> io::Result<()> {
        stream.set_nonblocking(true)?;
        // A reading that waits for more to go with it comes late.
        stream.set_nodelay(true)?;
        self.stream = Some(stream);
        self.is_new = true;
        Ok(())
    }

    /// Throws away what the host writes, and notices its end.
    fn written(&mut self) -> Vec<u8> {
        let mut written = Vec::new();
        let mut piece = [0_u8; 256];
        while let Some(stream) = &mut self.stream {
            match stream.read(&mut piece) {
                Ok(count @ 1..) => written.extend_from_slice(&piece[..count]),
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => break,
                Ok(0) | Err(_) => self.stream = None,
            }
        }
        written
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        let Some(stream) = &mut self.stream else {
            return Written::Unheard;
        };
        let bytes = said.concat();
        let mut rest = &bytes[..];
        while !rest.is_empty() {
            match stream.write(rest) {
                Ok(0) => break,
                Ok(sent) => rest = &rest[sent..],
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                // Full, or the reader has just gone: lost either way.
                Err(_) => break,
            }
        }
        Written::Sent { lost: rest.len() }
    }
}

/// A board that listens. The newest caller is the one it talks to.
#[derive(Debug)]
pub(super) struct Serving {
    listener: TcpListener,
    connection: Connection,
}

impl Serving {
    pub(super) fn at(at: SocketAddr) -> io::Result<Self> {
        let listener = TcpListener::bind(at)?;
        listener.set_nonblocking(true)?;
        Ok(Self {
            listener,
            connection: Connection::default(),
        })
    }

    fn take_calls(&mut self) {
        while let Ok((stream, _)) = self.listener.accept() {
            if self.connection.begin(stream).is_err() {
                self.connection.stream = None;
            }
        }
    }
}

impl Outlet for Serving {
    fn is_heard(&mut self) -> bool {
        self.take_calls();
        self.connection.stream.is_some()
    }

    fn was_opened(&mut self) -> bool {
        std::mem::take(&mut self.connection.is_new)
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        self.connection.send(said)
    }

    fn written(&mut self) -> Vec<u8> {
        self.connection.written()
    }
}

/// A board that calls, and calls again.
#[derive(Debug)]
pub(super) struct Calling {
    at: SocketAddr,
    from: Option<IpAddr>,
    called: Option<Instant>,
    connection: Connection,
}

impl Calling {
    pub(super) fn new(at: SocketAddr, from: Option<IpAddr>) -> Self {
        Self {
            at,
            from,
            called: None,
            connection: Connection::default(),
        }
    }

    fn call(&self) -> io::Result<TcpStream> {
        let socket = Socket::new(Domain::for_address(self.at), Type::STREAM, None)?;
        if let Some(from) = self.from {
            socket.bind(&SocketAddr::new(from, 0).into())?;
        }
        socket.connect_timeout(&self.at.into(), ANSWER)?;
        Ok(socket.into())
    }
}

impl Outlet for Calling {
    fn is_heard(&mut self) -> bool {
        let due = self.called.is_none_or(|at| at.elapsed() >= CALL_EVERY);
        if self.connection.stream.is_none() && due {
            self.called = Some(Instant::now());
            // Nobody answers: it is tried again.
            let _ = self.call().and_then(|stream| self.connection.begin(stream));
        }
        self.connection.stream.is_some()
    }

    fn was_opened(&mut self) -> bool {
        std::mem::take(&mut self.connection.is_new)
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        self.connection.send(said)
    }

    fn written(&mut self) -> Vec<u8> {
        self.connection.written()
    }
}
