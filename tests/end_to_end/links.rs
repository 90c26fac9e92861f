//! Boards that go, come back, talk nonsense or are held by somebody else.

use std::fs::File;
use std::time::{Duration, Instant};

use hubplumb_protocol::{Encoder, Reading, WireFormat};
use hubplumb_sim::{Mount, Scenario, wire::Mishearing};
use hubplumb_tests::garage::told_all;
use hubplumb_tests::{Daemon, Garage, Wire, board};
use serde_json::Value;

const SOON: Duration = Duration::from_secs(10);

fn only_board(state: &Value) -> &Value {
    &state["boards"][0]
}

/// What happened, what it means and what to do, whenever a board is not live.
#[track_caller]
fn assert_trouble(board: &Value, code: &str) {
    let trouble = &board["trouble"];
    assert_eq!(trouble["code"], code, "{board:#}");
    for key in ["what", "meaning", "remedy"] {
        assert!(
            trouble[key].as_str().is_some_and(|text| text.len() > 10),
            "{key}: {board:#}"
        );
    }
}

#[test]
fn an_unplugged_board_is_absent_within_a_second_and_comes_back_without_a_restart() {
    let garage = Garage::shipped("garage-good", Some(11));
    let pulled = Instant::now();
    garage.sim.unplug(Mount::FrontLeft).expect("unplugged");
    let state = garage
        .daemon
        .wait("absent", Duration::from_secs(1), |state| {
            board(state, "front_left")["state"] == "absent"
        });
    println!("absent after {:?}", pulled.elapsed());
    assert_trouble(board(&state, "front_left"), "port_absent");
    assert_eq!(board(&state, "front_right")["state"], "live");
    let camber = state["wheels"].as_array().expect("wheels");
    let camber = camber
        .iter()
        .find(|wheel| wheel["mount"] == "front_left")
        .expect("a wheel");
    assert_eq!(
        camber["camber"]["status"], "missing",
        "an old value passes for fresh: {camber:#}"
    );
    assert_eq!(camber["camber"]["reason"], "absent");

    garage.sim.replug(Mount::FrontLeft).expect("plugged in");
    let state = garage.wait_all("live", Duration::from_secs(6));
    assert_eq!(board(&state, "front_left")["trouble"], Value::Null);
    garage.daemon.wait("camber is known again", SOON, |state| {
        state["wheels"]
            .as_array()
            .expect("wheels")
            .iter()
            .all(|wheel| wheel["camber"]["status"] == "known")
    });
}

#[test]
fn a_board_lost_in_a_swing_ends_it_with_the_reason() {
    let garage = Garage::shipped("garage-good", Some(12));
    assert_eq!(
        garage
            .daemon
            .post("/api/v1/swing", &serde_json::json!({}))
            .0,
        202
    );
    garage.daemon.wait(
        "straight ahead is taken",
        Duration::from_secs(15),
        |state| state["swing"]["phase"] == "await_turn",
    );
    garage.sim.unplug(Mount::FrontRight).expect("unplugged");
    let state = garage
        .daemon
        .wait("the swing is refused", Duration::from_secs(3), |state| {
            state["swing"]["phase"] == "refused"
        });
    let trouble = state["swing"]["trouble"].to_string();
    assert!(trouble.contains("right board"), "{trouble}");
}

#[test]
fn a_board_that_falls_silent_is_silent_and_not_absent() {
    let garage = Garage::shipped("garage-good", Some(13));
    garage
        .sim
        .silence(Mount::FrontLeft, true)
        .expect("silenced");
    let state = garage
        .daemon
        .wait("silent", Duration::from_secs(6), |state| {
            board(state, "front_left")["state"] == "silent"
        });
    assert_trouble(board(&state, "front_left"), "silent");
    garage
        .sim
        .silence(Mount::FrontLeft, false)
        .expect("speaking");
    garage.wait_all("live", Duration::from_secs(6));
}

#[test]
fn a_wrong_speed_is_told_as_such_and_the_right_one_is_picked_up_again() {
    let garage = Garage::shipped("garage-good", Some(14));
    let wrong = Mishearing {
        sent_baud: 115_200,
        heard_baud: 57_600,
    };
    garage
        .sim
        .mishear(Mount::FrontRight, Some(wrong))
        .expect("misheard");
    let state = garage.daemon.wait("unreadable", SOON, |state| {
        board(state, "front_right")["state"] == "unreadable"
    });
    assert_trouble(board(&state, "front_right"), "wrong_baud_or_format");
    garage.sim.mishear(Mount::FrontRight, None).expect("heard");
    garage.wait_all("live", SOON);
}

