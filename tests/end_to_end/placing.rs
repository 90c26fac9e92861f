//! From an empty daemon to boards that are placed: found, named by taps, told how they sit,
//! moved while the daemon runs; and the practice with a simulated car.

use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::time::Duration;

use hubplumb_sim::{LiveSim, Mount, Scenario, Script, Step, Wheel};
use hubplumb_tests::{Daemon, board, run};
use serde_json::{Value, json};
use tempfile::TempDir;

const SOON: Duration = Duration::from_secs(40);
/// A tap of a finger on a board, g.
const TAP_G: f64 = 1.5;

/// A car whose boards lie behind names that say nothing, and a daemon without configuration.
struct Unknown {
    sim: LiveSim,
    daemon: Daemon,
    folder: TempDir,
}

/// What the daemon sees of the board of a mount: a name that does not give it away.
fn id(mount: Mount) -> &'static str {
    match mount {
        Mount::FrontLeft => "port-c",
        Mount::FrontRight => "port-a",
        Mount::RearLeft => "port-e",
        Mount::RearRight => "port-b",
        Mount::Body => "port-d",
    }
}

fn start(folder: &Path) -> Daemon {
    let path = |name: &str| folder.join(name).to_string_lossy().into_owned();
    let (ports, store, journal) = (path("seen"), path("store"), path("journals"));
    Daemon::start(&[
        "run",
        "--listen",
        "127.0.0.1:0",
        "--ports",
        &ports,
        "--store",
        &store,
        "--journal",
        &journal,
    ])
}

impl Unknown {
    #[track_caller]
    fn open(scenario: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let scenario = Scenario::shipped(scenario).expect("shipped");
        println!("scenario {}, seed {}", scenario.name(), scenario.seed());
        let sim = LiveSim::start(scenario, &folder.path().join("ports"), 1.0).expect("the car");
        let seen = folder.path().join("seen");
        fs::create_dir(&seen).expect("a folder");
        for board in sim.boards() {
            symlink(&board.path, seen.join(id(board.mount))).expect("a link");
        }
        let daemon = start(folder.path());
        let unknown = Self {
            sim,
            daemon,
            folder,
        };
        unknown.wait_live();
        unknown
    }

    #[track_caller]
    fn wait_live(&self) {
        let count = self.sim.boards().len();
        self.daemon.wait("every board live", SOON, |state| {
            let boards = state["boards"].as_array().expect("boards");
            boards.len() == count && boards.iter().all(|board| board["state"] == "live")
        });
    }

    fn act(&self, step: Step) {
        self.sim
            .drive(&Script::new(vec![step]))
            .expect("it can be done");
    }

    #[track_caller]
    fn granted(&self, path: &str, body: &Value) -> Value {
        let (status, answer) = self.daemon.post(path, body);
        assert!((200..300).contains(&status), "{path}: {answer:#}");
        answer
    }

    /// Taps the board that is on a mount when it is asked for.
    #[track_caller]
    fn tap(&self, wanted: &str, mount: Mount) {
        let asked = format!("{wanted} is asked for");
        self.daemon.wait(&asked, SOON, |state| {
            state["setup"]["naming"]["mount"] == wanted
        });
        // A person reads, reaches out, and taps.
        std::thread::sleep(Duration::from_millis(1200));
        self.act(Step::Tap {
            mount,
            peak_g: TAP_G,
        });
        self.daemon
            .wait(&format!("{wanted} is named"), SOON, |state| {
                let named = state["setup"]["naming"]["named"]
                    .as_array()
                    .expect("a list");
                named
                    .iter()
                    .any(|one| one["mount"] == wanted && one["board"] == id(mount))
            });
    }

    #[track_caller]
    fn say_outboard(&self, mount: Mount) -> Value {
        self.daemon.wait("it rests", SOON, |state| {
            !board(state, mount.name())["up_now"].is_null()
        });
        let body = json!({ "board": id(mount), "mount": mount.name(), "outboard": "+z" });
        self.granted("/api/v1/setup/seat", &body)
    }
}

fn camber<'a>(state: &'a Value, mount: &str) -> &'a Value {
    let wheels = state["wheels"].as_array().expect("wheels");
    let wheel = wheels.iter().find(|wheel| wheel["mount"] == mount);
    wheel.map_or(&Value::Null, |wheel| &wheel["camber"])
}

