//! The rules, and the file as another program on the same machine finds it.

use std::fs;
use std::os::unix::fs::PermissionsExt as _;
use std::path::Path;

use tempfile::TempDir;

use super::book::{Book, DAY_S};
use super::*;

const NOW_S: i64 = 1_780_000_000;

fn other(code: &Code) -> Code {
    let first = if code.bare().starts_with('0') {
        '1'
    } else {
        '0'
    };
    Code::typed(&format!("{first}{}", &code.bare()[1..])).unwrap()
}

fn offered() -> (Book, Code) {
    let mut book = Book::default();
    let code = Code::made().unwrap();
    book.offer(&code, NOW_S);
    (book, code)
}

fn tried(book: &mut Book, code: &Code, now_s: i64) -> Result<u32, PairingFault> {
    let token = Token::made().unwrap();
    book.pair(code, "tablet", None, &token, now_s)
        .map(|(id, _)| id)
}

#[test]
fn a_code_is_good_once() {
    let (mut book, code) = offered();
    assert_eq!(tried(&mut book, &code, NOW_S + 1), Ok(1));
    assert_eq!(
        tried(&mut book, &code, NOW_S + 2),
        Err(PairingFault::NoCode)
    );
}

#[test]
fn a_code_ends_after_ten_minutes_and_when_the_clock_was_set_back() {
    for (after_s, good) in [(599, true), (600, false), (-1, false)] {
        let (mut book, code) = offered();
        let found = tried(&mut book, &code, NOW_S + after_s);
        assert_eq!(found.is_ok(), good, "{after_s}: {found:?}");
    }
}

#[test]
fn a_code_bears_five_wrong_guesses_and_no_right_one_after_them() {
    let (mut book, code) = offered();
    for left in (0..TRIES).rev() {
        let wrong = tried(&mut book, &other(&code), NOW_S);
        assert_eq!(wrong, Err(PairingFault::WrongCode { left }));
    }
    assert_eq!(tried(&mut book, &code, NOW_S), Err(PairingFault::NoCode));
}

#[test]
fn a_new_code_takes_the_place_of_the_one_before() {
    let (mut book, code) = offered();
    book.offer(&other(&code), NOW_S);
    assert_eq!(
        tried(&mut book, &code, NOW_S),
        Err(PairingFault::WrongCode { left: TRIES - 1 })
    );
    assert_eq!(tried(&mut book, &other(&code), NOW_S), Ok(1));
}

#[test]
fn a_full_book_spends_no_code_and_no_number_is_given_twice() {
    let (mut book, code) = offered();
    for _ in 0..MOST_DEVICES {
        let token = Token::made().unwrap();
        book.add("", None, &token, NOW_S).unwrap();
    }
    assert_eq!(tried(&mut book, &code, NOW_S), Err(PairingFault::Full));
    assert!(book.revoke(3));
    assert!(!book.revoke(3));
    assert_eq!(tried(&mut book, &code, NOW_S), Ok(33));
}

#[test]
fn a_name_is_what_a_terminal_may_print() {
    for (given, name) in [
        ("  Tablet  ", "Tablet"),
        ("a\u{1b}[2Jb", "a[2Jb"),
        ("", "device 1"),
        ("\n\t", "device 1"),
        (&"x".repeat(99), &"x".repeat(40)),
    ] {
        let token = Token::made().unwrap();
        let (_, found) = Book::default().add(given, None, &token, NOW_S).unwrap();
        assert_eq!(found, name);
    }
}

fn desk(folder: &Path) -> PairingDesk {
    PairingDesk::at(Commands::Paired, Some(folder.to_owned()))
}

#[tokio::test]
async fn what_another_program_revokes_is_refused_at_once() {
    let folder = TempDir::new().unwrap();
    let (daemon, terminal) = (desk(folder.path()), desk(folder.path()));
    let code = terminal.offer().unwrap();
    let from = Some("192.0.2.7".to_owned());
    let paired = daemon.pair(code.parted(), "tablet".to_owned(), from).await;
    let paired = paired.unwrap();
    let known = daemon.device(paired.token.told()).await.unwrap().unwrap();
    assert_eq!((known.id, known.name.as_str()), (1, "tablet"));
    assert_eq!(
        terminal.devices().unwrap()[0].from.as_deref(),
        Some("192.0.2.7")
    );
    assert!(terminal.revoke(1).unwrap());
    assert!(daemon.device(paired.token.told()).await.unwrap().is_none());
}

#[tokio::test]
async fn only_the_owner_reads_the_file_and_no_secret_is_in_it() {
    let folder = TempDir::new().unwrap();
    let desk = desk(folder.path());
    let token = desk.let_in("script").unwrap().token;
    let code = desk.offer().unwrap();
    let file = folder.path().join(kept::FILE);
    let mode = || fs::metadata(&file).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(), 0o600);
    let text = fs::read_to_string(&file).unwrap();
    assert!(
        !text.contains(token.told()) && !text.contains(code.bare()),
        "{text}"
    );
    fs::set_permissions(&file, fs::Permissions::from_mode(0o644)).unwrap();
    assert!(desk.device(token.told()).await.unwrap().is_some());
    assert_eq!(mode(), 0o600, "closed again when it is read");
}

/// A file that cannot be read lets nobody in, and is left as it is.
#[tokio::test]
async fn a_file_that_is_not_understood_lets_nobody_in() {
    let folder = TempDir::new().unwrap();
    let desk = desk(folder.path());
    let token = desk.let_in("script").unwrap().token;
    let file = folder.path().join(kept::FILE);
    let whole = fs::read_to_string(&file).unwrap();
    for broken in [
        &whole[..whole.len() / 2],
        &whole.replace("format = 1", "format = 2"),
    ] {
        fs::write(&file, broken).unwrap();
        let found = desk.device(token.told()).await;
        assert!(
            matches!(found, Err(PairingFault::NotUnderstood(_))),
            "{found:?}"
        );
        assert!(desk.offer().is_err());
        assert_eq!(fs::read_to_string(&file).unwrap(), *broken);
    }
}

#[tokio::test]
async fn a_day_on_which_a_device_commanded_is_written_down() {
    let folder = TempDir::new().unwrap();
    let desk = desk(folder.path());
    let token = desk.let_in("script").unwrap().token;
    desk.0.kept.change(|book| book.seen(1, 5)).unwrap();
    desk.device(token.told()).await.unwrap();
    assert_eq!(desk.devices().unwrap()[0].seen_day, now() / DAY_S);
}

#[tokio::test(start_paused = true)]
async fn guesses_come_no_faster_than_one_a_second() {
    let desk = PairingDesk::at(Commands::Paired, None);
    let code = desk.offer().unwrap();
    let guess = |code: &Code| desk.pair(code.parted(), String::new(), None);
    let wrong = guess(&other(&code)).await.unwrap_err();
    assert_eq!(wrong, PairingFault::WrongCode { left: TRIES - 1 });
    assert_eq!(guess(&code).await.unwrap_err(), PairingFault::TooSoon);
    tokio::time::advance(BETWEEN_GUESSES).await;
    assert!(guess(&code).await.is_ok());
}