#[test]
fn a_port_that_is_not_there_is_absent_with_a_remedy_and_the_daemon_runs_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let config = "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\nmount = \"front_left\"\n";
    let mut daemon = Daemon::with_config(folder.path(), config);
    let state = daemon.wait("absent", SOON, |state| {
        only_board(state)["state"] == "absent"
    });
    assert_trouble(only_board(&state), "port_absent");
    assert!(
        only_board(&state)["trouble"]["what"]
            .as_str()
            .is_some_and(|what| what.contains("no-such-port"))
    );
    assert!(daemon.is_running());
    assert_eq!(daemon.get("/api/v1/health").0, 200);
}

#[test]
fn a_port_held_by_another_program_is_refused_and_read_as_soon_as_it_is_free() {
    let folder = tempfile::tempdir().expect("a folder");
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let holder = hubplumb_sim::LiveSim::start(scenario, folder.path(), 1.0).expect("a car");
    let port = &holder.boards()[0].path;
    let first = Daemon::with_config(folder.path(), &config_for(port, "csv"));
    first.wait("live", SOON, |state| only_board(state)["state"] == "live");
    let other_folder = tempfile::tempdir().expect("a folder");
    let second = Daemon::with_config(other_folder.path(), &config_for(port, "csv"));
    let state = second.wait("refused", SOON, |state| {
        only_board(state)["state"] == "refused"
    });
    assert_trouble(only_board(&state), "port_in_use");
    drop(first);
    second.wait("live", SOON, |state| only_board(state)["state"] == "live");
}

fn config_for(port: &std::path::Path, format: &str) -> String {
    format!(
        "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"{}\"\nmount = \"front_left\"\n\
         baud = 115200\nformat = \"{format}\"\n",
        port.display()
    )
}

/// A board held by the test: what it sends is known to the frame.
struct HeldBoard {
    wire: Wire,
    encoder: Encoder,
    daemon: Daemon,
    sent: u32,
    _folder: tempfile::TempDir,
}

impl HeldBoard {
    fn new(format: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let wire = Wire::new(folder.path(), "board");
        let daemon = Daemon::with_config(folder.path(), &config_for(wire.path(), format));
        let encoder = Encoder::new(&WireFormat::from_name(format, None).expect("a format"));
        Self {
            wire,
            encoder,
            daemon,
            sent: 0,
            _folder: folder,
        }
    }

    /// Starts like a board that is reset until its header has come through: what
    /// was sent before the daemon had opened the port is lost.
    fn start(&mut self) {
        let began = Instant::now();
        while only_board(&self.daemon.state())["state"] != "live" {
            let state = self.daemon.state();
            assert!(began.elapsed() < SOON, "{:#}", only_board(&state));
            let mut preamble = Vec::new();
            self.encoder.preamble(&mut preamble);
            self.wire.send(&preamble);
            self.send_readings(10);
        }
    }

