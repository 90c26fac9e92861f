//! Simulated boards that tell angles, and boards that answer and never talk by themselves.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use std::fs::{File, OpenOptions};
use std::io::{ErrorKind, Read, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;
use std::time::{Duration, Instant};

use hubplumb_protocol::{Frame, FrameReader, Reading};
use hubplumb_sim::{LiveSim, Scenario, render};
use nix::fcntl::OFlag;

/// No wait in these tests is longer; a busy machine is slow, not dead.
const PATIENCE: Duration = Duration::from_secs(20);

/// A car at rest with a board that leans by nothing but its chip's errors.
fn bench(wire: &str) -> Scenario {
    let text = format!(
        r#"
name = "still"
seed = 11
script = [{{ rest_s = 2 }}]
[car]
name = "Bench"
track_mm = 1500
wheelbase_mm = 2500
wheel_radius_mm = 300
[car.front_left]
caster_deg = 0
sai_deg = 0
camber_deg = 2
toe_deg = 0
[car.front_right]
caster_deg = 0
sai_deg = 0
camber_deg = 0
toe_deg = 0
[[board]]
mount = "front_left"
mounting = {{ x = "forward", z = "up" }}
rate_hz = 100
chip = {{ preset = "ideal" }}
wire = {wire}
"#
    );
    Scenario::from_toml(&text).expect("the bench reads")
}

const MODBUS: &str = r#"{ format = "modbus", registers = { address = 1, function = 4, type = "i16", fields = [
  { quantity = "incline_x", register = 0, scale = 0.01 }, { quantity = "incline_y", register = 1, scale = 0.01 }] } }"#;

fn open(path: &Path) -> File {
    OpenOptions::new()
        .read(true)
        .write(true)
        .custom_flags((OFlag::O_NOCTTY | OFlag::O_NONBLOCK).bits())
        .open(path)
        .expect("the port opens")
}

/// Reads until a frame is whole.
fn frame(port: &mut File, reader: &mut FrameReader) -> Frame {
    let until = Instant::now() + PATIENCE;
    let mut bytes = [0; 256];
    loop {
        if let Some(frame) = reader.next() {
            return frame;
        }
        match port.read(&mut bytes) {
            Ok(count) => reader.push(&bytes[..count]),
            Err(error) if error.kind() == ErrorKind::WouldBlock => {
                assert!(Instant::now() < until, "nothing came for {PATIENCE:?}");
                std::thread::sleep(Duration::from_millis(2));
            }
            Err(error) => panic!("reading: {error}"),
        }
    }
}

/// Gravity's direction by roll and pitch, or by acceleration.
fn up(reading: &Reading) -> [f64; 3] {
    let angles = reading.attitude_rad.map(|[roll, pitch, _]| [roll, pitch]);
    match (reading.accel_g, angles.or(reading.tilt_rad)) {
        (Some(up), _) => up,
        (None, Some([roll, pitch])) => [
            -pitch.sin(),
            roll.sin() * pitch.cos(),
            roll.cos() * pitch.cos(),
        ],
        other => panic!("{other:?}"),
    }
}

/// What the board felt, within the steps of its wire.
fn check(wire: &str, asked: bool, step: f64) {
    let scenario = bench(wire);
    let rendered = render(&scenario).expect("can be done");
    let felt = rendered[0].readings[0].1.accel_g.expect("an accelerometer");
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(scenario, folder.path(), 1.0).expect("starts");
    let board = &sim.boards()[0];
    let mut port = open(&board.path);
    let mut reader = FrameReader::new(&board.wire_format);
    let question = board.wire_format.question();
    assert_eq!(question.is_some(), asked, "{wire}");
    for _ in 0..5 {
        if let Some(question) = &question {
            port.write_all(&question.bytes).expect("the board listens");
        }
        let found = match frame(&mut port, &mut reader) {
            Frame::Reading(reading) => up(&reading),
            // The first sentence may have been cut by opening the port.
            Frame::Bad(bad) if bad.offset == 0 && !asked => continue,
            Frame::Bad(bad) => panic!("{wire}: {bad:?}"),
        };
        for (found, felt) in found.into_iter().zip(felt) {
            assert!((found - felt).abs() < step, "{wire}: {found} is not {felt}");
        }
    }
}

#[test]
fn sentences_tell_the_tilt_that_is_felt() {
    check("\"nmea\"", false, 1e-5);
}

#[test]
fn registers_answer_with_the_inclines_that_are_felt() {
    // Hundredths of a degree.
    check(MODBUS, true, 1e-4);
}

#[test]
fn a_bno055_answers_with_what_it_feels() {
    // Hundredths of m/s².
    check("\"bno055\"", true, 6e-4);
}

#[test]
fn a_board_that_must_be_asked_says_nothing_by_itself() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(bench("\"bno055\""), folder.path(), 1.0).expect("starts");
    let board = &sim.boards()[0];
    let mut port = open(&board.path);
    port.write_all(&[0xaa, 0x01, 0x00])
        .expect("the board listens");
    // The board has measured many times when it is heard to have been opened for so long.
    let until = sim.now_s() + 0.3;
    while sim.now_s() < until {
        std::thread::sleep(Duration::from_millis(10));
    }
    let mut bytes = [0; 16];
    assert!(matches!(port.read(&mut bytes), Err(error) if error.kind() == ErrorKind::WouldBlock));
    port.write_all(&[0x3e]).expect("the board listens");
    let mut reader = FrameReader::new(&board.wire_format);
    assert!(matches!(frame(&mut port, &mut reader), Frame::Reading(_)));
}
