//! Boards on a network: called, calling and sending datagrams, and what becomes of
//! them when they go.

use std::cell::Cell;
use std::io::Write;
use std::net::{SocketAddr, TcpListener, TcpStream, UdpSocket};
use std::time::Duration;

use hubplumb_protocol::WireFormat;
use hubplumb_sim::{LinkKind, LinkSpec, Mount, Scenario, Wheel};
use hubplumb_tests::garage::told_all;
use hubplumb_tests::{Daemon, Garage, board};
use serde_json::Value;

use crate::swing::judge;

const SOON: Duration = Duration::from_secs(10);
/// A board that falls silent is called anew after six seconds.
const REDIALLED: Duration = Duration::from_secs(20);

fn only_board(state: &Value) -> &Value {
    &state["boards"][0]
}

#[track_caller]
fn assert_trouble(board: &Value, code: &str) {
    let trouble = &board["trouble"];
    assert_eq!(trouble["code"], code, "{board:#}");
    for key in ["what", "meaning", "remedy"] {
        let told = trouble[key].as_str();
        assert!(told.is_some_and(|text| text.len() > 10), "{board:#}");
    }
}

/// How often a reason was counted for a board.
fn counted(board: &Value, reason: &str) -> u64 {
    let bad = board["bad_frames"].as_array().expect("reasons");
    bad.iter()
        .find(|bad| bad["reason"] == reason)
        .and_then(|bad| bad["count"].as_u64())
        .unwrap_or(0)
}

/// Two boards, each in its format on its link.
fn garage(seed: u64, left: (&str, LinkSpec), right: (&str, LinkSpec)) -> Garage {
    let mut scenario = Scenario::shipped("garage-good")
        .expect("shipped")
        .with_seed(seed);
    for (mount, (format, link)) in [(Mount::FrontLeft, left), (Mount::FrontRight, right)] {
        let format = WireFormat::from_name(format, None).expect("a format");
        scenario = scenario.with_wire(mount, &format, link);
    }
    Garage::open(scenario, &told_all)
}

fn of(kind: LinkKind) -> LinkSpec {
    LinkSpec::of(kind)
}

/// A network that is worse than one should be measured over.
fn bad_udp() -> LinkSpec {
    LinkSpec {
        loss_percent: 1.0,
        reorder_percent: 1.0,
        burst_ms: 30.0,
        ..of(LinkKind::Udp)
    }
}

/// A swing gives the truth as closely as over serial lines.
fn swing(garage: &Garage) -> Value {
    let state = garage.swing("gyro", &garage.script());
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    for (wheel, mount) in [
        (Wheel::FrontLeft, "front_left"),
        (Wheel::FrontRight, "front_right"),
    ] {
        judge(garage, &state, wheel, mount, 0.1);
    }
    state
}

#[test]
fn a_swing_over_a_called_board_and_lossy_datagrams_finds_the_truth() {
    let garage = garage(
        31,
        ("csv", of(LinkKind::TcpServer)),
        ("json-lines", bad_udp()),
    );
    let state = swing(&garage);
    let right = board(&state, "front_right");
    assert!(
        counted(right, "late") > 0,
        "nothing was overtaken: {right:#}"
    );
    assert_eq!(right["state"], "live");
}

#[test]
fn a_swing_over_boards_that_call_finds_the_truth() {
    let bunched = LinkSpec {
        burst_ms: 60.0,
        ..of(LinkKind::TcpClient)
    };
    swing(&garage(32, ("ahrs55", bunched), ("labelled", bunched)));
}

#[test]
fn a_swing_over_two_boards_on_one_datagram_port_finds_the_truth() {
    swing(&garage(
        33,
        ("ahrs55", of(LinkKind::Udp)),
        ("csv", of(LinkKind::Udp)),
    ));
}

/// The board of a link goes and comes back, and is live again without a restart.
fn comes_back(seed: u64, kind: LinkKind, gone: &str, code: &str) {
    let garage = garage(seed, ("json-lines", of(kind)), ("json-lines", of(kind)));
    garage.sim.unplug(Mount::FrontLeft).expect("unplugged");
    let state = garage.daemon.wait(gone, SOON, |state| {
        let left = board(state, "front_left");
        left["state"] == gone && left["trouble"]["code"] == code
    });
    assert_trouble(board(&state, "front_left"), code);
    assert_eq!(board(&state, "front_right")["state"], "live");
    garage.sim.replug(Mount::FrontLeft).expect("plugged in");
    let state = garage.wait_all("live", SOON);
    assert_eq!(board(&state, "front_left")["trouble"], Value::Null);
}

