//! Addresses of boards on a network, as a person writes them.

use std::fmt;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::str::FromStr;

use thiserror::Error;

/// A board that is called: `HOST:PORT`, where the host is a name or an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PeerAddress {
    host: String,
    port: u16,
}

impl PeerAddress {
    /// Name or address; an IPv6 address without its brackets.
    pub fn host(&self) -> &str {
        &self.host
    }

    /// Port, never 0.
    pub fn port(&self) -> u16 {
        self.port
    }
}

/// Where boards are waited for: `ADDR:PORT`, `ADDR:PORT/REMOTE_IP`, or the port
/// alone, which is then open to this machine only.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ListenAddress {
    /// Address and port of this machine.
    pub local: SocketAddr,
    /// The only address that is listened to. Where none is given, whoever comes first.
    pub remote: Option<IpAddr>,
}

/// What is no address of a board on a network.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadAddress {
    /// No port is given.
    #[error("`{written}` has no port")]
    NoPort {
        /// What is written.
        written: String,
    },
    /// The port is no number from 1 to 65535.
    #[error("`{written}` is no port")]
    Port {
        /// What stands where the port should.
        written: String,
    },
    /// The host is neither a name nor an address.
    #[error("`{written}` is neither the name of a machine nor an address")]
    Host {
        /// What stands where the host should.
        written: String,
    },
    /// A place to listen at has to be an address.
    #[error("`{written}` is no address of this machine")]
    Local {
        /// What stands where the address should.
        written: String,
    },
    /// What stands behind the slash is no address.
    #[error("`{written}` is no address of a board")]
    Remote {
        /// What stands there.
        written: String,
    },
    /// IPv6 senders never reach an IPv4 address.
    #[error("nothing from {remote} can arrive at {local}")]
    Families {
        /// Where is listened.
        local: SocketAddr,
        /// Whom it is listened to.
        remote: IpAddr,
    },
}

impl BadAddress {
    /// How to mend it.
    pub fn fix(&self) -> &'static str {
        match self {
            Self::NoPort { .. } => {
                "add the port after a colon, e.g. `tcp:board.local:3333` or `udp:127.0.0.1:9000`"
            }
            Self::Port { .. } => "write a port from 1 to 65535, the same as in the board's sketch",
            Self::Host { .. } => {
                "write the board's name or address, e.g. `tcp:192.168.4.1:3333`; an IPv6 address stands in brackets"
            }
            Self::Local { .. } => {
                "write 127.0.0.1 for this machine only, 0.0.0.0 for every network it is in, or one of its own addresses; a name is not possible"
            }
            Self::Remote { .. } => {
                "write the board's own address after the slash, e.g. `udp:0.0.0.0:9000/192.168.4.20`; a name is not possible"
            }
            Self::Families { .. } => {
                "listen at `[::]`, which takes both kinds of addresses, or name the board by its IPv4 address"
            }
        }
    }
}

/// A port, which is never 0.
fn port(written: &str) -> Result<u16, BadAddress> {
    let bad = || BadAddress::Port {
        written: written.to_owned(),
    };
    // `parse` alone would take a sign.
    if !written.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(bad());
    }
    match written.parse() {
        Ok(0) | Err(_) => Err(bad()),
        Ok(port) => Ok(port),
    }
}

fn split_port(written: &str) -> Result<(&str, u16), BadAddress> {
    let no_port = || BadAddress::NoPort {
        written: written.to_owned(),
    };
    // The colons of `[::1]` and of a bare `::1` belong to the address.
    let (host, number) = written.rsplit_once(':').ok_or_else(no_port)?;
    if number.ends_with(']') || number.is_empty() {
        return Err(no_port());
    }
    Ok((host, port(number)?))
}

fn is_host(host: &str) -> bool {
    let letters = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
    !host.is_empty() && host.len() <= 253 && host.chars().all(letters)
}

impl FromStr for PeerAddress {
    type Err = BadAddress;

