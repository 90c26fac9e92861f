//! A board that answers and never talks by itself, made of memory.

use std::io;
use std::pin::Pin;
use std::sync::{Arc, Mutex};
use std::task::{Context, Poll};
use std::time::Duration;

use hubplumb_protocol::{FormatOptions, Packing, Reading, WireFormat};
use tokio::io::{AsyncRead, AsyncReadExt, AsyncWriteExt, DuplexStream, ReadBuf, duplex};
use tokio::time::{Instant, sleep};
use tokio_util::sync::CancellationToken;

use super::script::name;
use crate::link::{Line, LinkSettings, LinkStatus, Observer, OpenError, Transport, run};

/// `01 03 00 00 00 02`: two holding registers of board 1, asked for ten times a second.
fn modbus() -> WireFormat {
    let registers = "address = 1\nfunction = 3\ntype = \"i16\"\nrate_hz = 10\nfields = [
        { quantity = \"roll\", register = 0, scale = 0.01 },
        { quantity = \"pitch\", register = 1, scale = 0.01 }]";
    let options = FormatOptions {
        registers: Some(toml::from_str(registers).unwrap()),
        ..FormatOptions::default()
    };
    WireFormat::with_options("modbus", options).unwrap()
}

/// The sums of these frames were worked out with a script of the polynomial 0xA001, whose
/// value for `123456789` is the published 4B37.
const QUESTION: [u8; 8] = [0x01, 0x03, 0x00, 0x00, 0x00, 0x02, 0xc4, 0x0b];
/// Roll 1.00°, pitch −1.00°.
const ANSWER: [u8; 9] = [0x01, 0x03, 0x04, 0x00, 0x64, 0xff, 0x9c, 0xfa, 0x75];
/// Illegal data address.
const EXCEPTION: [u8; 5] = [0x01, 0x83, 0x02, 0xc0, 0xf1];

/// What the board does with a question.
#[derive(Debug, Clone)]
struct Reply {
    after_ms: u64,
    /// Said one after the other, with a millisecond between.
    pieces: Vec<Vec<u8>>,
}

fn reply(after_ms: u64, bytes: &[u8]) -> Reply {
    Reply {
        after_ms,
        pieces: vec![bytes.to_vec()],
    }
}

fn nothing() -> Reply {
    Reply {
        after_ms: 0,
        pieces: Vec::new(),
    }
}

#[derive(Debug, Default)]
struct Log {
    asked_ms: Vec<u64>,
    readings_ms: Vec<u64>,
    states: Vec<(u64, &'static str)>,
    last: Option<LinkStatus>,
}

impl Log {
    fn bad(&self, code: &str) -> u64 {
        let bad = self.last.as_ref().map(|status| &status.bad_frames);
        bad.and_then(|bad| bad.get(code))
            .copied()
            .unwrap_or_default()
    }
}

type Shared = Arc<(Mutex<Log>, Instant)>;

fn now_ms(log: &Shared) -> u64 {
    u64::try_from(log.1.elapsed().as_millis()).unwrap()
}

struct Asked {
    replies: Vec<Reply>,
    packing: Packing,
    log: Shared,
}

impl Transport for Asked {
    type Line = AskedLine;

    async fn open(&mut self, _: u32) -> Result<AskedLine, OpenError> {
        let (far, near) = duplex(1 << 16);
        tokio::spawn(answer(self.replies.clone(), far, self.log.clone()));
        Ok(AskedLine {
            near,
            packing: self.packing,
        })
    }

    fn port(&self) -> String {
        "port".to_owned()
    }
}

/// Answers each question with the next reply, the last one for ever.
async fn answer(replies: Vec<Reply>, mut far: DuplexStream, log: Shared) {
    let mut replies = replies.into_iter();
    let mut last = nothing();
    let mut question = [0; QUESTION.len()];
    while far.read_exact(&mut question).await.is_ok() {
        assert_eq!(question, QUESTION);
        let now = now_ms(&log);
        log.0.lock().unwrap().asked_ms.push(now);
        last = replies.next().unwrap_or(last);
        sleep(Duration::from_millis(last.after_ms)).await;
        for piece in &last.pieces {
            far.write_all(piece).await.unwrap();
            sleep(Duration::from_millis(1)).await;
        }
    }
}

struct AskedLine {
    near: DuplexStream,
    packing: Packing,
}

impl AsyncRead for AskedLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.near).poll_read(cx, buf)
    }
}

impl Line for AskedLine {
    fn packing(&self) -> Packing {
        self.packing
    }

    async fn ask(&mut self, question: &[u8]) -> io::Result<()> {
        if self.packing != Packing::Stream {
            return Err(io::ErrorKind::Unsupported.into());
        }
        self.near.write_all(question).await
    }
}

struct Logger(Shared);

impl Observer for Logger {
    fn arrived(&mut self, _: &[u8], readings: &[Reading], _: u64) {
        let now = now_ms(&self.0);
        let mut log = self.0.0.lock().unwrap();
        for reading in readings {
            let tilt = reading.tilt_rad.expect("all answers hold it");
            assert!((tilt[0].to_degrees() - 1.0).abs() < 1e-9, "{tilt:?}");
            log.readings_ms.push(now);
        }
    }

    fn status(&mut self, status: &LinkStatus) {
        let now = now_ms(&self.0);
        let mut log = self.0.0.lock().unwrap();
        let name = name(&status.state);
        if log.states.last().is_none_or(|(_, last)| *last != name) {
            log.states.push((now, name));
        }
        log.last = Some(status.clone());
    }
}

fn told() -> LinkSettings {
    LinkSettings {
        baud: Some(9600),
        format: Some(modbus()),
        ..LinkSettings::default()
    }
}

