//! A board for the page.

use super::{calibration_view, is_calibrated, link_trouble, mount_view};
use crate::board::{BoardFacts, BoardNow};
use crate::http::views::{AboutView, BadFramesView, BoardState, BoardView};
use crate::link::{About, LinkState};
use crate::swing::{SwingInlet, SwingPlace};

/// A board for the page.
pub fn board_view(facts: &BoardFacts, now: &BoardNow, inlet: &SwingInlet) -> BoardView {
    let status = &now.status;
    let speech = status.speech.as_ref();
    let place = facts.mount.and_then(SwingPlace::of);
    BoardView {
        id: facts.id.clone(),
        name: facts.name.clone(),
        mount: facts.mount.map(mount_view),
        state: state_view(&status.state),
        trouble: link_trouble(status),
        port: status.port.clone(),
        baud: speech.and_then(|speech| speech.baud),
        baud_is_guess: speech.is_some_and(|speech| speech.baud_is_guess),
        format: speech.map(|speech| speech.format.name().to_owned()),
        format_is_guess: speech.is_some_and(|speech| speech.format_is_guess),
        rate_hz: now.rate_hz,
        good_frames: status.good_frames,
        bad_frames: status
            .bad_frames
            .iter()
            .chain(&now.unused)
            .map(|(reason, count)| BadFramesView {
                reason: (*reason).to_owned(),
                count: *count,
            })
            .collect(),
        dropped: place.map_or(0, |place| inlet.dropped(place)),
        temperature_c: now.temperature_c,
        calibrated: is_calibrated(&now.calibration),
        calibration: calibration_view(&now.calibration),
        clock_ppm: now.clock_ppm,
        about: about_view(&status.about),
    }
}

fn about_view(about: &About) -> AboutView {
    AboutView {
        battery_percent: about.battery_percent,
        signal_dbm: about.signal_dbm,
        maker: about.maker.clone(),
        model: about.model.clone(),
        serial: about.serial.clone(),
        firmware: about.firmware.clone(),
    }
}

/// Do the two differ in numbers that only creep? Those need not be told at once.
pub fn counters_only(before: &BoardView, now: &BoardView) -> bool {
    let without_counters = |view: &BoardView| BoardView {
        rate_hz: None,
        good_frames: 0,
        bad_frames: Vec::new(),
        dropped: 0,
        temperature_c: None,
        clock_ppm: None,
        about: AboutView {
            signal_dbm: None,
            ..view.about.clone()
        },
        ..view.clone()
    };
    without_counters(before) == without_counters(now)
}

const fn state_view(state: &LinkState) -> BoardState {
    match state {
        LinkState::Live => BoardState::Live,
        LinkState::Absent { .. } => BoardState::Absent,
        LinkState::Refused(error) if error.is_absence() => BoardState::Absent,
        LinkState::Refused(_) => BoardState::Refused,
        LinkState::Silent => BoardState::Silent,
        LinkState::Unreadable(_) => BoardState::Unreadable,
        LinkState::Listening => BoardState::Listening,
    }
}
