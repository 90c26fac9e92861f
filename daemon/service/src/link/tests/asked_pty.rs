//! A real port with a board behind it that answers and never talks by itself.

use std::io::{ErrorKind, Read as _, Write as _};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, mpsc};
use std::time::Duration;

use hubplumb_protocol::{Encoder, Reading, WireFormat};
use tokio_util::sync::CancellationToken;

use super::pty::plug;
use crate::link::{LinkSettings, LinkStatus, Observer, PortTree, SerialTransport, Target, run};

struct Answers(mpsc::Sender<Reading>);

impl Observer for Answers {
    fn arrived(&mut self, _: &[u8], readings: &[Reading], _: u64) {
        for reading in readings {
            // Nobody listens once enough have come.
            let _ = self.0.send(*reading);
        }
    }

    fn status(&mut self, _: &LinkStatus) {}
}

/// Answers questions with ever more acceleration along z, until `stop`.
fn answer(mut board: std::fs::File, format: &WireFormat, stop: &AtomicBool) -> usize {
    let question = format.question().unwrap().bytes;
    let encoder = Encoder::new(format);
    let mut heard = Vec::new();
    let mut answered = 0_usize;
    let mut buffer = [0; 64];
    while !stop.load(Ordering::Relaxed) {
        match board.read(&mut buffer) {
            Ok(count) => heard.extend_from_slice(&buffer[..count]),
            // Nobody has the port open yet, or any more.
            Err(error)
                if error.kind() == ErrorKind::WouldBlock || error.raw_os_error().is_some() =>
            {
                std::thread::yield_now();
            }
            Err(error) => panic!("{error}"),
        }
        while heard.starts_with(&question) {
            heard.drain(..question.len());
            answered += 1;
            let reading = Reading {
                accel_g: Some([0.0, 0.0, 0.01 * answered as f64]),
                rate_radps: Some([0.0; 3]),
                ..Reading::default()
            };
            let mut bytes = Vec::new();
            encoder.encode(&reading, &mut bytes);
            board.write_all(&bytes).unwrap();
        }
        assert!(
            heard.len() < question.len(),
            "asked for something else: {heard:02x?}"
        );
    }
    answered
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_board_on_a_real_port_is_asked_and_its_answers_are_read() {
    let folder = tempfile::tempdir().unwrap();
    let port = folder.path().join("front_left");
    let board = plug(&port);
    nix::fcntl::fcntl(
        &board,
        nix::fcntl::FcntlArg::F_SETFL(nix::fcntl::OFlag::O_NONBLOCK),
    )
    .unwrap();
    let format = WireFormat::Bno055;
    let settings = LinkSettings {
        baud: Some(115_200),
        format: Some(format.clone()),
        ..LinkSettings::default()
    };
    let over = Arc::new(AtomicBool::new(false));
    let device = std::thread::spawn({
        let over = over.clone();
        move || answer(board, &format, &over)
    });
    let (tell, told) = mpsc::channel();
    let stop = CancellationToken::new();
    let transport = SerialTransport::new(Target::Path(port.clone()), PortTree::system());
    let link = tokio::spawn(run(transport, settings, Answers(tell), stop.clone()));
    let readings = tokio::task::spawn_blocking(move || {
        let most = Duration::from_secs(10);
        (0..20)
            .map(|_| told.recv_timeout(most).expect("an answer"))
            .collect::<Vec<_>>()
    })
    .await
    .unwrap();
    stop.cancel();
    link.await.unwrap();
    over.store(true, Ordering::Relaxed);
    assert!(device.join().unwrap() >= readings.len());
    for (index, reading) in readings.iter().enumerate() {
        let z = reading.accel_g.unwrap()[2];
        assert!(
            (z - 0.01 * (index + 1) as f64).abs() < 0.001,
            "{index}: {z}"
        );
    }
}
