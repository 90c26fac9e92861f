//! The daemon under a service manager: signs of life, the log, and an end in time whatever goes on.

use std::fmt::Write as _;
use std::io::{BufRead as _, BufReader};
use std::net::TcpListener;
use std::os::unix::net::{UnixDatagram, UnixListener};
use std::process::{Command, Stdio};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Scenario, Script};
use hubplumb_tests::garage::{sits_square, told_all};
use hubplumb_tests::program::program;
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Wire, board};
use serde_json::{Value, json};

const SOON: Duration = Duration::from_secs(20);
/// What a manager is promised.
const END: Duration = Duration::from_secs(2);

const NO_BOARD: &str =
    "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n";

/// What a manager was told, up to a line that begins so.
fn told_until(manager: &UnixDatagram, wanted: &str, at_most: Duration) -> Vec<String> {
    let began = Instant::now();
    let mut told = Vec::new();
    let mut buffer = [0; 512];
    manager
        .set_read_timeout(Some(Duration::from_millis(100)))
        .expect("a limit");
    while began.elapsed() < at_most {
        if let Ok(length) = manager.recv(&mut buffer) {
            let text = String::from_utf8_lossy(&buffer[..length]).into_owned();
            told.extend(text.lines().map(str::to_owned));
            if told.iter().any(|line| line.starts_with(wanted)) {
                return told;
            }
        }
    }
    panic!("never {wanted}: {told:?}");
}

#[test]
fn a_manager_is_told_that_it_is_there_lives_and_ends() {
    let folder = tempfile::tempdir().expect("a folder");
    let socket = folder.path().join("manager");
    let manager = UnixDatagram::bind(&socket).expect("a socket");
    let config = write_config(folder.path(), NO_BOARD);
    let mut daemon = Daemon::start_in(
        &["run", "--config", &config.to_string_lossy()],
        &[
            ("NOTIFY_SOCKET", &socket.to_string_lossy()),
            ("WATCHDOG_USEC", "900000"),
        ],
    );
    let told = told_until(&manager, "READY=1", SOON);
    assert!(!told.iter().any(|line| line == "WATCHDOG=1"), "{told:?}");
    // Three signs within the time that was set.
    for _ in 0..5 {
        told_until(&manager, "WATCHDOG=1", SOON);
    }
    assert_eq!(daemon.end_by("TERM", END), Some(0));
    told_until(&manager, "STOPPING=1", END);
}

#[test]
fn a_watchdog_of_another_process_is_not_served() {
    let folder = tempfile::tempdir().expect("a folder");
    let socket = folder.path().join("manager");
    let manager = UnixDatagram::bind(&socket).expect("a socket");
    let config = write_config(folder.path(), NO_BOARD);
    let mut daemon = Daemon::start_in(
        &["run", "--config", &config.to_string_lossy()],
        &[
            ("NOTIFY_SOCKET", &socket.to_string_lossy()),
            ("WATCHDOG_USEC", "300000"),
            ("WATCHDOG_PID", "1"),
        ],
    );
    told_until(&manager, "READY=1", SOON);
    thread::sleep(Duration::from_millis(800));
    assert_eq!(daemon.end_by("TERM", END), Some(0));
    let told = told_until(&manager, "STOPPING=1", END);
    assert_eq!(told, ["STOPPING=1"]);
}

/// Two boards of a car that swings, and beside them every kind of link that hangs.
fn a_busy_daemon(folder: &std::path::Path) -> (LiveSim, Daemon, Vec<Box<dyn std::any::Any>>) {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let sim = LiveSim::start(scenario, &folder.join("ports"), 1.0).expect("the car");
    let silent = Wire::new(folder, "silent");
    let unanswered = Wire::new(folder, "unanswered");
    let mute = TcpListener::bind("127.0.0.1:0").expect("a port");
    let bus = folder.join("bus");
    let hanging_bus = UnixListener::bind(&bus).expect("a socket");
    let mut config = "[http]\nlisten = \"127.0.0.1:0\"\n".to_owned();
    for board in sim.boards() {
        write!(
            config,
            "[[board]]\nport = \"{}\"\nmount = \"{}\"\nchip = \"good\"\n{}{}",
            board.port,
            board.mount,
            told_all(board),
            sits_square(board)
        )
        .expect("a string takes text");
    }
    write!(
        config,
        "[[board]]\nport = \"{}\"\nbaud = 115200\nformat = \"csv\"\n\
         [[board]]\nport = \"{}\"\nbaud = 115200\nformat = \"bno055\"\n\
         [[board]]\nport = \"tcp:{}\"\n\
         [[board]]\nport = \"ble:nobody\"\n",
        silent.path().display(),
        unanswered.path().display(),
        mute.local_addr().expect("its address"),
    )
    .expect("a string takes text");
    let config = write_config(folder, &config);
    let address = format!("unix:path={}", bus.display());
    let store = folder.join("store");
    let daemon = Daemon::start_on_bus(
        &[
            "run",
            "--config",
            &config.to_string_lossy(),
            "--store",
            &store.to_string_lossy(),
        ],
        Some(&address),
    );
    let held: Vec<Box<dyn std::any::Any>> = vec![
        Box::new(silent),
        Box::new(unanswered),
        Box::new(mute),
        Box::new(hanging_bus),
    ];
    (sim, daemon, held)
}

