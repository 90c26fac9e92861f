//! What may be written on the command line by whoever looks after the machine.

use std::net::SocketAddr;
use std::path::PathBuf;

use super::args::ReachArgs;
use crate::config::LogFormat;

/// What is logged to stderr, and how.
#[derive(Debug, Clone, clap::Args)]
pub(super) struct LogArgs {
    /// What is logged to stderr, e.g. `debug` or `hubplumb=debug`; without it `RUST_LOG` is used, then the configuration
    // Every command has these beside its own arguments, so their names must be nobody else's.
    #[arg(id = "log_filter", long = "log", global = true, value_name = "FILTER")]
    pub(super) filter: Option<String>,
    /// How the log is written, instead of the configured way
    #[arg(
        id = "log_format",
        long = "log-format",
        global = true,
        value_name = "FORMAT"
    )]
    pub(super) format: Option<LogFormat>,
}

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb doctor
  hubplumb doctor --config car.toml --listen 0.0.0.0:8710    as the daemon would be started
  hubplumb doctor --config car.toml --closed                 without opening a port
  hubplumb doctor --json                                     for a program

Looks at the configuration, ports and what the boards say, Bluetooth, the folder of calibrations
and visits, disk and clock, the page's address, certificate and announcement, and at a daemon that
runs already. Nothing is changed and nothing is sent to a board that need not be asked; opening
a port restarts some boards.

Exit codes:
  0  nothing is wrong
  1  something is; what to do stands beside it
  2  the command line is wrong")]
pub(super) struct DoctorArgs {
    /// Configuration that the daemon is started with
    #[arg(long, value_name = "FILE")]
    pub(super) config: Option<PathBuf>,
    /// Address of the page, instead of the configured one
    #[arg(long, value_name = "ADDRESS")]
    pub(super) listen: Option<SocketAddr>,
    #[command(flatten)]
    pub(super) reach: ReachArgs,
    /// Folder of calibrations, cars and visits, instead of the user's
    #[arg(long, value_name = "FOLDER")]
    pub(super) store: Option<PathBuf>,
    /// Folder of links to serial ports, instead of every port of this machine
    #[arg(long, value_name = "FOLDER")]
    pub(super) ports: Option<PathBuf>,
    /// Open no port and listen to no board
    #[arg(long)]
    pub(super) closed: bool,
    /// Print everything as JSON
    #[arg(long)]
    pub(super) json: bool,
}

#[derive(Debug, clap::Args)]
pub(super) struct CompletionsArgs {
    /// Which shell
    #[arg(value_name = "SHELL")]
    pub(super) shell: clap_complete::Shell,
}

#[derive(Debug, clap::Args)]
pub(super) struct ManArgs {
    /// Where the pages go; it must be there
    #[arg(value_name = "FOLDER")]
    pub(super) folder: PathBuf,
}