#[test]
fn a_called_board_that_goes_is_refused_and_comes_back() {
    // First the connection ends, then nobody listens where it was.
    comes_back(34, LinkKind::TcpServer, "refused", "connection_refused");
}

#[test]
fn a_calling_board_that_goes_is_absent_and_comes_back() {
    comes_back(35, LinkKind::TcpClient, "absent", "no_caller");
}

#[test]
fn a_board_whose_datagrams_cease_is_silent_and_comes_back() {
    comes_back(36, LinkKind::Udp, "silent", "silent");
}

fn config(port: &str) -> String {
    format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"{port}\"\nmount = \"front_left\"\n\
         format = \"json-lines\"\n"
    )
}

const LINE: &[u8] = b"{\"ax\":0.0,\"ay\":0.0,\"az\":1.0}\n";

#[test]
fn a_board_that_says_nothing_more_is_called_anew() {
    let server = TcpListener::bind("127.0.0.1:0").expect("a port");
    let at = server.local_addr().expect("an address");
    let folder = tempfile::tempdir().expect("a folder");
    let daemon = Daemon::with_config(folder.path(), &config(&format!("tcp:{at}")));
    let talk = |stream: &mut TcpStream| {
        for _ in 0..5 {
            stream.write_all(LINE).expect("sent");
        }
        daemon.wait("live", SOON, |state| only_board(state)["state"] == "live");
    };
    let (mut first, _) = server.accept().expect("a call");
    talk(&mut first);
    // As after a loss of power: the connection is there, and nothing comes.
    let state = daemon.wait("silent", SOON, |state| {
        only_board(state)["state"] == "silent"
    });
    assert_trouble(only_board(&state), "silent");
    let (mut second, _) = server.accept().expect("a second call");
    assert_eq!(only_board(&daemon.state())["state"], "silent");
    talk(&mut second);
    drop((first, second, server));
    daemon.wait("refused", REDIALLED, |state| {
        only_board(state)["state"] == "refused"
    });
}

#[test]
fn a_stranger_on_the_datagram_port_is_counted_and_not_read() {
    let free = UdpSocket::bind("127.0.0.1:0").expect("a port");
    let at: SocketAddr = free.local_addr().expect("an address");
    drop(free);
    let folder = tempfile::tempdir().expect("a folder");
    let daemon = Daemon::with_config(folder.path(), &config(&format!("udp:{at}/127.0.0.2")));
    let from = |ip: &str| UdpSocket::bind((ip, 0)).expect("an address of this machine");
    let (ours, stranger) = (from("127.0.0.2"), from("127.0.0.3"));
    let sent = Cell::new(0);
    let state = daemon.wait("both are told", SOON, |state| {
        ours.send_to(LINE, at).expect("sent");
        sent.set(sent.get() + 1);
        stranger.send_to(LINE, at).expect("sent");
        let board = only_board(state);
        board["state"] == "live" && counted(board, "other_sender") > 0
    });
    let good = only_board(&state)["good_frames"].as_u64();
    let sent = sent.get();
    assert!(good.is_some_and(|good| good <= sent), "{good:?} of {sent}");
}

#[test]
fn a_port_that_cannot_be_had_is_refused_with_the_reason() {
    let taken = TcpListener::bind("127.0.0.1:0").expect("a port");
    let taken = (taken.local_addr().expect("an address"), taken);
    for (port, code) in [
        (format!("tcp-listen:{}", taken.0), "address_in_use"),
        // 192.0.2.0/24 is for examples in documents (RFC 5737): no machine has it.
        ("udp:192.0.2.1:9000".to_owned(), "address_foreign"),
        // `.invalid` never resolves (RFC 6761, section 6.4).
        ("tcp:board.invalid:3333".to_owned(), "name_unknown"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let daemon = Daemon::with_config(folder.path(), &config(&port));
        let state = daemon.wait(code, SOON, |state| {
            only_board(state)["trouble"]["code"] == code
        });
        assert_trouble(only_board(&state), code);
        assert_eq!(only_board(&state)["state"], "refused");
    }
}