#[test]
fn four_boards_are_named_by_four_taps_and_a_slammed_door_names_none() {
    let car = Unknown::open("bent-knuckle");
    let state = car.daemon.state();
    assert!(
        state["wheels"].as_array().expect("wheels").is_empty(),
        "{state:#}"
    );
    car.granted("/api/v1/setup/naming", &json!({}));
    std::thread::sleep(Duration::from_millis(1500));
    car.act(Step::Slam { peak_g: TAP_G });
    let state = car.daemon.wait("the door is heard", SOON, |state| {
        !state["setup"]["naming"]["heard"].is_null()
    });
    assert_eq!(
        state["setup"]["naming"]["heard"]["result"], "alike",
        "{state:#}"
    );
    assert_eq!(state["setup"]["naming"]["named"], json!([]));

    for mount in [
        Mount::FrontLeft,
        Mount::FrontRight,
        Mount::RearLeft,
        Mount::RearRight,
    ] {
        car.tap(mount.name(), mount);
    }
    car.granted("/api/v1/setup/naming/skip", &json!({}));
    let truth = car.sim.truth();
    for wheel in Wheel::ALL {
        let placed = car.say_outboard(Mount::from(wheel));
        // Which arrow is up was felt.
        assert!(placed["sits"]["up"].is_string(), "{placed:#}");
        let state = car.daemon.wait("camber is live", SOON, |state| {
            camber(state, wheel.name())["status"] == "known"
        });
        let found = camber(&state, wheel.name());
        let number = |key: &str| found[key].as_f64().expect("a number");
        let true_deg = truth.wheel(wheel).expect("a wheel").camber_deg;
        let off_deg = (number("value_deg") - true_deg).abs();
        assert!(
            off_deg < number("expanded_deg"),
            "{wheel}: {off_deg}° off, {found:#}"
        );
    }

    // After a start everything is where it was said to be.
    let Unknown {
        sim,
        daemon,
        folder,
    } = car;
    drop(daemon);
    let car = Unknown {
        daemon: start(folder.path()),
        sim,
        folder,
    };
    car.wait_live();
    let state = car.daemon.wait("camber is live again", SOON, |state| {
        Wheel::ALL
            .iter()
            .all(|wheel| camber(state, wheel.name())["status"] == "known")
    });
    assert_eq!(board(&state, "rear_left")["id"], id(Mount::RearLeft));
}

#[test]
fn boards_go_from_the_front_hubs_to_the_rear_in_the_middle_of_a_job_and_the_journal_knows() {
    let car = Unknown::open("garage-good");
    let fronts = [Mount::FrontLeft, Mount::FrontRight];
    car.granted("/api/v1/setup/naming", &json!({}));
    for mount in fronts {
        car.tap(mount.name(), mount);
    }
    for mount in fronts {
        car.say_outboard(mount);
    }
    let heights = json!({ "front_left_mm": 0, "front_right_mm": 3, "rear_left_mm": 0, "rear_right_mm": 3,
        "standard_mm": 1, "track_front_mm": 1500, "track_rear_mm": 1500, "wheelbase_mm": 2500 });
    car.granted("/api/v1/floor/heights", &heights);

    // A whole swing, and a board that it uses is not moved meanwhile.
    car.granted("/api/v1/swing", &json!({}));
    let moved = json!({ "board": id(Mount::FrontLeft), "mount": "rear_left" });
    let (status, problem) = car.daemon.post("/api/v1/setup/seat", &moved);
    assert_eq!(
        (status, problem["code"].as_str()),
        (409, Some("board_in_use")),
        "{problem:#}"
    );
    car.sim
        .drive(car.sim.scenario().script())
        .expect("a script");
    let state = car
        .daemon
        .wait("the swing is over", Duration::from_secs(120), |state| {
            ["done", "refused"]
                .iter()
                .any(|phase| state["swing"]["phase"] == **phase)
        });
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    let findings = state["findings"].clone();

    let other = json!({ "board": id(Mount::FrontRight), "mount": "front_left" });
    let (status, problem) = car.daemon.post("/api/v1/setup/seat", &other);
    assert_eq!(
        (status, problem["code"].as_str()),
        (409, Some("occupied")),
        "{problem:#}"
    );
    for (mount, wheel) in [
        (Mount::FrontLeft, Wheel::RearLeft),
        (Mount::FrontRight, Wheel::RearRight),
    ] {
        car.act(Step::MoveBoard {
            mount,
            wheel,
            over_s: 2.0,
        });
        let body = json!({ "board": id(mount), "mount": wheel.name() });
        let placed = car.granted("/api/v1/setup/seat", &body);
        assert_eq!(
            placed["sits"]["outboard"], "+z",
            "the same hands on the same side"
        );
    }
    let state = car.daemon.wait("the rear is live", SOON, |state| {
        ["rear_left", "rear_right"]
            .iter()
            .all(|mount| camber(state, mount)["status"] == "known")
    });
    assert!(camber(&state, "front_left").is_null(), "{state:#}");
    assert_eq!(state["findings"], findings, "what was found stays");
    assert_eq!(
        state["levelling"]["floor"]["by"], "heights",
        "the floor stays surveyed"
    );
    let turned: Vec<_> = state["levelling"]["run_outs"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|run_out| run_out["mount"].clone())
        .collect();
    assert_eq!(turned, [json!("rear_left"), json!("rear_right")]);

    let Unknown { daemon, folder, .. } = car;
    let mut daemon = daemon;
    daemon.end(Duration::from_secs(10));
    let journal = fs::read_dir(folder.path().join("journals"))
        .expect("journals")
        .flatten()
        .next();
    let journal = journal.expect("a journal").path();
    let replayed = run(
        &["replay", &journal.to_string_lossy()],
        Duration::from_secs(120),
    );
    assert_eq!(replayed.code, Some(0), "{replayed:#?}");
    assert!(!replayed.stdout.is_empty());
}

