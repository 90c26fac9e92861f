//! What may be written on the command line.

use std::net::SocketAddr;
use std::path::PathBuf;

use clap::{Parser, Subcommand};

use super::pairing::PairingArgs;
use super::upkeep_args::{CompletionsArgs, DoctorArgs, LogArgs, ManArgs};
use super::visit_args::{CarsArgs, SheetArgs, VisitsArgs};
use crate::axis::AxisName;
use crate::pairing::Commands;
use crate::recording::chip_name::{self, ChipName};

const EXAMPLES: &str = "\
Examples:
  hubplumb demo                        a simulated car, to try everything without hardware
  hubplumb run                         find the boards; where they are is said on the page
  hubplumb run --config car.toml       measure with the boards the file names
  hubplumb boards                      what is connected, and what is wrong with it
  hubplumb doctor --config car.toml    what is wrong with a set-up, and what to do
  hubplumb watch /dev/ttyUSB0          see what one board says
  hubplumb solve 2026-05-30T140322Z-swing-1    solve a recorded swing again
  hubplumb allan rest.csv              how noisy a board is
  hubplumb calibrate /dev/ttyUSB0      calibrate one board on a table
  hubplumb sheet 3 --out sheet.html    the sheet of a visit, to be printed
  hubplumb pairing code                a code that lets a tablet press buttons

Exit codes:
  0  all well
  1  a finding was judged outside or refused, or something failed while running
  2  the command line, the configuration or a file that was named is wrong";

/// Wheel angles from motion sensors strapped to the hubs.
#[derive(Debug, Parser)]
#[command(name = "hubplumb", version, about, after_help = EXAMPLES)]
pub(super) struct Args {
    #[command(flatten)]
    pub(super) log: LogArgs,
    #[command(subcommand)]
    pub(super) command: Command,
}

#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Read the boards and serve the page
    Run(RunArgs),
    /// Serve the page for a simulated car, with the truth beside the findings
    Demo(DemoArgs),
    /// List the boards that are connected, and what is wrong with them
    Boards(BoardsArgs),
    /// Print what one board says
    Watch(WatchArgs),
    /// Calibrate one board by laying it down in several ways
    Calibrate(Box<CalibrateArgs>),
    /// Judge a configuration without using it
    Check(CheckArgs),
    /// Look at a whole set-up and say what is wrong with it
    Doctor(DoctorArgs),
    /// Solve a recorded session
    Solve(SolveArgs),
    /// Tell the noise of a board from a recording of it at rest
    Allan(AllanArgs),
    /// Play a journal again, and see whether it gives the same findings
    Replay(ReplayArgs),
    /// List, show, import, export and delete cars
    Cars(CarsArgs),
    /// List, show, import, export and delete visits, and back them up
    Visits(VisitsArgs),
    /// Write the sheet of a visit, to be printed
    Sheet(SheetArgs),
    /// Say who may press buttons: a code for a tablet, a token for a script, who has one, and revoking it
    Pairing(PairingArgs),
    /// Print the OpenAPI document of the interface
    Openapi,
    /// Print the completions for a shell
    #[command(hide = true)]
    Completions(CompletionsArgs),
    /// Write the manual pages into a folder
    #[command(hide = true)]
    Man(ManArgs),
    /// Print the JSON Schema of what is published by MQTT (docs/published.schema.json)
    Published,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb run --config car.toml
  hubplumb run --config car.toml --listen 0.0.0.0:8710    reachable from a tablet on the network
  hubplumb run --config car.toml --listen 0.0.0.0:8710 --https    the same, and the page can be installed
  hubplumb run --config car.toml --record swings          every swing is written into a folder of its own
  hubplumb run --config car.toml --store calibrations     calibrations kept in a folder of your own
  hubplumb run --config car.toml --journal journals       every byte and reading, for `hubplumb replay`

