//! Files that are no whole store, and the ways out.

use std::fs;

use rusqlite::Connection;

use super::tests::{AT, Kept, begun, note, place, texts};
use super::*;

/// A store with a visit, closed.
fn kept() -> (Kept, i64) {
    let kept = place();
    let store = Store::open(&kept.file).unwrap();
    let visit = begun(&store);
    for number in 0..40 {
        let text = format!("{number} {}", "x".repeat(400));
        store.add(visit, &note(None, &text)).unwrap();
    }
    drop(store);
    (kept, visit)
}

fn opened(kept: &Kept) -> StoreFault {
    Store::open(&kept.file).expect_err("it is broken")
}

#[test]
fn a_file_that_is_cut_short_or_overwritten_is_told_and_left_as_it_is() {
    let (kept, _) = kept();
    let whole = fs::read(&kept.file).unwrap();
    let mut broken: Vec<Vec<u8>> = [100, 2000, 4096, 9000, whole.len() - 4096, whole.len() - 7]
        .map(|length| whole[..length].to_vec())
        .into();
    broken.push(b"not a database at all, but text of some length ".repeat(40));
    let mut holed = whole.clone();
    holed[4096..12_288].fill(0xA5);
    broken.push(holed);
    for (number, content) in broken.into_iter().enumerate() {
        fs::write(&kept.file, &content).unwrap();
        let fault = Store::open(&kept.file).expect_err(&format!("{number} is broken"));
        assert!(
            matches!(fault, StoreFault::Damaged { .. }),
            "{number}: {fault:?}"
        );
        assert_eq!(fs::read(&kept.file).unwrap(), content, "{number}");
    }
}

#[test]
fn an_empty_file_is_a_store_that_nothing_was_put_into() {
    let (kept, _) = kept();
    fs::write(&kept.file, b"").unwrap();
    assert_eq!(Store::open(&kept.file).unwrap().cars().unwrap(), []);
}

#[test]
fn a_database_of_another_program_is_not_written_into() {
    for (layout, table) in [(0, "invoice"), (1, "invoice"), (7, "invoice")] {
        let kept = place();
        fs::create_dir_all(kept.file.parent().unwrap()).unwrap();
        let foreign = Connection::open(&kept.file).unwrap();
        foreign
            .execute_batch(&format!(
                "CREATE TABLE {table} (id INTEGER); PRAGMA user_version = {layout};"
            ))
            .unwrap();
        drop(foreign);
        let before = fs::read(&kept.file).unwrap();
        let fault = opened(&kept);
        assert!(matches!(fault, StoreFault::Damaged { .. }), "{fault:?}");
        assert_eq!(fs::read(&kept.file).unwrap(), before);
    }
    let (kept, _) = kept();
    let later = Connection::open(&kept.file).unwrap();
    later.pragma_update(None, "user_version", 99).unwrap();
    drop(later);
    assert!(matches!(opened(&kept), StoreFault::Newer { .. }));
}

#[test]
fn a_broken_file_goes_aside_and_a_backup_comes_in_its_place() {
    let (kept, visit) = kept();
    let backup = kept.file.with_file_name("backup.sqlite3");
    let store = Store::open(&kept.file).unwrap();
    store.back_up(&backup).unwrap();
    store
        .add(visit, &note(None, "later than the backup"))
        .unwrap();
    drop(store);
    fs::write(&kept.file, b"rubbish").unwrap();
    let moved = Store::restore(&kept.file, &backup).unwrap().unwrap();
    assert_eq!(fs::read(&moved).unwrap(), b"rubbish");
    let store = Store::open(&kept.file).unwrap();
    assert_eq!(texts(&store, visit).len(), 40);
    assert!(backup.exists());
    drop(store);

    // A backup that is broken itself changes nothing.
    fs::write(&backup, b"rubbish of a backup").unwrap();
    let fault = Store::restore(&kept.file, &backup).unwrap_err();
    assert!(
        matches!(&fault, StoreFault::Damaged { file: Some(file), .. } if *file == backup),
        "{fault:?}"
    );
    assert_eq!(texts(&Store::open(&kept.file).unwrap(), visit).len(), 40);

    let moved = Store::set_aside(&kept.file).unwrap().unwrap();
    assert!(moved.to_string_lossy().ends_with(".aside-2"), "{moved:?}");
    assert_eq!(Store::set_aside(&kept.file).unwrap(), None);
    assert_eq!(Store::open(&kept.file).unwrap().visits(None).unwrap(), []);
    let found = Store::open(&moved).unwrap();
    assert_eq!(texts(&found, visit).len(), 40);
    found.add(visit, &note(Some(AT), "it works on")).unwrap();
}
