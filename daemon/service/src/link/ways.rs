//! The ways from this machine to its boards.

use tokio_util::sync::CancellationToken;

use super::ble::{BleTransport, Blue, Coordinator};
use super::identity::PortTree;
use super::iio::{IioTransport, IioTree};
use super::net::{DatagramPort, ListeningPort, Sockets, TcpClient, TcpListen, UdpListen};
use super::run::{LinkSettings, Observer, run};
use super::serial::SerialTransport;
use super::target::Target;
use crate::journal::PlayedTransport;

/// What the links of one daemon share.
#[derive(Debug, Clone)]
pub struct Ways {
    /// The machine's Bluetooth; not touched before a board on it is wanted.
    bluetooth: Coordinator<Blue>,
    /// Where serial ports are looked up.
    pub ports: PortTree,
    /// Where chips that the kernel reads are looked up.
    pub iio: IioTree,
    /// Ports of this machine at which datagrams are taken.
    datagrams: Sockets<DatagramPort>,
    /// Ports of this machine at which calls are taken.
    calls: Sockets<ListeningPort>,
}

impl Ways {
    /// The ways of the running system.
    pub fn system() -> Self {
        Self {
            bluetooth: Coordinator::default(),
            ports: PortTree::system(),
            iio: IioTree::system(),
            datagrams: Sockets::default(),
            calls: Sockets::default(),
        }
    }

    /// Runs the link to `target` until `stop`.
    pub async fn run<O: Observer>(
        self,
        target: Target,
        settings: LinkSettings,
        observer: O,
        stop: CancellationToken,
    ) {
        match target {
            Target::Bluetooth(address) => {
                let transport = BleTransport::new(address, self.bluetooth);
                let released = transport.released();
                run(transport, settings, observer, stop).await;
                released.await;
            }
            Target::Played(played) => {
                run(PlayedTransport::new(played), settings, observer, stop).await;
            }
            Target::Path(_) | Target::Identity(_) => {
                let transport = SerialTransport::new(target, self.ports);
                run(transport, settings, observer, stop).await;
            }
            Target::Tcp(peer) => run(TcpClient::new(peer), settings, observer, stop).await,
            Target::TcpListen(at) => {
                run(TcpListen::new(at, self.calls), settings, observer, stop).await;
            }
            Target::Udp(at) => {
                run(UdpListen::new(at, self.datagrams), settings, observer, stop).await;
            }
            Target::Iio(name) => {
                run(IioTransport::new(name, self.iio), settings, observer, stop).await;
            }
        }
    }

    /// The name that stays with a board while the ways to it are numbered anew.
    pub fn identity(&self, target: &Target) -> String {
        let named = target.to_string();
        match target {
            Target::Path(_) | Target::Identity(_) => {
                match <[_; 1]>::try_from(self.ports.find(&named)) {
                    Ok([port]) => port.id,
                    Err(_) => named,
                }
            }
            Target::Tcp(_)
            | Target::TcpListen(_)
            | Target::Udp(_)
            | Target::Iio(_)
            | Target::Played(_) => named,
            // The characteristic it notifies by does not make it another board.
            Target::Bluetooth(address) => format!("ble:{}", address.board),
        }
    }
}
