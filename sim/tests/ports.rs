//! Real pseudo-terminals: what comes out of them is what was rendered.
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

use hubplumb_protocol::{Encoder, Frame, FrameReader, Reading, WireFormat};
use hubplumb_sim::motion::Step;
use hubplumb_sim::wire::Mishearing;
use hubplumb_sim::{LiveSim, Mount, Scenario, Script, SimError, render};
use nix::fcntl::OFlag;

/// No wait in these tests is longer; a busy machine is slow, not dead.
const PATIENCE: Duration = Duration::from_secs(20);

fn open(path: &Path) -> File {
    OpenOptions::new()
        .read(true)
        .write(true)
        .custom_flags((OFlag::O_NOCTTY | OFlag::O_NONBLOCK).bits())
        .open(path)
        .expect("the port opens")
}

/// What a read brought.
enum Heard {
    Bytes(Vec<u8>),
    End,
}

/// Reads until something comes or the line ends.
fn hear(port: &mut File) -> Heard {
    let until = Instant::now() + PATIENCE;
    let mut bytes = vec![0; 4096];
    loop {
        match port.read(&mut bytes) {
            // A hung-up terminal reads as its end, or as an I/O error (EIO), depending on timing.
            Ok(0) => return Heard::End,
            Err(error) if error.raw_os_error() == Some(nix::errno::Errno::EIO as i32) => {
                return Heard::End;
            }
            Ok(n) => {
                bytes.truncate(n);
                return Heard::Bytes(bytes);
            }
            Err(error) if error.kind() == ErrorKind::WouldBlock => {
                assert!(Instant::now() < until, "nothing came for {PATIENCE:?}");
                std::thread::sleep(Duration::from_millis(2));
            }
            Err(error) => panic!("reading: {error}"),
        }
    }
}

/// Reads frames until `enough` readings are there.
fn readings(port: &mut File, reader: &mut FrameReader, enough: usize) -> Vec<Reading> {
    let mut all = Vec::new();
    while all.len() < enough {
        let Heard::Bytes(bytes) = hear(port) else {
            panic!("the line ended after {} readings", all.len());
        };
        reader.push(&bytes);
        while let Some(frame) = reader.next() {
            if let Frame::Reading(reading) = frame {
                all.push(reading);
            }
        }
    }
    all
}

/// A rendered board as it looks after its wire: rounded to the digits of the format.
fn over_the_wire(format: &WireFormat, rendered: &[(i64, Reading)]) -> Vec<Reading> {
    let encoder = Encoder::new(format);
    let mut reader = FrameReader::new(format);
    let mut bytes = Vec::new();
    encoder.preamble(&mut bytes);
    let mut all = Vec::new();
    for (_, reading) in rendered {
        encoder.encode(reading, &mut bytes);
        reader.push(&bytes);
        bytes.clear();
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => all.push(reading),
                // A reader may give up the first line, which it cannot know to be whole.
                Frame::Bad(bad) => assert_eq!(bad.offset, 0, "our own bytes are bad: {bad:?}"),
            }
        }
    }
    all
}

/// The readings of one board in a live run must be a stretch of what was rendered.
fn check_stream(name: &str, mount: Mount) {
    let scenario = Scenario::shipped(name).expect("shipped");
    let rendered = render(&scenario).expect("can be done");
    let format = scenario.board(mount).expect("a board").wire.clone();
    let one = rendered
        .iter()
        .find(|r| r.mount == mount)
        .expect("rendered");
    let expected = over_the_wire(&format, &one.readings);

    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start_scripted(scenario, folder.path(), 2.0).expect("starts");
    let mut port = open(&folder.path().join(mount.name()));
    let mut reader = FrameReader::new(&format);
    // The first reading of a format that learns its cycle may lack what came before it.
    let heard = readings(&mut port, &mut reader, 150).split_off(5);
    let first = expected
        .iter()
        .position(|r| *r == heard[0])
        .unwrap_or_else(|| panic!("{name} {mount}: {:?} was never rendered", heard[0]));
    assert_eq!(
        heard,
        expected[first..first + heard.len()],
        "{name} {mount}"
    );
    drop(sim);
    assert!(
        !folder.path().join(mount.name()).exists(),
        "the link is gone with the simulation"
    );
}

