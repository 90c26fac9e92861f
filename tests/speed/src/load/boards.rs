//! Boards that talk at a rate, on pseudo-terminals.

use std::fs::File;
use std::io::{self, Write as _};
use std::os::fd::OwnedFd;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use hubplumb_protocol::Encoder;
use nix::fcntl::{FcntlArg, FdFlag, OFlag, fcntl};
use nix::pty::openpty;
use nix::sys::termios::{SetArg, cfmakeraw, tcgetattr, tcsetattr};
use nix::unistd::ttyname;

use crate::families::{Family, reading};

/// One board's wire.
#[derive(Debug)]
struct Wire {
    far: File,
    /// Kept open, or the far end would hang up before the daemon has opened it.
    _near: OwnedFd,
}

/// Boards that talk until they are dropped.
#[derive(Debug)]
pub struct Boards {
    ports: Vec<PathBuf>,
    wires: Option<Vec<Wire>>,
    family: Family,
    talk: Option<Talk>,
}

#[derive(Debug)]
struct Talk {
    stop: Arc<AtomicBool>,
    sent: Arc<AtomicU64>,
    /// Samples that a full wire did not take.
    refused: Arc<AtomicU64>,
    thread: JoinHandle<()>,
}

/// What was sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sent {
    /// Samples that went out, of all boards together.
    pub samples: u64,
    /// Samples that a wire did not take because nobody had read it.
    pub refused: u64,
}

impl Boards {
    /// So many wires.
    ///
    /// # Errors
    /// When the system gives no pseudo-terminals.
    pub fn new(count: usize, family: &Family) -> io::Result<Self> {
        let mut ports = Vec::new();
        let mut wires = Vec::new();
        for _ in 0..count {
            let pair = openpty(None, None)?;
            fcntl(&pair.master, FcntlArg::F_SETFD(FdFlag::FD_CLOEXEC))?;
            // A daemon that does not read must show as samples refused, not as boards that wait.
            fcntl(&pair.master, FcntlArg::F_SETFL(OFlag::O_NONBLOCK))?;
            let mut settings = tcgetattr(&pair.slave)?;
            cfmakeraw(&mut settings);
            tcsetattr(&pair.slave, SetArg::TCSANOW, &settings)?;
            ports.push(ttyname(&pair.slave)?);
            wires.push(Wire {
                far: File::from(pair.master),
                _near: pair.slave,
            });
        }
        Ok(Self {
            ports,
            wires: Some(wires),
            family: family.clone(),
            talk: None,
        })
    }

    /// Their ports.
    pub fn ports(&self) -> impl Iterator<Item = &Path> {
        self.ports.iter().map(PathBuf::as_path)
    }

    /// Lets all of them talk, each so many samples a second, from a thread of their own.
    pub fn talk(&mut self, rate_hz: u32) {
        self.talk_in_bursts(rate_hz, 1);
    }

    /// The same, with so many samples written at once.
    pub fn talk_in_bursts(&mut self, rate_hz: u32, burst: usize) {
        let Some(wires) = self.wires.take() else {
            return;
        };
        let (stop, sent, refused) = (
            Arc::new(AtomicBool::new(false)),
            Arc::new(AtomicU64::new(0)),
            Arc::new(AtomicU64::new(0)),
        );
        let speaker = Speaker {
            encoder: Encoder::new(&self.family.format),
            wires,
            rate_hz,
            burst,
            stop: stop.clone(),
            sent: sent.clone(),
            refused: refused.clone(),
        };
        self.talk = Some(Talk {
            stop,
            sent,
            refused,
            thread: thread::spawn(move || speaker.talk()),
        });
    }

    /// What was sent so far.
    pub fn sent(&self) -> Sent {
        self.talk.as_ref().map_or_else(Sent::default, |talk| Sent {
            samples: talk.sent.load(Ordering::Relaxed),
            refused: talk.refused.load(Ordering::Relaxed),
        })
    }
}

impl Drop for Boards {
    fn drop(&mut self) {
        if let Some(talk) = self.talk.take() {
            talk.stop.store(true, Ordering::Relaxed);
            // A speaker that panicked has said so.
            let _ = talk.thread.join();
        }
    }
}

struct Speaker {
    encoder: Encoder,
    wires: Vec<Wire>,
    rate_hz: u32,
    burst: usize,
    stop: Arc<AtomicBool>,
    sent: Arc<AtomicU64>,
    refused: Arc<AtomicU64>,
}

impl Speaker {
    /// All boards send at the same moments, which is the worst there is. Whoever is late catches up.
    fn talk(mut self) {
        let period_us = i64::from(1_000_000 / self.rate_hz);
        let mut bytes = Vec::new();
        self.encoder.preamble(&mut bytes);
        let began = Instant::now();
        for number in 0.. {
            if self.stop.load(Ordering::Relaxed) {
                return;
            }
            self.encoder.encode(&reading(number, period_us), &mut bytes);
            if (number + 1) % self.burst != 0 {
                continue;
            }
            let at = Duration::from_micros(number as u64 * period_us.unsigned_abs());
            thread::sleep(at.saturating_sub(began.elapsed()));
            for wire in &mut self.wires {
                let counted = match wire.far.write(&bytes) {
                    Ok(written) if written == bytes.len() => &self.sent,
                    Ok(_) | Err(_) => &self.refused,
                };
                counted.fetch_add(self.burst as u64, Ordering::Relaxed);
            }
            bytes.clear();
        }
    }
}
