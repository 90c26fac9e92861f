//! The life of a link, on lines made of memory and paused time, and on real
//! pseudo-terminals.

mod asked;
mod asked_pty;
mod network;
mod pty;
mod remembered;
mod script;

use std::time::Duration;

use script::{Beat, Opening, Script};

use super::{LinkSettings, Membership, OpenError, Permission};
use hubplumb_protocol::WireFormat;

const GOOD: &[u8] = b"1000,0.0,0.0,1.0,0.0,0.0,0.0,20.0\n";
const BAD: &[u8] = b"what is this,\xfe\xfe\n";

fn csv() -> WireFormat {
    WireFormat::from_name("csv", Some(columns())).unwrap()
}

/// What a board says that explains itself.
const JSON: &[u8] = b"{\"t_us\":1000,\"ax\":0.0,\"ay\":0.0,\"az\":1.0}\n";

/// The canonical columns, fixed, so that no header has to be sent.
fn columns() -> hubplumb_protocol::ColumnMap {
    hubplumb_protocol::ColumnMap::from_header("t_us,ax,ay,az,gx,gy,gz,temp").unwrap()
}

fn told() -> LinkSettings {
    LinkSettings {
        baud: Some(115_200),
        format: Some(csv()),
        ..LinkSettings::default()
    }
}

fn absent() -> Opening {
    Opening::Fail(OpenError::Absent {
        wanted: "port".to_owned(),
    })
}

/// Self-explaining lines ten times a second for so many seconds.
fn json_for(seconds: u32) -> Beat {
    Beat::Say {
        bytes: JSON,
        every_ms: 100,
        times: seconds * 10,
    }
}

/// Good lines ten times a second for so many seconds. The first of them may be
/// the end of a longer one, so that a link is live with the second.
fn good_for(seconds: u32) -> Beat {
    Beat::Say {
        bytes: GOOD,
        every_ms: 100,
        times: seconds * 10,
    }
}

fn bad_for(seconds: u32) -> Beat {
    Beat::Say {
        bytes: BAD,
        every_ms: 100,
        times: seconds * 10,
    }
}

#[tokio::test(start_paused = true)]
async fn a_port_that_is_not_there_is_tried_ever_more_slowly() {
    let log = Script::new([
        absent(),
        absent(),
        absent(),
        absent(),
        absent(),
        absent(),
        absent(),
    ])
    .play(told(), Duration::from_secs(9))
    .await;
    assert_eq!(
        log.openings_ms(),
        [0, 200, 600, 1400, 2400, 3400, 4400, 5400, 6400, 7400, 8400]
    );
    assert_eq!(log.states(), [(0, "absent")]);
}

#[tokio::test(start_paused = true)]
async fn a_cable_that_is_pulled_is_noticed_at_once_and_put_back_within_the_bound() {
    let log = Script::new([
        Opening::Line(vec![good_for(2), Beat::End]),
        absent(),
        absent(),
        Opening::Line(vec![good_for(60)]),
    ])
    .play(told(), Duration::from_secs(8))
    .await;
    // Two seconds of lines; the end is seen with it; 0.2 + 0.4 + 0.8 s of waiting.
    assert_eq!(
        log.states(),
        [
            (0, "listening"),
            (100, "live"),
            (2000, "absent"),
            (3400, "listening"),
            (3500, "live")
        ]
    );
    assert_eq!(log.openings_ms(), [0, 2200, 2600, 3400]);
}

#[tokio::test(start_paused = true)]
async fn good_readings_let_the_waiting_start_anew() {
    let flap = || Opening::Line(vec![good_for(1), Beat::End]);
    let log = Script::new([absent(), absent(), absent(), flap(), flap(), flap()])
        .play(told(), Duration::from_secs(5))
        .await;
    assert_eq!(log.openings_ms(), [0, 200, 600, 1400, 2600, 3800, 5000]);
}

#[tokio::test(start_paused = true)]
async fn a_line_that_ends_at_once_for_ever_is_no_busy_loop() {
    let log = Script::new((0..100).map(|_| Opening::Line(vec![Beat::End])))
        .play(told(), Duration::from_secs(60))
        .await;
    // 0.2, 0.4, 0.8 s, then every second.
    assert!(
        (60..=64).contains(&log.openings_ms().len()),
        "{:?}",
        log.openings_ms()
    );
}

#[tokio::test(start_paused = true)]
async fn an_error_of_the_line_is_its_end() {
    let log = Script::new([Opening::Line(vec![good_for(1), Beat::Fail]), absent()])
        .play(told(), Duration::from_secs(2))
        .await;
    assert_eq!(
        log.states(),
        [(0, "listening"), (100, "live"), (1000, "absent")]
    );
}

#[tokio::test(start_paused = true)]
async fn silence_is_told_after_its_time_and_ends_with_the_next_reading() {
    let log = Script::new([Opening::Line(vec![
        good_for(1),
        Beat::Wait { ms: 5000 },
        good_for(1),
    ])])
    .play(told(), Duration::from_secs(7))
    .await;
    assert_eq!(
        log.states(),
        [
            (0, "listening"),
            (100, "live"),
            (3900, "silent"),
            (6000, "live")
        ]
    );
    assert_eq!(log.openings_ms(), [0], "a silent line stays open");
}

