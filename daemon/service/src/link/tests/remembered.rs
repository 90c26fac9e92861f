//! What was remembered of a board is tried first, and is never more than a guess.

use std::time::Duration;

use hubplumb_protocol::WireFormat;
use time::OffsetDateTime;

use super::script::{Beat, Opening, Script};
use super::{csv, json_for};
use crate::link::LinkSettings;
use crate::speech_store::RememberedSpeech;

fn remembered(baud: Option<u32>, format: Option<WireFormat>) -> RememberedSpeech {
    RememberedSpeech {
        date: OffsetDateTime::UNIX_EPOCH,
        baud,
        format,
        why: Some("40 good lines".to_owned()),
    }
}

fn json() -> WireFormat {
    WireFormat::from_name("json-lines", None).unwrap()
}

#[tokio::test(start_paused = true)]
async fn it_is_tried_first_and_called_a_guess() {
    let log = Script::new([Opening::Line(vec![json_for(60)])])
        .speaking_at(9600)
        .remembering(remembered(Some(9600), Some(json())))
        .play(LinkSettings::default(), Duration::from_secs(5))
        .await;
    assert_eq!(log.opening_bauds(), [9600]);
    assert!(log.bauds().iter().all(|&baud| baud == 9600));
    assert_eq!(log.states()[1].1, "live");
    let speech = log.last().speech.clone().unwrap();
    assert!(speech.baud_is_guess && speech.format_is_guess);
    assert_eq!(
        speech.why.as_deref(),
        Some("remembered from 1970-01-01: 40 good lines")
    );
}

#[tokio::test(start_paused = true)]
async fn where_it_fails_the_board_is_listened_to_anew() {
    for wrong in [
        remembered(Some(57_600), Some(json())),
        remembered(Some(9600), Some(csv())),
        remembered(Some(9600), Some(WireFormat::Ahrs55)),
    ] {
        let log = Script::new([Opening::Line(vec![json_for(60)])])
            .speaking_at(9600)
            .remembering(wrong.clone())
            .play(LinkSettings::default(), Duration::from_secs(30))
            .await;
        let speech = log.last().speech.clone().expect("found");
        assert_eq!(
            (speech.baud, speech.format.name()),
            (Some(9600), "json-lines"),
            "{wrong:?}"
        );
        assert_eq!(log.states().last().unwrap().1, "live", "{wrong:?}");
        assert!(
            !speech.why.as_ref().unwrap().contains("remembered"),
            "{wrong:?}"
        );
    }
}

#[tokio::test(start_paused = true)]
async fn what_the_configuration_tells_goes_before_it() {
    let told = LinkSettings {
        baud: Some(9600),
        ..LinkSettings::default()
    };
    let log = Script::new([Opening::Line(vec![json_for(60)])])
        .speaking_at(9600)
        .remembering(remembered(Some(57_600), Some(json())))
        .play(told, Duration::from_secs(5))
        .await;
    assert!(log.bauds().iter().all(|&baud| baud == 9600));
    let speech = log.last().speech.clone().unwrap();
    assert!(!speech.baud_is_guess && speech.format_is_guess);
}

/// Half of what is needed is no shortcut.
#[tokio::test(start_paused = true)]
async fn half_a_memory_is_listened_past() {
    let log = Script::new([Opening::Line(vec![json_for(60), Beat::Wait { ms: 1 }])])
        .speaking_at(9600)
        .remembering(remembered(Some(9600), None))
        .play(LinkSettings::default(), Duration::from_secs(20))
        .await;
    assert_eq!(log.states().last().unwrap().1, "live");
}