Ends within two seconds on Ctrl-C, on SIGTERM, or when its terminal is closed (but under nohup).")]
pub(super) struct RunArgs {
    /// Configuration file; without one every serial port is listened to
    #[arg(long, value_name = "FILE")]
    pub(super) config: Option<PathBuf>,
    /// Address of the page, instead of the configured one
    #[arg(long, value_name = "ADDRESS")]
    pub(super) listen: Option<SocketAddr>,
    #[command(flatten)]
    pub(super) reach: ReachArgs,
    /// Folder into which every swing is recorded, for `hubplumb solve`
    #[arg(long, value_name = "FOLDER")]
    pub(super) record: Option<PathBuf>,
    /// Folder for journals: every byte of every board, its readings, and what was asked for
    #[arg(long, value_name = "FOLDER")]
    pub(super) journal: Option<PathBuf>,
    /// Most that a journal takes on the disk, megabytes; the oldest part goes when it is full
    #[arg(long, value_name = "MEGABYTES", default_value_t = 1000, requires = "journal", value_parser = clap::value_parser!(u64).range(1..=1_000_000))]
    pub(super) journal_limit: u64,
    /// Folder of calibrations, cars and visits, instead of the user's: `$XDG_DATA_HOME/hubplumb`, else `~/.local/share/hubplumb`
    #[arg(long, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
    /// Folder of links to serial ports, each board known by its name there, instead of every port of this machine
    #[arg(long, value_name = "FOLDER")]
    pub(super) ports: Option<PathBuf>,
    /// How many times faster than life the boards run, for simulated ones that do
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = speed)]
    pub(super) speed: f64,
}

/// How other machines get to the page.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct ReachArgs {
    /// Serve the page over HTTPS, with a certificate that is made once and kept
    #[arg(long)]
    pub(super) https: bool,
    /// Do not announce the page on the network
    #[arg(long)]
    pub(super) no_announce: bool,
    /// Who may press buttons: devices that were paired by a code, or whoever gets to the page
    #[arg(long, value_name = "WHO")]
    pub(super) commands: Option<Commands>,
    /// Further name that the page is opened by, e.g. one that the router of the network gives
    #[arg(long = "name", value_name = "NAME", value_parser = host_name)]
    pub(super) names: Vec<String>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb demo
  hubplumb demo --once --speed 4        one swing, then a table of findings against the truth

With --once the exit code is 0 when every finding agrees with the truth within its
expanded uncertainty, 1 when one does not.")]
pub(super) struct DemoArgs {
    /// Which scenario; `--scenario list` names them
    #[arg(long, value_name = "NAME", default_value = super::demo::DEFAULT_SCENARIO)]
    pub(super) scenario: String,
    /// Address of the page
    #[arg(long, value_name = "ADDRESS", default_value_t = crate::config::DEFAULT_LISTEN)]
    pub(super) listen: SocketAddr,
    #[command(flatten)]
    pub(super) reach: ReachArgs,
    /// Seed of the simulated errors, instead of the scenario's
    #[arg(long, value_name = "NUMBER")]
    pub(super) seed: Option<u64>,
    /// How many times faster than life the car moves
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = speed)]
    pub(super) speed: f64,
    /// Folder of the boards' calibrations; without it they are forgotten when the demonstration ends
    #[arg(long, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
    /// End after the first swing with a table of findings against the truth
    #[arg(long)]
    pub(super) once: bool,
    /// Folder into which every swing is recorded, for `hubplumb solve`
    #[arg(long, value_name = "FOLDER")]
    pub(super) record: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb solve left.csv.gz --side left                      one board, windows found from the movements
  hubplumb solve left.csv --side left --chip cheap --outboard +z
  hubplumb solve swings/2026-05-30T140322Z-swing-1            a swing recorded by `run --record`
  hubplumb solve recordings --session car.json --json         several boards, for a program
  hubplumb solve --schema session                             the JSON Schema of a session file

A recording is a table with the columns t_us, ax, ay, az (g) and, if there are, gx, gy, gz (°/s) and
temp (°C); docs/SOLVE.md tells all.

Exit codes:
  0  solved
  1  refused, or a wheel was refused
  2  the command line or a file is wrong")]
