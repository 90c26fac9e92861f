//! Keeping, recalling and forgetting.

use std::sync::Arc;

use hubplumb_protocol::ColumnMap;
use tempfile::TempDir;

use super::*;
use crate::link::{LinkState, LinkStatus, Speech, Unreadable};

const BOARD: &str = "usb-1a86-7523-A17";

fn csv() -> WireFormat {
    let map = ColumnMap::from_header("t_us,ax,ay,az,wind").unwrap();
    WireFormat::from_name("csv", Some(map)).unwrap()
}

fn found() -> RememberedSpeech {
    RememberedSpeech {
        date: OffsetDateTime::UNIX_EPOCH + time::Duration::days(20_000),
        baud: Some(57_600),
        format: Some(csv()),
        why: Some("the header says t_us,ax,ay,az".to_owned()),
    }
}

fn store() -> (TempDir, SpeechStore) {
    let folder = tempfile::tempdir().unwrap();
    let store = SpeechStore::beside(&CalibrationStore::at(folder.path().join("kept")));
    (folder, store)
}

fn guess(baud: u32) -> Speech {
    Speech {
        baud: Some(baud),
        baud_is_guess: true,
        format: csv(),
        format_is_guess: true,
        why: None,
    }
}

fn status(state: LinkState, speech: Option<Speech>) -> LinkStatus {
    LinkStatus {
        state,
        speech: speech.map(Arc::new),
        ..LinkStatus::new("port".to_owned())
    }
}

#[test]
fn what_is_kept_is_recalled_and_what_is_forgotten_is_not() {
    let (_folder, store) = store();
    assert_eq!(store.load(BOARD), Ok(None));
    for kept in [
        found(),
        RememberedSpeech {
            baud: None,
            why: None,
            format: Some(WireFormat::Ahrs55),
            ..found()
        },
        RememberedSpeech {
            format: None,
            ..found()
        },
    ] {
        store.keep(BOARD, &kept).unwrap();
        assert_eq!(store.load(BOARD), Ok(Some(kept)));
    }
    store.forget(BOARD).unwrap();
    assert_eq!(store.load(BOARD), Ok(None));
    store.forget(BOARD).unwrap();
}

#[test]
fn a_file_that_cannot_be_read_is_named_and_set_aside_and_nothing_is_lost() {
    let (_folder, store) = store();
    store.keep(BOARD, &found()).unwrap();
    let file = store.file(BOARD).unwrap();
    let good = fs::read_to_string(&file).unwrap();
    let mut texts = Vec::new();
    let mut check = |text: &str, part: &str| {
        fs::write(&file, text).unwrap();
        let error = store.load(BOARD).unwrap_err().to_string();
        assert!(error.contains(part), "`{part}` is missing in {error}");
        assert_eq!(fs::read_to_string(&file).unwrap(), text);
        store.keep(BOARD, &found()).unwrap();
        assert_eq!(store.load(BOARD), Ok(Some(found())));
        texts.push(text.to_owned());
    };
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from} in {good}");
        good.replacen(from, to, 1)
    };
    check(&good[..good.len() / 2], "tells nothing");
    check("", "missing field");
    check(&with("format = 1", "format = 2"), "format 2");
    check(&with(BOARD, "usb-other"), "`usb-other`");
    check(&with("\"csv\"", "\"morse\""), "tells nothing");
    check(&with("date = \"", "date = \"about "), "no date");
    for (number, text) in texts.iter().enumerate() {
        let aside = file.with_file_name(format!("{BOARD}.toml.unreadable-{}", number + 1));
        assert_eq!(&fs::read_to_string(aside).unwrap(), text);
    }
}

#[test]
fn a_guess_is_kept_once_it_is_live_and_forgotten_once_it_is_wrong() {
    let (_folder, store) = store();
    let mut memory = SpeechMemory::new(store.clone());
    let mut tell = |state: LinkState, speech: Option<Speech>| {
        memory.status(&status(state, speech), || BOARD.to_owned());
        let kept = store.load(BOARD).unwrap();
        kept.map(|kept| kept.baud)
    };
    assert_eq!(tell(LinkState::Listening, None), None);
    assert_eq!(tell(LinkState::Listening, Some(guess(9600))), None);
    assert_eq!(
        tell(LinkState::Live, Some(guess(9600))),
        Some(Some(9600)),
        "live"
    );
    let silent = tell(LinkState::Silent, Some(guess(9600)));
    assert_eq!(silent, Some(Some(9600)), "a silent board talks as before");
    let gone = tell(
        LinkState::Absent {
            wanted: BOARD.to_owned(),
        },
        Some(guess(9600)),
    );
    assert_eq!(gone, Some(Some(9600)), "an unplugged one too");
    assert_eq!(tell(LinkState::Listening, None), None, "wrong");
    assert_eq!(
        tell(LinkState::Live, Some(guess(19_200))),
        Some(Some(19_200))
    );
}

#[test]
fn what_was_told_is_not_remembered() {
    let (_folder, store) = store();
    let mut memory = SpeechMemory::new(store.clone());
    let told = Speech {
        baud_is_guess: false,
        format_is_guess: false,
        ..guess(9600)
    };
    memory.status(&status(LinkState::Live, Some(told.clone())), || {
        BOARD.to_owned()
    });
    assert_eq!(store.load(BOARD), Ok(None));
    let half = Speech {
        baud_is_guess: true,
        ..told.clone()
    };
    memory.status(&status(LinkState::Live, Some(half)), || BOARD.to_owned());
    let kept = store.load(BOARD).unwrap().unwrap();
    assert_eq!((kept.baud, kept.format), (Some(9600), None));
    // Bad frames of a format that was told say nothing against what was found.
    let unreadable = LinkState::Unreadable(Unreadable::OnlyBadFrames {
        baud: Some(9600),
        format: "csv",
        mostly: None,
    });
    memory.status(&status(unreadable, Some(told)), || BOARD.to_owned());
    assert!(store.load(BOARD).unwrap().is_some());
}

#[test]
fn a_guess_that_holds_keeps_the_day_on_which_it_was_found() {
    let (_folder, store) = store();
    store
        .keep(
            BOARD,
            &RememberedSpeech {
                baud: Some(9600),
                ..found()
            },
        )
        .unwrap();
    let mut memory = SpeechMemory::new(store.clone());
    memory.status(&status(LinkState::Live, Some(guess(9600))), || {
        BOARD.to_owned()
    });
    assert_eq!(store.load(BOARD).unwrap().unwrap().date, found().date);
}