    fn send_readings(&mut self, count: u32) {
        for _ in 0..count {
            self.sent += 1;
            let reading = Reading {
                device_time_us: Some(f64::from(self.sent) * 10_000.0),
                accel_g: Some([0.0, 0.0, 1.0]),
                rate_radps: Some([0.0; 3]),
                temperature_c: Some(20.0),
                ..Reading::default()
            };
            let mut bytes = Vec::new();
            self.encoder.encode(&reading, &mut bytes);
            self.wire.send(&bytes);
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    /// Good frames once the count has stood still for half a second.
    fn good(&self) -> u64 {
        let mut last = u64::MAX;
        loop {
            let now = only_board(&self.daemon.state())["good_frames"]
                .as_u64()
                .expect("a count");
            if now == last {
                return now;
            }
            last = now;
            std::thread::sleep(Duration::from_millis(500));
        }
    }
}

/// After noise that ends where a frame can begin, every frame counts again.
fn loses_nothing_after(format: &str, noise: &[u8]) {
    let mut held = HeldBoard::new(format);
    held.start();
    let before = held.good();
    held.wire.send(noise);
    held.send_readings(60);
    let state = held.daemon.wait("all are counted", SOON, |state| {
        only_board(state)["good_frames"].as_u64() >= Some(before + 60)
    });
    assert_eq!(held.good(), before + 60, "{:#}", only_board(&state));
    let bad = only_board(&state)["bad_frames"]
        .as_array()
        .expect("reasons");
    assert!(
        !bad.is_empty(),
        "the noise was not counted: {:#}",
        only_board(&state)
    );
    assert_eq!(only_board(&state)["state"], "live");
}

#[test]
fn no_good_line_is_lost_after_garbage_in_csv() {
    loses_nothing_after("csv", b"\xff\x00\x13garbage,,1e,\r\n");
}

#[test]
fn no_good_line_is_lost_after_garbage_in_labelled_lines() {
    loses_nothing_after("labelled", b"\xfe\xfe:::=;;\r\n");
}

#[test]
fn no_good_line_is_lost_after_garbage_in_json_lines() {
    loses_nothing_after("json-lines", b"{\"ax\":[[[\r\n");
}

#[test]
fn no_good_frame_is_lost_after_garbage_in_binary() {
    // A false start of a frame right before a true one.
    loses_nothing_after("ahrs55", b"\x00\x55\x51\x01\x02\x55\x55\x99");
}

#[test]
fn nonsense_alone_is_unreadable_and_sense_is_understood_again() {
    let mut held = HeldBoard::new("csv");
    let began = Instant::now();
    while only_board(&held.daemon.state())["state"] != "unreadable" {
        assert!(
            began.elapsed() < SOON,
            "{:#}",
            only_board(&held.daemon.state())
        );
        held.wire.send(b"no numbers here\n");
        std::thread::sleep(Duration::from_millis(20));
    }
    assert_trouble(only_board(&held.daemon.state()), "wrong_baud_or_format");
    held.wire.send(b"t_us,ax,ay,az,gx,gy,gz,temp\n");
    held.send_readings(200);
    held.daemon
        .wait("live", SOON, |state| only_board(state)["state"] == "live");
}

#[test]
fn a_port_that_is_no_serial_line_is_refused_with_a_remedy() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("plain-file");
    File::create(&file).expect("a file");
    let daemon = Daemon::with_config(folder.path(), &config_for(&file, "csv"));
    let state = daemon.wait("refused", SOON, |state| {
        only_board(state)["state"] == "refused"
    });
    assert_trouble(only_board(&state), "not_a_serial_port");
}

#[test]
fn garbage_between_readings_of_a_running_car_costs_no_board() {
    let scenario = Scenario::shipped("garage-good").expect("shipped");
    let garage = Garage::open(scenario, &told_all);
    for _ in 0..20 {
        garage
            .sim
            .garbage(Mount::FrontLeft, b"\x80\xff noise \n")
            .expect("sent");
        std::thread::sleep(Duration::from_millis(50));
    }
    let state = garage.daemon.wait("bad frames are counted", SOON, |state| {
        board(state, "front_left")["bad_frames"]
            .as_array()
            .is_some_and(|bad| !bad.is_empty())
    });
    assert_eq!(board(&state, "front_left")["state"], "live");
}

#[test]
fn a_board_that_tells_angles_only_shows_camber() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut wire = Wire::new(folder.path(), "board");
    let config = config_for(wire.path(), "json-lines")
        + "mounting = { outboard = \"+z\", up = \"+y\" }\nchip = \"angles\"\n";
    let daemon = Daemon::with_config(folder.path(), &config);
    let began = Instant::now();
    // Y up is 90° of roll; one more, and Z, which points outboard, dips by it: top out.
    let camber = |state: &Value| state["wheels"][0]["camber"].clone();
    let mut sent = 0;
    while camber(&daemon.state())["value_deg"].is_null() {
        assert!(began.elapsed() < SOON, "{:#}", daemon.state());
        for _ in 0..20 {
            sent += 20_000;
            let line = format!(
                "{{\"t_us\":{sent},\"roll_deg\":91.0,\"pitch_deg\":0.0,\"yaw_deg\":5.0}}\n"
            );
            wire.send(line.as_bytes());
            std::thread::sleep(Duration::from_millis(5));
        }
    }
    let camber = camber(&daemon.state());
    let value_deg = camber["value_deg"].as_f64().expect("a value");
    assert!((value_deg - 1.0).abs() < 0.01, "{camber:#}");
    assert_eq!(camber["sense"], "top out", "{camber:#}");
}