pub(super) struct SolveArgs {
    /// A recording (.csv, .csv.gz), a folder with a session.json, or a session file
    #[arg(value_name = "RECORDING", required_unless_present = "schema")]
    pub(super) recording: Option<PathBuf>,
    /// Session file: boards, floor, toe, windows
    #[arg(long, value_name = "FILE.json")]
    pub(super) session: Option<PathBuf>,
    /// Without a session file: which hub the board sat on, left or right
    #[arg(long, value_name = "SIDE", conflicts_with = "session", value_parser = side)]
    pub(super) side: Option<hubplumb_core::side::Side>,
    /// Without a session file: class (good, cheap, raw, inclinometer, angles, ideal) or name of the chip, e.g. lsm6dso
    #[arg(long, value_name = "CHIP", conflicts_with = "session", value_parser = chip)]
    pub(super) chip: Option<ChipName>,
    /// Without a session file: which printed axis points away from the car, e.g. +z
    #[arg(long, value_name = "AXIS", conflicts_with = "session", value_parser = axis, allow_hyphen_values = true)]
    pub(super) outboard: Option<AxisName>,
    /// Print everything as JSON (docs/solution.schema.json)
    #[arg(long)]
    pub(super) json: bool,
    /// Print a JSON Schema instead: session or solution
    #[arg(long, value_name = "NAME", conflicts_with_all = ["recording", "json"])]
    pub(super) schema: Option<SchemaName>,
}

