//! Boards on a network: what comes out is what was rendered, less what the way costs.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use std::io::{ErrorKind, Read};
use std::net::{SocketAddr, TcpListener, TcpStream, UdpSocket};
use std::time::Duration;

use hubplumb_protocol::{Encoder, Frame, FrameReader, Packing, Reading, WireFormat};
use hubplumb_sim::{Gatt, LinkKind, LinkSpec, LiveSim, Mount, Scenario, ScenarioError, render};

/// No wait in these tests is longer; a busy machine is slow, not dead.
const PATIENCE: Duration = Duration::from_secs(20);

fn format() -> WireFormat {
    WireFormat::from_name("json-lines", None).expect("a format")
}

fn on(link: LinkSpec) -> Scenario {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    scenario.with_wire(Mount::FrontLeft, &format(), link)
}

fn started(scenario: Scenario) -> (LiveSim, tempfile::TempDir) {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start_scripted(scenario, folder.path(), 2.0).expect("starts");
    (sim, folder)
}

/// What follows the scheme in a board's port, without the address behind the slash.
fn address(sim: &LiveSim, scheme: &str) -> SocketAddr {
    let port = &sim.boards()[0].port;
    let rest = port.strip_prefix(scheme).expect("a scheme");
    let rest = rest.split('/').next().expect("an address");
    rest.parse().expect("an address")
}

/// The board's readings as they are after their wire.
fn expected(scenario: &Scenario) -> Vec<Reading> {
    let rendered = render(scenario).expect("can be done");
    let one = &rendered[0];
    let (encoder, mut reader) = (Encoder::new(&format()), FrameReader::new(&format()));
    let mut all = Vec::new();
    for (_, reading) in &one.readings {
        let mut bytes = Vec::new();
        encoder.encode(reading, &mut bytes);
        reader.push(&bytes);
        all.extend(
            std::iter::from_fn(|| reader.next()).map(|frame| match frame {
                Frame::Reading(reading) => reading,
                Frame::Bad(bad) => panic!("our own bytes are bad: {bad:?}"),
            }),
        );
    }
    all
}

/// Reads pieces until there are so many readings.
fn heard(mut piece: impl FnMut() -> Vec<u8>, packing: Packing, enough: usize) -> Vec<Reading> {
    let mut reader = FrameReader::new(&format());
    let mut all = Vec::new();
    while all.len() < enough {
        let bytes = piece();
        assert!(!bytes.is_empty(), "the line ended after {}", all.len());
        reader.push_piece(&bytes, packing);
        while let Some(frame) = reader.next() {
            if let Frame::Reading(reading) = frame {
                all.push(reading);
            }
        }
    }
    all
}

fn read(stream: &mut TcpStream) -> Vec<u8> {
    stream.set_read_timeout(Some(PATIENCE)).expect("set");
    let mut bytes = vec![0; 4096];
    match stream.read(&mut bytes) {
        Ok(count) => bytes.truncate(count),
        Err(error) if error.kind() == ErrorKind::ConnectionReset => bytes.clear(),
        Err(error) => panic!("reading: {error}"),
    }
    bytes
}

fn receive(socket: &UdpSocket) -> Vec<u8> {
    socket.set_read_timeout(Some(PATIENCE)).expect("set");
    let mut bytes = vec![0; 4096];
    let count = socket.recv(&mut bytes).expect("a datagram");
    bytes.truncate(count);
    bytes
}

/// Every reading in its order, from some one on.
fn check_stretch(scenario: &Scenario, heard: &[Reading]) {
    let expected = expected(scenario);
    let first = expected.iter().position(|r| *r == heard[0]);
    let first = first.unwrap_or_else(|| panic!("{:?} was never rendered", heard[0]));
    assert_eq!(heard, &expected[first..first + heard.len()]);
}

#[test]
fn a_called_board_says_what_was_rendered() {
    let scenario = on(LinkSpec::of(LinkKind::TcpServer));
    let (sim, _folder) = started(scenario.clone());
    let mut stream = TcpStream::connect(address(&sim, "tcp:")).expect("called");
    let heard = heard(|| read(&mut stream), Packing::Stream, 100);
    check_stretch(&scenario, &heard[1..]);
}

#[test]
fn a_calling_board_says_what_was_rendered_and_calls_again() {
    let (sim, _folder) = started(on(LinkSpec::of(LinkKind::TcpClient)));
    let listener = TcpListener::bind(address(&sim, "tcp-listen:")).expect("listens");
    for _ in 0..2 {
        let (mut stream, from) = listener.accept().expect("a call");
        assert_eq!(from.ip().to_string(), "127.0.0.2", "an address of its own");
        let heard = heard(|| read(&mut stream), Packing::Stream, 20);
        check_stretch(sim.scenario(), &heard[1..]);
    }
}

#[test]
fn a_board_that_sends_datagrams_sends_one_for_each_reading() {
    let (sim, _folder) = started(on(LinkSpec::of(LinkKind::Udp)));
    let socket = UdpSocket::bind(address(&sim, "udp:")).expect("bound");
    let mut datagrams = 0;
    let piece = || {
        datagrams += 1;
        receive(&socket)
    };
    let heard = heard(piece, Packing::Messages, 100);
    assert_eq!(datagrams, heard.len());
    check_stretch(sim.scenario(), &heard);
}

