//! By what a board is reached, as a person writes it.

use std::fmt;
use std::path::PathBuf;
use std::str::FromStr;

use hubplumb_protocol::Packing;
use thiserror::Error;

use super::ble::{BadBleAddress, BleAddress};
use super::net::{BadAddress, ListenAddress, PeerAddress};
use crate::journal::{BadPlayed, Played};

/// By what a board is reached.
///
/// Written as one string: a path (`/dev/ttyUSB0`), or the identity of a serial
/// adapter (`usb-1a86-7523-A17`), or what goes before a colon says what follows it:
/// `tcp:HOST:PORT` is a board that is called, `tcp-listen:ADDR:PORT/REMOTE_IP` one
/// that calls us, `udp:ADDR:PORT/REMOTE_IP` one that sends datagrams, `iio:NAME` a
/// chip that the kernel reads, `ble:NAME` or
/// `ble:ADDRESS` a board on Bluetooth, and `replay:FOLDER#BOARD@SPEED` one in a journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Target {
    /// A path, which may be a link.
    Path(PathBuf),
    /// A stable identity of a serial port, looked up in the tree at every opening.
    Identity(String),
    /// A board on Bluetooth.
    Bluetooth(BleAddress),
    /// A board in a journal.
    Played(Played),
    /// A board that is called over TCP.
    Tcp(PeerAddress),
    /// A board that calls us over TCP.
    TcpListen(ListenAddress),
    /// A board that sends datagrams.
    Udp(ListenAddress),
    /// A device of the kernel's Industrial I/O subsystem, by its name, its label or `iio:deviceN`.
    Iio(String),
}

