//! Clients of the daemon's streams.

use std::io::{self, BufRead as _, BufReader, Write as _};
use std::net::{IpAddr, SocketAddr, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use serde_json::Value;
use socket2::{Domain, Socket, Type};

/// Connections from one address, below the bounds of the daemon.
const OF_ONE: usize = 8;
/// A stream is silent for no longer than a second; many times that, and something is wrong.
const SILENCE: Duration = Duration::from_secs(10);

/// What a client heard.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Heard {
    /// Events.
    pub events: u64,
    /// Bytes.
    pub bytes: u64,
    /// Marks of traces that were lost.
    pub lost: u64,
    /// Age of every mark when its event had come, ms, without the least way of any event: from the
    /// reading's own time to the client. Of a client that was told to look only.
    pub ages_ms: Vec<f64>,
}

/// A client that listens until it is asked what it heard.
#[derive(Debug)]
pub struct Client {
    stop: Arc<AtomicBool>,
    /// Events since the last [`Client::forget`].
    events: Arc<AtomicU64>,
    forget: Arc<AtomicBool>,
    thread: JoinHandle<io::Result<Heard>>,
}

impl Client {
    /// Listens to `path`; `looks` says whether it reads what comes, which costs this machine as well.
    ///
    /// # Errors
    /// When the daemon does not take the connection.
    pub fn listen(address: &str, path: &str, nth: usize, looks: bool) -> io::Result<Self> {
        let to: SocketAddr = address
            .trim_start_matches("http://")
            .parse()
            .map_err(io::Error::other)?;
        let mut line = connect(to, nth)?;
        write!(
            line,
            "GET {path} HTTP/1.0\r\nHost: {to}\r\nAccept: text/event-stream\r\n\r\n"
        )?;
        let (stop, events, forget) = (
            Arc::new(AtomicBool::new(false)),
            Arc::new(AtomicU64::new(0)),
            Arc::new(AtomicBool::new(false)),
        );
        let listener = Listener {
            stop: stop.clone(),
            events: events.clone(),
            forget: forget.clone(),
            looks,
        };
        Ok(Self {
            stop,
            events,
            forget,
            thread: thread::spawn(move || listener.listen(line)),
        })
    }

    /// From now on.
    pub fn forget(&self) {
        self.forget.store(true, Ordering::Relaxed);
    }

    /// Events so far.
    pub fn events(&self) -> u64 {
        self.events.load(Ordering::Relaxed)
    }

    /// Ends it, and what it heard.
    ///
    /// # Errors
    /// When its stream ended before.
    pub fn heard(self) -> io::Result<Heard> {
        self.stop.store(true, Ordering::Relaxed);
        self.thread
            .join()
            .unwrap_or_else(|_| Err(io::Error::other("a client panicked")))
    }
}

/// From an address of its own for every few, as tablets would.
fn connect(to: SocketAddr, nth: usize) -> io::Result<TcpStream> {
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None)?;
    let last = u8::try_from(1 + nth / OF_ONE).map_err(io::Error::other)?;
    let from = SocketAddr::new(IpAddr::from([127, 0, 5, last]), 0);
    socket.bind(&from.into())?;
    socket.connect(&to.into())?;
    socket.set_tcp_nodelay(true)?;
    let stream = TcpStream::from(socket);
    stream.set_read_timeout(Some(SILENCE))?;
    Ok(stream)
}

struct Listener {
    stop: Arc<AtomicBool>,
    events: Arc<AtomicU64>,
    forget: Arc<AtomicBool>,
    looks: bool,
}

impl Listener {
    fn listen(self, line: TcpStream) -> io::Result<Heard> {
        let mut lines = BufReader::with_capacity(64 * 1024, line);
        let began = Instant::now();
        let (mut heard, mut said) = (Heard::default(), Vec::new());
        // (arrival, time of the daemon, times of marks), all µs.
        let mut looked: Vec<(f64, f64, Vec<f64>)> = Vec::new();
        lines.read_until(b'\n', &mut said)?;
        if !said.windows(4).any(|part| part == b" 200") {
            let said = String::from_utf8_lossy(&said).into_owned();
            return Err(io::Error::other(said));
        }
        while !self.stop.load(Ordering::Relaxed) {
            said.clear();
            if lines.read_until(b'\n', &mut said)? == 0 {
                return Err(io::ErrorKind::UnexpectedEof.into());
            }
            if self.forget.swap(false, Ordering::Relaxed) {
                heard = Heard::default();
                looked.clear();
                self.events.store(0, Ordering::Relaxed);
            }
            heard.bytes += said.len() as u64;
            let Some(data) = said.strip_prefix(b"data:") else {
                continue;
            };
            heard.events += 1;
            self.events.fetch_add(1, Ordering::Relaxed);
            if self.looks {
                let arrived_us = began.elapsed().as_secs_f64() * 1e6;
                let batch: Value = serde_json::from_slice(data)?;
                let (now_us, times, lost) = marks(&batch);
                heard.lost += lost;
                looked.push((arrived_us, now_us, times));
            }
        }
        heard.ages_ms = ages_ms(&looked);
        Ok(heard)
    }
}

fn marks(batch: &Value) -> (f64, Vec<f64>, u64) {
    let boards = batch["boards"].as_array().into_iter().flatten();
    let (mut times, mut lost) = (Vec::new(), 0);
    for board in boards {
        lost += board["lost"].as_u64().unwrap_or_default();
        let at = board["at_us"].as_array().into_iter().flatten();
        times.extend(at.filter_map(Value::as_f64));
    }
    (batch["now_us"].as_f64().unwrap_or(f64::NAN), times, lost)
}

/// The two clocks differ by what the quickest event shows: its way, a fraction of a millisecond on
/// one machine, is taken for none.
fn ages_ms(looked: &[(f64, f64, Vec<f64>)]) -> Vec<f64> {
    let between_us = looked
        .iter()
        .map(|(arrived_us, now_us, _)| arrived_us - now_us)
        .fold(f64::INFINITY, f64::min);
    let ages = looked.iter().flat_map(|(arrived_us, _, times)| {
        times
            .iter()
            .map(move |at_us| (arrived_us - between_us - at_us) * 1e-3)
    });
    let mut ages: Vec<f64> = ages.collect();
    ages.sort_by(f64::total_cmp);
    ages
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_age_from_their_own_time_to_the_client() {
        let batch = serde_json::json!({"now_us": 1000, "boards": [
            {"at_us": [900, 950], "lost": 0}, {"at_us": [700], "lost": 3}]});
        let (now_us, times, lost) = marks(&batch);
        assert_eq!((now_us, lost), (1000.0, 3));
        // Another came 400 µs later than the quickest.
        let looked = [
            (51_000.0, now_us, times),
            (61_400.0, 11_000.0, vec![10_800.0]),
        ];
        assert_eq!(ages_ms(&looked), [0.05, 0.1, 0.3, 0.6]);
    }
}
