use std::fs;
use std::path::PathBuf;

use tempfile::TempDir;

use super::*;
use crate::car::CarRecord;
use crate::visit::{Entry, Stage, Visit};

pub(super) const AT: &str = "2026-05-30T14:00:00Z";

pub(super) struct Kept {
    _folder: TempDir,
    pub(super) file: PathBuf,
}

pub(super) fn place() -> Kept {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("deep").join(Store::FILE);
    Kept {
        _folder: folder,
        file,
    }
}

fn car(name: &str) -> CarRecord {
    CarRecord {
        name: name.to_owned(),
        ..CarRecord::default()
    }
}

pub(super) fn note(ask: Option<&str>, text: &str) -> NewEntry {
    NewEntry {
        ask: ask.map(str::to_owned),
        at: AT.to_owned(),
        what: Entry::Note {
            text: text.to_owned(),
        },
        recordings: Vec::new(),
    }
}

fn entry(what: Entry) -> NewEntry {
    NewEntry {
        what,
        ..note(None, "")
    }
}

/// A store with one car and one visit.
pub(super) fn begun(store: &Store) -> i64 {
    let car = store.add_car(&car("Wicket"), AT).unwrap();
    store.begin_visit(car, "0.1.0", AT).unwrap()
}

pub(super) fn texts(store: &Store, visit: i64) -> Vec<String> {
    let entries = store.entries(visit).unwrap();
    let visit = Visit::of(&entries).unwrap();
    visit.notes.iter().map(|n| n.what.to_owned()).collect()
}

#[test]
fn what_was_added_is_there_when_the_file_is_opened_again() {
    let kept = place();
    let visit = {
        let store = Store::open(&kept.file).unwrap();
        let visit = begun(&store);
        let mut entry = note(Some("a"), "first");
        entry.recordings.push(Recording {
            name: "left.csv".to_owned(),
            content: b"t_us,ax\n1,0.5\n".to_vec(),
        });
        assert_eq!(store.add(visit, &entry).unwrap(), 2);
        visit
    };
    let store = Store::open(&kept.file).unwrap();
    assert_eq!(store.cars().unwrap()[0].record, car("Wicket"));
    assert_eq!(store.at_hand().unwrap(), Some(visit));
    assert_eq!(texts(&store, visit), ["first"]);
    assert_eq!(store.last_entry(visit).unwrap(), 2);
    let recordings = store.recordings(visit, 2).unwrap();
    assert_eq!(recordings[0].content, b"t_us,ax\n1,0.5\n");
}

#[test]
fn two_programs_see_what_the_other_added() {
    let kept = place();
    let (one, other) = (
        Store::open(&kept.file).unwrap(),
        Store::open(&kept.file).unwrap(),
    );
    let visit = begun(&one);
    one.add(visit, &note(None, "of the one")).unwrap();
    other.add(visit, &note(None, "of the other")).unwrap();
    assert_eq!(texts(&one, visit), ["of the one", "of the other"]);
}

#[test]
fn asking_twice_adds_once() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    let numbers: Vec<u32> = [("a", "x"), ("b", "y"), ("a", "x"), ("b", "z")]
        .map(|(ask, text)| store.add(visit, &note(Some(ask), text)).unwrap())
        .to_vec();
    assert_eq!(numbers, [2, 3, 2, 3]);
    assert_eq!(texts(&store, visit), ["x", "y"]);
    // The same name in another visit is another wish; without a name every wish is one.
    let another = begun(&store);
    assert_eq!(store.add(another, &note(Some("a"), "x")).unwrap(), 2);
    assert_eq!(store.add(another, &note(None, "x")).unwrap(), 3);
    assert_eq!(store.add(another, &note(None, "x")).unwrap(), 4);
}

#[test]
fn a_closed_visit_takes_nothing_until_it_is_opened_again() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    let stage = |stage| entry(Entry::Stage { stage });
    store.add(visit, &note(Some("early"), "early")).unwrap();
    store.add(visit, &stage(Stage::Closed)).unwrap();
    let refused = store.add(visit, &note(None, "late"));
    assert_eq!(refused, Err(StoreFault::Closed { id: visit }));
    // What was answered once is answered again.
    assert_eq!(store.add(visit, &note(Some("early"), "early")), Ok(2));
    store.add(visit, &stage(Stage::After)).unwrap();
    store.add(visit, &note(None, "later")).unwrap();
    assert_eq!(texts(&store, visit), ["early", "later"]);
}

