//! A board that is a server and is called, as Wi-Fi boards often are.

use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use tokio::io::{AsyncRead, AsyncWriteExt as _, ReadBuf};
use tokio::net::{TcpStream, lookup_host};
use tokio::time::timeout;

use super::address::PeerAddress;
use super::refusal::NetRefusal;
use crate::link::transport::{Line, OpenError, Transport};

/// How long one address may take to answer a call. A board on the same network
/// answers in milliseconds; a lost call is repeated by the system after one second
/// (RFC 6298, the first timeout).
const ANSWER: Duration = Duration::from_secs(3);
/// How long a name may take to be found. Answers about names in `.local` come within one second.
const FIND_NAME: Duration = Duration::from_secs(5);

/// Calls a board.
#[derive(Debug)]
pub struct TcpClient {
    peer: PeerAddress,
}

impl TcpClient {
    /// Nothing is called yet.
    pub fn new(peer: PeerAddress) -> Self {
        Self { peer }
    }

    /// Looks the name up anew: a board may have got another address since.
    async fn addresses(&self) -> Result<Vec<SocketAddr>, NetRefusal> {
        let host = self.peer.host();
        let unknown = |why: String| NetRefusal::NameUnknown {
            host: host.to_owned(),
            why,
        };
        let found = timeout(FIND_NAME, lookup_host((host, self.peer.port())))
            .await
            .map_err(|_| unknown(format!("no answer within {} s", FIND_NAME.as_secs())))?
            .map_err(|error| unknown(error.to_string()))?;
        Ok(found.collect())
    }

    async fn call(&self) -> Result<TcpStream, NetRefusal> {
        let peer = self.peer.to_string();
        let mut refusal = None;
        for address in self.addresses().await? {
            match timeout(ANSWER, TcpStream::connect(address)).await {
                Ok(Ok(stream)) => return Ok(stream),
                Ok(Err(error)) => refusal = Some(NetRefusal::of_call(&peer, &error)),
                // A refusal by another address tells more than no answer.
                Err(_) => {
                    refusal.get_or_insert(NetRefusal::Unreachable {
                        peer: peer.clone(),
                        why: format!("no answer within {} s", ANSWER.as_secs()),
                    });
                }
            }
        }
        Err(refusal.unwrap_or_else(|| NetRefusal::NameUnknown {
            host: self.peer.host().to_owned(),
            why: "the name has no address".to_owned(),
        }))
    }
}

impl Transport for TcpClient {
    type Line = CalledLine;

    async fn open(&mut self, _: u32) -> Result<CalledLine, OpenError> {
        match self.call().await {
            Ok(stream) => Ok(CalledLine { stream }),
            Err(refusal) => Err(OpenError::Net(refusal)),
        }
    }

    fn port(&self) -> String {
        format!("tcp:{}", self.peer)
    }

    fn has_speed(&self) -> bool {
        false
    }

    fn ended(&self) -> OpenError {
        OpenError::Net(NetRefusal::Ended {
            peer: self.peer.to_string(),
        })
    }
}

/// A connection to a board that was called.
#[derive(Debug)]
pub struct CalledLine {
    stream: TcpStream,
}

impl AsyncRead for CalledLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, buf)
    }
}

impl Line for CalledLine {
    async fn ask(&mut self, question: &[u8]) -> io::Result<()> {
        self.stream.write_all(question).await
    }

    /// A board that lost its power closes nothing, and since we never write, the
    /// system would never notice. Only a new call tells.
    fn silence_is_the_end(&self) -> bool {
        true
    }
}

#[cfg(test)]
mod tests {
    use tokio::io::{AsyncReadExt, AsyncWriteExt};
    use tokio::net::TcpListener;

    use super::*;

    async fn open(peer: &str) -> Result<CalledLine, OpenError> {
        TcpClient::new(peer.parse().unwrap()).open(0).await
    }

    #[tokio::test]
    async fn what_the_board_says_arrives_and_its_end_is_an_end() {
        let board = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let peer = format!("localhost:{}", board.local_addr().unwrap().port());
        let (line, accepted) = tokio::join!(open(&peer), board.accept());
        let (mut line, mut far) = (line.unwrap(), accepted.unwrap().0);
        far.write_all(b"ax,ay,az\n").await.unwrap();
        drop(far);
        let mut said = Vec::new();
        line.read_to_end(&mut said).await.unwrap();
        assert_eq!(said, b"ax,ay,az\n");
    }

    #[tokio::test]
    async fn a_machine_where_nothing_listens_refuses() {
        let closed = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let peer = closed.local_addr().unwrap().to_string();
        drop(closed);
        assert_eq!(
            open(&peer).await.unwrap_err(),
            OpenError::Net(NetRefusal::ConnectionRefused { peer })
        );
    }

    /// `.invalid` never resolves (RFC 6761, section 6.4).
    #[tokio::test]
    async fn a_name_nobody_has_is_unknown() {
        let error = open("board.invalid:3333").await.unwrap_err();
        assert!(
            matches!(&error, OpenError::Net(NetRefusal::NameUnknown { host, .. }) if host == "board.invalid"),
            "{error:?}"
        );
    }
}