    fn from_str(written: &str) -> Result<Self, BadAddress> {
        let (host, port) = split_port(written)?;
        let bad = || BadAddress::Host {
            written: host.to_owned(),
        };
        let host = match host.strip_prefix('[') {
            Some(rest) => {
                let inner = rest.strip_suffix(']').ok_or_else(bad)?;
                let address: Ipv6Addr = inner.parse().map_err(|_| bad())?;
                address.to_string()
            }
            None if is_host(host) => host.to_owned(),
            None => return Err(bad()),
        };
        Ok(Self { host, port })
    }
}

impl fmt::Display for PeerAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { host, port } = self;
        if host.contains(':') {
            write!(f, "[{host}]:{port}")
        } else {
            write!(f, "{host}:{port}")
        }
    }
}

impl FromStr for ListenAddress {
    type Err = BadAddress;

    fn from_str(written: &str) -> Result<Self, BadAddress> {
        let (local, remote) = match written.split_once('/') {
            Some((local, remote)) => (local, Some(remote)),
            None => (written, None),
        };
        let local = if local.contains(':') {
            let (address, port) = split_port(local)?;
            let bare = address
                .strip_prefix('[')
                .and_then(|rest| rest.strip_suffix(']'));
            let ip = match bare {
                Some(inner) => inner.parse().map(IpAddr::V6),
                None => address.parse().map(IpAddr::V4),
            };
            let ip = ip.map_err(|_| BadAddress::Local {
                written: address.to_owned(),
            })?;
            SocketAddr::new(ip, port)
        } else if local.bytes().all(|byte| byte.is_ascii_digit()) {
            SocketAddr::new(Ipv4Addr::LOCALHOST.into(), port(local)?)
        } else {
            return Err(BadAddress::NoPort {
                written: local.to_owned(),
            });
        };
        let remote = remote
            .map(|written| {
                let address: IpAddr = written.parse().map_err(|_| BadAddress::Remote {
                    written: written.to_owned(),
                })?;
                Ok(address.to_canonical())
            })
            .transpose()?;
        match remote {
            Some(remote) if remote.is_ipv6() && local.is_ipv4() => {
                Err(BadAddress::Families { local, remote })
            }
            _ => Ok(Self { local, remote }),
        }
    }
}

impl fmt::Display for ListenAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.local)?;
        match self.remote {
            Some(remote) => write!(f, "/{remote}"),
            None => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_port_alone_is_open_to_this_machine_only() {
        let address: ListenAddress = "9000/10.0.0.7".parse().unwrap();
        assert_eq!(address.to_string(), "127.0.0.1:9000/10.0.0.7");
    }

    #[test]
    fn a_mapped_sender_is_the_ipv4_sender_it_stands_for() {
        let address: ListenAddress = "[::]:9000/::ffff:10.0.0.7".parse().unwrap();
        assert_eq!(address.to_string(), "[::]:9000/10.0.0.7");
    }

    #[test]
    fn what_is_no_address_says_which_part_of_it_is_not() {
        let peer = |written: &str| written.parse::<PeerAddress>().map(|_| ()).unwrap_err();
        let listen = |written: &str| written.parse::<ListenAddress>().map(|_| ()).unwrap_err();
        for (error, what) in [
            (peer("board.local"), "`board.local` has no port"),
            (peer("[::1]"), "`[::1]` has no port"),
            (peer("board:"), "`board:` has no port"),
            (peer("board:0"), "`0` is no port"),
            (peer("board:+80"), "`+80` is no port"),
            (peer("board:65536"), "`65536` is no port"),
            (peer(":80"), "`` is neither"),
            (peer("::1:80"), "`::1` is neither"),
            (peer("[board]:80"), "`[board]` is neither"),
            (peer("a board:80"), "`a board` is neither"),
            (listen("any"), "`any` has no port"),
            (listen(""), "`` is no port"),
            (listen("localhost:80"), "`localhost` is no address of this"),
            (listen("*:80"), "`*` is no address of this"),
            (listen("127.0.0.1:80/board"), "`board` is no address of a"),
            (listen("127.0.0.1:80/"), "`` is no address of a"),
            (listen("127.0.0.1:80/::1"), "nothing from ::1 can arrive"),
        ] {
            assert!(error.to_string().contains(what), "{what}: {error}");
            assert!(error.fix().len() > 20, "{what}: {}", error.fix());
        }
    }
}