#[test]
fn only_what_is_there_can_be_taken_back_and_never_the_opening() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    store.add(visit, &note(None, "wrong")).unwrap();
    let back = |number| {
        entry(Entry::TakenBack {
            number,
            why: "a slip".to_owned(),
        })
    };
    for number in [0, 1, 3, 99] {
        let refused = store.add(visit, &back(number));
        assert_eq!(refused, Err(StoreFault::NoEntry { visit, number }));
    }
    assert_eq!(store.add(visit, &back(2)), Ok(3));
    assert_eq!(texts(&store, visit), Vec::<String>::new());
    assert_eq!(
        store.entries(visit).unwrap().len(),
        3,
        "nothing is ever removed"
    );
}

#[test]
fn what_is_not_there_is_named() {
    let store = Store::in_memory().unwrap();
    let no_visit = StoreFault::NoVisit { id: 7 };
    assert_eq!(store.visit(7).unwrap_err(), no_visit);
    assert_eq!(store.entries(7).unwrap_err(), no_visit);
    assert_eq!(store.add(7, &note(None, "")).unwrap_err(), no_visit);
    assert_eq!(store.take_to_hand(Some(7)).unwrap_err(), no_visit);
    assert_eq!(store.remove_visit(7).unwrap_err(), no_visit);
    assert_eq!(store.export(&[7]).unwrap_err(), no_visit);
    let no_car = StoreFault::NoCar { id: 7 };
    assert_eq!(store.car(7).unwrap_err(), no_car);
    assert_eq!(store.change_car(7, &car("A"), AT).unwrap_err(), no_car);
    assert_eq!(store.remove_car(7).unwrap_err(), no_car);
    assert_eq!(store.begin_visit(7, "0.1.0", AT).unwrap_err(), no_car);
}

#[test]
fn a_car_that_goes_leaves_its_visits_and_a_visit_that_goes_leaves_nothing() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    let mut entry = note(None, "with a file");
    entry.recordings.push(Recording {
        name: "a".to_owned(),
        content: vec![1],
    });
    store.add(visit, &entry).unwrap();
    let car_id = store.cars().unwrap()[0].id;
    store.change_car(car_id, &car("Wicket II"), AT).unwrap();
    store.remove_car(car_id).unwrap();
    assert_eq!(store.visit(visit).unwrap().car, None);
    let entries = store.entries(visit).unwrap();
    assert_eq!(
        Visit::of(&entries).unwrap().car.name,
        "Wicket",
        "as it was then"
    );
    store.remove_visit(visit).unwrap();
    assert_eq!(store.at_hand().unwrap(), None);
    let left: i64 = store
        .lock()
        .query_row(
            "SELECT (SELECT count(*) FROM entry) + (SELECT count(*) FROM recording)",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(left, 0);
}

#[test]
fn an_export_goes_into_another_store_and_comes_out_the_same() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    let mut with_file = note(Some("a"), "größer, \"quoted\"");
    with_file.recordings.push(Recording {
        name: "left.csv".to_owned(),
        content: b"t_us\n1\n".to_vec(),
    });
    store.add(visit, &with_file).unwrap();
    let export = store.export(&[visit]).unwrap();
    let text = serde_json::to_string(&export).unwrap();
    let read: Export = serde_json::from_str(&text).unwrap();

    let other = Store::in_memory().unwrap();
    let ids = other.import(&read, AT).unwrap();
    assert_eq!(other.export(&ids).unwrap(), export);
    assert_eq!(other.cars().unwrap().len(), 1, "its car came along");
    assert_eq!(other.at_hand().unwrap(), None, "it is not at hand by that");

    let again = other.import(&read, AT);
    assert_eq!(again, Err(StoreFault::Known { id: ids[0] }));
    other.remove_visit(ids[0]).unwrap();
    other.import(&read, AT).unwrap();
    assert_eq!(
        other.cars().unwrap().len(),
        1,
        "a car of that name was there"
    );
}

