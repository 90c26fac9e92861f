//! Telling the network by multicast DNS (RFC 6762, RFC 6763) that the page is here, so that a
//! tablet may be given a name instead of a number.
//!
//! The library probes before it announces: a name that somebody else has is left to them, and
//! ours gets a number (`hubplumb-2.local`).

use std::net::{IpAddr, SocketAddr};
use std::time::Duration;

use mdns_sd::{DaemonEvent, IfKind, Receiver, ServiceDaemon, ServiceInfo, UnregisterStatus};
use tokio::time::timeout;

/// The name that is asked for.
pub(crate) const HOST: &str = "hubplumb.local";

/// How long withdrawing may take: the goodbyes are sent at once, this only waits for them.
const WITHDRAW: Duration = Duration::from_millis(400);

/// Longest label of a name (RFC 1035, 2.3.4), bytes.
const LONGEST_LABEL: usize = 63;

/// Which network cards it is told on.
#[derive(Debug, Clone)]
pub(crate) enum On {
    /// Every card of this machine but loopback, with whatever addresses they have.
    Network,
    /// The card with this address, and that address alone.
    Card(IpAddr),
}

impl On {
    /// Where the page can be opened is where it is told.
    pub(crate) fn of(listen: SocketAddr) -> Self {
        let address = listen.ip().to_canonical();
        if address.is_unspecified() {
            Self::Network
        } else {
            Self::Card(address)
        }
    }
}

/// What came of the announcement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Heard {
    /// Others see us under our name now.
    Announced,
    /// Somebody else has the name; this is ours.
    Renamed(String),
}

/// A running announcement.
pub(crate) struct Announcement {
    daemon: ServiceDaemon,
    events: Receiver<DaemonEvent>,
    names: Vec<String>,
}

impl Announcement {
    /// Begins to tell that the page is at this port.
    pub(crate) fn begin(
        on: &On,
        port: u16,
        https: bool,
        machine: &str,
    ) -> Result<Self, mdns_sd::Error> {
        let daemon = ServiceDaemon::new()?;
        match on {
            On::Network => {
                daemon.disable_interface(vec![IfKind::LoopbackV4, IfKind::LoopbackV6])?;
            }
            On::Card(address) => {
                daemon.disable_interface(IfKind::All)?;
                daemon.enable_interface(IfKind::Addr(*address))?;
            }
        }
        let events = daemon.monitor()?;
        let mut names = Vec::new();
        for service in services(on, port, https, machine)? {
            names.push(service.get_fullname().to_owned());
            daemon.register(service)?;
        }
        Ok(Self {
            daemon,
            events,
            names,
        })
    }

    /// The next that is heard; none when there will be nothing more.
    pub(crate) async fn heard(&self) -> Option<Heard> {
        loop {
            match self.events.recv_async().await.ok()? {
                DaemonEvent::Announce(..) => return Some(Heard::Announced),
                DaemonEvent::NameChange(change)
                    if change.new_name.ends_with(".local.")
                    // Names of services change by their own numbers; only the host's is typed by anybody.
                    && !change.new_name.contains("._tcp.") =>
                {
                    let name = change.new_name.trim_end_matches('.');
                    return Some(Heard::Renamed(name.to_owned()));
                }
                DaemonEvent::Error(error) => {
                    tracing::debug!(%error, "announcing");
                }
                _ => {}
            }
        }
    }

    /// Takes everything back, so that nobody is led to a page that is no longer there.
    pub(crate) async fn withdraw(self) {
        let taken_back = async {
            for name in &self.names {
                let Ok(status) = self.daemon.unregister(name) else {
                    continue;
                };
                match status.recv_async().await {
                    Ok(UnregisterStatus::OK) => {}
                    other => tracing::debug!(name, ?other, "was not announced"),
                }
            }
            if let Ok(ended) = self.daemon.shutdown() {
                let _ = ended.recv_async().await;
            }
        };
        if timeout(WITHDRAW, taken_back).await.is_err() {
            tracing::warn!("the announcement was not taken back in time");
        }
    }
}

/// What is announced.
pub(crate) fn services(
    on: &On,
    port: u16,
    https: bool,
    machine: &str,
) -> Result<Vec<ServiceInfo>, mdns_sd::Error> {
    let kinds: &[&str] = if https {
        &["_https._tcp.local.", "_http._tcp.local."]
    } else {
        &["_http._tcp.local."]
    };
    kinds
        .iter()
        .map(|kind| {
            let addresses: &[IpAddr] = match on {
                On::Network => &[],
                On::Card(address) => std::slice::from_ref(address),
            };
            let service = ServiceInfo::new(
                kind,
                &label(machine),
                &format!("{HOST}."),
                addresses,
                port,
                // RFC 6763 and the registry of service names give `path` for pages.
                &[("path", "/")][..],
            )?;
            Ok(match on {
                On::Network => service.enable_addr_auto(),
                On::Card(_) => service,
            })
        })
        .collect()
}

/// What a list of pages on the network shows.
fn label(machine: &str) -> String {
    let mut label = format!("hubplumb on {machine}");
    while label.len() > LONGEST_LABEL {
        label.pop();
    }
    label
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn port_path_and_name_are_announced() {
        for (https, kinds) in [
            (false, &["_http._tcp.local."][..]),
            (true, &["_https._tcp.local.", "_http._tcp.local."]),
        ] {
            let listen: SocketAddr = "192.168.4.20:8710".parse().unwrap();
            let services = services(&On::of(listen), 8710, https, "garage").unwrap();
            let found: Vec<&str> = services.iter().map(ServiceInfo::get_type).collect();
            assert_eq!(found, kinds);
            for service in &services {
                assert_eq!(service.get_hostname(), "hubplumb.local.");
                assert_eq!(service.get_port(), 8710);
                assert_eq!(service.get_property_val_str("path"), Some("/"));
                assert!(service.requires_probe(), "no name is taken from anybody");
                assert!(!service.is_addr_auto());
            }
        }
        let everywhere = On::of("0.0.0.0:8710".parse().unwrap());
        assert!(services(&everywhere, 1, false, "garage").unwrap()[0].is_addr_auto());
    }

    #[test]
    fn a_machine_with_a_long_name_still_has_a_label() {
        assert_eq!(label("garage"), "hubplumb on garage");
        assert_eq!(label(&"\u{e4}".repeat(80)).len(), 62);
    }
}