#[test]
fn csv_on_the_wire_is_what_was_rendered() {
    check_stream("garage-good", Mount::FrontLeft);
}

#[test]
fn json_lines_on_the_wire_are_what_was_rendered() {
    check_stream("no-gyro", Mount::FrontRight);
}

#[test]
fn labelled_lines_on_the_wire_are_what_was_rendered() {
    check_stream("oblique-mounts", Mount::FrontLeft);
}

#[test]
fn binary_frames_on_the_wire_are_what_was_rendered() {
    check_stream("garage-cheap", Mount::FrontRight);
}

fn resting(folder: &Path, speed: f64) -> LiveSim {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    LiveSim::start(scenario, folder, speed).expect("starts")
}

#[test]
fn a_pulled_plug_ends_the_line_and_a_new_one_starts_a_new_clock() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 5.0);
    let board = sim.boards()[0].clone();
    let mut port = open(&board.path);
    let mut reader = FrameReader::new(&board.wire_format);
    let before = readings(&mut port, &mut reader, 20);
    // The scenario's clock starts at 3.2 s.
    assert!(before[19].device_time_us.expect("a stamp") > 3.2e6);

    sim.unplug(board.mount).expect("a board");
    assert!(
        std::fs::symlink_metadata(&board.path).is_err(),
        "the link is gone"
    );
    while let Heard::Bytes(_) = hear(&mut port) {}
    assert!(
        port.write(b"hello").is_err(),
        "writing to a pulled plug fails"
    );
    drop(port);

    sim.replug(board.mount).expect("a board");
    sim.replug(board.mount)
        .expect("putting it in twice changes nothing");
    let mut port = open(&board.path);
    let mut reader = FrameReader::new(&board.wire_format);
    let after = readings(&mut port, &mut reader, 20);
    assert!(after[0].device_time_us.expect("a stamp") < before[0].device_time_us.expect("a stamp"));
    // The other board never noticed.
    let other = sim.boards()[1].clone();
    readings(
        &mut open(&other.path),
        &mut FrameReader::new(&other.wire_format),
        5,
    );
}

#[test]
fn who_does_not_read_loses_bytes_and_holds_nobody_up() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 100.0);
    let board = sim.boards()[0].clone();
    let port = open(&board.path);
    let until = Instant::now() + PATIENCE;
    while sim.bytes(board.mount).expect("a board").1 == 0 {
        assert!(Instant::now() < until, "the port never filled");
        std::thread::sleep(Duration::from_millis(10));
    }
    drop(port);
    // Who opens it later hears now, not what was left: once the board has noticed that nobody
    // listens it throws the rest away.
    while sim.is_heard_on(board.mount).expect("a board") {
        assert!(Instant::now() < until, "the board never noticed");
        std::thread::sleep(Duration::from_millis(2));
    }
    let left_s = sim.now_s();
    while sim.now_s() < left_s + 100.0 {
        std::thread::sleep(Duration::from_millis(10));
    }
    let mut port = open(&board.path);
    let first = readings(&mut port, &mut FrameReader::new(&board.wire_format), 1)[0];
    let stamp_s = first.device_time_us.expect("a stamp") * 1e-6;
    // The board's clock started at 3.2 s. Half of the pause allows for a thread that was kept
    // waiting by a busy machine for half a second.
    assert!(
        stamp_s - 3.2 > left_s + 50.0,
        "{stamp_s} is from before {left_s}"
    );
}

#[test]
fn whoever_opens_the_port_is_given_the_header_even_between_two_readings() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 0.2);
    let board = sim.boards()[0].clone();
    for opening in 0..3 {
        // The last opening was closed a moment ago; at 20 readings per second nobody noticed.
        let mut port = open(&board.path);
        let mut heard = Vec::new();
        while !heard.contains(&b'\n') {
            match hear(&mut port) {
                Heard::Bytes(bytes) => heard.extend(bytes),
                Heard::End => panic!("the line ended"),
            }
        }
        let text = String::from_utf8(heard).expect("text");
        assert!(text.starts_with("t_us,"), "opening {opening}: {text}");
    }
}