#[test]
fn it_ends_in_time_with_streams_open_a_swing_running_and_links_that_hang() {
    for signal in ["TERM", "INT"] {
        let folder = tempfile::tempdir().expect("a folder");
        let (sim, mut daemon, _held) = a_busy_daemon(folder.path());
        daemon.wait("both wheels are live", SOON, |state| {
            board(state, "front_left")["state"] == "live"
                && board(state, "front_right")["state"] == "live"
        });
        let streams = [daemon.stream(), daemon.stream(), daemon.traces()];
        for stream in &streams {
            stream.next(SOON);
        }
        let (status, answer) = daemon.post("/api/v1/swing", &json!({ "steer_source": "gyro" }));
        assert_eq!(status, 202, "{answer}");
        sim.drive(&Script::rest(30.0)).expect("driven");
        daemon.wait("a rest is held", SOON, |state| {
            state["swing"]["held_s"].as_f64().is_some_and(|s| s > 0.5)
        });
        let began = Instant::now();
        assert_eq!(daemon.end_by(signal, END), Some(0), "{signal}");
        println!("SIG{signal}: ended after {:?}", began.elapsed());
        drop(streams);
    }
}

/// The signal of a terminal that is closed: it ends as on any other, but where it was told to ignore it.
#[test]
fn it_ends_with_its_terminal_unless_that_is_to_be_ignored() {
    for (as_started, ends) in [
        ("--default-signal=HUP", true),
        ("--ignore-signal=HUP", false),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut child = Command::new("env")
            .arg(as_started)
            .arg(program())
            .args(["run", "--config"])
            .arg(write_config(folder.path(), NO_BOARD))
            .arg("--store")
            .arg(folder.path())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("env of coreutils 8.31 or newer");
        let mut said = String::new();
        BufReader::new(child.stdout.take().expect("piped"))
            .read_line(&mut said)
            .expect("it says where it is");
        let hang_up = Command::new("kill")
            .args(["-HUP", &child.id().to_string()])
            .status();
        assert!(hang_up.expect("kill runs").success());
        let began = Instant::now();
        let ended = loop {
            match child.try_wait().expect("a child") {
                None if began.elapsed() < END => thread::sleep(Duration::from_millis(10)),
                ended => break ended,
            }
        };
        let _ = child.kill();
        let _ = child.wait();
        let code = ended.map(|status| status.code());
        assert_eq!(code, ends.then_some(Some(0)), "{as_started}: {said}");
    }
}

#[test]
fn the_log_is_one_object_a_line_where_that_is_wanted() {
    let folder = tempfile::tempdir().expect("a folder");
    let written = format!("[log]\nformat = \"json\"\nfilter = \"hubplumb=debug\"\n{NO_BOARD}");
    let config = write_config(folder.path(), &written);
    let config = config.to_string_lossy();
    // The configuration has a say, and the command line the last word.
    for (arguments, is_json) in [
        (&["run", "--config", &config][..], true),
        (&["run", "--config", &config, "--log-format", "text"], false),
    ] {
        let mut daemon = Daemon::start(arguments);
        daemon.wait("absent", SOON, |state| {
            state["boards"][0]["state"] == "absent"
        });
        daemon.end_by("TERM", END);
        let printed = daemon.printed();
        let objects: Vec<Value> = printed
            .lines()
            .filter_map(|line| serde_json::from_str(line).ok())
            .collect();
        if !is_json {
            assert!(objects.is_empty(), "{printed}");
            assert!(printed.contains(" INFO hubplumb::"), "{printed}");
            continue;
        }
        let link = objects.iter().find(|object| object["message"] == "link");
        let link = link.unwrap_or_else(|| panic!("{printed}"));
        assert_eq!(link["level"], "INFO");
        assert_eq!(link["port"], "/dev/no-such-port");
        assert!(
            link["target"]
                .as_str()
                .is_some_and(|target| target.starts_with("hubplumb::"))
        );
        assert!(link["timestamp"].is_string());
        assert!(!printed.contains(" INFO "), "{printed}");
    }
}
