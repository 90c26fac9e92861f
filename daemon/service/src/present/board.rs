//! A board for the page.

use super::{calibration_view, is_calibrated, link_trouble, mount_view, sits_view};
use crate::axis::AxisName;
use crate::board::{BoardFacts, BoardNow, TimeSource};
use crate::http::views::{AboutView, BadFramesView, BoardState, BoardView, TimeBy};
use crate::link::{LinkState, LinkStatus};
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
        configured: facts.configured,
        sits: facts.sits.map(sits_view),
        up_now: now.up_now.map(AxisName::from),
        taken_in: facts.taken_in,
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
        time_by: now.time_source.map(time_by),
        about: about_view(status),
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
            battery_percent: None,
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

/// What names the board stays when it is gone; how it fares does not.
fn about_view(status: &LinkStatus) -> AboutView {
    let about = &status.about;
    let is_open = !matches!(
        status.state,
        LinkState::Absent { .. } | LinkState::Refused(_)
    );
    AboutView {
        battery_percent: about.battery_percent.filter(|_| is_open),
        signal_dbm: about.signal_dbm.filter(|_| is_open),
        maker: about.maker.clone(),
        model: about.model.clone(),
        serial: about.serial.clone(),
        firmware: about.firmware.clone(),
    }
}

const fn time_by(source: TimeSource) -> TimeBy {
    match source {
        TimeSource::Device => TimeBy::Device,
        TimeSource::Numbers => TimeBy::Numbers,
        TimeSource::Rate => TimeBy::Rate,
        TimeSource::Arrival => TimeBy::Arrival,
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use hubplumb_core::time::HostTime;
    use hubplumb_protocol::Reading;

    use super::*;
    use crate::board::{Board, Inlets, Intake};
    use crate::config;
    use crate::link::About;

    fn board() -> Arc<Board> {
        let text = "[[board]]\nname = \"left hub\"\nport = \"ble:left hub\"\n";
        let config = config::parse(text, "car.toml".as_ref()).unwrap();
        Arc::new(Board::new(0, &config.boards[0], config.floor))
    }

    fn seen(board: &Board, at_us: i64) -> BoardView {
        let now = board.look(HostTime::from_us(at_us));
        board_view(&board.facts(), &now, &SwingInlet::default())
    }

    fn status(state: LinkState) -> LinkStatus {
        LinkStatus {
            state,
            about: About {
                battery_percent: Some(64),
                signal_dbm: Some(-61),
                maker: Some("a maker".to_owned()),
                model: Some("hub board".to_owned()),
                serial: Some("A17".to_owned()),
                firmware: Some("1.2".to_owned()),
            },
            ..LinkStatus::new("ble:left hub".to_owned())
        }
    }

    #[test]
    fn a_board_tells_of_itself_and_of_how_it_fares_while_it_is_there() {
        let board = board();
        let mut intake = Intake::new(board.clone(), Inlets::default(), None);
        assert_eq!(seen(&board, 0).about, AboutView::default());
        let absent = LinkState::Absent {
            wanted: "left hub".to_owned(),
        };
        for (state, battery_percent, signal_dbm) in [
            (LinkState::Live, Some(64), Some(-61)),
            (LinkState::Silent, Some(64), Some(-61)),
            (absent, None, None),
        ] {
            intake.shows(&status(state));
            let told = AboutView {
                battery_percent,
                signal_dbm,
                maker: Some("a maker".to_owned()),
                model: Some("hub board".to_owned()),
                serial: Some("A17".to_owned()),
                firmware: Some("1.2".to_owned()),
            };
            assert_eq!(seen(&board, 0).about, told);
        }
    }

    #[test]
    fn what_the_times_go_by_is_told_from_the_first_reading_on() {
        for (device_time_us, time_by, word) in [
            (None, TimeBy::Arrival, "arrival"),
            (Some(1e6), TimeBy::Device, "device"),
        ] {
            let board = board();
            let intake = Intake::new(board.clone(), Inlets::default(), None);
            assert_eq!(seen(&board, 0).time_by, None);
            let reading = Reading {
                accel_g: Some([0.0, 0.0, 1.0]),
                device_time_us,
                ..Reading::default()
            };
            intake.take(HostTime::from_us(10_000), &[reading]);
            assert_eq!(seen(&board, 10_000).time_by, Some(time_by));
            assert_eq!(serde_json::to_value(time_by).unwrap(), word);
        }
    }

    #[test]
    fn battery_and_signal_only_creep_and_a_name_does_not() {
        let board = board();
        let mut intake = Intake::new(board.clone(), Inlets::default(), None);
        let mut status = status(LinkState::Live);
        intake.shows(&status);
        let before = seen(&board, 0);
        status.about.battery_percent = Some(63);
        status.about.signal_dbm = Some(-70);
        intake.shows(&status);
        assert!(counters_only(&before, &seen(&board, 0)));
        status.about.firmware = Some("1.3".to_owned());
        intake.shows(&status);
        assert!(!counters_only(&before, &seen(&board, 0)));
    }
}
