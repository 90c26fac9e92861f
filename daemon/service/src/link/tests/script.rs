//! A port and its board, made of memory.

use std::io;
use std::pin::Pin;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use hubplumb_protocol::{Packing, Reading};
use tokio::io::{AsyncRead, AsyncWriteExt, DuplexStream, ReadBuf, duplex};
use tokio::time::{Instant, sleep};
use tokio_util::sync::CancellationToken;

use crate::link::{Line, LinkSettings, LinkState, LinkStatus, Observer, OpenError, Transport, run};
use crate::speech_store::RememberedSpeech;

/// What a board does on an open line. When the list is over it says nothing more.
#[derive(Debug, Clone)]
pub(super) enum Beat {
    /// Says `bytes`, then waits, so many times.
    Say {
        bytes: &'static [u8],
        every_ms: u64,
        times: u32,
    },
    Wait {
        ms: u64,
    },
    ChangeBaud {
        to: u32,
    },
    /// The cable is pulled: reads give nothing for ever.
    End,
    /// The cable is pulled: reads fail.
    Fail,
}

/// What an opening comes to.
pub(super) enum Opening {
    Fail(OpenError),
    Line(Vec<Beat>),
}

pub(super) struct Script {
    openings: Vec<Opening>,
    speaks_at: Option<u32>,
    line: Nature,
    remembered: Option<RememberedSpeech>,
}

/// What kind of line the script is played on.
#[derive(Debug, Clone, Copy)]
struct Nature {
    packing: Packing,
    silence_is_the_end: bool,
}

impl Script {
    pub(super) fn new(openings: impl IntoIterator<Item = Opening>) -> Self {
        Self {
            openings: openings.into_iter().collect(),
            speaks_at: None,
            line: Nature {
                packing: Packing::Stream,
                silence_is_the_end: false,
            },
            remembered: None,
        }
    }

    /// On connections that are made anew when they are silent.
    pub(super) fn on_connections(mut self) -> Self {
        self.line.silence_is_the_end = true;
        self
    }

    /// On a link of datagrams.
    pub(super) fn in_messages(mut self) -> Self {
        self.line.packing = Packing::Messages;
        self
    }

    /// At any other speed the board's bytes arrive as garbage.
    pub(super) fn speaking_at(mut self, baud: u32) -> Self {
        self.speaks_at = Some(baud);
        self
    }

    /// The observer remembers this of the board.
    pub(super) fn remembering(mut self, remembered: RememberedSpeech) -> Self {
        self.remembered = Some(remembered);
        self
    }

    /// Runs a link on the script for so long. An opening beyond the script finds no port.
    pub(super) async fn play(self, settings: LinkSettings, length: Duration) -> Log {
        let log = Arc::new(Mutex::new(Log {
            began: Instant::now(),
            openings: Vec::new(),
            tuned: Vec::new(),
            told: Vec::new(),
        }));
        let transport = ScriptTransport {
            openings: self.openings.into_iter(),
            speaks_at: self.speaks_at,
            line: self.line,
            log: log.clone(),
        };
        let stop = CancellationToken::new();
        let logger = Logger(log.clone(), self.remembered);
        let link = tokio::spawn(run(transport, settings, logger, stop.clone()));
        // A hair longer, so that what is due at the very end is in.
        sleep(length + Duration::from_millis(1)).await;
        stop.cancel();
        link.await.unwrap();
        let log = log.lock().unwrap();
        log.clone()
    }
}

/// What happened, with times in milliseconds from the start.
#[derive(Debug, Clone)]
pub(super) struct Log {
    began: Instant,
    openings: Vec<(u64, u32)>,
    tuned: Vec<u32>,
    told: Vec<(u64, LinkStatus)>,
}

impl Log {
    pub(super) fn openings_ms(&self) -> Vec<u64> {
        self.openings.iter().map(|(ms, _)| *ms).collect()
    }

    pub(super) fn opening_bauds(&self) -> Vec<u32> {
        self.openings.iter().map(|(_, baud)| *baud).collect()
    }

    /// Every speed the line was opened at or tuned to.
    pub(super) fn bauds(&self) -> Vec<u32> {
        self.opening_bauds()
            .into_iter()
            .chain(self.tuned.iter().copied())
            .collect()
    }

