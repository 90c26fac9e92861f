//! One connection to the broker, over any stream, from the first word to the last.

use std::time::Duration;

use time::OffsetDateTime;
use tokio::io::{AsyncRead, AsyncReadExt as _, AsyncWrite, AsyncWriteExt as _};
use tokio::time::{Instant, MissedTickBehavior, interval, sleep_until, timeout};
use tokio_util::sync::CancellationToken;

use super::document::LiveReading;
use super::lost::Lost;
use super::outbox::Outbox;
use super::pace::{FRESH_S, Pace};
use super::wire::{Heard, Hello, Wire};

/// How long the broker may take to answer the first word.
const ANSWER: Duration = Duration::from_secs(10);

/// How long the broker may take nothing. Until then nothing more is put together, so a slow
/// broker costs no memory.
const TAKES: Duration = Duration::from_secs(10);

/// How long taking leave may take: the daemon has to end.
const LEAVE: Duration = Duration::from_millis(500);

/// Findings that are under way at once: enough that a round trip does not matter, and as much
/// as has to be sent again after a break.
const UNDER_WAY: usize = 16;

/// What a connection needs to know.
pub(crate) struct Job<'a> {
    pub(crate) outbox: &'a Outbox,
    pub(crate) live: Option<Live<'a>>,
    pub(crate) stop: &'a CancellationToken,
}

/// Live angles, and how often they are sent.
pub(crate) struct Live<'a> {
    pub(crate) read: &'a (dyn Fn() -> Vec<LiveReading> + Send + Sync),
    pub(crate) every: Duration,
    pub(crate) deadband_deg: f64,
}

/// What a connection tells while it lasts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Told {
    /// The broker has taken it.
    Taken,
    /// The broker does not take this document.
    Refused { topic: String, code: u8 },
    /// A document is larger than the broker takes.
    TooLarge { topic: String },
}

/// Keeps a connection until it is lost, or until `stop`: then there is no reason.
pub(crate) async fn hold<S>(
    mut stream: S,
    hello: &Hello,
    job: &Job<'_>,
    tell: &mut (dyn FnMut(Told) + Send),
) -> Option<Lost>
where
    S: AsyncRead + AsyncWrite + Unpin,
{
    let held = async {
        let mut wire = Wire::open(hello)?;
        let greeted = timeout(ANSWER, greet(&mut stream, &mut wire));
        greeted.await.map_err(|_| Lost::NoAnswer)??;
        tell(Told::Taken);
        job.outbox.begin();
        wire.say_whether_here(true)?;
        publish(&mut stream, &mut wire, job, tell).await?;
        leave(&mut stream, &mut wire).await
    };
    tokio::select! {
        held = held => held.err(),
        // Only while it begins: later the connection itself takes leave.
        () = stopped_and_late(job.stop) => None,
    }
}

/// Somewhat later than `stop`.
async fn stopped_and_late(stop: &CancellationToken) {
    stop.cancelled().await;
    tokio::time::sleep(2 * LEAVE).await;
}

async fn send<S: AsyncWrite + Unpin>(stream: &mut S, wire: &mut Wire) -> Result<(), Lost> {
    if wire.out.is_empty() {
        return Ok(());
    }
    let sent = async {
        stream.write_all(&wire.out).await?;
        stream.flush().await
    };
    match timeout(TAKES, sent).await {
        Ok(Ok(())) => {
            wire.out.clear();
            Ok(())
        }
        Ok(Err(_)) => Err(Lost::BrokeOff),
        Err(_) => Err(Lost::Stuck),
    }
}

/// Reads what comes; none at the end of the stream.
async fn receive<S: AsyncRead + Unpin>(stream: &mut S, buffer: &mut [u8]) -> Result<usize, Lost> {
    match stream.read(buffer).await {
        Ok(0) | Err(_) => Err(Lost::BrokeOff),
        Ok(count) => Ok(count),
    }
}

async fn greet<S>(stream: &mut S, wire: &mut Wire) -> Result<(), Lost>
where
    S: AsyncRead + AsyncWrite + Unpin,
{
    let mut buffer = [0; 1024];
    loop {
        send(stream, wire).await?;
        let count = receive(stream, &mut buffer).await?;
        if wire.receive(&buffer[..count])?.contains(&Heard::Taken) {
            return Ok(());
        }
    }
}

async fn publish<S>(
    stream: &mut S,
    wire: &mut Wire,
    job: &Job<'_>,
    tell: &mut (dyn FnMut(Told) + Send),
) -> Result<(), Lost>
where
    S: AsyncRead + AsyncWrite + Unpin,
{
    let mut buffer = [0; 4096];
    let mut under_way: Vec<u16> = Vec::new();
    let mut pace = Pace::default();
    let every = job.live.as_ref().map_or(ANSWER, |live| live.every);
    let mut looks = interval(every);
    // What was missed while the broker was slow is past.
    looks.set_missed_tick_behavior(MissedTickBehavior::Delay);
    loop {
        while under_way.len() < UNDER_WAY
            && let Some((letter, number)) = job.outbox.next(|| wire.number())
        {
            if wire.publish(&letter.topic, &letter.document, Some(number), None)? {
                under_way.push(number);
            } else {
                job.outbox.settle(number);
                tell(Told::TooLarge {
                    topic: letter.topic,
                });
            }
        }
        send(stream, wire).await?;
        let due = wire.due();
        tokio::select! {
            count = receive(stream, &mut buffer) => {
                for heard in wire.receive(&buffer[..count?])? {
                    if let Heard::Has(number) | Heard::Refuses(number, _) = heard {
                        under_way.retain(|sent| *sent != number);
                        let topic = job.outbox.settle(number);
                        if let (Heard::Refuses(_, code), Some(topic)) = (heard, topic) {
                            tell(Told::Refused { topic, code });
                        }
                    }
                }
            }
            () = job.outbox.filled(), if under_way.len() < UNDER_WAY => {}
            _ = looks.tick(), if job.live.is_some() => {
                if let Some(live) = &job.live {
                    tell_live(wire, live, &mut pace)?;
                }
            }
            () = sleep_until(due.unwrap_or_else(|| Instant::now() + ANSWER)), if due.is_some() => {
                wire.pass(Instant::now())?;
            }
            () = job.stop.cancelled() => return Ok(()),
        }
    }
}

fn tell_live(wire: &mut Wire, live: &Live<'_>, pace: &mut Pace) -> Result<(), Lost> {
    let now = Instant::now();
    for reading in (live.read)() {
        if !pace.take(&reading, live.deadband_deg, now) {
            continue;
        }
        let document = reading.document(OffsetDateTime::now_utc(), FRESH_S);
        match serde_json::to_vec(&document) {
            Ok(document) => {
                wire.publish(&reading.topic(), &document, None, Some(FRESH_S))?;
            }
            Err(error) => tracing::error!(%error, "a live angle does not become JSON"),
        }
    }
    Ok(())
}

/// Says that the daemon goes, and goes.
async fn leave<S: AsyncWrite + Unpin>(stream: &mut S, wire: &mut Wire) -> Result<(), Lost> {
    wire.say_whether_here(false)?;
    wire.take_leave();
    let left = async {
        send(stream, wire).await?;
        let _closed = stream.shutdown().await;
        Ok(())
    };
    timeout(LEAVE, left).await.unwrap_or(Err(Lost::Stuck))
}
