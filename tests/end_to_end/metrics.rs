//! What the daemon tells of itself to whoever watches over it, read by a parser that is not ours.

use std::fs;
use std::time::{Duration, Instant};

use hubplumb_sim::Mount;
use hubplumb_tests::{Daemon, Garage, Wire, board};
use prometheus_parse::{Scrape, Value};
use serde_json::Value as Json;

const SOON: Duration = Duration::from_secs(15);

/// Everything that is told, by an independent reader of the format.
struct Told(Scrape);

impl Told {
    fn by(daemon: &Daemon) -> Self {
        let (status, kind, text) = daemon.get("/metrics");
        assert_eq!(status, 200, "{text}");
        assert!(kind.starts_with("text/plain; version=0.0.4"), "{kind}");
        let lines = text.lines().map(|line| Ok(line.to_owned()));
        let told = Self(Scrape::parse(lines).expect("the format is understood"));
        // Nothing may be passed over in silence: every line is a sample, or one of a histogram.
        let samples = text.lines().filter(|line| !line.starts_with('#'));
        let of_histogram = samples
            .clone()
            .filter(|line| line.starts_with("hubplumb_snapshot_latency_seconds_"));
        assert_eq!(
            told.0.samples.len(),
            samples.count() - of_histogram.count() + told.histograms(),
            "{text}"
        );
        told
    }

    fn histograms(&self) -> usize {
        let is_histogram = |value: &Value| matches!(value, Value::Histogram(_));
        // Its sum and count are samples of their own.
        3 * self
            .0
            .samples
            .iter()
            .filter(|s| is_histogram(&s.value))
            .count()
    }

    /// The value with these labels.
    fn value(&self, name: &str, labels: &[(&str, &str)]) -> Option<f64> {
        let fits = |sample: &&prometheus_parse::Sample| {
            sample.metric == name
                && labels
                    .iter()
                    .all(|(label, value)| sample.labels.get(label) == Some(value))
        };
        let found: Vec<_> = self.0.samples.iter().filter(fits).collect();
        assert!(found.len() < 2, "{name} {labels:?}: {found:?}");
        match found.first()?.value {
            Value::Counter(value) | Value::Gauge(value) | Value::Untyped(value) => Some(value),
            ref other => panic!("{name} is {other:?}"),
        }
    }

    fn sum(&self, name: &str) -> f64 {
        let values = self.0.samples.iter().filter(|s| s.metric == name);
        values
            .map(|sample| match sample.value {
                Value::Counter(value) | Value::Gauge(value) => value,
                ref other => panic!("{name} is {other:?}"),
            })
            .sum()
    }
}

