//! A line of memory between a simulated board and the link that reads it.

use std::collections::VecDeque;
use std::io;
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll, Waker};

use hubplumb::link::{Line, OpenError, Transport};
use hubplumb_protocol::Packing;
use tokio::io::{AsyncRead, ReadBuf};

/// What stands for the driver of a port: that much waits for its reader, bytes.
const DRIVER: usize = 65_536;

/// How boards are joined to the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Joined {
    /// A serial port.
    Serial,
    /// A connection over a network: silence ends it.
    Connection,
    /// Datagrams, or notifications of a radio.
    Messages,
}

impl Joined {
    pub(crate) const ALL: [Self; 3] = [Self::Serial, Self::Connection, Self::Messages];

    pub(crate) const fn packing(self) -> Packing {
        match self {
            Self::Messages => Packing::Messages,
            Self::Serial | Self::Connection => Packing::Stream,
        }
    }
}

#[derive(Debug, Default)]
struct Socket {
    plugged: bool,
    /// Rises with every pull of the plug: a line of before has ended.
    life: u64,
    waiting: VecDeque<Vec<u8>>,
    waiting_bytes: usize,
    reader: Option<Waker>,
    opened: bool,
}

/// Both ends of a line.
#[derive(Debug, Clone)]
pub(crate) struct Plug {
    socket: Arc<Mutex<Socket>>,
    joined: Joined,
    name: String,
}

impl Plug {
    pub(crate) fn new(name: &str, joined: Joined) -> Self {
        let socket = Socket {
            plugged: true,
            ..Socket::default()
        };
        Self {
            socket: Arc::new(Mutex::new(socket)),
            joined,
            name: name.to_owned(),
        }
    }

    fn with<T>(&self, act: impl FnOnce(&mut Socket) -> T) -> T {
        act(&mut self.socket.lock().expect("nobody panics with it"))
    }

    /// Pulls the plug or puts it in.
    pub(crate) fn plug(&self, plugged: bool) {
        self.with(|socket| {
            if socket.plugged && !plugged {
                socket.life += 1;
                socket.waiting.clear();
                socket.waiting_bytes = 0;
            }
            socket.plugged = plugged;
            if let Some(reader) = socket.reader.take() {
                reader.wake();
            }
        });
    }

    /// Has somebody opened it since this was last asked?
    pub(crate) fn was_opened(&self) -> bool {
        self.with(|socket| std::mem::take(&mut socket.opened))
    }

    /// The board's end sends; what finds no room is lost.
    pub(crate) fn send(&self, pieces: Vec<Vec<u8>>) {
        self.with(|socket| {
            let pieces = match self.joined {
                Joined::Messages => pieces,
                Joined::Serial | Joined::Connection => vec![pieces.concat()],
            };
            for piece in pieces.into_iter().filter(|piece| !piece.is_empty()) {
                if socket.plugged && socket.waiting_bytes + piece.len() <= DRIVER {
                    socket.waiting_bytes += piece.len();
                    socket.waiting.push_back(piece);
                }
            }
            if let Some(reader) = socket.reader.take() {
                reader.wake();
            }
        });
    }
}

impl Transport for Plug {
    type Line = Reader;

    async fn open(&mut self, _: u32) -> Result<Reader, OpenError> {
        let life = self.with(|socket| {
            socket.opened = socket.plugged;
            socket.plugged.then_some(socket.life)
        });
        life.map_or_else(
            || {
                Err(OpenError::Absent {
                    wanted: self.name.clone(),
                })
            },
            |life| {
                Ok(Reader {
                    plug: self.clone(),
                    life,
                })
            },
        )
    }

    fn port(&self) -> String {
        self.name.clone()
    }

    fn has_speed(&self) -> bool {
        self.joined == Joined::Serial
    }
}

/// The machine's end.
#[derive(Debug)]
pub(crate) struct Reader {
    plug: Plug,
    life: u64,
}

impl AsyncRead for Reader {
    fn poll_read(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        self.plug.with(|socket| {
            if socket.life != self.life {
                return Poll::Ready(Ok(()));
            }
            let Some(mut piece) = socket.waiting.pop_front() else {
                socket.reader = Some(cx.waker().clone());
                return Poll::Pending;
            };
            let count = piece.len().min(buf.remaining());
            socket.waiting_bytes -= count;
            buf.put_slice(&piece[..count]);
            if count < piece.len() {
                socket.waiting.push_front(piece.split_off(count));
            }
            Poll::Ready(Ok(()))
        })
    }
}

impl Line for Reader {
    fn packing(&self) -> Packing {
        self.plug.joined.packing()
    }

    fn silence_is_the_end(&self) -> bool {
        self.plug.joined == Joined::Connection
    }
}
