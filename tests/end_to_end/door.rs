//! The door, with raw sockets: clients that are slow, greedy, foreign or not paired.

use std::io::{ErrorKind, Read, Write};
use std::net::{IpAddr, SocketAddr, TcpStream};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_tests::Daemon;
use serde_json::{Value, json};
use socket2::{Domain, Socket, Type};

/// Longer than every bound of the daemon.
const PATIENCE: Duration = Duration::from_secs(45);

/// A daemon without boards that wants its devices paired.
fn paired() -> Daemon {
    let folder = tempfile::tempdir().expect("a folder");
    let config = hubplumb_tests::running::write_config(
        folder.path(),
        "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n",
    );
    Daemon::start(&[
        "run",
        "--config",
        &config.to_string_lossy(),
        "--commands",
        "paired",
    ])
}

fn host(daemon: &Daemon) -> String {
    daemon.address().trim_start_matches("http://").to_owned()
}

fn line(daemon: &Daemon) -> TcpStream {
    let line = TcpStream::connect(host(daemon)).expect("the daemon listens");
    line.set_read_timeout(Some(PATIENCE)).expect("a limit");
    line
}

/// A connection from another address of this machine.
fn line_from(daemon: &Daemon, from: [u8; 4]) -> TcpStream {
    let to: SocketAddr = host(daemon).parse().expect("an address");
    let socket = Socket::new(Domain::IPV4, Type::STREAM, None).expect("a socket");
    let from = SocketAddr::new(IpAddr::from(from), 0);
    socket
        .bind(&from.into())
        .expect("all of 127/8 is this machine");
    socket.connect(&to.into()).expect("the daemon listens");
    let line = TcpStream::from(socket);
    line.set_read_timeout(Some(PATIENCE)).expect("a limit");
    line
}

/// What comes until the other end closes; how it closes does not matter.
fn rest(line: &mut TcpStream) -> String {
    let mut said = Vec::new();
    let mut part = [0; 4096];
    loop {
        match line.read(&mut part) {
            Ok(0) => break,
            Ok(read) => said.extend_from_slice(&part[..read]),
            Err(error) if error.kind() == ErrorKind::ConnectionReset => break,
            Err(error) => panic!("it is still open after {PATIENCE:?}: {error}"),
        }
    }
    String::from_utf8_lossy(&said).into_owned()
}

/// A whole request, and the whole answer: status, head and body.
fn asked(
    daemon: &Daemon,
    request: &str,
    headers: &[(&str, &str)],
    body: &str,
) -> (u16, String, Value) {
    let mut line = line(daemon);
    let own_host = host(daemon);
    let mut head = format!(
        "{request} HTTP/1.1\r\nConnection: close\r\nContent-Length: {}\r\n",
        body.len()
    );
    if !headers.iter().any(|(name, _)| *name == "Host") {
        head.push_str(&format!("Host: {own_host}\r\n"));
    }
    if !body.is_empty() {
        head.push_str("Content-Type: application/json\r\n");
    }
    for (name, value) in headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    write!(line, "{head}\r\n{body}").expect("it can be sent");
    let said = rest(&mut line);
    let (head, body) = said.split_once("\r\n\r\n").expect("a head and a body");
    let status = head
        .split(' ')
        .nth(1)
        .and_then(|status| status.parse().ok());
    (
        status.expect("a status"),
        head.to_owned(),
        serde_json::from_str(body).unwrap_or_default(),
    )
}

const WICKET: &str = r#"{"name":"Wicket"}"#;

fn add_car(daemon: &Daemon, headers: &[(&str, &str)]) -> (u16, Value) {
    let (status, _, answer) = asked(daemon, "POST /api/v1/cars", headers, WICKET);
    (status, answer)
}

fn bearer(daemon: &Daemon, name: &str) -> String {
    let token = daemon.beside(&["pairing", "token", name]);
    format!("Bearer {}", token.trim())
}

fn is_well(daemon: &Daemon) {
    let began = Instant::now();
    assert_eq!(daemon.get("/api/v1/health").0, 200);
    assert!(
        began.elapsed() < Duration::from_secs(2),
        "{:?}",
        began.elapsed()
    );
}

