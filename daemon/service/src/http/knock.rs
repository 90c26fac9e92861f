//! One question to a daemon on this machine, to see whether it answers.

use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::time::Duration;

use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::TcpStream;
use tokio::time::timeout;

/// Longest answer that is read: the state of readiness is a few hundred bytes.
const MOST_BYTES: u64 = 65_536;

/// What a daemon answered.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    /// Status of HTTP.
    pub status: u16,
    /// Body, as far as it is text.
    pub body: String,
}

/// Where a daemon that listens there is reached from its own machine.
pub fn from_here(listens_at: SocketAddr) -> SocketAddr {
    let ip = match listens_at.ip() {
        IpAddr::V4(ip) if ip.is_unspecified() => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(ip) if ip.is_unspecified() => Ipv6Addr::LOCALHOST.into(),
        ip => ip,
    };
    SocketAddr::new(ip, listens_at.port())
}

/// Asks for `path` in plain HTTP. A daemon behind HTTPS answers too, with a refusal.
pub async fn knock(address: SocketAddr, path: &str, at_most: Duration) -> io::Result<Answer> {
    timeout(at_most, ask(address, path))
        .await
        .unwrap_or_else(|_| Err(io::ErrorKind::TimedOut.into()))
}

async fn ask(address: SocketAddr, path: &str) -> io::Result<Answer> {
    let mut socket = TcpStream::connect(address).await?;
    // HTTP/1.0: the body comes as it is, and its end is the end of the connection.
    let request = format!("GET {path} HTTP/1.0\r\nHost: {address}\r\nConnection: close\r\n\r\n");
    socket.write_all(request.as_bytes()).await?;
    let mut answer = Vec::new();
    socket.take(MOST_BYTES).read_to_end(&mut answer).await?;
    read(&String::from_utf8_lossy(&answer)).ok_or_else(|| io::ErrorKind::InvalidData.into())
}

fn read(answer: &str) -> Option<Answer> {
    let (head, body) = answer.split_once("\r\n\r\n")?;
    let line = head.lines().next()?;
    let mut words = line.split(' ');
    words.next()?.strip_prefix("HTTP/1.")?;
    Some(Answer {
        status: words.next()?.parse().ok()?,
        body: body.to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use tokio::net::TcpListener;

    use super::*;

    #[test]
    fn only_http_is_an_answer() {
        let answer = |status, body: &str| {
            let body = body.to_owned();
            Some(Answer { status, body })
        };
        for (said, wanted) in [
            ("HTTP/1.1 200 OK\r\na: b\r\n\r\n{}", answer(200, "{}")),
            ("HTTP/1.0 503 Busy\r\n\r\n", answer(503, "")),
            ("HTTP/1.1 200 OK\r\n", None),
            ("220 mail\r\n\r\n", None),
            ("HTTP/1.1 soon\r\n\r\n", None),
            ("", None),
        ] {
            assert_eq!(read(said), wanted, "{said:?}");
        }
    }

    #[test]
    fn every_address_is_reached_from_its_own_machine() {
        for (listens, reached) in [
            ("0.0.0.0:8710", "127.0.0.1:8710"),
            ("[::]:8710", "[::1]:8710"),
            ("192.168.4.20:80", "192.168.4.20:80"),
        ] {
            assert_eq!(
                from_here(listens.parse().unwrap()),
                reached.parse().unwrap()
            );
        }
    }

    #[tokio::test]
    async fn somebody_who_says_nothing_is_not_waited_for() {
        let silent = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let address = silent.local_addr().unwrap();
        let asked = knock(address, "/", Duration::from_millis(50)).await;
        assert_eq!(asked.unwrap_err().kind(), io::ErrorKind::TimedOut);
        drop(silent);
        let asked = knock(address, "/", Duration::from_secs(5)).await;
        assert_eq!(asked.unwrap_err().kind(), io::ErrorKind::ConnectionRefused);
    }
}