/// A schema that can be printed.
#[derive(Debug, Clone, Copy, clap::ValueEnum)]
pub(super) enum SchemaName {
    /// Of a session file.
    Session,
    /// Of what `--json` prints.
    Solution,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb replay journals/2026-05-30T140322Z
  hubplumb replay journals/2026-05-30T140322Z --tables tables

Everything is played as it happened, as fast as it goes; no board and no page is needed.
docs/JOURNAL.md tells all.

Exit codes:
  0  every swing in it gives the same findings, to the last bit
  1  one does not, or it cannot be told
  2  the command line or the journal is wrong")]
pub(super) struct ReplayArgs {
    /// Folder of the journal
    #[arg(value_name = "JOURNAL")]
    pub(super) journal: PathBuf,
    /// Folder into which a table of its readings is written for each board
    #[arg(long, value_name = "FOLDER")]
    pub(super) tables: Option<PathBuf>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb allan rest.csv.gz
  hubplumb allan rest.csv --json

Leave the board alone on something heavy, warmed up, for half an hour or longer, and record it.
The lines to put into the configuration are printed at the end.")]
pub(super) struct AllanArgs {
    /// A recording of one board at rest (.csv, .csv.gz)
    #[arg(value_name = "RECORDING")]
    pub(super) recording: PathBuf,
    /// Print everything as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb boards
  hubplumb boards --config car.toml    with the boards of a configuration, also those that are missing
  hubplumb boards --bluetooth          with the boards on Bluetooth that are in reach
  hubplumb boards --listen             hear what each free board says; opening restarts some boards

Nothing is opened without --listen; of what Bluetooth sees only boards of the configuration are
listened to then, because the others may be anybody's; and nothing is ever sent to a board. A format or a speed that was
found by listening is a guess.

Exit codes:
  0  nothing is wrong with any board
  1  something is; what to do stands beside it
  2  the command line or the configuration is wrong")]
pub(super) struct BoardsArgs {
    /// Configuration whose boards are looked for as well
    #[arg(long, value_name = "FILE")]
    pub(super) config: Option<PathBuf>,
    /// Look on Bluetooth for some seconds too; done unasked where the configuration has a board on it
    #[arg(long)]
    pub(super) bluetooth: bool,
    /// Open each free port and listen for some seconds
    #[arg(long)]
    pub(super) listen: bool,
    /// Folder of the boards' calibrations and of what is remembered of them, instead of the user's
    #[arg(long, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
    /// Print everything as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb watch /dev/ttyUSB0
  hubplumb watch /dev/ttyACM0 --baud 115200 --format csv --count 10
  hubplumb watch /dev/ttyUSB0 --config car.toml      speed, format and what is told of it are in the file

Readings go to stdout, one a line; everything else goes to stderr.")]
pub(super) struct WatchArgs {
    /// Port or identity of the board, or tcp:…, tcp-listen:…, udp:…, iio:… (docs/LINKS.md)
    #[arg(value_name = "PORT")]
    pub(super) port: crate::link::Target,
    /// Speed of the line; found by listening without it
    #[arg(long, value_name = "BAUD", value_parser = clap::value_parser!(u32).range(300..=4_000_000))]
    pub(super) baud: Option<u32>,
    /// Wire format: csv, labelled, json-lines, ahrs55 …; found by listening without it
    #[arg(long, value_name = "FORMAT", value_parser = format)]
    pub(super) format: Option<hubplumb_protocol::WireFormat>,
    /// Configuration that describes the board; speed and format are taken from there
    #[arg(long, value_name = "FILE", conflicts_with_all = ["baud", "format"])]
    pub(super) config: Option<PathBuf>,
    /// End after so many readings
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub(super) count: Option<u64>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb calibrate /dev/ttyUSB0
  hubplumb calibrate /dev/ttyACM0 --poses 6     the six faces only

Let the board warm up first, and use a steady table. What to do next goes to stderr,
the result to stdout; it is kept where `hubplumb run` looks for it.")]
pub(super) struct CalibrateArgs {
    /// Port or identity of the board, or tcp:…, tcp-listen:…, udp:…, iio:… (docs/LINKS.md)
    #[arg(value_name = "PORT")]
    pub(super) port: crate::link::Target,
    /// Speed of the line; found by listening without it
    #[arg(long, value_name = "BAUD", value_parser = clap::value_parser!(u32).range(300..=4_000_000))]
    pub(super) baud: Option<u32>,
    /// Wire format: csv, labelled, json-lines, ahrs55 …; found by listening without it
    #[arg(long, value_name = "FORMAT", value_parser = format)]
    pub(super) format: Option<hubplumb_protocol::WireFormat>,
    /// Configuration that describes the board; speed and format are taken from there
    #[arg(long, value_name = "FILE", conflicts_with_all = ["baud", "format"])]
    pub(super) config: Option<PathBuf>,
    /// The chip as in the configuration: its class (good, cheap, raw, inclinometer) or its name, e.g. lsm6dso
    #[arg(long, value_name = "CHIP", default_value = "raw", value_parser = figures)]
    pub(super) chip: hubplumb_core::chip::ChipFigures,
    /// Solve after so many poses, if they are enough by then
    #[arg(long, value_name = "NUMBER", default_value_t = 12, value_parser = clap::value_parser!(u64).range(6..=50))]
    pub(super) poses: u64,
    /// Folder of the boards' calibrations, instead of the user's: `$XDG_DATA_HOME/hubplumb`, else `~/.local/share/hubplumb`
    #[arg(long, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
    /// How many times faster than life the board runs, for a simulated one that does
    #[arg(long, value_name = "FACTOR", default_value_t = 1.0, value_parser = speed)]
    pub(super) speed: f64,
}

#[derive(Debug, clap::Args)]
pub(super) struct CheckArgs {
    /// Configuration file
    #[arg(value_name = "CONFIG")]
    pub(super) config: PathBuf,
}

fn host_name(written: &str) -> Result<String, String> {
    crate::config::host_name(written).map(|()| written.to_owned())
}

fn speed(written: &str) -> Result<f64, String> {
    match written.parse::<f64>() {
        Ok(speed) if (0.1..=20.0).contains(&speed) => Ok(speed),
        _ => Err("a number from 0.1 to 20 is wanted".to_owned()),
    }
}

fn side(written: &str) -> Result<hubplumb_core::side::Side, String> {
    match written {
        "left" => Ok(hubplumb_core::side::Side::Left),
        "right" => Ok(hubplumb_core::side::Side::Right),
        _ => Err("write left or right".to_owned()),
    }
}

fn chip(written: &str) -> Result<ChipName, String> {
    ChipName::named(written).ok_or_else(|| {
        format!(
            "there is no such chip; write one of {}",
            chip_name::listed()
        )
    })
}

fn axis(written: &str) -> Result<AxisName, String> {
    AxisName::named(written).ok_or_else(|| "write one of +x, -x, +y, -y, +z, -z".to_owned())
}

fn figures(written: &str) -> Result<hubplumb_core::chip::ChipFigures, String> {
    // What a calibration leaves is for the calibration to tell.
    chip(written).map(|chip| chip.figures(false))
}

fn format(written: &str) -> Result<hubplumb_protocol::WireFormat, String> {
    use hubplumb_protocol::{UnknownFormat, WireFormat};
    WireFormat::from_name(written, None).map_err(|error| match error {
        UnknownFormat::NeedsOption { option, .. } => format!(
            "{error}; describe the board in a configuration with a table [board.{option}] and name the file with --config"
        ),
        error => format!("{error}; write one of {}", WireFormat::NAMES.join(", ")),
    })
}

#[cfg(test)]
mod tests;
