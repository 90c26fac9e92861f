//! What the program said it kept is there after it was killed at any moment.

use std::process::Command;
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_tests::Daemon;
use hubplumb_tests::killing::{Killing, check_file};
use hubplumb_tests::running::write_config;
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};
use ureq::Agent;

const SEED: u64 = 815;
const KILLS: u32 = 15;

/// Adds notes to a visit until nobody answers any more. Tells each name that was answered, and
/// gives back the one that was not.
fn add_until_it_is_gone(address: &str, life: u32, answered: &mpsc::Sender<String>) -> String {
    let agent: Agent = Agent::config_builder()
        .timeout_global(Some(Duration::from_secs(10)))
        .http_status_as_error(false)
        .build()
        .into();
    for number in 0_u32.. {
        let name = format!("{life}-{number}");
        let wish = json!({ "ask": name, "what": { "entry": "note", "text": name } });
        let answer = agent
            .post(format!("{address}/api/v1/visits/1/entries"))
            .send_json(&wish)
            .map(|answer| answer.status().as_u16());
        match answer {
            Ok(200) => answered.send(name).expect("somebody counts"),
            Ok(status) => panic!("{name} was refused with {status}"),
            Err(_) => return name,
        }
    }
    unreachable!("the loop ends with the daemon")
}

fn notes(daemon: &Daemon) -> Vec<String> {
    let (status, _, body) = daemon.get("/api/v1/visits/1");
    assert_eq!(status, 200, "{body}");
    let visit: Value = serde_json::from_str(&body).expect("JSON");
    let notes = visit["notes"].as_array().expect("notes");
    notes
        .iter()
        .map(|note| note["text"].as_str().expect("a text").to_owned())
        .collect()
}

#[test]
fn every_entry_that_was_answered_outlives_the_program_being_killed() {
    let folder = tempfile::tempdir().expect("a folder");
    // Named and not there: no port of this machine is touched.
    let config = "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n";
    let config = write_config(folder.path(), config);
    let (config, store) = (config.to_string_lossy(), folder.path().join("store"));
    let store = store.to_string_lossy();
    let start = || Daemon::start(&["run", "--config", &config, "--store", &store]);
    let mut random = ChaCha8Rng::seed_from_u64(SEED);

    let mut daemon = start();
    assert_eq!(
        daemon.post("/api/v1/cars", &json!({ "name": "Wicket" })).0,
        201
    );
    assert_eq!(daemon.post("/api/v1/visits", &json!({ "car": 1 })).0, 201);
    let mut expected: Vec<String> = Vec::new();
    for life in 0..KILLS {
        let (tell, told) = mpsc::channel();
        let address = daemon.address().to_owned();
        let adding = thread::spawn(move || add_until_it_is_gone(&address, life, &tell));
        // Some entries, then anywhere within the next one.
        for _ in 0..random.random_range(0..12) {
            expected.push(told.recv().expect("an answer"));
        }
        let moment = Instant::now() + Duration::from_micros(random.random_range(0..8000));
        while Instant::now() < moment {
            std::hint::spin_loop();
        }
        let killed = Command::new("kill")
            .args(["-KILL", &daemon.pid().to_string()])
            .status();
        assert!(killed.expect("kill runs").success());
        let last = adding.join().expect("the adding thread");
        expected.extend(told.try_iter());

        daemon = start();
        let found = notes(&daemon);
        // The one that was under way may be there or not, whole and once.
        let under_way = found.len() == expected.len() + 1;
        let rest = if under_way {
            &found[..expected.len()]
        } else {
            &found[..]
        };
        assert_eq!(rest, expected, "after kill {life}, seed {SEED}");
        if under_way {
            assert_eq!(found.last(), Some(&last), "after kill {life}, seed {SEED}");
        }
        // Asked again under the same name it is there exactly once.
        let wish = json!({ "ask": last, "what": { "entry": "note", "text": last } });
        assert_eq!(daemon.post("/api/v1/visits/1/entries", &wish).0, 200);
        expected.push(last);
        assert_eq!(notes(&daemon), expected, "after kill {life}, seed {SEED}");
    }
    assert!(expected.len() > 40, "only {} entries", expected.len());
}

/// Every kind of step of a visit, and the daemon killed in each of them.
#[test]
fn whole_visits_outlive_the_program_being_killed_in_any_step() {
    const SEED: u64 = 7;
    const KILLS: u64 = 30;
    println!(
        "seed {SEED}; for more: cargo run -p hubplumb-tests --bin kill-run -- --seed {SEED} --kills 300"
    );
    let mut killing = Killing::begin(SEED);
    for life in 0..KILLS {
        killing.live(life);
    }
    check_file(&killing.store());
    println!("{:#?}", killing.kills);
    assert!(killing.kills.kills.len() >= 6, "{:?}", killing.kills.kills);
    assert!(killing.kills.confirmed > 100, "{:?}", killing.kills);
}
