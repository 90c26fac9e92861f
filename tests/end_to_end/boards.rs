//! `hubplumb boards`, and what is remembered of boards.

use std::path::Path;
use std::time::Duration;

use hubplumb_sim::wire::LiveSim;
use hubplumb_sim::{Mount, Scenario};
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Finished, Wire, board, run};
use serde_json::Value;
use tempfile::TempDir;

/// Every speed is listened to at most once, and a port may be slow.
const LISTENED: Duration = Duration::from_secs(30);
const SOON: Duration = Duration::from_secs(10);

fn text(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}

fn parsed(finished: &Finished) -> Value {
    serde_json::from_str(&finished.stdout).unwrap_or_else(|error| panic!("{error}: {finished:?}"))
}

/// The board that a configuration names so; the machine may have others of its own.
fn named<'a>(view: &'a Value, name: &str) -> &'a Value {
    let boards = view["boards"].as_array().expect("boards");
    boards
        .iter()
        .find(|board| board["configured_as"] == name)
        .unwrap_or_else(|| panic!("no {name} in {view:#}"))
}

/// A simulated car whose boards are named by a configuration that tells nothing of their speech.
struct Bench {
    _sim: LiveSim,
    folder: TempDir,
    config: String,
}

fn bench() -> Bench {
    let folder = tempfile::tempdir().expect("a folder");
    let scenario = Scenario::shipped("garage-good").expect("a shipped scenario");
    let sim = LiveSim::start(scenario, &folder.path().join("ports"), 1.0).expect("the car");
    let boards = sim.boards().iter().filter_map(|found| {
        let mount = match found.mount {
            Mount::FrontLeft => "front_left",
            Mount::FrontRight => "front_right",
            _ => return None,
        };
        let port = found.path.display();
        Some(format!(
            "[[board]]\nname = \"{mount}\"\nport = \"{port}\"\nmount = \"{mount}\"\n"
        ))
    });
    let config: String = boards.collect();
    let config = text(&write_config(folder.path(), &config));
    Bench {
        _sim: sim,
        folder,
        config,
    }
}

#[test]
fn listening_tells_format_and_speed_as_guesses_with_what_speaks_for_them() {
    let bench = bench();
    let finished = run(
        &["boards", "--config", &bench.config, "--listen", "--json"],
        LISTENED,
    );
    let view = parsed(&finished);
    for mount in ["front_left", "front_right"] {
        let heard = &named(&view, mount)["heard"];
        assert_eq!(heard["live"], true, "{view:#}");
        let speech = &heard["speech"];
        assert_eq!(speech["format"], "csv", "{view:#}");
        assert_eq!(speech["format_is_guess"], true);
        assert_eq!(speech["baud_is_guess"], true);
        assert!(speech["columns"].as_str().is_some_and(|c| c.contains("ax")));
        assert!(speech["why"].as_str().is_some_and(|why| why.len() > 10));
        assert_eq!(named(&view, mount)["troubles"], serde_json::json!([]));
    }
    let finished = run(&["boards", "--config", &bench.config, "--listen"], LISTENED);
    for part in ["front_left", "format csv", "(a guess)"] {
        assert!(finished.stdout.contains(part), "{part}: {finished:?}");
    }
}

#[test]
fn without_listening_nothing_is_opened_and_what_is_wrong_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    // This very test holds the port of the wire.
    let wire = Wire::new(folder.path(), "held");
    let config = format!(
        "[[board]]\nname = \"held\"\nport = \"{}\"\n\
         [[board]]\nname = \"gone\"\nport = \"{}\"\n\
         [[board]]\nname = \"away\"\nid = \"usb-0000-0000-none\"\n",
        wire.path().display(),
        folder.path().join("gone").display(),
    );
    let config = text(&write_config(folder.path(), &config));
    let finished = run(&["boards", "--config", &config, "--json"], SOON);
    assert_eq!(finished.code, Some(1), "{finished:?}");
    let view = parsed(&finished);
    let held = named(&view, "held");
    assert_eq!(held["held_by"]["pid"], std::process::id(), "{view:#}");
    for (name, code) in [
        ("held", "port_in_use"),
        ("gone", "port_absent"),
        ("away", "port_absent"),
    ] {
        let board = named(&view, name);
        assert_eq!(board["troubles"][0]["code"], code, "{view:#}");
        assert!(board["troubles"][0]["remedy"].as_str().is_some());
        assert_eq!(board["heard"], Value::Null);
    }
    let told = run(&["boards", "--config", &config], SOON);
    assert_eq!(told.code, Some(1));
    assert!(told.stdout.contains("what to do:"), "{told:?}");
}

#[test]
fn what_listening_found_is_remembered_for_the_next_start() {
    let bench = bench();
    let store = text(&bench.folder.path().join("store"));
    let arguments = ["run", "--config", &bench.config, "--store", &store];
    let daemon = Daemon::start(&arguments);
    daemon.wait("live by listening", LISTENED, |state| {
        board(state, "front_left")["state"] == "live"
            && board(state, "front_right")["state"] == "live"
    });
    drop(daemon);
    let boards = ["boards", "--config", &bench.config, "--store", &store];
    let view = parsed(&run(&[&boards[..], &["--json"]].concat(), SOON));
    for mount in ["front_left", "front_right"] {
        let remembered = &named(&view, mount)["remembered"];
        assert_eq!(remembered["speech"]["format"], "csv", "{view:#}");
        assert_eq!(remembered["speech"]["format_is_guess"], true);
    }
    let again = run(&[&boards[..], &["--listen", "--json"]].concat(), LISTENED);
    let view = parsed(&again);
    let heard = &named(&view, "front_left")["heard"];
    assert_eq!(heard["live"], true, "{view:#}");
    assert_eq!(heard["speech"]["format_is_guess"], true);
    let why = heard["speech"]["why"].as_str().expect("a reason");
    assert!(why.starts_with("remembered from"), "{why}");
    // The daemon goes by it as well, and still calls it a guess.
    let daemon = Daemon::start(&arguments);
    let state = daemon.wait("live", SOON, |state| {
        board(state, "front_left")["state"] == "live"
    });
    assert_eq!(board(&state, "front_left")["format_is_guess"], true);
}
