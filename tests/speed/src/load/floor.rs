//! From a byte on a wire to a byte at a client, one sample at a time.
//!
//! The floor is `socat`, which does nothing but hand bytes on: pseudo-terminal in, TCP out. What the
//! daemon takes beyond it is its own.

use std::fs::File;
use std::io::{self, BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::os::fd::OwnedFd;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_protocol::Encoder;
use nix::pty::openpty;
use nix::sys::termios::{SetArg, cfmakeraw, tcgetattr, tcsetattr};
use nix::unistd::ttyname;

use super::Daemon;
use crate::families;

/// Between two samples: far longer than any of them takes.
const PERIOD: Duration = Duration::from_millis(10);
/// Samples before anything is counted: the board's first rest has to be seen.
const FIRST: usize = 300;

/// A wire whose one end is written here.
struct Wire {
    far: File,
    _near: OwnedFd,
    port: PathBuf,
}

fn wire() -> io::Result<Wire> {
    let pair = openpty(None, None)?;
    let mut settings = tcgetattr(&pair.slave)?;
    cfmakeraw(&mut settings);
    tcsetattr(&pair.slave, SetArg::TCSANOW, &settings)?;
    Ok(Wire {
        far: File::from(pair.master),
        port: ttyname(&pair.slave)?,
        _near: pair.slave,
    })
}

/// Sends sample after sample and waits for something to come of each; how long each took, ms, sorted.
fn trips(wire: &mut Wire, arrived: &Receiver<Instant>, samples: usize) -> io::Result<Vec<f64>> {
    let csv = families::named("csv").ok_or_else(|| io::Error::other("no csv"))?;
    let encoder = Encoder::new(&csv.format);
    let mut bytes = Vec::new();
    encoder.preamble(&mut bytes);
    let began = Instant::now();
    let mut took_ms = Vec::new();
    for number in 0..FIRST + samples {
        encoder.encode(&families::reading(number, 10_000), &mut bytes);
        thread::sleep(
            (PERIOD * u32::try_from(number).unwrap_or(u32::MAX)).saturating_sub(began.elapsed()),
        );
        let sent = Instant::now();
        wire.far.write_all(&bytes)?;
        bytes.clear();
        if number < FIRST {
            continue;
        }
        // What still comes of the samples before.
        while let Ok(at) = arrived.recv_timeout(PERIOD) {
            if at >= sent {
                took_ms.push(at.duration_since(sent).as_secs_f64() * 1e3);
                break;
            }
        }
    }
    took_ms.sort_by(f64::total_cmp);
    Ok(took_ms)
}

/// Ends a process that was started here.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// By `socat`.
///
/// # Errors
/// When it cannot be started.
pub fn by_socat(samples: usize) -> io::Result<Vec<f64>> {
    let mut wire = wire()?;
    // A port that nobody has at this moment.
    let port = TcpListener::bind("127.0.0.1:0")?.local_addr()?.port();
    let _socat = Ended(
        Command::new("socat")
            .args(["-u", &format!("OPEN:{},rawer", wire.port.display())])
            .arg(format!(
                "TCP-LISTEN:{port},bind=127.0.0.1,reuseaddr,nodelay"
            ))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?,
    );
    let mut line = connect(SocketAddr::from(([127, 0, 0, 1], port)))?;
    let (tell, arrived) = mpsc::channel();
    thread::spawn(move || {
        let mut part = [0; 4096];
        while line.read(&mut part).is_ok_and(|read| read > 0) {
            if tell.send(Instant::now()).is_err() {
                return;
            }
        }
    });
    trips(&mut wire, &arrived, samples)
}

/// By the daemon, its traces without an interval.
///
/// # Errors
/// When it does not start.
pub fn by_daemon(samples: usize) -> io::Result<Vec<f64>> {
    let mut wire = wire()?;
    let daemon = Daemon::with_boards([wire.port.as_path()].into_iter(), "format = \"csv\"")?;
    let to: SocketAddr = daemon
        .address()
        .trim_start_matches("http://")
        .parse()
        .map_err(io::Error::other)?;
    let mut line = connect(to)?;
    write!(
        line,
        "GET /api/v1/traces?interval_ms=0 HTTP/1.0\r\nHost: {to}\r\n\r\n"
    )?;
    let (tell, arrived) = mpsc::channel();
    thread::spawn(move || {
        for said in BufReader::new(line).lines().map_while(Result::ok) {
            if said.starts_with("data:") && tell.send(Instant::now()).is_err() {
                return;
            }
        }
    });
    trips(&mut wire, &arrived, samples)
}

fn connect(to: SocketAddr) -> io::Result<TcpStream> {
    let began = Instant::now();
    loop {
        match TcpStream::connect(to) {
            Ok(line) => {
                line.set_nodelay(true)?;
                return Ok(line);
            }
            Err(error) if began.elapsed() > Duration::from_secs(5) => return Err(error),
            Err(_) => thread::sleep(Duration::from_millis(10)),
        }
    }
}
