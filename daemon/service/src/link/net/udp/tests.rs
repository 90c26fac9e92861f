//! Datagrams by sender, on a desk without a socket and on real loopback sockets.

use std::net::UdpSocket as StdSocket;

use tokio::io::AsyncReadExt;

use super::*;

const LEFT: &str = "10.0.0.7";
const RIGHT: &str = "10.0.0.8";
const STRANGER: &str = "10.0.0.9";

fn ip(address: &str) -> IpAddr {
    address.parse().unwrap()
}

/// A desk with ears for some senders, an empty text for any.
fn desk(remotes: &[&str]) -> (Desk, Vec<Arc<Ear>>) {
    let desk = Desk::default();
    let ears = remotes
        .iter()
        .map(|remote| {
            let remote = (!remote.is_empty()).then(|| ip(remote));
            desk.listen(remote).unwrap()
        })
        .collect();
    (desk, ears)
}

fn given(ear: &Ear) -> Vec<String> {
    let datagrams = std::mem::take(&mut lock(&ear.heard).datagrams);
    datagrams
        .into_iter()
        .map(|bytes| String::from_utf8(bytes).unwrap())
        .collect()
}

fn left_out(ear: &Ear) -> Vec<(&'static str, u64)> {
    lock(&ear.heard).left_out.clone().into_iter().collect()
}

#[test]
fn boards_on_one_port_are_told_apart_by_their_addresses() {
    let (desk, ears) = desk(&[LEFT, RIGHT]);
    let now = Instant::now();
    for (from, said) in [(LEFT, "l1"), (RIGHT, "r1"), (STRANGER, "x"), (LEFT, "l2")] {
        desk.deliver(said.as_bytes(), ip(from), now);
    }
    assert_eq!(given(&ears[0]), ["l1", "l2"]);
    assert_eq!(given(&ears[1]), ["r1"]);
    for ear in &ears {
        assert_eq!(left_out(ear), [("other_sender", 1)]);
    }
}

#[test]
fn a_board_that_names_nobody_gets_what_no_other_claims() {
    let (desk, ears) = desk(&[LEFT, ""]);
    let now = Instant::now();
    desk.deliver(b"l", ip(LEFT), now);
    desk.deliver(b"r", ip(RIGHT), now);
    assert_eq!(
        (given(&ears[0]), given(&ears[1])),
        (vec!["l".to_owned()], vec!["r".to_owned()])
    );
}

#[test]
fn without_a_name_the_first_sender_is_listened_to_until_it_is_silent() {
    let (desk, ears) = desk(&[""]);
    let start = Instant::now();
    let at = |ms| start + Duration::from_millis(ms);
    desk.deliver(b"l1", ip(LEFT), at(0));
    desk.deliver(b"r1", ip(RIGHT), at(10));
    desk.deliver(b"l2", ip(LEFT), at(1000));
    desk.deliver(b"r2", ip(RIGHT), at(3999));
    assert_eq!(given(&ears[0]), ["l1", "l2"]);
    assert_eq!(left_out(&ears[0]), [("other_sender", 2)]);
    desk.deliver(b"r3", ip(RIGHT), at(4000));
    desk.deliver(b"l3", ip(LEFT), at(4010));
    assert_eq!(given(&ears[0]), ["r3"]);
}

#[test]
fn what_is_too_long_or_empty_or_not_read_is_counted() {
    let (desk, ears) = desk(&[LEFT]);
    let now = Instant::now();
    desk.deliver(&[b'a'; READ_BYTES], ip(LEFT), now);
    desk.deliver(&[b'a'; READ_BYTES + 1], ip(LEFT), now);
    desk.deliver(b"", ip(LEFT), now);
    assert_eq!(given(&ears[0]).len(), 1);
    for number in 0..QUEUE + 3 {
        desk.deliver(number.to_string().as_bytes(), ip(LEFT), now);
    }
    let kept = given(&ears[0]);
    assert_eq!((kept.len(), kept[0].as_str()), (QUEUE, "3"));
    assert_eq!(
        left_out(&ears[0]),
        [
            ("empty_datagram", 1),
            ("not_read_in_time", 3),
            ("oversize_datagram", 1)
        ]
    );
}

/// Two lines on one port that the system chose, and where it is.
async fn opened(remotes: [&str; 2]) -> (SocketAddr, Vec<UdpLine>) {
    let free = StdSocket::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let sockets = Sockets::default();
    let mut lines = Vec::new();
    for remote in remotes {
        let at = format!("{free}/{remote}").parse().unwrap();
        lines.push(UdpListen::new(at, sockets.clone()).open(0).await.unwrap());
    }
    (free, lines)
}

#[tokio::test]
async fn two_boards_share_a_real_port_and_each_read_is_one_datagram() {
    let (at, mut lines) = opened(["127.0.0.2", "127.0.0.3"]).await;
    for (from, said) in [
        ("127.0.0.3:0", &b"right"[..]),
        ("127.0.0.2:0", b"left 1"),
        ("127.0.0.4:0", b"stranger"),
        ("127.0.0.2:0", b"left 2"),
    ] {
        StdSocket::bind(from).unwrap().send_to(said, at).unwrap();
    }
    let mut buffer = [0; 64];
    for (line, expected) in [(0, &b"left 1"[..]), (0, b"left 2"), (1, b"right")] {
        let count = lines[line].read(&mut buffer).await.unwrap();
        assert_eq!(&buffer[..count], expected);
    }
    // The stranger came before what has been read since.
    assert_eq!(lines[0].left_out(), BTreeMap::from([("other_sender", 1)]));
    assert_eq!(lines[0].left_out(), BTreeMap::new(), "told once");
}

#[tokio::test]
async fn a_read_with_little_room_goes_on_in_the_same_datagram() {
    let (at, mut lines) = opened(["127.0.0.2", "127.0.0.3"]).await;
    StdSocket::bind("127.0.0.2:0")
        .unwrap()
        .send_to(b"a datagram", at)
        .unwrap();
    let mut said = [0; 10];
    for piece in said.chunks_mut(4) {
        lines[0].read_exact(piece).await.unwrap();
    }
    assert_eq!(&said, b"a datagram");
}

#[tokio::test]
async fn a_port_that_cannot_be_had_says_why() {
    let taken = StdSocket::bind("127.0.0.1:0").unwrap();
    let at = taken.local_addr().unwrap();
    let open = async |written: String| {
        let at = written.parse().unwrap();
        UdpListen::new(at, Sockets::default())
            .open(0)
            .await
            .map(drop)
    };
    assert_eq!(
        open(at.to_string()).await,
        Err(OpenError::Net(NetRefusal::AddressInUse { at }))
    );
    // 192.0.2.0/24 is for examples in documents (RFC 5737): no machine has it.
    let at = SocketAddr::new(ip("192.0.2.1"), at.port());
    assert_eq!(
        open(at.to_string()).await,
        Err(OpenError::Net(NetRefusal::AddressForeign { at }))
    );
}

#[tokio::test]
async fn one_sender_is_one_board() {
    let free = StdSocket::bind("127.0.0.1:0")
        .unwrap()
        .local_addr()
        .unwrap();
    let sockets = Sockets::default();
    let listen = || UdpListen::new(free.to_string().parse().unwrap(), sockets.clone());
    let first = listen().open(0).await.unwrap();
    assert_eq!(
        listen().open(0).await.map(drop),
        Err(OpenError::Net(NetRefusal::AddressInUse { at: free }))
    );
    drop(first);
}
