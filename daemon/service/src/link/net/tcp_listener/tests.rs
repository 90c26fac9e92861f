//! Boards that call, on real loopback sockets.

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpSocket;

use super::*;

/// A link's transport at a free port, for one caller or any.
fn listening(sockets: &Sockets<ListeningPort>, local: SocketAddr, remote: &str) -> TcpListen {
    TcpListen::new(format!("{local}{remote}").parse().unwrap(), sockets.clone())
}

fn free() -> SocketAddr {
    let socket = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    socket.local_addr().unwrap()
}

async fn call(from: &str, at: SocketAddr) -> TcpStream {
    let socket = TcpSocket::new_v4().unwrap();
    socket.bind(format!("{from}:0").parse().unwrap()).unwrap();
    socket.connect(at).await.unwrap()
}

async fn said(line: &mut CallerLine, expected: &[u8]) {
    let mut buffer = vec![0; expected.len()];
    line.read_exact(&mut buffer).await.unwrap();
    assert_eq!(buffer, expected);
}

/// Nothing more comes: the other end is closed.
async fn hung_up(board: &mut TcpStream) {
    let mut buffer = [0; 1];
    let read = board.read(&mut buffer).await;
    assert!(matches!(read, Ok(0) | Err(_)), "{read:?}");
}

#[tokio::test]
async fn boards_on_one_port_are_told_apart_and_strangers_are_hung_up_on() {
    let (sockets, at) = (Sockets::default(), free());
    let mut left = listening(&sockets, at, "/127.0.0.2");
    let mut right = listening(&sockets, at, "/127.0.0.3");
    // Both have to be waiting before anybody calls.
    left.post().unwrap();
    right.post().unwrap();
    let mut stranger = call("127.0.0.4", at).await;
    let mut right_board = call("127.0.0.3", at).await;
    let mut left_board = call("127.0.0.2", at).await;
    hung_up(&mut stranger).await;
    let (mut left, mut right) = (left.open(0).await.unwrap(), right.open(0).await.unwrap());
    right_board.write_all(b"right").await.unwrap();
    left_board.write_all(b"left").await.unwrap();
    said(&mut left, b"left").await;
    said(&mut right, b"right").await;
    assert_eq!(left.left_out(), BTreeMap::from([("other_sender", 1)]));
}

#[tokio::test]
async fn a_board_that_calls_again_takes_its_own_place() {
    let (sockets, at) = (Sockets::default(), free());
    let mut transport = listening(&sockets, at, "");
    transport.post().unwrap();
    let mut before = call("127.0.0.2", at).await;
    let mut line = transport.open(0).await.unwrap();
    before.write_all(b"before").await.unwrap();
    said(&mut line, b"before").await;
    // The board lost its power and closed nothing.
    let mut after = call("127.0.0.2", at).await;
    after.write_all(b"after").await.unwrap();
    let mut rest = Vec::new();
    line.read_to_end(&mut rest).await.unwrap();
    assert_eq!(rest, b"");
    drop(line);
    let mut line = transport.open(0).await.unwrap();
    said(&mut line, b"after").await;
}

#[tokio::test]
async fn another_board_does_not_take_the_place_of_one_that_talks() {
    let (sockets, at) = (Sockets::default(), free());
    let mut transport = listening(&sockets, at, "");
    transport.post().unwrap();
    let mut first = call("127.0.0.2", at).await;
    let mut line = transport.open(0).await.unwrap();
    let mut second = call("127.0.0.3", at).await;
    hung_up(&mut second).await;
    first.write_all(b"still here").await.unwrap();
    said(&mut line, b"still here").await;
    assert_eq!(line.left_out(), BTreeMap::from([("other_sender", 1)]));
}

#[tokio::test]
async fn another_board_takes_the_place_of_one_that_is_silent() {
    let (sockets, at) = (Sockets::default(), free());
    let mut transport = listening(&sockets, at, "");
    let post = transport.post().unwrap();
    let _first = call("127.0.0.2", at).await;
    let mut line = transport.open(0).await.unwrap();
    // As if the silence had lasted; waiting for it would be waiting for the clock.
    let long_ago = Instant::now().checked_sub(KEEPS_CALLER).unwrap();
    lock(&post.calls).current.as_mut().unwrap().last_heard = long_ago;
    let mut second = call("127.0.0.3", at).await;
    second.write_all(b"new").await.unwrap();
    let mut rest = Vec::new();
    line.read_to_end(&mut rest).await.unwrap();
    drop(line);
    said(&mut transport.open(0).await.unwrap(), b"new").await;
}

#[tokio::test(start_paused = true)]
async fn that_nobody_calls_is_told_once_and_then_waited_for() {
    let (sockets, at) = (Sockets::default(), free());
    let mut transport = listening(&sockets, at, "");
    let error = transport.open(0).await.unwrap_err();
    assert_eq!(
        error,
        OpenError::Net(NetRefusal::NoCaller { at: at.to_string() })
    );
    let hour = Duration::from_secs(3600);
    assert!(timeout(hour, transport.open(0)).await.is_err());
}

#[tokio::test]
async fn a_port_that_cannot_be_had_says_why() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let at = taken.local_addr().unwrap();
    let error = listening(&Sockets::default(), at, "")
        .open(0)
        .await
        .map(drop);
    assert_eq!(error, Err(OpenError::Net(NetRefusal::AddressInUse { at })));
}