#[test]
fn a_document_that_cannot_be_leaves_the_store_as_it_was() {
    let store = Store::in_memory().unwrap();
    let ids = [begun(&store), begun(&store)];
    let good = store.export(&ids).unwrap();
    let other = Store::in_memory().unwrap();
    let spoil = |act: fn(&mut Export)| {
        let mut export = good.clone();
        act(&mut export);
        export
    };
    for (name, document) in [
        ("a later layout", spoil(|e| e.hubplumb_visits = 2)),
        ("no opening", spoil(|e| e.visits[1].entries.clear())),
        (
            "a gap in the numbers",
            spoil(|e| e.visits[1].entries[0].number = 4),
        ),
        (
            "the same twice",
            spoil(|e| e.visits[1] = e.visits[0].clone()),
        ),
    ] {
        assert!(other.import(&document, AT).is_err(), "{name}");
        assert!(other.visits(None).unwrap().is_empty(), "{name}");
        assert!(other.cars().unwrap().is_empty(), "{name}");
    }
    assert_eq!(other.import(&good, AT).unwrap().len(), 2);
}

#[test]
fn a_backup_is_a_store_and_never_overwrites() {
    let kept = place();
    let store = Store::open(&kept.file).unwrap();
    let visit = begun(&store);
    store.add(visit, &note(None, "kept")).unwrap();
    let backup = kept.file.with_file_name("backup.sqlite3");
    store.back_up(&backup).unwrap();
    store.add(visit, &note(None, "later")).unwrap();
    assert_eq!(texts(&Store::open(&backup).unwrap(), visit), ["kept"]);
    let bytes = fs::read(&backup).unwrap();
    let exists = StoreFault::Exists {
        file: backup.clone(),
    };
    assert_eq!(store.back_up(&backup), Err(exists));
    assert_eq!(fs::read(&backup).unwrap(), bytes);
}

#[test]
fn a_file_of_a_later_version_is_left_as_it_is() {
    let kept = place();
    drop(Store::open(&kept.file).unwrap());
    let later = Connection::open(&kept.file).unwrap();
    later.pragma_update(None, "user_version", 99).unwrap();
    drop(later);
    let bytes = fs::read(&kept.file).unwrap();
    let newer = StoreFault::Newer {
        file: Some(kept.file.clone()),
    };
    assert_eq!(Store::open(&kept.file).unwrap_err(), newer);
    assert_eq!(fs::read(&kept.file).unwrap(), bytes);
}

#[test]
fn a_file_that_is_no_store_or_is_damaged_is_told_and_left_as_it_is() {
    let kept = place();
    {
        let store = Store::open(&kept.file).unwrap();
        begun(&store);
    }
    let whole = fs::read(&kept.file).unwrap();
    let mut scrawled = whole.clone();
    // The first page holds the names of the tables.
    scrawled[16..3000].fill(0xa5);
    for (name, bytes) in [
        (
            "some text",
            "this is no store, whatever its name says. "
                .repeat(90)
                .into_bytes(),
        ),
        ("a scrawled page", scrawled),
        (
            "half a file",
            whole[..whole.len() / 2 / 4096 * 4096].to_vec(),
        ),
    ] {
        fs::write(&kept.file, &bytes).unwrap();
        let fault = Store::open(&kept.file)
            .and_then(|store| store.cars().and_then(|_| store.visits(None)))
            .map(drop)
            .expect_err(name);
        let is_damaged = matches!(fault, StoreFault::Damaged { .. });
        assert!(is_damaged, "{name}: {fault:?}");
        assert!(
            fault.remedy().contains("backup"),
            "{name}: {}",
            fault.remedy()
        );
        assert_eq!(fs::read(&kept.file).unwrap(), bytes, "{name}");
    }
}

#[test]
fn a_place_that_takes_no_file_is_told_clearly() {
    let folder = tempfile::tempdir().unwrap();
    let in_the_way = folder.path().join("file");
    fs::write(&in_the_way, "").unwrap();
    let fault = Store::open(&in_the_way.join("visits.sqlite3")).unwrap_err();
    assert!(matches!(fault, StoreFault::Folder { .. }), "{fault:?}");
    assert!(fault.remedy().contains("--store"));
    // A folder stands where the file should be.
    let fault = Store::open(folder.path()).unwrap_err();
    assert!(matches!(fault, StoreFault::Database { .. }), "{fault:?}");
}