/// What names no way to a board.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum BadTarget {
    /// Nothing is written.
    #[error("nothing says how the board is reached")]
    Empty,
    /// It names no Bluetooth board.
    #[error(transparent)]
    Ble(#[from] BadBleAddress),
    /// It names no board of a journal.
    #[error(transparent)]
    Played(#[from] BadPlayed),
    /// Nothing is written behind `iio:`.
    #[error("nothing says which device of the kernel the board is")]
    NoDevice,
    /// What stands behind `tcp:`, `tcp-listen:` or `udp:` is no address.
    #[error(transparent)]
    Address(#[from] BadAddress),
}

impl BadTarget {
    /// How to mend it.
    pub fn fix(&self) -> &'static str {
        match self {
            Self::Empty => "write the path of its port, e.g. `port = \"/dev/ttyUSB0\"`",
            Self::NoDevice => {
                "write the device's name after the colon, e.g. `iio:lsm6dso`; `cat /sys/bus/iio/devices/*/name` shows the names"
            }
            Self::Address(error) => error.fix(),
            Self::Ble(_) => {
                "write the board's address or its name after the colon, e.g. `ble:left hub` or `ble:C0:FF:EE:00:12:34`, and where it offers more than one stream `/` and the characteristic's UUID"
            }
            Self::Played(_) => {
                "write the journal's folder, `#`, and the number of the board from 0, e.g. `replay:journals/2026-05-30T140322Z#0`"
            }
        }
    }
}

impl Target {
    /// How its lines cut what they carry.
    pub fn packing(&self) -> Packing {
        match self {
            Self::Path(_)
            | Self::Identity(_)
            | Self::Tcp(_)
            | Self::TcpListen(_)
            | Self::Iio(_) => Packing::Stream,
            Self::Udp(_) => Packing::Messages,
            // What was played may have come from a link of any kind.
            Self::Bluetooth(_) | Self::Played(_) => Packing::Pieces,
        }
    }

    /// Do its lines have a speed that has to be known?
    pub fn has_speed(&self) -> bool {
        matches!(self, Self::Path(_) | Self::Identity(_))
    }
}

impl FromStr for Target {
    type Err = BadTarget;

    fn from_str(written: &str) -> Result<Self, BadTarget> {
        if written.is_empty() {
            return Err(BadTarget::Empty);
        }
        match written.split_once(':') {
            Some(("tcp", rest)) => return Ok(Self::Tcp(rest.parse()?)),
            Some(("tcp-listen", rest)) => return Ok(Self::TcpListen(rest.parse()?)),
            Some(("udp", rest)) => return Ok(Self::Udp(rest.parse()?)),
            Some(("ble", rest)) => return Ok(Self::Bluetooth(rest.parse()?)),
            Some(("replay", rest)) => return Ok(Self::Played(rest.parse()?)),
            // `iio:device0` is the kernel's own name of a device, and as good as any.
            Some(("iio", "")) => return Err(BadTarget::NoDevice),
            Some(("iio", name)) if name.starts_with("device") => {
                return Ok(Self::Iio(written.to_owned()));
            }
            Some(("iio", name)) => return Ok(Self::Iio(name.to_owned())),
            _ => {}
        }
        Ok(if written.contains('/') {
            Self::Path(PathBuf::from(written))
        } else {
            Self::Identity(written.to_owned())
        })
    }
}

impl fmt::Display for Target {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Path(path) => path.display().fmt(f),
            Self::Identity(id) => id.fmt(f),
            Self::Bluetooth(address) => write!(f, "ble:{address}"),
            Self::Played(played) => write!(f, "replay:{played}"),
            Self::Tcp(peer) => write!(f, "tcp:{peer}"),
            Self::TcpListen(at) => write!(f, "tcp-listen:{at}"),
            Self::Udp(at) => write!(f, "udp:{at}"),
            Self::Iio(name) if name.starts_with("iio:device") => name.fmt(f),
            Self::Iio(name) => write!(f, "iio:{name}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::net::{IpAddr, SocketAddr};

    use proptest::prelude::*;

    use super::*;

    /// Every way there is, as it is written.
    fn written() -> impl Strategy<Value = String> {
        let name = "[a-zA-Z0-9][a-zA-Z0-9._-]{0,20}";
        let peer = prop_oneof![
            name.prop_map(String::from),
            any::<std::net::Ipv4Addr>().prop_map(|ip| ip.to_string()),
            any::<std::net::Ipv6Addr>().prop_map(|ip| format!("[{ip}]")),
        ];
        let local =
            (any::<IpAddr>(), 1..=u16::MAX).prop_map(|(ip, port)| SocketAddr::new(ip, port));
        let listen = (
            prop_oneof![
                "tcp-listen:".prop_map(String::from),
                "udp:".prop_map(String::from)
            ],
            local,
            proptest::option::of(any::<std::net::Ipv4Addr>()),
        )
            .prop_map(|(scheme, local, remote)| match remote {
                Some(remote) => format!("{scheme}{local}/{remote}"),
                None => format!("{scheme}{local}"),
            });
        prop_oneof![
            "/dev/[a-zA-Z0-9._:-]{1,30}".prop_map(String::from),
            "(usb|path)-[a-zA-Z0-9.-]{1,30}".prop_map(String::from),
            (peer, 1..=u16::MAX).prop_map(|(host, port)| format!("tcp:{host}:{port}")),
            listen,
            "iio:[a-z][a-z0-9_-]{1,20}".prop_map(String::from),
            any::<u8>().prop_map(|number| format!("iio:device{number}")),
            any::<u8>().prop_map(|number| format!("iio:iio:device{number}")),
        ]
    }

    proptest! {
        #[test]
        fn what_is_written_means_the_same_when_it_is_printed(written in written()) {
            let target: Target = written.parse().unwrap();
            let printed = target.to_string();
            prop_assert_eq!(printed.parse::<Target>(), Ok(target), "{}", printed);
        }

        #[test]
        fn nothing_that_is_written_makes_it_panic(written in "(tcp:|tcp-listen:|udp:|iio:)?\\PC{0,24}") {
            if let Ok(target) = written.parse::<Target>() {
                prop_assert_eq!(target.to_string().parse::<Target>(), Ok(target));
            }
        }
    }

    #[test]
    fn the_word_before_the_colon_says_how_a_board_is_reached() {
        let way = |written: &str| match written.parse() {
            Ok(Target::Path(_)) => "path",
            Ok(Target::Identity(_)) => "identity",
            Ok(Target::Tcp(_)) => "tcp",
            Ok(Target::TcpListen(_)) => "tcp-listen",
            Ok(Target::Bluetooth(_)) => "ble",
            Ok(Target::Played(_)) => "replay",
            Ok(Target::Udp(_)) => "udp",
            Ok(Target::Iio(_)) => "iio",
            Err(BadTarget::Empty) => "empty",
            Err(BadTarget::NoDevice) => "no device",
            Err(BadTarget::Address(_)) => "bad address",
            Err(BadTarget::Ble(_)) => "bad ble",
            Err(BadTarget::Played(_)) => "bad replay",
        };
        for (written, expected) in [
            ("", "empty"),
            ("/dev/ttyUSB0", "path"),
            ("./tcp:board", "path"),
            ("usb-1a86-7523-A17", "identity"),
            // A socket's name holds colons too.
            ("path-usb-1-1.4:1.0", "identity"),
            ("tcp:board.local:3333", "tcp"),
            ("tcp:[fe80::1]:3333", "tcp"),
            ("tcp-listen:0.0.0.0:3333/10.0.0.7", "tcp-listen"),
            ("udp:9000", "udp"),
            ("udp:[::]:9000/10.0.0.7", "udp"),
            ("ble:left hub", "ble"),
            ("ble:C0:FF:EE:00:12:34/FFE1", "ble"),
            ("ble:", "bad ble"),
            ("ble:hub/what", "bad ble"),
            ("replay:journals/a#0@full", "replay"),
            ("replay:journals/a", "bad replay"),
            ("udp:board", "bad address"),
            ("tcp:", "bad address"),
            ("iio:lsm6dso", "iio"),
            ("iio:device0", "iio"),
            ("iio:", "no device"),
        ] {
            assert_eq!(way(written), expected, "{written}");
        }
    }
}
