//! The board's end of whatever it is joined to the host by.

use std::fmt::Debug;
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpListener, UdpSocket};
use std::path::{Path, PathBuf};

use super::port::Port;
use super::tcp::{Calling, Serving};
use super::udp::Sending;
use crate::board::{LinkKind, LinkSpec};
use crate::car::Mount;
use crate::error::SimError;

/// What became of bytes given to an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Written {
    /// Nobody is at the other end; as on a real wire, they are gone.
    Unheard,
    /// Somebody is. So many bytes found no room and are gone.
    Sent { lost: usize },
}

/// The board's end of a link. Dropping it is pulling the plug.
pub(super) trait Outlet: Debug + Send {
    /// Is somebody at the other end?
    fn is_heard(&mut self) -> bool;

    /// Has somebody come to the other end since the last time this was asked?
    fn was_opened(&mut self) -> bool;

    /// Sends what the board said, reading by reading, and never waits.
    fn send(&mut self, said: &[Vec<u8>]) -> Written;

    /// Throws away what the last reader left unread, so that it does not greet the next one.
    fn forget_unread(&mut self) {}

    /// What the host has written to the board. It is always taken, so that the
    /// host's writes never block.
    fn written(&mut self) -> Vec<u8>;
}

/// Where a board's outlet is, found once, so that a plug put in again goes where it was.
#[derive(Debug, Clone)]
pub(super) enum Place {
    Pty(PathBuf),
    Serves(SocketAddr),
    Calls {
        at: SocketAddr,
        from: Option<IpAddr>,
    },
    Sends {
        at: SocketAddr,
        from: Option<IpAddr>,
    },
    #[cfg(feature = "bluetooth")]
    Notifies(super::bluetooth::OnAir),
}

impl Place {
    /// Puts the plug in.
    pub(super) fn open(&self, mount: Mount) -> Result<Box<dyn Outlet>, SimError> {
        let net = |what: String| {
            move |source| SimError::Net {
                mount,
                what,
                source,
            }
        };
        Ok(match self {
            Self::Pty(link) => Box::new(Port::open(mount, link)?),
            Self::Serves(at) => {
                let served = Serving::at(*at);
                Box::new(served.map_err(net(format!("listening at {at}")))?)
            }
            Self::Calls { at, from } => Box::new(Calling::new(*at, *from)),
            Self::Sends { at, from } => {
                let sending = Sending::new(*at, *from);
                Box::new(sending.map_err(net(format!("sending to {at}")))?)
            }
            #[cfg(feature = "bluetooth")]
            Self::Notifies(on_air) => Box::new(on_air.open()),
        })
    }

    /// How the host reaches it, as a configuration of the daemon writes it.
    pub(super) fn port(&self) -> String {
        let of = |from: &Option<IpAddr>| match from {
            Some(from) => format!("/{from}"),
            None => String::new(),
        };
        match self {
            Self::Pty(link) => link.to_string_lossy().into_owned(),
            Self::Serves(at) => format!("tcp:{at}"),
            Self::Calls { at, from } => format!("tcp-listen:{at}{}", of(from)),
            Self::Sends { at, from } => format!("udp:{at}{}", of(from)),
            #[cfg(feature = "bluetooth")]
            Self::Notifies(on_air) => format!("ble:{}", on_air.name()),
        }
    }
}

/// Finds places for the boards of one simulation.
#[derive(Debug, Default)]
pub(super) struct Places {
    called: Option<SocketAddr>,
    sent_to: Option<SocketAddr>,
    /// Boards that were given an address of their own.
    addressed: u8,
    #[cfg(feature = "bluetooth")]
    pub(super) bluetooth: Option<super::bluetooth::Bluetooth>,
}

/// A port of this machine that nobody has.
const ANY: SocketAddr = SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 0);

impl Places {
    /// Finds the place of a board's outlet and opens it.
    pub(super) fn open(
        &mut self,
        mount: Mount,
        spec: &LinkSpec,
        seed: u64,
        folder: &Path,
    ) -> Result<(Place, Box<dyn Outlet>), SimError> {
        let net = |source| SimError::Net {
            mount,
            what: "finding a free port".to_owned(),
            source,
        };
        let place = match spec.kind {
            LinkKind::Pty => Place::Pty(folder.join(mount.name())),
            LinkKind::TcpServer => Place::Serves(match spec.at {
                Some(at) if at.port() != 0 => at,
                at => free_tcp(at.unwrap_or(ANY)).map_err(net)?,
            }),
            LinkKind::TcpClient => {
                let at = match spec.at.or(self.called) {
                    Some(at) => at,
                    None => *self.called.insert(free_tcp(ANY).map_err(net)?),
                };
                let from = self.address(spec, at);
                Place::Calls { at, from }
            }
            LinkKind::Udp => {
                let at = match spec.at.or(self.sent_to) {
                    Some(at) => at,
                    None => *self.sent_to.insert(free_udp().map_err(net)?),
                };
                let from = self.address(spec, at);
                Place::Sends { at, from }
            }
            LinkKind::Bluetooth => self.on_air(mount, spec, seed)?,
        };
        let outlet = place.open(mount)?;
        Ok((place, outlet))
    }

    #[cfg(feature = "bluetooth")]
    fn on_air(&mut self, mount: Mount, spec: &LinkSpec, seed: u64) -> Result<Place, SimError> {
        use super::bluetooth::{Bluetooth, Peripheral};
        let failed = |error: super::bluetooth::BluetoothError| SimError::Bluetooth {
            mount,
            why: error.to_string(),
        };
        let bluetooth = match self.bluetooth.take() {
            Some(bluetooth) => bluetooth,
            None => Bluetooth::start().map_err(failed)?,
        };
        let bluetooth = self.bluetooth.insert(bluetooth);
        let peripheral = Peripheral::of(mount, spec, seed);
        let name = peripheral.name.clone();
        bluetooth.add(peripheral).map_err(failed)?;
        Ok(Place::Notifies(bluetooth.on_air(&name).map_err(failed)?))
    }

    #[cfg(not(feature = "bluetooth"))]
    #[expect(clippy::unused_self, reason = "with the feature it is used")]
    fn on_air(&mut self, mount: Mount, _: &LinkSpec, _: u64) -> Result<Place, SimError> {
        Err(SimError::Bluetooth {
            mount,
            why: "this program was built without it".to_owned(),
        })
    }

    /// The whole of 127.0.0.0/8 is this machine (RFC 1122, section 3.2.1.3): a board each.
    fn address(&mut self, spec: &LinkSpec, at: SocketAddr) -> Option<IpAddr> {
        spec.from.or_else(|| {
            let shared = at.is_ipv4() && at.ip().is_loopback();
            shared.then(|| {
                self.addressed += 1;
                Ipv4Addr::new(127, 0, 0, 1 + self.addressed).into()
            })
        })
    }
}

/// The system gives ports in turn, so that one just given back is not given soon again.
fn free_tcp(at: SocketAddr) -> std::io::Result<SocketAddr> {
    TcpListener::bind(at)?.local_addr()
}

fn free_udp() -> std::io::Result<SocketAddr> {
    UdpSocket::bind(ANY)?.local_addr()
}