/// By a connection that may not write, because root may write any file.
#[test]
fn a_file_that_may_not_be_written_is_called_so() {
    let kept = place();
    drop(Store::open(&kept.file).unwrap());
    let flags = rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY;
    let store = Store {
        connection: Arc::new(Mutex::new(
            Connection::open_with_flags(&kept.file, flags).unwrap(),
        )),
        file: Some(kept.file.clone()),
        tally: Arc::default(),
    };
    assert!(store.cars().unwrap().is_empty(), "reading goes on");
    let read_only = StoreFault::ReadOnly {
        file: Some(kept.file.clone()),
    };
    assert_eq!(store.add_car(&car("A"), AT), Err(read_only));
}

#[test]
fn a_file_that_another_program_holds_is_called_busy() {
    let kept = place();
    let store = Store::open(&kept.file).unwrap();
    store.lock().busy_timeout(Duration::ZERO).unwrap();
    let other = Connection::open(&kept.file).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let busy = StoreFault::Busy {
        file: Some(kept.file.clone()),
    };
    assert_eq!(store.add_car(&car("A"), AT), Err(busy));
    other.execute_batch("COMMIT").unwrap();
    store.add_car(&car("A"), AT).unwrap();
}

#[test]
fn a_stored_text_of_another_version_is_named() {
    let store = Store::in_memory().unwrap();
    let visit = begun(&store);
    store
        .lock()
        .execute("UPDATE entry SET body = '{\"entry\":\"dreamt\"}'", [])
        .unwrap();
    let fault = store.entries(visit).unwrap_err();
    assert!(fault.to_string().contains("Entry 1 of visit 1"), "{fault}");
    assert!(matches!(fault, StoreFault::NotUnderstood { .. }));
}

#[test]
fn what_the_store_did_is_counted() {
    let kept = place();
    let store = Store::open(&kept.file).unwrap();
    let tally = || (store.tally().commits(), store.tally().faults());
    let (before, _) = tally();
    store.add_car(&car("Wicket"), AT).unwrap();
    assert!(store.cars().is_ok());
    assert_eq!(tally(), (before + 1, 0), "reading is no change");
    let other = Connection::open(&kept.file).unwrap();
    other.execute_batch("DROP TABLE car").unwrap();
    assert!(store.cars().is_err());
    assert_eq!(tally(), (before + 1, 1));
}

#[test]
fn a_look_tells_what_is_there_and_leaves_it() {
    let kept = place();
    assert_eq!(Store::inspect(&kept.file), Ok(None));
    let store = Store::open(&kept.file).unwrap();
    let id = store.add_car(&car("Wicket"), AT).unwrap();
    store.begin_visit(id, "0", AT).unwrap();
    // While somebody has it open, and after.
    let seen = Inspected {
        visits: 1,
        newest_at: Some(AT.to_owned()),
    };
    assert_eq!(Store::inspect(&kept.file), Ok(Some(seen.clone())));
    drop(store);
    assert_eq!(Store::inspect(&kept.file), Ok(Some(seen)));
    let beside = fs::read_dir(kept.file.parent().unwrap()).unwrap();
    assert_eq!(beside.count(), 1, "no file is left beside it");
    fs::write(
        &kept.file,
        "no store at all, but a long enough text to be read as one",
    )
    .unwrap();
    let found = Store::inspect(&kept.file);
    assert!(
        matches!(found, Err(StoreFault::Damaged { .. })),
        "{found:?}"
    );
}

#[test]
fn a_folder_that_is_made_is_its_owners_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let kept = place();
    drop(Store::open(&kept.file).unwrap());
    let folder = kept.file.parent().unwrap();
    let mode = |of: &Path| fs::metadata(of).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(folder), 0o700);
    // One that was there is somebody's to decide.
    fs::set_permissions(folder, fs::Permissions::from_mode(0o750)).unwrap();
    drop(Store::open(&kept.file).unwrap());
    assert_eq!(mode(folder), 0o750);
}