#[test]
fn a_bad_way_loses_and_swaps_datagrams_and_spoils_none() {
    let link = LinkSpec {
        loss_percent: 10.0,
        reorder_percent: 10.0,
        burst_ms: 30.0,
        ..LinkSpec::of(LinkKind::Udp)
    };
    let scenario = on(link);
    println!("seed {}", scenario.seed());
    let expected = expected(&scenario);
    let (sim, _folder) = started(scenario);
    let socket = UdpSocket::bind(address(&sim, "udp:")).expect("bound");
    let heard = heard(|| receive(&socket), Packing::Messages, 300);
    let places: Vec<usize> = heard
        .iter()
        .map(|reading| {
            let place = expected.iter().position(|r| r == reading);
            place.unwrap_or_else(|| panic!("{reading:?} was never rendered"))
        })
        .collect();
    let backwards = places.windows(2).filter(|pair| pair[1] < pair[0]).count();
    let (first, last) = (places.iter().min(), places.iter().max());
    let span = last.expect("some") - first.expect("some") + 1;
    // Three hundred of about 330; the bounds are ten standard deviations wide.
    assert!((301..=400).contains(&span), "{span}");
    assert!((5..=60).contains(&backwards), "{backwards}");
}

#[test]
fn boards_that_send_to_one_port_have_an_address_each() {
    let udp = LinkSpec::of(LinkKind::Udp);
    let scenario = on(udp).with_wire(Mount::FrontRight, &format(), udp);
    let (sim, _folder) = started(scenario);
    let ports: Vec<_> = sim.boards().iter().map(|board| &board.port).collect();
    let (left, right) = (ports[0].split_once('/'), ports[1].split_once('/'));
    let (left, right) = (left.expect("an address"), right.expect("an address"));
    assert_eq!(left.0, right.0, "one port");
    assert_eq!([left.1, right.1], ["127.0.0.2", "127.0.0.3"]);
}

#[test]
fn a_pulled_plug_ends_a_connection_and_a_new_one_serves_at_the_same_port() {
    let (sim, _folder) = started(on(LinkSpec::of(LinkKind::TcpServer)));
    let at = address(&sim, "tcp:");
    let mut stream = TcpStream::connect(at).expect("called");
    heard(|| read(&mut stream), Packing::Stream, 5);
    sim.unplug(Mount::FrontLeft).expect("unplugged");
    while !read(&mut stream).is_empty() {}
    assert!(TcpStream::connect(at).is_err(), "nobody listens any more");
    sim.replug(Mount::FrontLeft).expect("plugged in");
    let mut stream = TcpStream::connect(at).expect("called");
    let heard = heard(|| read(&mut stream), Packing::Stream, 5);
    let first_us = heard[0].device_time_us.expect("a time");
    assert!(first_us < 20e6, "the clock began anew: {first_us}");
}

#[test]
fn a_link_is_a_word_or_a_table_and_impossible_ones_are_refused() {
    let with = |link: &str| {
        let text = Scenario::shipped_toml("garage-good").expect("shipped");
        let text = text.replacen(
            "wire = \"csv\"",
            &format!("wire = \"csv\"\nlink = {link}"),
            1,
        );
        Scenario::from_toml(&text)
    };
    let link = |text: &str| with(text).map(|scenario| scenario.boards()[0].link);
    assert_eq!(link("\"udp\""), Ok(LinkSpec::of(LinkKind::Udp)));
    let table = "{ kind = \"udp\", at = \"127.0.0.1:9000\", from = \"127.0.0.9\", loss_percent = 1, reorder_percent = 2, burst_ms = 40 }";
    assert_eq!(
        link(table),
        Ok(LinkSpec {
            kind: LinkKind::Udp,
            at: Some(SocketAddr::from(([127, 0, 0, 1], 9000))),
            from: Some([127, 0, 0, 9].into()),
            loss_percent: 1.0,
            reorder_percent: 2.0,
            burst_ms: 40.0,
            ..LinkSpec::default()
        })
    );
    let table = "{ kind = \"bluetooth\", gatt = \"ahrs\", payload_bytes = 182, loss_percent = 1 }";
    assert_eq!(
        link(table),
        Ok(LinkSpec {
            gatt: Gatt::Ahrs,
            payload_bytes: Some(182),
            loss_percent: 1.0,
            ..LinkSpec::of(LinkKind::Bluetooth)
        })
    );
    for (text, key) in [
        (
            "{ kind = \"tcp-server\", loss_percent = 1 }",
            "loss_percent",
        ),
        ("{ kind = \"udp\", loss_percent = 101 }", "loss_percent"),
        ("{ kind = \"pty\", from = \"127.0.0.2\" }", "from"),
        ("{ kind = \"udp\", burst_ms = -1 }", "burst_ms"),
        ("{ kind = \"udp\", payload_bytes = 20 }", "gatt"),
        (
            "{ kind = \"bluetooth\", payload_bytes = 19 }",
            "payload_bytes",
        ),
        (
            "{ kind = \"bluetooth\", reorder_percent = 1 }",
            "reorder_percent",
        ),
    ] {
        let error = with(text).expect_err(text);
        assert!(
            matches!(&error, ScenarioError::Value { key: at, .. } if at.ends_with(key)),
            "{text}: {error}"
        );
    }
    assert!(with("\"carrier-pigeon\"").is_err());
}