/// Waits until a state under that address is as wanted.
type Waiting<'a> = dyn Fn(&str, &dyn Fn(&Value) -> bool) -> Value + 'a;

/// A visit, a swing that the simulated car follows by itself, and shims.
fn practise(daemon: &Daemon, wait: &Waiting<'_>) {
    let (status, _, cars) = daemon.get("/practice/api/v1/cars");
    let cars: Value = serde_json::from_str(&cars).expect("JSON");
    assert_eq!(status, 200);
    let car = cars[0]["id"].as_i64().expect("a car to practise on");
    let (status, visit) = daemon.post("/practice/api/v1/visits", &json!({ "car": car }));
    assert_eq!(status, 201, "{visit:#}");
    let (status, answer) = daemon.post("/practice/api/v1/swing", &json!({}));
    assert_eq!(status, 202, "{answer:#}");
    let state = wait("the swing is over", &|state| {
        ["done", "refused"]
            .iter()
            .any(|phase| state["swing"]["phase"] == **phase)
    });
    assert_eq!(state["swing"]["phase"], "done", "{:#}", state["swing"]);
    assert!(!state["findings"].as_array().expect("findings").is_empty());

    // Shims are added: the car follows what is written into the visit.
    let leans_deg = |state: &Value| camber(state, "front_left")["value_deg"].as_f64();
    let before_deg =
        leans_deg(&wait("camber", &|state| leans_deg(state).is_some())).expect("camber");
    let moved = json!({ "ask": "shims", "what": { "entry": "moved", "adjuster": "upper_arm_shims",
        "corner": "front_left", "amount": [4.0, 4.0], "seen_to": ["settled"] } });
    let path = format!("/practice/api/v1/visits/{}/entries", visit["id"]);
    let (status, answer) = daemon.post(&path, &moved);
    assert_eq!(status, 200, "{answer:#}");
    wait("the top goes out", &|state| {
        leans_deg(state).is_some_and(|now_deg| now_deg > before_deg + 0.5)
    });
}

#[test]
fn a_practice_is_apart_from_everything_real_and_leaves_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::create_dir(folder.path().join("seen")).expect("a folder");
    let daemon = start(folder.path());
    let (status, answer) = daemon.post("/api/v1/practice", &json!({}));
    assert_eq!(status, 201, "{answer:#}");
    let (status, problem) = daemon.post("/api/v1/practice", &json!({}));
    assert_eq!(
        (status, problem["code"].as_str()),
        (409, Some("practice_running")),
        "{problem:#}"
    );
    let inner = || -> Value {
        let (status, _, body) = daemon.get("/practice/api/v1/state");
        assert_eq!(status, 200, "{body}");
        serde_json::from_str(&body).expect("JSON")
    };
    let wait = |what: &str, wanted: &dyn Fn(&Value) -> bool| {
        let began = std::time::Instant::now();
        loop {
            let state = inner();
            if wanted(&state) {
                return state;
            }
            assert!(
                began.elapsed() < Duration::from_secs(150),
                "{what}: {state:#}"
            );
            std::thread::sleep(Duration::from_millis(100));
        }
    };
    let state = wait("boards live", &|state| {
        let boards = state["boards"].as_array().expect("boards");
        boards.len() == 5 && boards.iter().all(|board| board["state"] == "live")
    });
    assert_eq!(state["setup"]["practice"], "inside");
    assert!(state["scenario"].is_object());
    let (status, _, page) = daemon.get("/practice/");
    assert!(status == 200 && page.contains("<html"), "{page}");
    let (status, problem) = daemon.post("/practice/api/v1/practice", &json!({}));
    assert_eq!(status, 409, "no practice in a practice: {problem:#}");

    practise(&daemon, &wait);

    // Nothing of it is real.
    let outer = daemon.state();
    assert_eq!(outer["setup"]["practice"], "running");
    assert!(
        outer["boards"].as_array().expect("boards").is_empty(),
        "{outer:#}"
    );
    assert!(outer["findings"].as_array().expect("findings").is_empty());
    let (_, _, cars) = daemon.get("/api/v1/cars");
    assert_eq!(cars.trim(), "[]");

    let (status, answer) = daemon.post("/practice/api/v1/practice/end", &json!({}));
    assert_eq!(status, 200, "{answer:#}");
    daemon.wait("the practice is over", SOON, |state| {
        state["setup"]["practice"] == "off"
    });
    let (status, _, _) = daemon.get("/practice/api/v1/state");
    assert_eq!(status, 409);
    let mut kept: Vec<_> = fs::read_dir(folder.path().join("store"))
        .expect("the store")
        .flatten()
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .filter(|name| !name.starts_with("hubplumb") && !name.starts_with("visits"))
        .collect();
    kept.sort();
    assert_eq!(
        kept,
        ["daemon.lock"],
        "the real store holds its own empty file, its lock and nothing else"
    );
}
