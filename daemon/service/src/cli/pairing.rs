//! `hubplumb pairing`

use std::fmt::Write as _;
use std::process::ExitCode;

use clap::Subcommand;
use serde::Serialize;
use time::OffsetDateTime;
use time::format_description::well_known::Rfc3339;

use super::CliError;
use super::solve::{json, print};
use super::visit_args::Place;
use crate::calibration_store::CalibrationStore;
use crate::pairing::{CODE_MINUTES, Commands, Device, PairingDesk, PairingFault};
use crate::present::trouble;

#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  hubplumb pairing code                 a new code, to be typed on a tablet that wants to press buttons
  hubplumb pairing token night-script   a token for a program: send it as `Authorization: Bearer …`
  hubplumb pairing list
  hubplumb pairing revoke 2

Used while a daemon runs on the same store; what is revoked is refused at once. docs/SECURITY.md tells all.

Exit codes:
  0  done
  1  the file of paired devices cannot be used
  2  the command line is wrong, or there is no such device")]
pub(super) struct PairingArgs {
    #[command(subcommand)]
    what: PairingCommand,
    #[command(flatten)]
    place: Place,
}

#[derive(Debug, Subcommand)]
enum PairingCommand {
    /// Make a code: good once, for ten minutes, in place of the one before
    Code,
    /// Pair a program on this machine or elsewhere, and print its token once
    Token {
        /// What it is called in the list
        #[arg(value_name = "NAME")]
        name: String,
    },
    /// List the devices that may press buttons
    List {
        /// Print as JSON
        #[arg(long)]
        json: bool,
    },
    /// Take the right to press buttons away
    Revoke {
        /// Number of the device
        #[arg(value_name = "DEVICE")]
        id: u32,
    },
}

/// A device as it is listed.
#[derive(Debug, Serialize)]
struct Listed {
    id: u32,
    name: String,
    from: Option<String>,
    paired_at: String,
    seen_on: String,
}

pub(super) fn pairing(args: &PairingArgs) -> Result<ExitCode, CliError> {
    let store = args
        .place
        .store
        .as_ref()
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let folder = store.folder().ok_or(PairingFault::NoFolder)?;
    let desk = PairingDesk::at(Commands::Paired, Some(folder.to_owned()));
    match &args.what {
        PairingCommand::Code => print(&format!(
            "{}\nType it on the tablet when it asks for a code. It is good once and for {CODE_MINUTES} minutes.\n",
            desk.offer()?.parted()
        ))?,
        PairingCommand::Token { name } => print(&format!("{}\n", desk.let_in(name)?.token.told()))?,
        PairingCommand::List { json: as_json } => {
            let devices: Vec<Listed> = desk.devices()?.into_iter().map(Listed::of).collect();
            print(&if *as_json {
                json(&devices)?
            } else {
                listed(&devices)
            })?;
        }
        PairingCommand::Revoke { id } => {
            if !desk.revoke(*id)? {
                return Err(CliError::Input(trouble(
                    "no_such_device",
                    format!("no paired device has the number {id}"),
                    "nothing was changed",
                    "`hubplumb pairing list` tells the numbers",
                )));
            }
            print(&format!(
                "device {id} may look and no longer press buttons\n"
            ))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

impl Listed {
    fn of(device: Device) -> Self {
        let paired_at = OffsetDateTime::from_unix_timestamp(device.paired_at).ok();
        let seen_on = OffsetDateTime::from_unix_timestamp(device.seen_day * 86_400).ok();
        Self {
            id: device.id,
            name: device.name,
            from: device.from,
            paired_at: paired_at
                .and_then(|at| at.format(&Rfc3339).ok())
                .unwrap_or_default(),
            seen_on: seen_on.map(|at| at.date().to_string()).unwrap_or_default(),
        }
    }
}

fn listed(devices: &[Listed]) -> String {
    if devices.is_empty() {
        return "No device is paired. `hubplumb pairing code` makes a code for one.\n".to_owned();
    }
    let mut text = String::new();
    for device in devices {
        // A string takes every text.
        let _ = writeln!(
            text,
            "{:>4}  {:<20}  {:<16}  paired {}  seen {}",
            device.id,
            device.name,
            device.from.as_deref().unwrap_or("this machine"),
            device.paired_at,
            device.seen_on,
        );
    }
    text
}
