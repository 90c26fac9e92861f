//! `hubplumb allan`

use std::process::ExitCode;

use super::CliError;
use super::args::AllanArgs;
use super::solve::{json, print};
use crate::present;
use crate::recording::InputError;
use crate::recording::csv_read;
use crate::recording::spectrum;

pub(super) fn allan(args: &AllanArgs) -> Result<ExitCode, CliError> {
    let recording = csv_read::read_file(&args.recording)
        .map_err(|error| CliError::Input(present::input_trouble(&InputError::Csv(error))))?;
    let spectrum = spectrum::of(&recording)
        .map_err(|error| CliError::Refused(present::spectrum_trouble(&args.recording, &error)))?;
    if args.json {
        print(&json(&spectrum)?)?;
    } else {
        print(&present::spectrum_table(&spectrum))?;
    }
    Ok(ExitCode::SUCCESS)
}
