//! Commands that are neither lost nor doubled, on real sockets.

use std::io::{Read, Write};
use std::net::TcpStream;
use std::thread;
use std::time::Duration;

use hubplumb_tests::Daemon;
use serde_json::Value;

fn without_boards() -> Daemon {
    let folder = tempfile::tempdir().expect("a folder");
    // Named and not there: no port of this machine is touched.
    Daemon::with_config(
        folder.path(),
        "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n",
    )
}

/// Sends a command under a key; the connection is the caller's to read or to drop.
fn send(daemon: &Daemon, path: &str, key: &str, body: &str) -> TcpStream {
    let host = daemon.address().trim_start_matches("http://");
    let mut line = TcpStream::connect(host).expect("the daemon listens");
    write!(
        line,
        "POST {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\nContent-Type: application/json\r\n\
         Idempotency-Key: \"{key}\"\r\nContent-Length: {}\r\n\r\n{body}",
        body.len()
    )
    .expect("the request can be sent");
    line
}

/// Status and body of the answer.
fn answer(mut line: TcpStream) -> (u16, Value) {
    let mut said = String::new();
    line.read_to_string(&mut said).expect("an answer");
    let (head, body) = said.split_once("\r\n\r\n").expect("head and body");
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|status| status.parse().ok());
    (
        status.expect("a status"),
        serde_json::from_str(body).expect("JSON"),
    )
}

fn cars(daemon: &Daemon) -> usize {
    let (status, _, body) = daemon.get("/api/v1/cars");
    assert_eq!(status, 200, "{body}");
    let cars: Value = serde_json::from_str(&body).expect("JSON");
    cars.as_array().expect("a list").len()
}

#[test]
fn the_same_key_adds_one_car_and_gives_the_same_answer() {
    let daemon = without_boards();
    let add = || answer(send(&daemon, "/api/v1/cars", "k", "{\"name\":\"Wicket\"}"));
    let (first, again) = (add(), add());
    assert_eq!(first.0, 201, "{first:?}");
    assert_eq!(first, again);
    assert_eq!(cars(&daemon), 1);
    let (status, problem) = answer(send(&daemon, "/api/v1/cars", "k", "{\"name\":\"Other\"}"));
    assert_eq!(status, 422);
    assert_eq!(problem["code"], "idempotency_key_reused");
    assert_eq!(cars(&daemon), 1);
}

/// The sockets are closed right after the request went out, again and again, at other moments.
#[test]
fn connections_that_break_neither_lose_nor_double_a_command() {
    let daemon = without_boards();
    for nth in 0..20_u64 {
        let body = format!("{{\"name\":\"Wicket {nth}\"}}");
        for _ in 0..3 {
            let line = send(&daemon, "/api/v1/cars", &nth.to_string(), &body);
            thread::sleep(Duration::from_micros(nth * 150));
            drop(line);
        }
    }
    // A request that was not read to its end is no command; one that was is done once.
    assert!(cars(&daemon) <= 20);
    for nth in 0..20 {
        let body = format!("{{\"name\":\"Wicket {nth}\"}}");
        let (status, car) = answer(send(&daemon, "/api/v1/cars", &nth.to_string(), &body));
        assert_eq!(status, 201, "{car:#}");
    }
    assert_eq!(cars(&daemon), 20);
}