async fn play_on(
    packing: Packing,
    settings: LinkSettings,
    replies: impl IntoIterator<Item = Reply>,
    length_ms: u64,
) -> Log {
    let log: Shared = Arc::new((Mutex::new(Log::default()), Instant::now()));
    let transport = Asked {
        replies: replies.into_iter().collect(),
        packing,
        log: log.clone(),
    };
    let stop = CancellationToken::new();
    let link = tokio::spawn(run(transport, settings, Logger(log.clone()), stop.clone()));
    sleep(Duration::from_millis(length_ms)).await;
    stop.cancel();
    link.await.unwrap();
    std::mem::take(&mut *log.0.lock().unwrap())
}

async fn play(replies: impl IntoIterator<Item = Reply>, length_ms: u64) -> Log {
    play_on(Packing::Stream, told(), replies, length_ms).await
}

#[tokio::test(start_paused = true)]
async fn a_board_is_asked_at_its_rate() {
    let log = play([reply(8, &ANSWER)], 450).await;
    assert_eq!(log.asked_ms, [0, 100, 200, 300, 400]);
    assert_eq!(log.readings_ms, [8, 108, 208, 308, 408]);
    assert_eq!(log.states, [(0, "listening"), (8, "live")]);
    assert_eq!(log.last.unwrap().bad_frames.len(), 0);
}

#[tokio::test(start_paused = true)]
async fn an_answer_may_come_in_pieces_behind_an_echo_and_behind_garbage() {
    let cut = Reply {
        after_ms: 3,
        pieces: ANSWER.chunks(2).map(<[u8]>::to_vec).collect(),
    };
    let echoed = reply(3, &[&QUESTION[..], &ANSWER[..]].concat());
    let noisy = reply(3, &[&[0xff, 0x01, 0x03, 0x04][..], &ANSWER[..]].concat());
    let log = play([cut, echoed, noisy, reply(3, &ANSWER)], 350).await;
    assert_eq!(log.readings_ms, [7, 103, 203, 303]);
    assert_eq!(log.bad("unsynchronised"), 1);
    assert_eq!(log.last.unwrap().bad_frames.len(), 1);
}

#[tokio::test(start_paused = true)]
async fn a_question_without_answer_is_asked_again_ever_more_slowly() {
    let log = play([nothing()], 6000).await;
    // 300 ms of patience each; then 300, 600, 1200, 2000 ms.
    assert_eq!(log.asked_ms, [0, 600, 1500, 3000, 5300]);
    assert_eq!(log.bad("no_answer"), 5);
    assert_eq!(log.states, [(0, "listening"), (3000, "silent")]);
}

#[tokio::test(start_paused = true)]
async fn a_board_that_is_switched_on_is_found_and_asked_at_its_rate_again() {
    let log = play([nothing(), nothing(), reply(5, &ANSWER)], 1750).await;
    assert_eq!(log.asked_ms, [0, 600, 1500, 1600, 1700]);
    assert_eq!(log.readings_ms, [1505, 1605, 1705]);
}

#[tokio::test(start_paused = true)]
async fn an_answer_that_comes_late_is_used_and_makes_the_link_patient() {
    let log = play([reply(350, &ANSWER)], 1500).await;
    // Given up at 300, answered at 350, asked at once; the board takes a millisecond to listen again.
    assert_eq!(log.readings_ms, [350, 701, 1052, 1403]);
    assert_eq!(log.asked_ms, [0, 351, 702, 1053, 1404]);
    assert_eq!(log.bad("no_answer"), 1);
}

#[tokio::test(start_paused = true)]
async fn a_board_that_declines_is_unreadable_with_the_reason_and_asked_on() {
    let log = play([reply(5, &EXCEPTION)], 6000).await;
    assert_eq!(log.states, [(0, "listening"), (3005, "unreadable")]);
    let gaps: Vec<_> = log
        .asked_ms
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .collect();
    assert_eq!(gaps, [305, 605, 1205, 2005]);
    assert_eq!(log.bad("declined"), 5);
}

#[tokio::test(start_paused = true)]
async fn one_decline_costs_one_pause() {
    let log = play(
        [reply(5, &ANSWER), reply(5, &EXCEPTION), reply(5, &ANSWER)],
        650,
    )
    .await;
    assert_eq!(log.asked_ms, [0, 100, 405, 505, 605]);
    assert_eq!(log.states, [(0, "listening"), (5, "live")]);
}

#[tokio::test(start_paused = true)]
async fn a_damaged_answer_is_waited_out_and_asked_for_again() {
    let mut damaged = ANSWER;
    damaged[4] ^= 0x10;
    let log = play([reply(5, &damaged), reply(5, &ANSWER)], 650).await;
    assert_eq!(log.asked_ms, [0, 600]);
    assert_eq!(log.readings_ms, [605]);
    assert_eq!(log.bad("unsynchronised"), 1);
}

#[tokio::test(start_paused = true)]
async fn nothing_is_written_while_listening_or_where_no_question_can_go() {
    // The speed is not told, so the line is only listened to.
    let settings = LinkSettings {
        baud: None,
        ..told()
    };
    let log = play_on(Packing::Stream, settings, [reply(5, &ANSWER)], 30_000).await;
    assert!(log.asked_ms.is_empty(), "{log:?}");
    // Neither speed nor format is told.
    let unknown = LinkSettings::default();
    let log = play_on(Packing::Stream, unknown, [reply(5, &ANSWER)], 30_000).await;
    assert!(log.asked_ms.is_empty(), "{log:?}");
    let log = play_on(Packing::Messages, told(), [reply(5, &ANSWER)], 5000).await;
    assert!(log.asked_ms.is_empty(), "{log:?}");
    assert_eq!(log.states.last(), Some(&(3000, "silent")));
}