#[test]
fn the_code_on_the_terminal_pairs_a_browser_and_the_terminal_ends_that() {
    let daemon = paired();
    let printed = daemon.printed();
    let (_, after) = printed
        .split_once("#pair=")
        .expect("an address with a code");
    let code = &after[..8];
    assert!(
        printed.contains(&format!("{} {}", &code[..4], &code[4..])),
        "{printed}"
    );
    assert_eq!(add_car(&daemon, &[]).1["code"], "not_paired");
    let origin = format!("http://{}", host(&daemon));
    let own = ("Origin", origin.as_str());
    let wish = json!({ "code": code, "name": "tablet" }).to_string();
    let (status, head, answer) = asked(&daemon, "POST /api/v1/pairing", &[own], &wish);
    assert_eq!(status, 201, "{answer}");
    let cookie = head
        .lines()
        .find_map(|line| line.strip_prefix("set-cookie: "));
    let cookie = cookie
        .expect("a cookie")
        .split(';')
        .next()
        .expect("its value");
    let cookie = ("Cookie", cookie);
    assert_eq!(add_car(&daemon, &[cookie, own]).0, 201);
    // Its cookie goes along with what another page sends; the daemon sees whose page it was.
    for foreign in ["http://evil.example", "http://127.0.0.1:1", "null"] {
        let (status, answer) = add_car(&daemon, &[cookie, ("Origin", foreign)]);
        assert_eq!(
            (status, &answer["code"]),
            (403, &"foreign_page".into()),
            "{foreign}"
        );
    }
    let listed = daemon.beside(&["pairing", "list"]);
    assert!(
        listed.contains("tablet") && listed.contains("127.0.0.1"),
        "{listed}"
    );
    daemon.beside(&["pairing", "revoke", "1"]);
    assert_eq!(
        add_car(&daemon, &[cookie, own]).0,
        401,
        "revoked while the daemon runs"
    );
    assert!(daemon.beside(&["pairing", "list"]).contains("No device"));
}

#[test]
fn a_name_that_somebody_lets_point_here_is_told_nothing() {
    let daemon = paired();
    let token = bearer(&daemon, "script");
    let port = host(&daemon).rsplit(':').next().expect("a port").to_owned();
    for name in [
        "evil.example",
        "rebound.evil.example",
        "hubplumb.local.evil.example",
    ] {
        let name = format!("{name}:{port}");
        for request in [
            "GET /",
            "GET /api/v1/state",
            "GET /api/v1/stream",
            "POST /api/v1/cars",
        ] {
            let body = if request.starts_with("POST") {
                WICKET
            } else {
                ""
            };
            let (status, _, answer) = asked(
                &daemon,
                request,
                &[("Host", &name), ("Authorization", &token)],
                body,
            );
            assert_eq!(
                (status, &answer["code"]),
                (421, &"unknown_host".into()),
                "{request} {name}"
            );
        }
    }
    let named = format!("localhost:{port}");
    assert_eq!(
        asked(&daemon, "GET /api/v1/state", &[("Host", &named)], "").0,
        200
    );
    assert_eq!(
        asked(&daemon, "GET http://evil.example/api/v1/state", &[], "").0,
        421
    );
}

/// Five wrong guesses, one a second; then not even the right one is taken, until there is a new code.
#[test]
fn a_code_cannot_be_guessed() {
    let daemon = paired();
    let code: String = daemon
        .beside(&["pairing", "code"])
        .chars()
        .filter(char::is_ascii_digit)
        .take(8)
        .collect();
    let wrong = format!(
        "{}{}",
        if code.starts_with('0') { '1' } else { '0' },
        &code[1..]
    );
    let guess = |code: &str| {
        let wish = json!({ "code": code, "bearer": true }).to_string();
        let (status, head, answer) = asked(&daemon, "POST /api/v1/pairing", &[], &wish);
        assert_eq!(head.contains("retry-after: 1"), status == 429, "{head}");
        (status, answer)
    };
    for _ in 0..5 {
        assert_eq!(guess(&wrong).1["code"], "wrong_pairing_code");
        assert_eq!(guess(&code).0, 429, "it comes too fast, from wherever");
        thread::sleep(Duration::from_millis(1100));
    }
    assert_eq!(guess(&code).1["code"], "no_pairing_code");
    thread::sleep(Duration::from_millis(1100));
    let code = daemon.beside(&["pairing", "code"]);
    let (status, answer) = guess(code.lines().next().expect("a code"));
    assert_eq!(status, 201, "{answer}");
    let token = format!("Bearer {}", answer["token"].as_str().expect("a token"));
    assert_eq!(add_car(&daemon, &[("Authorization", &token)]).0, 201);
}

#[test]
fn another_device_is_not_told_what_one_was_answered() {
    let daemon = paired();
    let (one, other) = (bearer(&daemon, "one"), bearer(&daemon, "other"));
    let key = ("Idempotency-Key", "\"k\"");
    let first = add_car(&daemon, &[key, ("Authorization", &one)]);
    assert_eq!(first.0, 201, "{first:?}");
    assert_eq!(add_car(&daemon, &[key, ("Authorization", &one)]), first);
    let (status, second) = add_car(&daemon, &[key, ("Authorization", &other)]);
    assert_eq!(status, 201);
    assert_ne!(second["id"], first.1["id"], "the other's own car");
    assert_eq!(add_car(&daemon, &[key]).0, 401);
    daemon.beside(&["pairing", "revoke", "1"]);
    assert_eq!(add_car(&daemon, &[key, ("Authorization", &one)]).0, 401);
}