    /// Changes of state; the state a link begins with before its first opening is left out.
    pub(super) fn states(&self) -> Vec<(u64, &'static str)> {
        let mut states: Vec<(u64, &'static str)> = Vec::new();
        for (ms, status) in self.told.iter().skip(1) {
            let name = name(&status.state);
            if states.last().is_none_or(|(_, last)| *last != name) {
                states.push((*ms, name));
            }
        }
        states
    }

    pub(super) fn last(&self) -> &LinkStatus {
        &self.told.last().unwrap().1
    }

    fn now_ms(&self) -> u64 {
        u64::try_from(self.began.elapsed().as_millis()).unwrap()
    }
}

pub(super) fn name(state: &LinkState) -> &'static str {
    match state {
        LinkState::Listening => "listening",
        LinkState::Live => "live",
        LinkState::Silent => "silent",
        LinkState::Unreadable(_) => "unreadable",
        LinkState::Absent { .. } => "absent",
        LinkState::Refused(_) => "refused",
    }
}

struct Logger(Arc<Mutex<Log>>, Option<RememberedSpeech>);

impl Observer for Logger {
    fn arrived(&mut self, _: &[u8], _: &[Reading], _: u64) {}

    fn remembered(&mut self) -> Option<RememberedSpeech> {
        self.1.clone()
    }

    fn status(&mut self, status: &LinkStatus) {
        let mut log = self.0.lock().unwrap();
        let now = log.now_ms();
        log.told.push((now, status.clone()));
    }
}

struct ScriptTransport {
    openings: std::vec::IntoIter<Opening>,
    speaks_at: Option<u32>,
    line: Nature,
    log: Arc<Mutex<Log>>,
}

impl Transport for ScriptTransport {
    type Line = ScriptLine;

    async fn open(&mut self, baud: u32) -> Result<ScriptLine, OpenError> {
        {
            let mut log = self.log.lock().unwrap();
            let now = log.now_ms();
            log.openings.push((now, baud));
        }
        match self.openings.next() {
            None => Err(OpenError::Absent {
                wanted: "port".to_owned(),
            }),
            Some(Opening::Fail(error)) => Err(error),
            Some(Opening::Line(beats)) => {
                let (far, near) = duplex(1 << 16);
                let tuned = Arc::new(AtomicU32::new(baud));
                let fails = Arc::new(AtomicU32::new(0));
                tokio::spawn(perform(
                    beats,
                    far,
                    tuned.clone(),
                    self.speaks_at,
                    fails.clone(),
                ));
                Ok(ScriptLine {
                    near,
                    tuned,
                    fails,
                    nature: self.line,
                    log: self.log.clone(),
                })
            }
        }
    }

    fn port(&self) -> String {
        "port".to_owned()
    }
}

async fn perform(
    beats: Vec<Beat>,
    mut far: DuplexStream,
    tuned: Arc<AtomicU32>,
    mut speaks_at: Option<u32>,
    fails: Arc<AtomicU32>,
) {
    for beat in beats {
        match beat {
            Beat::Say {
                bytes,
                every_ms,
                times,
            } => {
                for _ in 0..times {
                    let heard = speaks_at.is_none_or(|baud| baud == tuned.load(Ordering::Relaxed));
                    // What another speed makes of it: no line ends, high bits set.
                    let garbage = [0xFE, 0x80, 0xF8, 0x00];
                    if far
                        .write_all(if heard { bytes } else { &garbage })
                        .await
                        .is_err()
                    {
                        return;
                    }
                    sleep(Duration::from_millis(every_ms)).await;
                }
            }
            Beat::Wait { ms } => sleep(Duration::from_millis(ms)).await,
            Beat::ChangeBaud { to } => speaks_at = Some(to),
            Beat::End => return,
            Beat::Fail => {
                fails.store(1, Ordering::Relaxed);
                return;
            }
        }
    }
    // Open and silent for good.
    std::future::pending::<()>().await;
}

struct ScriptLine {
    near: DuplexStream,
    tuned: Arc<AtomicU32>,
    fails: Arc<AtomicU32>,
    nature: Nature,
    log: Arc<Mutex<Log>>,
}

impl AsyncRead for ScriptLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        let before = buf.filled().len();
        let polled = Pin::new(&mut self.near).poll_read(cx, buf);
        let ended = matches!(polled, Poll::Ready(Ok(()))) && buf.filled().len() == before;
        if ended && self.fails.load(Ordering::Relaxed) == 1 {
            return Poll::Ready(Err(io::Error::other("input/output error")));
        }
        polled
    }
}

impl Line for ScriptLine {
    fn set_baud(&mut self, baud: u32) -> io::Result<()> {
        self.tuned.store(baud, Ordering::Relaxed);
        self.log.lock().unwrap().tuned.push(baud);
        Ok(())
    }
    fn packing(&self) -> Packing {
        self.nature.packing
    }

    fn silence_is_the_end(&self) -> bool {
        self.nature.silence_is_the_end
    }
}
