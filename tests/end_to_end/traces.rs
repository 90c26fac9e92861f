//! Every angle of every board over its stream.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::time::{Duration, Instant};

use hubplumb_sim::{LiveSim, Mount, Scenario};
use hubplumb_tests::{Daemon, Event, Stream, board};
use serde_json::Value;

const MOUNTS: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];
const SOON: Duration = Duration::from_secs(10);
/// Readings are 10 ms apart; the device's clock is fitted to ours as they come.
const STEP_US: i64 = 10_000;

/// The shipped car with a board of 100 Hz on every wheel.
fn four_boards() -> Scenario {
    let text = Scenario::shipped_toml("garage-good").expect("shipped");
    let mut text = text[..text.find("[[board]]").expect("boards")].to_owned();
    for (index, mount) in MOUNTS.iter().enumerate() {
        write!(
            text,
            "[[board]]\nmount = \"{mount}\"\nmounting = {{ x = \"forward\", z = \"out\" }}\nrate_hz = 100\n\
             wire = {{ format = \"csv\" }}\nchip = {{ preset = \"good\" }}\n\
             clock = {{ offset_s = {}, rate_ppm = 15, jitter_us = 15 }}\n",
            0.3 + index as f64,
        )
        .expect("a string takes text");
    }
    Scenario::from_toml(&text).unwrap_or_else(|error| panic!("{text}\n{error}"))
}

/// The boards as a configuration tells them.
fn told(sim: &LiveSim) -> String {
    let mut text = "[http]\nlisten = \"127.0.0.1:0\"\n".to_owned();
    for board in sim.boards() {
        let mount = board.mount.name();
        let up = if mount.ends_with("left") { "-y" } else { "+y" };
        write!(
            text,
            "[[board]]\nname = \"{mount}\"\nport = \"{}\"\nbaud = 115200\nformat = \"csv\"\nmount = \"{mount}\"\n\
             chip = \"good\"\nmounting = {{ outboard = \"+z\", up = \"{up}\" }}\n",
            board.port
        )
        .expect("a string takes text");
    }
    text
}

/// What came of a board: angles by their time, and gaps with their reason.
#[derive(Debug, Default)]
struct Seen {
    marks: Vec<(i64, Option<f64>)>,
    gaps: Vec<(i64, String)>,
    lost: u64,
}

impl Seen {
    fn angles(&self) -> Vec<i64> {
        let angles = self.marks.iter().filter(|(_, angle)| angle.is_some());
        angles.map(|(at, _)| *at).collect()
    }
}

fn take(batch: &Value, seen: &mut BTreeMap<String, Seen>) {
    for board in batch["boards"].as_array().expect("boards") {
        let of = seen
            .entry(board["mount"].as_str().expect("a mount").to_owned())
            .or_default();
        of.lost += board["lost"].as_u64().expect("a count");
        let mut gaps = board["gaps"].as_array().expect("gaps").iter();
        let times = board["at_us"].as_array().expect("times").iter();
        for (at, angle) in times.zip(board["lean_deg"].as_array().expect("angles")) {
            let at = at.as_i64().expect("a time");
            if angle.is_null() {
                let why = gaps.next().and_then(Value::as_str).expect("a reason");
                of.gaps.push((at, why.to_owned()));
            }
            of.marks.push((at, angle.as_f64()));
        }
        assert_eq!(gaps.next(), None, "a reason for every gap and no more");
    }
}

/// Listens for so long.
fn listen(stream: &Stream, seen: &mut BTreeMap<String, Seen>, long: Duration) -> u32 {
    let until = Instant::now() + long;
    let mut batches = 0;
    while Instant::now() < until {
        if let Event::Named(name, batch) = stream.next(SOON) {
            assert_eq!(name, "traces");
            take(&batch, seen);
            batches += 1;
        }
    }
    batches
}

#[test]
fn four_boards_arrive_complete_with_a_gap_where_a_cable_is_pulled() {
    let folder = tempfile::tempdir().expect("a folder");
    let sim = LiveSim::start(four_boards(), &folder.path().join("ports"), 1.0).expect("the car");
    let daemon = Daemon::with_config(folder.path(), &told(&sim));
    daemon.wait("four boards live", SOON, |state| {
        let boards = state["boards"].as_array().expect("boards");
        boards.iter().all(|board| board["state"] == "live")
    });
    // The clocks are fitted within the first seconds.
    std::thread::sleep(Duration::from_secs(3));
    let stream = daemon.traces();
    let mut seen = BTreeMap::new();
    let began = Instant::now();
    let batches = listen(&stream, &mut seen, Duration::from_secs(5));
    let rate = f64::from(batches) / began.elapsed().as_secs_f64();
    println!("{rate:.1} batches a second");
    assert!(rate <= 20.5, "{rate}");
    assert_eq!(seen.keys().collect::<Vec<_>>(), MOUNTS);
    for (mount, of) in &seen {
        let times = of.angles();
        let steps: Vec<i64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let longest = steps.iter().max().expect("steps");
        println!("{mount}: {} angles, longest step {longest} µs", times.len());
        assert!(of.gaps.is_empty() && of.lost == 0, "{mount}: {:?}", of.gaps);
        assert!(times.len() > 400, "{mount}: {}", times.len());
        // One that is missing would make a step of two.
        assert!(*longest < 2 * STEP_US - STEP_US / 4, "{mount}: {longest}");
        let span = times.last().expect("times") - times[0];
        let wanted = span / STEP_US + 1;
        let found = i64::try_from(times.len()).expect("few");
        assert!((found - wanted).abs() <= 2, "{mount}: {found} of {wanted}");
    }

    sim.unplug(Mount::FrontLeft).expect("unplugged");
    listen(&stream, &mut seen, Duration::from_secs(2));
    let last_before = *seen["front_left"].angles().last().expect("angles");
    sim.replug(Mount::FrontLeft).expect("plugged in");
    daemon.wait("live again", SOON, |state| {
        board(state, "front_left")["state"] == "live"
    });
    listen(&stream, &mut seen, Duration::from_secs(3));
    for (mount, of) in &seen {
        assert_eq!(of.lost, 0, "{mount}");
        assert!(
            of.marks.windows(2).all(|pair| pair[0].0 <= pair[1].0),
            "{mount}"
        );
        if mount != "front_left" {
            assert_eq!(of.gaps, [], "{mount}");
        }
    }
    let pulled = &seen["front_left"];
    println!("front_left: {:?}", pulled.gaps);
    assert!(
        pulled.gaps.iter().any(|(_, why)| why == "absent"),
        "{:?}",
        pulled.gaps
    );
    // Nothing stands between the last angle and the gap, and angles come after it.
    let place = pulled
        .marks
        .iter()
        .position(|mark| *mark == (last_before + 1, None))
        .unwrap_or_else(|| panic!("no gap at {last_before}: {:?}", pulled.gaps));
    assert_eq!(pulled.marks[place - 1].0, last_before);
    let after = pulled.marks[place..]
        .iter()
        .find(|(_, angle)| angle.is_some());
    let after = after.expect("angles again").0;
    assert!(after - last_before > 1_000_000, "{last_before} to {after}");
}
