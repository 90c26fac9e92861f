//! `hubplumb check`

use std::io::{self, Write};
use std::process::ExitCode;

use super::CliError;
use super::args::CheckArgs;
use crate::config::{self, BoardConfig};

pub(super) fn check(args: &CheckArgs) -> Result<ExitCode, CliError> {
    let config = config::load(&args.config)?;
    let mut out = io::stdout().lock();
    writeln!(
        out,
        "{} is sound: {} boards, page on {}://{}/",
        args.config.display(),
        config.boards.len(),
        if config.http.https { "https" } else { "http" },
        config.http.listen
    )
    .map_err(CliError::Output)?;
    if let Some(mqtt) = &config.publish.mqtt {
        let way = if mqtt.ca_file.is_some() {
            "over TLS"
        } else {
            "in the clear"
        };
        writeln!(
            out,
            "  publishes {} at {} {way}, under `{}`",
            match (mqtt.findings, mqtt.live) {
                (true, true) => "findings and live angles",
                (true, false) => "findings",
                (false, true) => "live angles",
                (false, false) => "nothing but whether it is there",
            },
            mqtt.broker(),
            mqtt.prefix
        )
        .map_err(CliError::Output)?;
    }
    for board in &config.boards {
        writeln!(out, "  {}", describe(board)).map_err(CliError::Output)?;
    }
    Ok(ExitCode::SUCCESS)
}

fn describe(board: &BoardConfig) -> String {
    let told = |told: Option<String>| told.unwrap_or_else(|| "found by listening".to_owned());
    format!(
        "{} ({}): {}, baud {}, format {}, {}calibrated, mounting {}",
        board.name,
        board.id,
        board.mount.map_or_else(
            || "not placed".to_owned(),
            |mount| mount.words().to_string()
        ),
        told(board.baud.map(|baud| baud.to_string())),
        told(board.format.as_ref().map(|format| format.name().to_owned())),
        if board.calibration.is_done() {
            ""
        } else {
            "not "
        },
        if board.mounting.is_some() {
            "known"
        } else {
            "not said"
        },
    )
}
