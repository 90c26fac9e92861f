//! A thousand idle connections and a hundred open streams at once, on loopback: what they cost the
//! daemon, what it drops, and how long others wait meanwhile.
//!
//! Each machine may have so many connections and streams; the clients here come from
//! many addresses of 127/8, as tablets would.

use std::fs;
use std::io::{self, BufRead as _, BufReader, ErrorKind, Read as _, Write as _};
use std::net::{IpAddr, SocketAddr, TcpStream};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_tests::Daemon;
use nix::sys::resource::{Resource, getrlimit, setrlimit};
use socket2::{Domain, Socket, Type};

const IDLE: usize = 1000;
const STREAMS: usize = 100;
/// Connections from one address, below the bounds of the daemon.
const OF_ONE: usize = 10;
/// How long they are held.
const HOLD: Duration = Duration::from_secs(60);
/// An idle connection says something before the daemon closes it after 30 s.
const SIGN: Duration = Duration::from_secs(10);
/// How often somebody else asks.
const ASK: Duration = Duration::from_millis(100);
/// A stream is silent for no longer than a second; twice that, and something is wrong.
const SILENCE: Duration = Duration::from_secs(5);

fn main() -> io::Result<ExitCode> {
    room_for_files()?;
    let daemon = Daemon::start(&["demo", "--listen", "127.0.0.1:0"]);
    let to: SocketAddr = daemon
        .address()
        .trim_start_matches("http://")
        .parse()
        .map_err(io::Error::other)?;
    // The boards are found and the first swing has begun.
    thread::sleep(Duration::from_secs(8));
    let alone = Figures::of(&daemon)?;

    let mut idle = Vec::new();
    for nth in 0..IDLE {
        idle.push(connect(to, 1, nth)?);
    }
    let mut lost = signs(&mut idle, to);
    let with_idle = Figures::of(&daemon)?;

    let stop = Arc::new(AtomicBool::new(false));
    let (events, ended) = (Arc::new(AtomicUsize::new(0)), Arc::new(AtomicUsize::new(0)));
    let mut readers = Vec::new();
    for nth in 0..STREAMS {
        let stream = connect(to, 2, nth)?;
        let (stop, events, ended) = (stop.clone(), events.clone(), ended.clone());
        readers.push(thread::spawn(move || {
            if let Err(error) = follow(stream, to, &stop, &events) {
                eprintln!("a stream ended: {error}");
                ended.fetch_add(1, Ordering::Relaxed);
            }
        }));
    }
    thread::sleep(Duration::from_secs(2));
    let with_streams = Figures::of(&daemon)?;

    let began = Instant::now();
    let (mut next_sign, mut waits) = (SIGN, Vec::new());
    while began.elapsed() < HOLD {
        let asked = Instant::now();
        let mut other = connect(to, 3, 0)?;
        if sign(&mut other, to).is_ok() {
            waits.push(asked.elapsed());
        }
        if began.elapsed() >= next_sign {
            lost += signs(&mut idle, to);
            next_sign += SIGN;
        }
        thread::sleep(ASK.saturating_sub(asked.elapsed()));
    }
    let held = began.elapsed();
    lost += signs(&mut idle, to);
    let at_the_end = Figures::of(&daemon)?;
    stop.store(true, Ordering::Relaxed);
    for reader in readers {
        let _ = reader.join();
    }
    drop(idle);
    thread::sleep(Duration::from_secs(2));
    let afterwards = Figures::of(&daemon)?;

    waits.sort();
    let (events, ended) = (
        events.load(Ordering::Relaxed),
        ended.load(Ordering::Relaxed),
    );
    table(&[
        ("four boards, nobody connected", alone),
        ("with 1000 idle connections", with_idle),
        ("and 100 streams", with_streams),
        ("after a minute of that", at_the_end),
        ("all of them gone", afterwards),
    ]);
    let held_s = held.as_secs_f64();
    println!(
        "- held for {held_s:.0} s: {lost} idle connections lost of {IDLE}, {ended} streams of {STREAMS}"
    );
    println!(
        "- {events} events read, {:.1} a second on each stream",
        events as f64 / held_s / STREAMS as f64
    );
    println!(
        "- {} others asked meanwhile, on a new connection each: answered in {:.1} ms (median), {:.1} ms (99 of 100), {:.1} ms (slowest)",
        waits.len(),
        wait_ms(&waits, 50),
        wait_ms(&waits, 99),
        wait_ms(&waits, 100),
    );
    println!(
        "- processor time of the daemon in that minute: {:.1} s",
        at_the_end.processor_s - with_streams.processor_s
    );
    Ok(if lost + ended == 0 {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    })
}