#[tokio::test(start_paused = true)]
async fn told_format_with_bad_frames_only_is_unreadable_and_never_guessed_anew() {
    let log = Script::new([Opening::Line(vec![bad_for(20), good_for(5)])])
        .play(told(), Duration::from_secs(22))
        .await;
    assert_eq!(
        log.states(),
        [(0, "listening"), (3000, "unreadable"), (20_000, "live")]
    );
    assert!(
        log.bauds().iter().all(|&baud| baud == 115_200),
        "{:?}",
        log.bauds()
    );
    assert!(log.last().bad_frames.values().sum::<u64>() > 190);
    assert!(!log.last().speech.as_ref().unwrap().is_guess());
}

#[tokio::test(start_paused = true)]
async fn a_refused_port_is_tried_on() {
    let permission = Permission {
        group: "dialout".to_owned(),
        user: "ada".to_owned(),
        membership: Membership::Outside,
        mode: 0o660,
    };
    let denied = || OpenError::Denied {
        port: "port".to_owned(),
        permission: permission.clone(),
    };
    let log = Script::new([
        Opening::Fail(denied()),
        Opening::Fail(denied()),
        Opening::Line(vec![good_for(9)]),
    ])
    .play(told(), Duration::from_secs(2))
    .await;
    assert_eq!(
        log.states(),
        [(0, "refused"), (600, "listening"), (700, "live")]
    );
}

#[tokio::test(start_paused = true)]
async fn speed_and_format_are_found_by_listening_and_told_as_guesses() {
    let log = Script::new([Opening::Line(vec![json_for(60)])])
        .speaking_at(9600)
        .play(LinkSettings::default(), Duration::from_secs(20))
        .await;
    let status = log.last();
    let speech = status.speech.clone().expect("found");
    assert_eq!(
        (speech.baud, speech.format.name()),
        (Some(9600), "json-lines")
    );
    assert!(speech.baud_is_guess && speech.format_is_guess);
    assert_eq!(log.states().last().map(|(_, state)| *state), Some("live"));
    assert_eq!(
        log.openings_ms(),
        [0],
        "the port is opened once for all speeds"
    );
}

#[tokio::test(start_paused = true)]
async fn a_told_format_is_kept_while_the_speed_is_found() {
    let settings = LinkSettings {
        format: Some(csv()),
        ..LinkSettings::default()
    };
    let log = Script::new([Opening::Line(vec![good_for(60)])])
        .speaking_at(57_600)
        .play(settings, Duration::from_secs(20))
        .await;
    let speech = log.last().speech.clone().expect("found");
    assert_eq!(
        (speech.baud, speech.baud_is_guess, speech.format_is_guess),
        (Some(57_600), true, false)
    );
    assert_eq!(speech.format, csv());
}

#[tokio::test(start_paused = true)]
async fn a_guess_that_no_longer_fits_is_given_up() {
    let log = Script::new([Opening::Line(vec![
        json_for(10),
        Beat::ChangeBaud { to: 9600 },
        json_for(60),
    ])])
    .speaking_at(115_200)
    .play(LinkSettings::default(), Duration::from_secs(40))
    .await;
    assert_eq!(
        log.last().speech.as_ref().map(|speech| speech.baud),
        Some(Some(9600))
    );
    assert_eq!(log.states().last().map(|(_, state)| *state), Some("live"));
}

#[tokio::test(start_paused = true)]
async fn what_was_found_is_tried_first_after_a_replug() {
    let log = Script::new([
        Opening::Line(vec![json_for(12), Beat::End]),
        Opening::Line(vec![json_for(60)]),
    ])
    .speaking_at(9600)
    .play(LinkSettings::default(), Duration::from_secs(16))
    .await;
    let second = log.opening_bauds()[1];
    assert_eq!(second, 9600);
    let live_again = log.states().last().copied().unwrap();
    assert_eq!(live_again, (12_200, "live"), "{:?}", log.states());
}

#[tokio::test(start_paused = true)]
async fn noise_at_every_speed_is_unreadable_with_evidence() {
    let log = Script::new([Opening::Line(vec![bad_for(60)])])
        .play(LinkSettings::default(), Duration::from_secs(30))
        .await;
    assert_eq!(
        log.states().last().map(|(_, state)| *state),
        Some("unreadable")
    );
    let super::LinkState::Unreadable(super::Unreadable::NoFormatFits { bauds, sample }) =
        &log.last().state
    else {
        panic!("{:?}", log.last());
    };
    assert_eq!(bauds.len(), super::CANDIDATE_BAUDS.len());
    assert!(!sample.is_empty());
}

#[tokio::test(start_paused = true)]
async fn an_unknown_board_that_says_nothing_is_silent() {
    let log = Script::new([Opening::Line(vec![Beat::Wait { ms: 60_000 }])])
        .play(LinkSettings::default(), Duration::from_secs(30))
        .await;
    assert_eq!(log.states().last().map(|(_, state)| *state), Some("silent"));
}
