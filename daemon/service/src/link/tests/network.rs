//! Lines that behave as networks do: ends that nobody tells of, and datagrams that overtake
//! one another.

use std::time::Duration;

use hubplumb_protocol::WireFormat;

use super::script::{Beat, Opening, Script};
use super::{JSON, LinkSettings, absent, bad_for, good_for, told};

fn silent() -> Opening {
    Opening::Line(vec![Beat::Wait { ms: 600_000 }])
}

fn talks_then_is_silent() -> Opening {
    Opening::Line(vec![good_for(1), Beat::Wait { ms: 600_000 }])
}

#[tokio::test(start_paused = true)]
async fn a_silent_connection_is_made_anew_after_six_seconds_and_stays_silent_till_it_talks() {
    let script = [
        talks_then_is_silent(),
        silent(),
        Opening::Line(vec![good_for(60)]),
    ];
    let log = Script::new(script)
        .on_connections()
        .play(told(), Duration::from_secs(15))
        .await;
    // The last byte comes at 0.9 s: given up at 6.9 s, and after waits of 0.2 and 0.4 s made anew.
    assert_eq!(log.openings_ms(), [0, 7100, 13_500]);
    assert_eq!(
        log.states(),
        [
            (0, "listening"),
            (100, "live"),
            (3900, "silent"),
            (13_600, "live")
        ]
    );
}

#[tokio::test(start_paused = true)]
async fn a_silent_connection_that_cannot_be_made_anew_is_told_as_gone() {
    let log = Script::new([talks_then_is_silent(), absent(), silent()])
        .on_connections()
        .play(told(), Duration::from_secs(12))
        .await;
    assert_eq!(
        log.states(),
        [
            (0, "listening"),
            (100, "live"),
            (3900, "silent"),
            (7100, "absent"),
            (7500, "listening"),
            (10_500, "silent")
        ]
    );
}

#[tokio::test(start_paused = true)]
async fn a_silent_connection_of_an_unknown_format_is_made_anew_as_well() {
    let log = Script::new([silent(), silent(), silent()])
        .on_connections()
        .play(LinkSettings::default(), Duration::from_secs(20))
        .await;
    // A round through the speeds takes 8.4 s, and the connection is judged at its end.
    assert_eq!(log.openings_ms(), [0, 8600, 17_400]);
}

#[tokio::test(start_paused = true)]
async fn noise_is_no_silence() {
    let log = Script::new([Opening::Line(vec![bad_for(20)])])
        .on_connections()
        .play(told(), Duration::from_secs(20))
        .await;
    assert_eq!(log.openings_ms(), [0]);
}

/// One datagram, 100 ms before the next.
fn datagram(bytes: &'static [u8]) -> Beat {
    Beat::Say {
        bytes,
        every_ms: 100,
        times: 1,
    }
}

#[tokio::test(start_paused = true)]
async fn an_overtaken_datagram_is_counted_and_not_used() {
    let beats = vec![
        // The first line is given up: it may be the end of a longer one.
        datagram(b"500,0,0,1,0,0,0,20\n"),
        datagram(b"1000,0,0,1,0,0,0,20\n"),
        datagram(b"3000,0,0,1,0,0,0,20\n"),
        datagram(b"2000,0,0,1,0,0,0,20\n"),
        datagram(b"4000,0,0,1,0,0,0,20\n"),
    ];
    let check = async |script: Script, good: u64, late: Option<&u64>| {
        let log = script.play(told(), Duration::from_secs(1)).await;
        let last = log.last();
        assert_eq!(
            (last.good_frames, last.bad_frames.get("late")),
            (good, late),
            "{last:?}"
        );
    };
    let script = || Script::new([Opening::Line(beats.clone())]);
    check(script().in_messages(), 3, Some(&1)).await;
    check(script(), 4, None).await;
}

#[tokio::test(start_paused = true)]
async fn a_board_that_restarts_is_not_late() {
    let restarted = vec![
        datagram(b"the end of a line\n"),
        datagram(b"{\"t_us\":9000000,\"ax\":0,\"ay\":0,\"az\":1}\n"),
        datagram(JSON),
    ];
    let settings = LinkSettings {
        format: Some(WireFormat::from_name("json-lines", None).unwrap()),
        ..told()
    };
    let log = Script::new([Opening::Line(restarted)])
        .in_messages()
        .play(settings, Duration::from_secs(1))
        .await;
    assert_eq!(log.last().good_frames, 2);
    assert_eq!(log.last().bad_frames.get("late"), None);
}
