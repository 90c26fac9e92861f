//! How a board is joined to the host, and what the way between does to what it says.

use std::fmt;
use std::net::{IpAddr, SocketAddr};

use serde::Deserialize;

/// The ways a simulated board can be on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LinkKind {
    /// A pseudo-terminal, standing in for a USB serial adapter.
    #[default]
    Pty,
    /// The board listens, and the host calls it over TCP.
    TcpServer,
    /// The board calls the host over TCP.
    TcpClient,
    /// The board sends each reading to the host as a UDP datagram.
    Udp,
    /// The board notifies over Bluetooth LE; there with the feature `bluetooth`.
    Bluetooth,
}

/// The service by which a board gives its readings over Bluetooth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Gatt {
    /// The serial port over Bluetooth that Nordic Semiconductor published with its kits
    /// and that most sketches imitate.
    #[default]
    NordicUart,
    /// The service of the boards that send frames beginning with 0x55.
    Ahrs,
    /// A service of a sketch's own.
    Custom,
}

impl LinkKind {
    /// Its name, as a scenario writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Pty => "pty",
            Self::TcpServer => "tcp-server",
            Self::TcpClient => "tcp-client",
            Self::Udp => "udp",
            Self::Bluetooth => "bluetooth",
        }
    }
}

impl fmt::Display for LinkKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A board's link. In a scenario it is its kind (`link = "udp"`), or a table
/// (`link = { kind = "udp", loss_percent = 1 }`).
#[derive(Debug, Clone, Copy, PartialEq, Default, Deserialize)]
#[serde(from = "Written")]
pub struct LinkSpec {
    /// What it is.
    pub kind: LinkKind,
    /// Where the board listens, or whom it calls or sends to. Where none is given,
    /// a free port of this machine, the same for all boards that call and the same
    /// for all that send datagrams.
    pub at: Option<SocketAddr>,
    /// Address a calling or sending board has. Where none is given and all is on
    /// this machine, each board has a loopback address of its own.
    pub from: Option<IpAddr>,
    /// Datagrams or notifications that never arrive, percent.
    pub loss_percent: f64,
    /// Datagrams that are overtaken by the next one to three, percent.
    pub reorder_percent: f64,
    /// What is said within so many milliseconds arrives together at their end; over
    /// Bluetooth the time from one connection event to the next, 40 where none is given.
    pub burst_ms: f64,
    /// The service of a board on Bluetooth.
    pub gatt: Gatt,
    /// Most bytes of a notification; 20 where none is given.
    pub payload_bytes: Option<u16>,
}

impl LinkSpec {
    /// A faultless link of a kind, at a place that is found.
    pub fn of(kind: LinkKind) -> Self {
        Self {
            kind,
            ..Self::default()
        }
    }
}

#[derive(Deserialize)]
#[serde(untagged)]
enum Written {
    Kind(LinkKind),
    Table(Table),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    kind: LinkKind,
    at: Option<SocketAddr>,
    from: Option<IpAddr>,
    #[serde(default)]
    loss_percent: f64,
    #[serde(default)]
    reorder_percent: f64,
    #[serde(default)]
    burst_ms: f64,
    #[serde(default)]
    gatt: Gatt,
    payload_bytes: Option<u16>,
}

impl From<Written> for LinkSpec {
    fn from(written: Written) -> Self {
        match written {
            Written::Kind(kind) => Self::of(kind),
            Written::Table(table) => Self {
                kind: table.kind,
                at: table.at,
                from: table.from,
                loss_percent: table.loss_percent,
                reorder_percent: table.reorder_percent,
                burst_ms: table.burst_ms,
                gatt: table.gatt,
                payload_bytes: table.payload_bytes,
            },
        }
    }
}
