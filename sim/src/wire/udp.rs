//! Boards that send each reading as a datagram.

use std::io;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};

use super::outlet::{Outlet, Written};

/// Datagrams in a row that nobody refused, after which somebody is taken to listen:
/// a refusal shows at the datagram after the one refused.
const UNREFUSED: u32 = 3;

/// A board that sends and never knows who hears. Only on one machine a refusal comes back.
#[derive(Debug)]
pub(super) struct Sending {
    socket: UdpSocket,
    unrefused: u32,
}

impl Sending {
    pub(super) fn new(at: SocketAddr, from: Option<IpAddr>) -> io::Result<Self> {
        let any: IpAddr = match at {
            SocketAddr::V4(_) => Ipv4Addr::UNSPECIFIED.into(),
            SocketAddr::V6(_) => Ipv6Addr::UNSPECIFIED.into(),
        };
        let socket = UdpSocket::bind((from.unwrap_or(any), 0))?;
        socket.connect(at)?;
        socket.set_nonblocking(true)?;
        Ok(Self {
            socket,
            unrefused: 0,
        })
    }
}

impl Outlet for Sending {
    fn is_heard(&mut self) -> bool {
        self.unrefused >= UNREFUSED
    }

    /// What is not known cannot be told; the header is repeated anyway.
    fn was_opened(&mut self) -> bool {
        false
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        let mut lost = 0;
        for datagram in said {
            match self.socket.send(datagram) {
                Ok(_) => self.unrefused = self.unrefused.saturating_add(1),
                Err(error) if error.kind() == io::ErrorKind::ConnectionRefused => {
                    self.unrefused = 0;
                }
                // No room: lost, as on any network.
                Err(_) => lost += datagram.len(),
            }
        }
        if self.unrefused == 0 {
            Written::Unheard
        } else {
            Written::Sent { lost }
        }
    }

    fn written(&mut self) -> Vec<u8> {
        let mut ignored = [0_u8; 256];
        loop {
            match self.socket.recv(&mut ignored) {
                Ok(_) => {}
                Err(error) if error.kind() == io::ErrorKind::ConnectionRefused => {
                    self.unrefused = 0;
                }
                // A board that sends datagrams is not asked.
                Err(_) => return Vec::new(),
            }
        }
    }
}
