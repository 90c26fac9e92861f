//! The program as it is typed.

use std::time::Duration;

use hubplumb_tests::running::write_config;
use hubplumb_tests::{Wire, run};

const SOON: Duration = Duration::from_secs(10);

#[test]
fn help_shows_examples_and_exit_codes_of_every_command() {
    for command in [
        &["--help"][..],
        &["run", "--help"],
        &["demo", "--help"],
        &["watch", "--help"],
        &["solve", "--help"],
        &["allan", "--help"],
        &["cars", "--help"],
        &["visits", "--help"],
        &["sheet", "--help"],
    ] {
        let finished = run(command, SOON);
        assert_eq!(finished.code, Some(0), "{finished:?}");
        assert!(
            finished.stdout.contains("Examples:"),
            "{command:?}: {finished:?}"
        );
        assert!(
            finished.stdout.contains("hubplumb"),
            "{command:?}: {finished:?}"
        );
    }
    assert!(run(&["--help"], SOON).stdout.contains("Exit codes:"));
}

#[test]
fn the_version_is_told() {
    let finished = run(&["--version"], SOON);
    assert_eq!(finished.code, Some(0));
    assert_eq!(
        finished.stdout.trim(),
        format!("hubplumb {}", env!("CARGO_PKG_VERSION"))
    );
}

#[test]
fn a_wrong_command_line_ends_with_two_and_says_what_is_wrong() {
    for (arguments, named) in [
        (&["fly"][..], "fly"),
        (&["run", "--once"], "--once"),
        (&["run", "--speed", "fast"], "fast"),
        (&["calibrate"], "PORT"),
        (&["calibrate", "port", "--poses", "3"], "3"),
        (&["run", "--listen", "everywhere"], "everywhere"),
        (&["demo", "--speed", "fast"], "fast"),
        (&["demo", "--scenario", "nowhere"], "nowhere"),
        (&["watch"], "PORT"),
        (&["watch", "port", "--format", "morse"], "morse"),
        (&[], "Usage"),
    ] {
        let finished = run(arguments, SOON);
        assert_eq!(finished.code, Some(2), "{arguments:?}: {finished:?}");
        assert!(
            finished.stderr.contains(named),
            "{arguments:?}: {finished:?}"
        );
        assert_eq!(finished.stdout, "", "{arguments:?}");
    }
}

#[test]
fn a_wrong_configuration_ends_with_two_and_names_file_line_key_and_fix() {
    for (config, line, key, fix) in [
        (
            "[[board]]\nport = \"p\"\nbuad = 9600\n",
            3,
            "buad",
            "spelling",
        ),
        (
            "[[board]]\nport = \"p\"\n\nbaud = 7\n",
            4,
            "board[0].baud",
            "115200",
        ),
        (
            "[[board]]\nport = \"p\"\nmount = \"roof\"\n",
            3,
            "board[0].mount",
            "front_left",
        ),
        (
            "[[board]]\nport = \"p\"\nformat = \"morse\"\n",
            3,
            "board[0].format",
            "ahrs55",
        ),
        ("[swing]\nhold_s = nan\n", 2, "swing.hold_s", "seconds"),
        ("[http]\nlisten = \"here\"\n", 2, "http.listen", "127.0.0.1"),
        (
            "[[board]]\nmount = \"front_left\"\n",
            1,
            "board[0]",
            "id = ",
        ),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let path = write_config(folder.path(), config);
        for command in [&["run", "--config"][..], &["check"]] {
            let finished = run(&[command, &[&*path.to_string_lossy()]].concat(), SOON);
            assert_eq!(finished.code, Some(2), "{config}: {finished:?}");
            let place = format!("{}:{line}:", path.display());
            for told in [&place, key, fix, "what to do"] {
                assert!(
                    finished.stderr.contains(told),
                    "{told} is not in {}",
                    finished.stderr
                );
            }
        }
    }
}

#[test]
fn a_missing_configuration_ends_with_two_and_names_the_file() {
    let finished = run(&["run", "--config", "nowhere.toml"], SOON);
    assert_eq!(finished.code, Some(2), "{finished:?}");
    assert!(finished.stderr.contains("nowhere.toml"), "{finished:?}");
}

#[test]
fn a_sound_configuration_is_told_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = write_config(
        folder.path(),
        "[[board]]\nport = \"p\"\nmount = \"front_left\"\n",
    );
    let finished = run(&["check", &path.to_string_lossy()], SOON);
    assert_eq!(finished.code, Some(0), "{finished:?}");
    assert!(finished.stdout.contains("front left"), "{finished:?}");
}

#[test]
fn an_address_in_use_is_told_with_a_remedy() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").expect("a free port");
    let address = taken.local_addr().expect("its address").to_string();
    let finished = run(&["run", "--listen", &address], SOON);
    assert_eq!(finished.code, Some(1), "{finished:?}");
    assert!(finished.stderr.contains(&address), "{finished:?}");
    assert!(finished.stderr.contains("what to do"), "{finished:?}");
}

#[test]
fn watching_a_port_that_is_not_there_fails_with_a_remedy() {
    let finished = run(&["watch", "./no-such-port"], SOON);
    assert_eq!(finished.code, Some(1), "{finished:?}");
    assert!(finished.stderr.contains("no-such-port"), "{finished:?}");
    assert!(finished.stderr.contains("what to do"), "{finished:?}");
}

#[test]
fn watching_prints_so_many_readings_to_standard_output_and_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut wire = Wire::new(folder.path(), "board");
    let path = wire.path().to_string_lossy().into_owned();
    let watching = std::thread::spawn(move || {
        run(
            &[
                "watch", &path, "--baud", "115200", "--format", "csv", "--count", "5",
            ],
            SOON,
        )
    });
    for line in 0..100 {
        if watching.is_finished() {
            break;
        }
        wire.send(b"t_us,ax,ay,az,gx,gy,gz,temp\n");
        wire.send(format!("{},0.01,0.02,0.99,1,2,3,21.5\n", line * 10_000).as_bytes());
        std::thread::sleep(Duration::from_millis(50));
    }
    let finished = watching.join().expect("the watcher");
    assert_eq!(finished.code, Some(0), "{finished:?}");
    let lines: Vec<&str> = finished.stdout.lines().collect();
    assert_eq!(lines.len(), 5, "{finished:?}");
    assert!(
        lines.iter().all(|line| line.contains("+0.99000 g")),
        "{finished:?}"
    );
    assert!(finished.stderr.contains("115200 baud"), "{finished:?}");
}

#[test]
fn the_openapi_document_is_printed_and_is_the_one_in_the_repository() {
    let finished = run(&["openapi"], SOON);
    assert_eq!(finished.code, Some(0));
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/openapi.json");
    let kept = std::fs::read_to_string(kept).expect("docs/openapi.json");
    assert!(
        finished.stdout == kept,
        "docs/openapi.json is not what `hubplumb openapi` prints"
    );
}
