//! Writing and reading journals; a whole swing played again is an end-to-end test.

use std::fs;
use std::time::Duration;

use hubplumb_core::angle::Angle;
use hubplumb_core::estimate::Estimate;
use hubplumb_core::levelling::survey::{Line, PadHeights};
use hubplumb_core::mounting::BoardAxis;
use hubplumb_core::side::Side;
use hubplumb_core::swing::SteerSource;
use hubplumb_protocol::Reading;

use super::{
    Entry, Journal, JournalError, JournalLimit, JournalWriter, LevelNote, Presence, Recorded,
    Replay, SwingNote, read,
};
use crate::config::Texts;
use crate::levelling::{LevelWish, ToeTold};
use crate::mount::Mount;
use crate::swing::Wish;

const PATIENCE: Duration = Duration::from_secs(10);

fn heard(number: i64) -> Entry {
    Entry::Heard {
        board: 0,
        at_us: number,
        bytes: "5551".to_owned(),
        readings: vec![Reading {
            // No power of two is in these: they come back only if every digit does.
            device_time_us: Some(number as f64 / 3.0),
            accel_g: Some([0.1, -1.0 / 3.0, f64::MIN_POSITIVE]),
            ..Reading::default()
        }],
        bad: 0,
    }
}

/// Writes `notes` heard entries into a journal in `folder` and closes it.
fn written(folder: &std::path::Path, limit: JournalLimit, notes: i64) {
    let (journal, writer, path) =
        JournalWriter::begin(folder, "a", Texts::default(), limit).unwrap();
    assert_eq!(path, folder.join("a"));
    for number in 0..notes {
        journal.turn().note(|| heard(number));
    }
    drop(journal);
    writer.finish(PATIENCE).unwrap();
}

const ROOMY: JournalLimit = JournalLimit {
    file_bytes: 1 << 20,
    files: 4,
};

#[test]
fn what_is_noted_is_read_back_to_the_bit() {
    let folder = tempfile::tempdir().unwrap();
    written(folder.path(), ROOMY, 100);
    let recorded = read(&folder.path().join("a")).unwrap();
    let expected: Vec<_> = (0..100).map(heard).collect();
    assert_eq!(
        recorded,
        Recorded {
            configuration: Texts::default(),
            entries: expected,
            from_beginning: true,
            missing: 0,
            cut_off: false,
        }
    );
}

#[test]
fn full_files_are_followed_by_others_and_the_oldest_go() {
    let folder = tempfile::tempdir().unwrap();
    let limit = JournalLimit {
        file_bytes: 2_000,
        files: 3,
    };
    written(folder.path(), limit, 200);
    let files: Vec<_> = fs::read_dir(folder.path().join("a")).unwrap().collect();
    assert_eq!(files.len(), 3);
    for file in files {
        // A file is full with the line that fills it.
        assert!(file.unwrap().metadata().unwrap().len() < 2_300);
    }
    let recorded = read(&folder.path().join("a")).unwrap();
    assert!(!recorded.from_beginning);
    let [.., last] = recorded.entries.as_slice() else {
        panic!("nothing was kept")
    };
    assert_eq!(*last, heard(199));
    assert!(recorded.entries.len() < 60, "{}", recorded.entries.len());
}

#[test]
fn a_line_cut_off_at_the_end_is_told_and_the_rest_stands() {
    let folder = tempfile::tempdir().unwrap();
    written(folder.path(), ROOMY, 3);
    let file = folder.path().join("a/000001.jsonl");
    let text = fs::read(&file).unwrap();
    fs::write(&file, &text[..text.len() - 5]).unwrap();
    let recorded = read(&folder.path().join("a")).unwrap();
    assert!(recorded.cut_off);
    assert_eq!(recorded.entries, [heard(0), heard(1)]);
}

#[test]
fn what_is_no_journal_is_named_with_its_place() {
    let check = |prepare: &dyn Fn(&std::path::Path), wanted: &dyn Fn(&JournalError) -> bool| {
        let folder = tempfile::tempdir().unwrap();
        let limit = JournalLimit {
            file_bytes: 2_000,
            files: 9,
        };
        written(folder.path(), limit, 40);
        prepare(&folder.path().join("a"));
        let error = read(&folder.path().join("a")).unwrap_err();
        assert!(wanted(&error), "{error}");
    };
    let file = "000002.jsonl";
    check(
        &|folder| fs::remove_file(folder.join(file)).unwrap(),
        &|error| matches!(error, JournalError::Torn { file } if file.ends_with("000003.jsonl")),
    );
    check(
        &|folder| {
            let text = fs::read_to_string(folder.join(file)).unwrap();
            fs::write(folder.join(file), text.replacen("heard", "hurd", 1)).unwrap();
        },
        &|error| matches!(error, JournalError::NotUnderstood { line: 2, .. }),
    );
    check(
        &|folder| {
            let first = folder.join("000001.jsonl");
            let text = fs::read_to_string(&first).unwrap();
            fs::write(&first, text.replacen("\"format\":1", "\"format\":9", 1)).unwrap();
        },
        &|error| matches!(error, JournalError::OtherFormat { found: 9, .. }),
    );
    check(
        &|folder| {
            fs::remove_dir_all(folder).unwrap();
            fs::create_dir(folder).unwrap();
        },
        &|error| matches!(error, JournalError::Nothing { .. }),
    );
}

