//! `hubplumb boards`: what is connected, what is known of it, and what is wrong with it.
//!
//! Nothing is opened and nothing is written, unless listening was asked for.

mod found;
mod known;
mod listened;
mod search;
#[cfg(test)]
mod tests;
mod words;

use std::io::{self, Write as _};
use std::process::ExitCode;

use super::args::BoardsArgs;
use super::{CliError, EXIT_FAILED, stop};
use crate::calibration_store::CalibrationStore;
use crate::config::{self, BoardConfig};
use crate::link::ble::{self, RadioTrouble, Seen};
use crate::link::{Target, Ways, grabbers};
use crate::speech_store::SpeechStore;
pub(super) use found::{Found, FoundBoard};
use found::{FoundView, Looked};
use known::{Bluetooth, Iio, SCAN};
pub(super) use listened::{hear, patience};
use search::{Configured, Search, Serial};
use tokio_util::sync::CancellationToken;

pub(super) async fn boards(args: BoardsArgs) -> Result<ExitCode, CliError> {
    let configured = match &args.config {
        Some(file) => config::load(file)?.boards,
        None => Vec::new(),
    };
    let store = args
        .store
        .map_or_else(CalibrationStore::usual, CalibrationStore::at);
    let ways = Ways::system();
    let on_bluetooth = |board: &BoardConfig| matches!(board.target, Target::Bluetooth(_));
    let scanned = if args.bluetooth || configured.iter().any(on_bluetooth) {
        tracing::info!("looking on Bluetooth for {} s", SCAN.as_secs());
        Some(ble::scan(SCAN).await)
    } else {
        None
    };
    let mut found = look(&ways, scanned, &configured).await;
    found.recall(&SpeechStore::beside(&store));
    if args.listen {
        let stop = CancellationToken::new();
        stop::on_signals(&stop)?;
        listened::listen(&mut found, &ways, &stop).await;
    }
    let view = FoundView::new(&found, &grabbers());
    let mut out = io::stdout().lock();
    if args.json {
        let mut text = serde_json::to_string_pretty(&view).map_err(CliError::Document)?;
        text.push('\n');
        out.write_all(text.as_bytes()).map_err(CliError::Output)?;
    } else {
        out.write_all(words::report(&view).as_bytes())
            .map_err(CliError::Output)?;
    }
    Ok(if view.has_trouble() {
        ExitCode::from(EXIT_FAILED)
    } else {
        ExitCode::SUCCESS
    })
}

/// Looks on every way. A way that is added joins the list here.
pub(super) async fn look(
    ways: &Ways,
    scanned: Option<Result<Vec<Seen>, RadioTrouble>>,
    configured: &[BoardConfig],
) -> Found {
    let mut found = Found::default();
    found.add(Serial::new(ways.ports.clone()).look().await);
    found.add(Iio::new(ways.iio.clone()).look().await);
    found.bluetooth = match scanned {
        None => Looked::LeftOut,
        Some(Ok(seen)) => {
            found.add(Bluetooth::new(seen).look().await);
            Looked::Seen
        }
        Some(Err(trouble)) => Looked::Trouble(trouble),
    };
    let radio = match &found.bluetooth {
        Looked::Trouble(trouble) => Some(trouble.clone()),
        Looked::LeftOut | Looked::Seen => None,
    };
    // Last: what a configuration names and a way has found already is not listed again.
    found.add(Configured::new(configured, radio.as_ref()).look().await);
    found.name(configured);
    found
}
