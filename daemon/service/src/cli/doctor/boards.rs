//! Ports, and what the boards behind them say.

use std::time::Duration;

use tokio::task::JoinSet;

use super::check::{Check, told};
use crate::cli::boards::{FoundBoard, hear, look, patience};
use crate::config::Config;
use crate::http::views::TroubleView;
use crate::link::ble::scan;
use crate::link::{
    LinkSettings, LinkState, LinkStatus, OpenError, Target, Timing, Unreadable, Ways,
};
use crate::present::{link_trouble, open_trouble, radio_trouble};

const NAME: &str = "port";

/// Long enough for a verdict over what is told of a board: silent or unreadable.
const TOLD: Duration = Duration::from_secs(3);

/// Shorter than the daemon's own: somebody waits for the answer.
const TIMING: Timing = Timing {
    backoff_first: Duration::from_millis(200),
    backoff_cap: Duration::from_millis(500),
    silence: Duration::from_millis(1500),
    redial: Duration::from_secs(6),
    unreadable: Duration::from_millis(1500),
    listen_window: Duration::from_millis(1200),
};

/// More than one bad frame in so many good ones is told.
const GOOD_TO_ONE_BAD: u64 = 20;

/// How long Bluetooth is looked at where the configuration has a board on it.
const SCAN: Duration = Duration::from_secs(4);

/// Every port that the daemon would open, and what comes from it.
pub(super) async fn ports(ways: &Ways, config: &Config, running: bool, closed: bool) -> Vec<Check> {
    let found = look(ways, None, &config.boards).await;
    let has_config = !config.boards.is_empty();
    let meant = found.boards.into_iter().filter(|board| {
        let is_bluetooth = matches!(board.target, Target::Bluetooth(_));
        let is_meant = if has_config {
            board.configured.is_some()
        } else {
            board.port.is_some()
        };
        is_meant && !is_bluetooth
    });
    let meant: Vec<FoundBoard> = meant.collect();
    if meant.is_empty() {
        let said =
            "There is no serial port yet; a board that is plugged in is picked up by itself.";
        return vec![Check::note(NAME, said)];
    }
    let mut ears = JoinSet::new();
    for (place, board) in meant.into_iter().enumerate() {
        let ways = ways.clone();
        ears.spawn(async move { (place, port(board, &ways, running, closed).await) });
    }
    let mut checks: Vec<(usize, Check)> = ears.join_all().await;
    checks.sort_by_key(|(place, _)| *place);
    checks.into_iter().map(|(_, check)| check).collect()
}

async fn port(board: FoundBoard, ways: &Ways, running: bool, closed: bool) -> Check {
    let name = board
        .configured
        .as_ref()
        .map_or_else(|| board.place.clone(), |(name, _)| name.clone());
    let check = match &board.refused {
        Some(OpenError::Busy {
            holder: Some(holder),
            port,
        }) if running && holder.command == "hubplumb" => Check::well(
            NAME,
            format!(
                "{port} is read by the daemon that runs (process {}).",
                holder.pid
            ),
        ),
        Some(refused) => Check::wrong(NAME, open_trouble(refused)),
        None if closed => Check::left_out(NAME, format!("{} was not opened.", board.place)),
        None => listened(&board, ways).await,
    };
    check.of(name)
}

/// Listens as the daemon would; where nothing comes of it, to what really arrives.
async fn listened(board: &FoundBoard, ways: &Ways) -> Check {
    let settings = LinkSettings {
        timing: TIMING,
        ..board.settings()
    };
    let is_told = settings.format.is_some();
    let at_most = if is_told { TOLD } else { patience(TIMING) };
    let Some(status) = hear(ways, &board.target, settings, None, at_most).await else {
        return Check::left_out(NAME, "The listening was broken off.");
    };
    if status.state == LinkState::Live {
        return heard(&status);
    }
    if is_told && matches!(status.state, LinkState::Unreadable(_)) {
        let open = LinkSettings {
            timing: TIMING,
            ..LinkSettings::default()
        };
        let really = hear(ways, &board.target, open, None, patience(TIMING)).await;
        if let Some(trouble) = really.and_then(|really| mismatch(&status, &really)) {
            return Check::wrong(NAME, trouble);
        }
    }
    match link_trouble(&status) {
        Some(trouble) => Check::wrong(NAME, trouble),
        None => heard(&status),
    }
}

/// How a board talks, in words.
fn speech(status: &LinkStatus) -> String {
    let Some(speech) = &status.speech else {
        return "in no format that is known".to_owned();
    };
    let baud = speech.baud.map(|baud| format!(" at {baud} baud"));
    format!("{}{}", speech.format.name(), baud.unwrap_or_default())
}

fn heard(status: &LinkStatus) -> Check {
    let bad: u64 = status.bad_frames.values().sum();
    let (port, good, speech) = (&status.port, status.good_frames, speech(status));
    let guess = status
        .speech
        .as_ref()
        .is_some_and(|speech| speech.is_guess());
    let guess = if guess { ", found by listening" } else { "" };
    if bad * GOOD_TO_ONE_BAD > good {
        let mostly = status.bad_frames.iter().max_by_key(|(_, count)| **count);
        let mostly = mostly.map_or("", |(reason, _)| *reason);
        return Check::wrong(
            NAME,
            told(
                "many_bad_frames",
                format!("{port}: {good} good frames and {bad} bad ones ({mostly}), {speech}."),
                "Readings are lost on the way; a rest may be refused for it.",
                "Use a shorter or shielded cable, keep it away from ignition and chargers, and lower the board's rate or raise its speed.",
            ),
        );
    }
    Check::well(NAME, format!("{port}: {good} readings, {speech}{guess}."))
}

/// What is told of the board is not what it says.
fn mismatch(as_told: &LinkStatus, really: &LinkStatus) -> Option<TroubleView> {
    let found = really.speech.as_ref()?;
    if really.state != LinkState::Live {
        return None;
    }
    let LinkState::Unreadable(Unreadable::OnlyBadFrames { .. }) = &as_told.state else {
        return None;
    };
    let baud = found.baud.map(|baud| format!("baud = {baud}, "));
    Some(told(
        "format_mismatch",
        format!(
            "{} is said to send {}, and what arrives is {}.",
            as_told.port,
            speech(as_told),
            speech(really)
        ),
        "Not one reading of this board is understood.",
        format!(
            "Write {}format = \"{}\" for it in the configuration, or leave both out: then they are found by listening.",
            baud.unwrap_or_default(),
            found.format.name()
        ),
    ))
}

/// Bluetooth: wrong only where a board is wanted on it.
pub(super) async fn bluetooth(config: &Config) -> Check {
    const NAME: &str = "bluetooth";
    let wanted = config
        .boards
        .iter()
        .any(|board| matches!(board.target, Target::Bluetooth(_)));
    let length = if wanted { SCAN } else { Duration::ZERO };
    match (scan(length).await, wanted) {
        (Ok(seen), _) => Check::well(
            NAME,
            format!("The service answers; {} devices are in reach.", seen.len()),
        ),
        (Err(radio), true) => Check::wrong(NAME, radio_trouble(&radio)),
        (Err(radio), false) => Check::note(
            NAME,
            format!("No board is wanted on it, and it could not be used now: {radio}."),
        ),
    }
}