#[test]
fn a_folder_that_takes_nothing_is_told_at_the_beginning() {
    let file = tempfile::NamedTempFile::new().unwrap();
    assert!(JournalWriter::begin(file.path(), "a", Texts::default(), ROOMY).is_err());
}

#[test]
fn notes_the_disk_is_too_slow_for_are_counted() {
    let (pen, notes) = std::sync::mpsc::sync_channel(2);
    let journal = Journal::to(pen);
    for number in 0..5 {
        journal.turn().note(|| heard(number));
    }
    let taken: Vec<_> = notes.try_iter().collect();
    assert_eq!(taken, [heard(0), heard(1)]);
    journal.turn().note(|| heard(5));
    let taken: Vec<_> = notes.try_iter().collect();
    assert_eq!(taken, [Entry::Missing { notes: 3 }, heard(5)]);
}

#[test]
fn without_a_journal_nothing_is_made_to_be_noted() {
    let mut made = false;
    Journal::off().turn().note(|| {
        made = true;
        heard(0)
    });
    assert!(!made);
}

#[test]
fn wishes_come_back_as_they_were() {
    let toe = Estimate::new(Angle::from_deg(0.1), Angle::from_deg(1.0 / 3.0));
    let pads = PadHeights {
        heights_mm: [0.0, 1.0 / 3.0, 2.0, 3.0],
        standard_mm: [0.1; 4],
        track_front_mm: 1500.0,
        track_rear_mm: 1480.0,
        wheelbase_mm: 2500.0,
    };
    let lines = [Line::Front, Line::Rear, Line::Left, Line::Right];
    let rests = lines.map(|line| LevelWish::LineRest {
        line,
        board: "usb-1".to_owned(),
        along: BoardAxis::YMinus,
        turned: true,
    });
    let wishes = [
        LevelWish::Start {
            mount: Mount::FrontLeft,
            jacked: true,
        },
        LevelWish::Cancel(Mount::RearRight),
        LevelWish::Finish(Mount::FrontRight),
        LevelWish::Forget(Mount::RearLeft),
        LevelWish::Heights(pads),
        LevelWish::ForgetFloor,
        LevelWish::GoOn,
        LevelWish::LeaveEarlier,
        LevelWish::Toe {
            side: Side::Right,
            told: ToeTold::measured(toe),
        },
        LevelWish::Toe {
            side: Side::Left,
            told: ToeTold {
                measured: Some(toe),
                moved: true,
            },
        },
        LevelWish::Toe {
            side: Side::Left,
            told: ToeTold::default(),
        },
        LevelWish::Forward(None),
        LevelWish::Forward(Some((BoardAxis::XPlus, Angle::from_deg(0.7)))),
    ];
    for wish in wishes.into_iter().chain(rests) {
        let text = serde_json::to_string(&LevelNote::from(&wish)).unwrap();
        let note: LevelNote = serde_json::from_str(&text).unwrap();
        assert_eq!(note.wish(), Some(wish), "{text}");
    }
    let wishes = [
        Wish::Start(SteerSource::Gyro),
        Wish::Start(SteerSource::Plates),
        Wish::Cancel,
        Wish::Plate {
            rest: 3,
            side: Side::Left,
            plate: Angle::from_deg(19.9),
        },
    ];
    for wish in wishes {
        let text = serde_json::to_string(&SwingNote::from(&wish)).unwrap();
        let note: SwingNote = serde_json::from_str(&text).unwrap();
        assert_eq!(Wish::from(note), wish, "{text}");
    }
}

#[test]
fn notes_that_fit_no_board_are_counted_and_passed_over() {
    let recorded = Recorded {
        configuration: Texts::default(),
        entries: vec![
            heard(0),
            Entry::Presence {
                board: 3,
                is: Presence::Live,
            },
            Entry::SwingOver {
                run: 1,
                found: "something".to_owned(),
            },
        ],
        from_beginning: true,
        missing: 0,
        cut_off: false,
    };
    let replay = Replay::of(&recorded).unwrap();
    assert_eq!((replay.unusable, replay.readings), (2, 0));
    let [ended] = replay.ended.as_slice() else {
        panic!("{:?}", replay.ended)
    };
    assert!(
        !ended.agrees(),
        "a swing that was not played agrees with nothing"
    );
}
