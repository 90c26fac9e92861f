//! The configuration: which boards there are, how they talk and sit, and what
//! is known of floor and car. Every error names file, line, key and the fix.

mod bluetooth;
#[cfg(test)]
mod bluetooth_tests;
mod board;
mod error;
mod format;
#[cfg(test)]
mod format_tests;
mod judge;
mod load;
mod locate;
mod publish;
mod raw;
#[cfg(test)]
mod tests;

use std::net::SocketAddr;

use hubplumb_core::angle::Angle;
use hubplumb_core::calibration::Calibration;
use hubplumb_core::chip::ChipFigures;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::floor::FloorSlope;
use hubplumb_core::mounting::{BoardAxis, Mounting};
use hubplumb_protocol::WireFormat;

pub(crate) use board::{HEADING_BY_EYE, TILT_BY_EYE};
pub use error::{ConfigError, Fault};
pub(crate) use judge::host_name;
pub use load::{Texts, load, load_calibration, load_with_texts, parse, parse_texts};
pub use publish::MqttConfig;

use crate::link::Target;
use crate::mount::Mount;
use crate::pairing::Commands;

/// Address that is listened on unless something else is said: this machine only.
pub const DEFAULT_LISTEN: SocketAddr =
    SocketAddr::new(std::net::IpAddr::V4(std::net::Ipv4Addr::LOCALHOST), 8710);

/// The most boards one daemon reads.
pub const MOST_BOARDS: usize = 16;

/// A configuration that has been judged sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// How the page is served.
    pub http: HttpConfig,
    /// What is logged, and how.
    pub log: LogConfig,
    /// Slope of the floor.
    pub floor: FloorSlope,
    /// What the steering swing goes by.
    pub swing: SwingConfig,
    /// Where findings and live angles are published.
    pub publish: PublishConfig,
    /// Boards, in the order of the file.
    pub boards: Vec<BoardConfig>,
}

/// How the page is served.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HttpConfig {
    /// Address it is listened on.
    pub listen: SocketAddr,
    /// Over HTTPS, with a certificate of the daemon's own?
    pub https: bool,
    /// Is it announced on the network, where others can open it?
    pub announce: bool,
    /// Who may command.
    pub commands: Commands,
    /// Further names that the page is opened by.
    pub names: Vec<String>,
}

impl Default for HttpConfig {
    fn default() -> Self {
        Self {
            listen: DEFAULT_LISTEN,
            https: false,
            announce: true,
            commands: Commands::default(),
            names: Vec::new(),
        }
    }
}

/// What is logged, and how.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LogConfig {
    /// What is logged, where that is said, e.g. `warn,hubplumb=debug`.
    pub filter: Option<String>,
    /// How, where that is said.
    pub format: Option<LogFormat>,
}

/// How a line of the log is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, clap::ValueEnum)]
pub enum LogFormat {
    /// For a person.
    #[default]
    Text,
    /// One JSON object a line, for a program.
    Json,
}

/// Where findings and live angles are published; nowhere unless it is said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PublishConfig {
    /// At a broker, by MQTT.
    pub mqtt: Option<MqttConfig>,
}

/// What the steering swing goes by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingConfig {
    /// How long a rest has to be held, µs.
    pub hold_us: i64,
    /// Toe of the front left wheel at straight ahead.
    pub toe_left: Estimate,
    /// Toe of the front right wheel at straight ahead.
    pub toe_right: Estimate,
    /// How well a turn plate is read, one sigma.
    pub plate_standard: Angle,
    /// How far the body may roll between the stops, one sigma.
    pub body_roll: Angle,
    /// How far the body may pitch between the stops, one sigma.
    pub body_pitch: Angle,
}

/// One board.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardConfig {
    /// Stable identity: what the file calls it by.
    pub id: String,
    /// Name for a person.
    pub name: String,
    /// How its port is found.
    pub target: Target,
    /// Where it is strapped, if that is said.
    pub mount: Option<Mount>,
    /// Speed, if that is said.
    pub baud: Option<u32>,
    /// Wire format, if that is said.
    pub format: Option<WireFormat>,
    /// What its chip can be trusted for.
    pub chip: ChipFigures,
    /// Its calibration.
    pub calibration: Calibration,
    /// How it sits on its hub, if that is said.
    pub mounting: Option<Mounting>,
    /// Axis that points roughly away from the car, where no more is said of how it sits.
    pub away: Option<BoardAxis>,
}

impl BoardConfig {
    /// What can be said of a board that no configuration names.
    pub fn unknown(id: String, name: String, target: Target) -> Self {
        Self {
            id,
            name,
            target,
            mount: None,
            baud: None,
            format: None,
            chip: ChipFigures::RAW,
            calibration: Calibration::none(),
            mounting: None,
            away: None,
        }
    }
}

impl Default for Config {
    /// What holds when the file says nothing.
    fn default() -> Self {
        Self {
            http: HttpConfig::default(),
            log: LogConfig::default(),
            floor: FloorSlope::presumed_level(judge::FLOOR_STANDARD),
            swing: SwingConfig::default(),
            publish: PublishConfig::default(),
            boards: Vec::new(),
        }
    }
}

impl Default for SwingConfig {
    fn default() -> Self {
        let toe = Estimate::new(Angle::ZERO, judge::TOE_STANDARD);
        Self {
            hold_us: judge::HOLD_US,
            toe_left: toe,
            toe_right: toe,
            plate_standard: judge::PLATE_STANDARD,
            body_roll: judge::BODY_ROLL,
            body_pitch: judge::BODY_PITCH,
        }
    }
}