/// Waits until a figure is as wanted.
#[track_caller]
fn wait(daemon: &Daemon, what: &str, wanted: impl Fn(&Told) -> bool) -> Told {
    let began = Instant::now();
    loop {
        let told = Told::by(daemon);
        if wanted(&told) {
            return told;
        }
        assert!(began.elapsed() < SOON, "not so: {what}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

fn start(folder: &std::path::Path, boards: &str) -> Daemon {
    Daemon::with_config(
        folder,
        &format!("[http]\nlisten = \"127.0.0.1:0\"\n{boards}"),
    )
}

#[test]
fn good_and_bad_frames_are_those_that_were_sent() {
    const HEADER: &[u8] = b"t_us,ax,ay,az,gx,gy,gz,temp\n";
    const GOOD: u64 = 250;
    const SHORT: u64 = 7;
    let folder = tempfile::tempdir().expect("a folder");
    let mut wire = Wire::new(folder.path(), "wire");
    let port = wire.path().display();
    let boards = format!(
        "[[board]]\nport = \"{port}\"\nmount = \"front_left\"\nbaud = 115200\nformat = \"csv\"\n"
    );
    let daemon = start(folder.path(), &boards);
    let id = wire.path().to_string_lossy().into_owned();
    let of = [("board", id.as_str())];
    daemon.wait("the port is open", SOON, |state| {
        state["boards"][0]["state"] != "absent" && state["boards"][0]["format"] == "csv"
    });
    let mut sent = HEADER.len();
    wire.send(HEADER);
    for nth in 0..GOOD {
        let line = format!("{},0.01,0.02,0.99,1,2,3,21.5\n", nth * 10_000);
        sent += line.len();
        wire.send(line.as_bytes());
        if nth < SHORT {
            let short = b"0.5,0.5\n";
            sent += short.len();
            wire.send(short);
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    let frames = |told: &Told| told.value("hubplumb_board_frames_total", &of);
    let told = wait(&daemon, "every good frame is counted", |told| {
        frames(told) == Some(GOOD as f64)
    });
    assert_eq!(told.sum("hubplumb_board_bad_frames_total"), SHORT as f64);
    assert_eq!(
        told.value("hubplumb_board_bytes_total", &of),
        Some(sent as f64)
    );
    assert_eq!(told.value("hubplumb_board_up", &of), Some(1.0));
    assert_eq!(
        told.value("hubplumb_board_reconnects_total", &of),
        Some(0.0)
    );
    // The reason has the name that the page has for it.
    let all_counted = told.sum("hubplumb_board_bad_frames_total")
        + told.sum("hubplumb_board_unused_readings_total");
    // What only counts reaches the page more slowly than the figures.
    let state = daemon.wait("the page has counted them too", SOON, |state| {
        let listed = state["boards"][0]["bad_frames"].as_array();
        let shown: u64 = listed.map_or(0, |all| {
            all.iter().filter_map(|bad| bad["count"].as_u64()).sum()
        });
        shown as f64 == all_counted
    });
    let listed = state["boards"][0]["bad_frames"].as_array().expect("a list");
    for bad in listed {
        let reason = bad["reason"].as_str().expect("a code");
        let labels = [of[0], ("reason", reason)];
        // The page has both in one list: frames that are bad, and readings of good ones that are not fit.
        let counted: f64 = [
            "hubplumb_board_bad_frames_total",
            "hubplumb_board_unused_readings_total",
        ]
        .iter()
        .filter_map(|name| told.value(name, &labels))
        .sum();
        let shown: u64 = listed
            .iter()
            .filter(|other| other["reason"] == bad["reason"])
            .filter_map(|other| other["count"].as_u64())
            .sum();
        assert_eq!(counted, shown as f64, "{reason}");
    }
    // Each read with good frames was shown, and soon: the daemon looks twenty times a second.
    let shown = told
        .0
        .samples
        .iter()
        .find_map(|sample| match &sample.value {
            Value::Histogram(buckets) => Some(buckets.clone()),
            _ => None,
        });
    let shown = shown.expect("a histogram");
    let up_to = |limit: f64| {
        let bucket = shown.iter().find(|bucket| bucket.less_than >= limit);
        bucket.expect("a bucket").count
    };
    let all = up_to(f64::INFINITY);
    assert!(all > 0.0 && all <= GOOD as f64, "{shown:?}");
    assert!(up_to(0.5) >= 0.9 * all, "{shown:?}");
}

#[test]
fn bytes_and_returns_are_those_of_the_simulated_boards() {
    let garage = Garage::shipped("garage-good", Some(5));
    let (sim, daemon) = (&garage.sim, &garage.daemon);
    let (left, right) = (Mount::FrontLeft, Mount::FrontRight);
    sim.unplug(left).expect("unplugged");
    daemon.wait("gone", SOON, |state| {
        board(state, "front_left")["state"] == "absent"
    });
    sim.replug(left).expect("plugged in");
    daemon.wait("back", SOON, |state| {
        board(state, "front_left")["state"] == "live"
    });
    for mount in [left, right] {
        sim.silence(mount, true).expect("silent");
    }
    let state = daemon.wait("silent", SOON, |state| {
        board(state, "front_left")["state"] == "silent"
            && board(state, "front_right")["state"] == "silent"
    });
    let told = Told::by(daemon);
    let of = |mount: &str| {
        board(&state, mount)["id"]
            .as_str()
            .expect("an id")
            .to_owned()
    };
    let (left_id, right_id) = (of("front_left"), of("front_right"));
    // Nobody pulled its plug: all that it sent was read.
    let (sent, _) = sim.bytes(right).expect("a tally");
    let figure = |name: &str, id: &str| told.value(name, &[("board", id)]);
    assert_eq!(
        figure("hubplumb_board_bytes_total", &right_id),
        Some(sent as f64)
    );
    assert_eq!(
        figure("hubplumb_board_reconnects_total", &right_id),
        Some(0.0)
    );
    assert_eq!(
        figure("hubplumb_board_reconnects_total", &left_id),
        Some(1.0)
    );
    for (id, mount) in [(&left_id, "front_left"), (&right_id, "front_right")] {
        let frames = board(&state, mount)["good_frames"].as_f64();
        assert_eq!(figure("hubplumb_board_frames_total", id), frames);
        assert_eq!(figure("hubplumb_board_up", id), Some(0.0));
        let age = figure("hubplumb_board_reading_age_seconds", id).expect("an age");
        assert!((2.5..30.0).contains(&age), "{age}");
        assert_eq!(
            told.value("hubplumb_board_info", &[("board", id), ("mount", mount)]),
            Some(1.0)
        );
    }
    assert_eq!(
        told.value("hubplumb_stream_clients", &[("stream", "state")]),
        Some(0.0)
    );
    let stream = daemon.stream();
    assert!(matches!(
        stream.next(SOON),
        hubplumb_tests::Event::Named(..)
    ));
    let told = Told::by(daemon);
    assert_eq!(
        told.value("hubplumb_stream_clients", &[("stream", "state")]),
        Some(1.0)
    );
}

#[test]
fn the_store_and_the_process_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let daemon = start(folder.path(), "[[board]]\nport = \"/dev/no-such-port\"\n");
    let before = Told::by(&daemon);
    let writes = |told: &Told| told.value("hubplumb_store_writes_total", &[]).expect("it");
    let car = serde_json::json!({ "name": "Wicket" });
    assert_eq!(daemon.post("/api/v1/cars", &car).0, 201);
    let after = Told::by(&daemon);
    assert!(writes(&after) > writes(&before));
    assert_eq!(after.value("hubplumb_store_failures_total", &[]), Some(0.0));
    let version = [("version", env!("CARGO_PKG_VERSION"))];
    assert_eq!(after.value("hubplumb_build_info", &version), Some(1.0));
    // As the kernel has it, in pages there.
    let kernel = fs::read_to_string(format!("/proc/{}/status", daemon.pid())).expect("a process");
    let line = kernel.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    let words = line.and_then(|line| line.split_whitespace().next());
    let kernel_kb: f64 = words.expect("a figure").parse().expect("a number");
    let told = after
        .value("process_resident_memory_bytes", &[])
        .expect("it")
        / 1024.0;
    assert!(
        (told / kernel_kb - 1.0).abs() < 0.25,
        "{told} kB and {kernel_kb} kB"
    );
}

#[test]
fn a_daemon_that_can_keep_nothing_is_degraded() {
    let folder = tempfile::tempdir().expect("a folder");
    let store = folder.path().join("store");
    fs::create_dir(&store).expect("a folder");
    fs::write(
        store.join("visits.sqlite3"),
        "nothing of the kind, and long enough to be read",
    )
    .expect("a file");
    let store = store.to_string_lossy();
    let config = "[http]\nlisten = \"127.0.0.1:0\"\n[[board]]\nport = \"/dev/no-such-port\"\n";
    let config = hubplumb_tests::running::write_config(folder.path(), config);
    let daemon = Daemon::start(&[
        "run",
        "--config",
        &config.to_string_lossy(),
        "--store",
        &store,
    ]);
    let (status, _, body) = daemon.get("/api/v1/ready");
    let view: Json = serde_json::from_str(&body).expect("JSON");
    assert_eq!(
        (status, view["status"].as_str()),
        (200, Some("degraded")),
        "{body}"
    );
    let store = view["checks"].as_array().expect("checks").iter();
    let store = store.clone().find(|check| check["name"] == "store");
    assert!(
        store.expect("it")["trouble"]["remedy"].is_string(),
        "{body}"
    );
    assert_eq!(
        Told::by(&daemon).value("hubplumb_store_open", &[]),
        Some(0.0)
    );
}
