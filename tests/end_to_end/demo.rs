//! The demonstration, which needs no hardware.

use std::time::Duration;

use hubplumb_tests::{Daemon, run};

#[test]
fn one_swing_of_the_demonstration_agrees_with_its_truth() {
    let finished = run(
        &["demo", "--once", "--listen", "127.0.0.1:0"],
        Duration::from_secs(120),
    );
    assert_eq!(finished.code, Some(0), "{finished:#?}");
    for told in ["caster", "sai", "camber", "seed"] {
        assert!(
            finished.stdout.to_lowercase().contains(told),
            "{told} is not in {finished:#?}"
        );
    }
}

#[test]
fn the_demonstration_goes_faster_than_life() {
    let finished = run(
        &["demo", "--once", "--speed", "4", "--listen", "127.0.0.1:0"],
        Duration::from_secs(60),
    );
    assert_eq!(finished.code, Some(0), "{finished:#?}");
}

#[test]
fn the_demonstration_shows_the_truth_and_the_seed_it_was_told() {
    let daemon = Daemon::start(&["demo", "--seed", "77", "--listen", "127.0.0.1:0"]);
    let state = daemon.wait("boards are live", Duration::from_secs(15), |state| {
        state["boards"].as_array().is_some_and(|boards| {
            !boards.is_empty() && boards.iter().all(|board| board["state"] == "live")
        })
    });
    assert_eq!(state["scenario"]["seed"], 77);
    assert!(
        state["scenario"]["wheels"][0]["caster_deg"].is_number(),
        "{state:#}"
    );
}