/// A head that never ends is not waited for, however many of them there are.
#[test]
fn heads_that_come_byte_by_byte_are_given_up() {
    let daemon = paired();
    let mut slow: Vec<TcpStream> = (0..20).map(|_| line(&daemon)).collect();
    let began = Instant::now();
    for line in &mut slow {
        write!(line, "GET /api/v1/health HTTP/1.1\r\nHost: x\r\n").expect("sent");
    }
    while began.elapsed() < Duration::from_secs(25) {
        thread::sleep(Duration::from_secs(5));
        for line in &mut slow {
            line.write_all(b"X-More: 1\r\n").expect("it is open so far");
        }
        is_well(&daemon);
    }
    for line in &mut slow {
        assert!(!rest(line).starts_with("HTTP/1.1 200"));
    }
    assert!(began.elapsed() < PATIENCE, "{:?}", began.elapsed());
}

#[test]
fn heads_that_are_too_large_are_refused() {
    let daemon = paired();
    for head in [
        format!("X-Large: {}\r\n", "x".repeat(64 * 1024)),
        "X-Many: 1\r\n".repeat(200),
        format!("Cookie: {}\r\n", "a=b; ".repeat(20_000)),
    ] {
        let mut line = line(&daemon);
        let request = format!("GET /api/v1/health HTTP/1.1\r\nHost: 127.0.0.1\r\n{head}\r\n");
        // It may be closed before all of it was taken.
        let _ = line.write_all(request.as_bytes());
        let said = rest(&mut line);
        assert!(
            said.is_empty() || said.starts_with("HTTP/1.1 431"),
            "{said}"
        );
        is_well(&daemon);
    }
}

/// A body that trickles in ends after ten seconds, and nothing was done.
#[test]
fn a_body_that_comes_byte_by_byte_is_given_up() {
    let daemon = paired();
    let token = bearer(&daemon, "script");
    let mut line = line(&daemon);
    write!(
        line,
        "POST /api/v1/cars HTTP/1.1\r\nHost: {}\r\nAuthorization: {token}\r\nContent-Type: application/json\r\nContent-Length: 1000\r\n\r\n",
        host(&daemon)
    )
    .expect("sent");
    let began = Instant::now();
    let mut answer = [0; 12];
    line.set_read_timeout(Some(Duration::from_millis(500)))
        .expect("a limit");
    while let Err(error) = line.read_exact(&mut answer) {
        assert!(
            matches!(error.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut),
            "{error}"
        );
        assert!(began.elapsed() < PATIENCE);
        line.write_all(b" ").expect("it is open so far");
    }
    assert_eq!(&answer, b"HTTP/1.1 408");
    assert!(
        began.elapsed() > Duration::from_secs(8),
        "{:?}",
        began.elapsed()
    );
    let (_, _, cars) = daemon.get("/api/v1/cars");
    assert_eq!(cars, "[]");
}

/// Somebody asks for the page again and again and takes nothing of it.
#[test]
fn a_client_that_takes_nothing_is_let_go() {
    let daemon = paired();
    let (_, _, index) = daemon.get("/");
    let script = index
        .split('"')
        .find(|part| part.contains("assets/index") && part.contains(".js"));
    let script = script
        .expect("a script")
        .trim_start_matches("./")
        .trim_start_matches('/');
    let mut line = line(&daemon);
    let one = format!("GET /{script} HTTP/1.1\r\nHost: {}\r\n\r\n", host(&daemon));
    // Some twenty megabytes: more than both systems keep between them.
    line.write_all(one.repeat(100).as_bytes()).expect("sent");
    let began = Instant::now();
    loop {
        thread::sleep(Duration::from_secs(1));
        is_well(&daemon);
        // A line that the daemon gave up is refused at its next byte or the one after.
        if line.write_all(b"\r\n").is_err() {
            break;
        }
        assert!(began.elapsed() < PATIENCE, "it still has its place");
    }
    assert!(
        began.elapsed() > Duration::from_secs(8),
        "{:?}",
        began.elapsed()
    );
}

/// One machine fills its own places, and no more.
#[test]
fn one_machine_cannot_keep_the_others_out() {
    let daemon = paired();
    let held: Vec<TcpStream> = (0..64)
        .map(|_| line_from(&daemon, [127, 0, 0, 9]))
        .collect();
    thread::sleep(Duration::from_millis(300));
    let mut one_more = line_from(&daemon, [127, 0, 0, 9]);
    // It may be closed before that.
    let _ = write!(
        one_more,
        "GET /api/v1/health HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n"
    );
    assert_eq!(rest(&mut one_more), "");
    is_well(&daemon);
    drop(held);
    thread::sleep(Duration::from_millis(300));
    let mut again = line_from(&daemon, [127, 0, 0, 9]);
    write!(
        again,
        "GET /api/v1/health HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n"
    )
    .expect("sent");
    assert!(rest(&mut again).starts_with("HTTP/1.1 200"));
}