fn table(lines: &[(&str, Figures)]) {
    println!("| | memory (RSS) | processor time |\n| --- | --- | --- |");
    for (what, figures) in lines {
        println!(
            "| {what} | {:.1} MB | {:.1} s |",
            figures.megabytes, figures.processor_s
        );
    }
    println!();
}

/// How long so many of a hundred waited at most; the waits come sorted.
fn wait_ms(waits: &[Duration], share: usize) -> f64 {
    let last = waits.len().saturating_sub(1);
    waits
        .get(last * share / 100)
        .map_or(0.0, |wait| wait.as_secs_f64() * 1000.0)
}

/// Lets this program open as many files as it needs.
fn room_for_files() -> io::Result<()> {
    let (_, most) = getrlimit(Resource::RLIMIT_NOFILE)?;
    let wanted = 2 * (IDLE + STREAMS) as u64;
    Ok(setrlimit(Resource::RLIMIT_NOFILE, wanted.min(most), most)?)
}

/// A connection from an address of its own for every ten.
fn connect(to: SocketAddr, kind: u8, nth: usize) -> io::Result<TcpStream> {
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None)?;
    let last = u8::try_from(1 + nth / OF_ONE).map_err(io::Error::other)?;
    let from = SocketAddr::new(IpAddr::from([127, 0, kind, last]), 0);
    socket.bind(&from.into())?;
    socket.connect(&to.into())?;
    let stream = TcpStream::from(socket);
    stream.set_read_timeout(Some(SILENCE))?;
    Ok(stream)
}

/// Every idle connection asks once; gives how many are gone, and forgets those.
fn signs(idle: &mut Vec<TcpStream>, to: SocketAddr) -> usize {
    let before = idle.len();
    idle.retain_mut(|line| sign(line, to).is_ok());
    before - idle.len()
}

fn sign(line: &mut TcpStream, to: SocketAddr) -> io::Result<()> {
    // In one piece: the second of two small ones would wait for the acknowledgement of the first, 40 ms.
    line.write_all(format!("GET /api/v1/health HTTP/1.1\r\nHost: {to}\r\n\r\n").as_bytes())?;
    let (mut said, mut part) = (Vec::new(), [0; 2048]);
    // The answer ends with its only brace.
    while !said.ends_with(b"}") {
        match line.read(&mut part)? {
            0 => return Err(ErrorKind::UnexpectedEof.into()),
            read => said.extend_from_slice(&part[..read]),
        }
    }
    if said.starts_with(b"HTTP/1.1 200") {
        Ok(())
    } else {
        Err(io::Error::other("another answer"))
    }
}

/// Reads a stream as a page does, until all is over.
fn follow(
    mut line: TcpStream,
    to: SocketAddr,
    stop: &AtomicBool,
    events: &AtomicUsize,
) -> io::Result<()> {
    line.write_all(format!("GET /api/v1/stream HTTP/1.1\r\nHost: {to}\r\n\r\n").as_bytes())?;
    for said in BufReader::new(line).lines() {
        let said = said?;
        if said.starts_with("HTTP/1.1") && !said.contains(" 200") {
            return Err(io::Error::other(said));
        }
        if said.starts_with("data:") {
            events.fetch_add(1, Ordering::Relaxed);
        }
        if stop.load(Ordering::Relaxed) {
            return Ok(());
        }
    }
    Err(ErrorKind::UnexpectedEof.into())
}

/// What the daemon has taken.
#[derive(Clone, Copy)]
struct Figures {
    megabytes: f64,
    processor_s: f64,
}

impl Figures {
    fn of(daemon: &Daemon) -> io::Result<Self> {
        let status = fs::read_to_string(format!("/proc/{}/status", daemon.pid()))?;
        let kilobytes: f64 = status
            .lines()
            .find_map(|line| line.strip_prefix("VmRSS:"))
            .and_then(|rest| rest.split_whitespace().next()?.parse().ok())
            .ok_or_else(|| io::Error::other("no memory is told"))?;
        let stat = fs::read_to_string(format!("/proc/{}/stat", daemon.pid()))?;
        // Behind the name in brackets: user and system time are the 12th and 13th (proc(5)), in hundredths.
        let times = stat
            .rsplit_once(") ")
            .map(|(_, rest)| rest.split(' ').skip(11).take(2));
        let ticks: f64 = times
            .into_iter()
            .flatten()
            .filter_map(|ticks| ticks.parse::<f64>().ok())
            .sum();
        Ok(Self {
            megabytes: kilobytes / 1024.0,
            processor_s: ticks / 100.0,
        })
    }
}