#[test]
fn garbage_and_a_wrong_speed_make_bad_frames_and_pass() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 5.0);
    let board = sim.boards()[0].clone();
    let mut port = open(&board.path);
    let mut reader = FrameReader::new(&board.wire_format);
    readings(&mut port, &mut reader, 10);
    let good = reader.counts().bad_total();
    sim.garbage(board.mount, b"\xff\xfenot a line\n")
        .expect("a board");
    readings(&mut port, &mut reader, 30);
    let garbage = reader.counts().bad_total();
    assert!(garbage > good, "garbage is counted");

    let line = Mishearing {
        sent_baud: 115_200,
        heard_baud: 9600,
    };
    sim.mishear(board.mount, Some(line)).expect("a board");
    let mut heard = Vec::new();
    while heard.len() < 200 {
        if let Heard::Bytes(bytes) = hear(&mut port) {
            heard.extend(bytes);
        }
    }
    reader.push(&heard);
    while reader.next().is_some() {}
    sim.mishear(board.mount, None).expect("a board");
    readings(&mut port, &mut reader, 10);
    assert!(reader.counts().bad_total() > garbage, "noise is counted");
}

#[test]
fn driving_moves_the_car_and_leaves_it_where_it_is() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 20.0);
    assert!(sim.is_idle());
    let steer = |to_deg| Step::SteerTo {
        to_deg,
        over_s: 4.0,
        slip: None,
    };
    let end_s = sim
        .drive(&Script::new(vec![steer(20.0)]))
        .expect("can be done");
    let later_s = sim
        .drive(&Script::new(vec![steer(12.0)]))
        .expect("can be done");
    assert!(
        (later_s - end_s - 4.0).abs() < 1e-9,
        "the second waits for the first"
    );
    assert!(!sim.is_idle());
    let until = Instant::now() + PATIENCE;
    while !sim.is_idle() {
        assert!(Instant::now() < until);
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!((sim.state().steer.value.to_degrees() - 12.0).abs() < 1e-9);
    let plates = sim.read_plates();
    let mean_deg = f64::midpoint(plates[0].plate_deg, plates[1].plate_deg);
    assert!((mean_deg - 12.0).abs() < 1e-9, "{plates:?}");
    let too_far = sim.drive(&Script::new(vec![steer(70.0)]));
    assert!(matches!(too_far, Err(SimError::Script(_))), "{too_far:?}");
}

#[test]
fn silence_keeps_the_port_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = resting(folder.path(), 5.0);
    let board = sim.boards()[0].clone();
    let mut port = open(&board.path);
    let mut reader = FrameReader::new(&board.wire_format);
    let before = readings(&mut port, &mut reader, 10);
    sim.silence(board.mount, true).expect("a board");
    // Whatever was on its way comes; then nothing does.
    std::thread::sleep(Duration::from_millis(300));
    let mut rest = vec![0; 65_536];
    let _ = port.read(&mut rest);
    std::thread::sleep(Duration::from_millis(100));
    let silent = port.read(&mut rest).expect_err("nothing to read");
    assert_eq!(silent.kind(), ErrorKind::WouldBlock);
    sim.silence(board.mount, false).expect("a board");
    let after = readings(&mut port, &mut reader, 3);
    let gap_us =
        after[0].device_time_us.expect("a stamp") - before[9].device_time_us.expect("a stamp");
    // 0.4 s of the wall are 2 s of the simulation, in which the clock went on.
    assert!(gap_us > 1e6, "{gap_us}");
}

#[test]
fn what_is_in_the_way_of_a_port_is_not_removed() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("front_left");
    std::fs::write(&path, "a list").expect("written");
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let refused = LiveSim::start(scenario, folder.path(), 1.0);
    assert!(
        matches!(refused, Err(SimError::InTheWay { .. })),
        "{refused:?}"
    );
    assert_eq!(
        std::fs::read_to_string(&path).expect("still there"),
        "a list"
    );
}

#[test]
fn a_speed_must_be_a_positive_number() {
    let folder = tempfile::tempdir().expect("a folder");
    for speed in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        let scenario = Scenario::shipped("garage-good").expect("shipped");
        let refused = LiveSim::start(scenario, folder.path(), speed);
        assert!(matches!(refused, Err(SimError::Speed { .. })), "{speed}");
    }
}
