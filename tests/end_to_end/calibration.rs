//! Boards calibrated on a bench, and what becomes of the result.

use std::fs;
use std::path::Path;

use hubplumb_sim::{BoardTruth, LiveSim, Mount, Step};
use hubplumb_tests::bench::{self, laid};
use hubplumb_tests::{Bench, board};
use serde_json::{Value, json};
use toml::Table;

const LEFT: Mount = Mount::FrontLeft;
const RIGHT: Mount = Mount::FrontRight;

/// Faces and edges, none of them laid quite true.
const TWELVE: [[f64; 3]; 12] = [
    [0.01, 0.02, 1.0],
    [0.02, -0.01, -1.0],
    [1.0, 0.03, 0.01],
    [-1.0, 0.01, 0.02],
    [-0.02, 1.0, 0.01],
    [0.01, -1.0, 0.02],
    [1.0, 0.9, 0.05],
    [0.9, 0.04, -1.0],
    [0.02, -1.0, 0.95],
    [-1.0, 1.05, -0.03],
    [-1.0, 0.02, -0.9],
    [0.05, -0.95, -1.0],
];

fn truth(sim: &LiveSim, mount: Mount) -> BoardTruth {
    let boards = sim.truth().boards;
    boards
        .into_iter()
        .find(|board| board.mount == mount)
        .expect("a board")
}

/// A file of the store that claims the offset given, done so many days ago.
fn write_kept(sim: &LiveSim, store: &Path, mount: Mount, offset_g: [f64; 3], days: i64, at_c: f64) {
    let id = bench::id(sim, mount);
    // Days of the civil calendar from the system's seconds: good to the day, which is all it needs.
    let now_s = std::time::SystemTime::now()
        .duration_since(std::time::UNIX_EPOCH)
        .expect("after 1970")
        .as_secs();
    let date =
        civil(i64::try_from(now_s).expect("before the year 292 000 000 000") / 86_400 - days);
    let text = format!(
        "format = 1\nboard = {id:?}\ndate = \"{date}T00:00:00Z\"\n\
         [accel]\noffset_g = {offset_g:?}\nmatrix = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]\n\
         [gyro]\noffset_dps = [0.0, 0.0, 0.0]\n\
         [standard]\naccel_offset_g = 0.002\naccel_scale = 0.001\naccel_cross_rad = 0.001\ngyro_cross_rad = 0.02\n\
         [poses]\ncount = 12\nresidual_rms_g = 0.0001\n\
         [temperature]\nmean_c = {at_c:?}\nspan_c = 0.5\n"
    );
    fs::write(bench::file(store, &id), text).expect("a file");
}

/// The date of a day since 1970 (the civil-from-days computation, from memory).
fn civil(days: i64) -> String {
    let z = days + 719_468;
    let era = z.div_euclid(146_097);
    let doe = z.rem_euclid(146_097);
    let yoe = (doe - doe / 1460 + doe / 36_524 - doe / 146_096) / 365;
    let doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    let mp = (5 * doy + 2) / 153;
    let (day, month) = (
        doy - (153 * mp + 2) / 5 + 1,
        if mp < 10 { mp + 3 } else { mp - 9 },
    );
    let year = yoe + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

fn kept(path: &Path) -> Table {
    fs::read_to_string(path)
        .expect("a file is kept")
        .parse()
        .expect("it is TOML")
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().expect("a number")
}

/// Waits until the live camber of the left wheel, at rest, is known as wanted.
#[track_caller]
fn wait_camber(bench: &Bench, what: &str, wanted: impl Fn(f64) -> bool) {
    let soon = std::time::Duration::from_secs(5);
    bench.daemon.wait(what, soon, |state| {
        let wheels = state["wheels"].as_array().expect("wheels");
        wheels.iter().any(|wheel| {
            let expanded_deg = wheel["camber"]["expanded_deg"].as_f64();
            wheel["mount"] == LEFT.name()
                && wheel["motion"] == "still"
                && expanded_deg.is_some_and(&wanted)
        })
    });
}

/// What happened, what it means and what to do.
#[track_caller]
fn assert_trouble(trouble: &Value, code: &str) {
    assert_eq!(trouble["code"], code, "{trouble:#}");
    for key in ["what", "meaning", "remedy"] {
        assert!(
            trouble[key].as_str().is_some_and(|text| text.len() > 10),
            "{key}: {trouble:#}"
        );
    }
}

#[test]
fn a_raw_board_is_calibrated_by_poses_and_stays_so_after_a_restart() {
    let bench = Bench::open(41, |_, _| {});
    let before = bench.wait(LEFT, "told", |_| true);
    assert_eq!(before["state"], "absent");
    assert_trouble(&before["trouble"], "not_calibrated");
    // Raw: 50 mg are 2.9°, one sigma. Calibrated: a mounting by eye is ± 0.6°.
    wait_camber(&bench, "± of a raw board", |deg| deg > 5.0);
    bench.granted("start", LEFT, &json!({}));
    bench.hands(laid(LEFT, &TWELVE));
    let solved = bench.wait(LEFT, "solved", |calibration| {
        calibration["procedure"]["phase"] == "solved"
    });
    let result = &solved["procedure"]["result"];
    assert_eq!(solved["procedure"]["taken"], 12, "{result:#}");
    assert_eq!(solved["state"], "absent", "not in force before it is kept");
    let (status, problem) = bench.ask("start", LEFT, &json!({}));
    assert_eq!(
        (status, &problem["code"]),
        (409, &json!("calibration_running"))
    );
    let now = bench.granted("keep", LEFT, &json!({}));
    assert_eq!(now["state"], "valid", "{now:#}");
    assert_eq!(now["procedure"], Value::Null);
    let strap = Step::StrapBoard {
        mount: LEFT,
        over_s: 1.0,
    };
    bench.hands(vec![strap]);
    wait_camber(&bench, "± of a calibrated board", |deg| deg < 1.0);

    let file = kept(&bench.file(LEFT));
    let at_c = number(&file["temperature"]["mean_c"]);
    let standard_mg = 1e3 * number(&file["standard"]["accel_offset_g"]);
    assert!(standard_mg < 0.5, "{file}");
    let truth = truth(&bench.sim, LEFT);
    for axis in 0..3 {
        let found_mg = 1e3 * number(&file["accel"]["offset_g"][axis]);
        let true_mg = truth.accel_bias_mg[axis] + truth.accel_drift_mg_per_c[axis] * (at_c - 25.0);
        let sigmas = (found_mg - true_mg) / standard_mg;
        println!("axis {axis}: {found_mg:.3} mg, true {true_mg:.3} mg, {sigmas:+.2} sigma");
        assert!(sigmas.abs() < 3.0, "axis {axis}: {found_mg} for {true_mg}");
    }

    let bench = bench.restart();
    let again = bench.wait(LEFT, "told", |_| true);
    for (key, value) in [
        ("state", json!("valid")),
        ("source", json!("stored")),
        ("age_days", json!(0)),
        ("poses", json!(12)),
        ("date", now["date"].clone()),
    ] {
        assert_eq!(again[key], value, "{key}: {again:#}");
    }
    assert_eq!(bench.wait(RIGHT, "told", |_| true)["state"], "absent");
}

#[test]
fn a_board_is_calibrated_from_the_command_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let scenario = hubplumb_sim::Scenario::shipped("bench").expect("shipped");
    let speed = bench::SPEED;
    let sim = LiveSim::start(scenario.with_seed(47), folder.path(), speed).expect("boards");
    let port = bench::id(&sim, LEFT);
    let store = folder.path().join("store");
    // The hands begin when somebody listens.
    let finished = std::thread::scope(|scope| {
        scope.spawn(|| {
            while !sim.is_heard_on(LEFT).expect("a board") {
                std::thread::sleep(std::time::Duration::from_millis(20));
            }
            let steps = laid(LEFT, &TWELVE[..6]);
            sim.drive(&hubplumb_sim::Script::new(steps)).expect("laid");
        });
        let speed = speed.to_string();
        let store = store.to_string_lossy();
        let told = ["--format", "csv", "--baud", "115200", "--poses", "6"];
        let words = ["calibrate", &port, "--store", &store, "--speed", &speed];
        let arguments: Vec<&str> = words.into_iter().chain(told).collect();
        hubplumb_tests::run(&arguments, std::time::Duration::from_secs(20))
    });
    assert_eq!(finished.code, Some(0), "{finished:#?}");
    assert!(finished.stdout.contains("from 6 poses"), "{finished:#?}");
    assert!(finished.stderr.contains("arrow X down"), "{finished:#?}");
    assert_eq!(
        kept(&bench::file(&store, &port))["poses"]["count"].as_integer(),
        Some(6)
    );
}

#[test]
fn a_kept_calibration_is_old_by_age_or_by_temperature_and_its_figures_grow() {
    let bench = Bench::open(42, |sim, store| {
        write_kept(sim, store, LEFT, [0.0; 3], 400, 25.0);
        write_kept(sim, store, RIGHT, [0.0; 3], 2, 5.0);
    });
    let left = bench.wait(LEFT, "old", |calibration| calibration["state"] == "old");
    assert_trouble(&left["trouble"], "calibration_too_long_ago");
    assert_eq!(left["age_days"], 400);
    let right = bench.wait(RIGHT, "old", |calibration| calibration["state"] == "old");
    assert_trouble(&right["trouble"], "calibration_temperature");
    assert_eq!(right["age_days"], 2);
    for calibration in [&left, &right] {
        let grown_mg = calibration["offset_standard_mg"]
            .as_f64()
            .expect("a figure");
        assert!(grown_mg > 3.0, "2 mg were left then: {calibration:#}");
    }
}

#[test]
fn a_file_that_cannot_be_read_is_told_and_kept_and_set_aside_by_the_next() {
    let broken = "format = 1\nboard = 7\n";
    let bench = Bench::open(43, |sim, store| {
        fs::write(bench::file(store, &bench::id(sim, LEFT)), broken).expect("a file");
    });
    let calibration = bench.wait(LEFT, "told", |_| true);
    assert_eq!(calibration["state"], "unreadable", "{calibration:#}");
    assert_trouble(&calibration["trouble"], "calibration_unreadable");
    let file = bench.file(LEFT);
    assert_eq!(fs::read_to_string(&file).expect("still there"), broken);

    // Six faces do, on command; five do not.
    bench.granted("start", LEFT, &json!({}));
    bench.hands(laid(LEFT, &TWELVE[..5]));
    let taken = |count: u64| move |now: &Value| now["procedure"]["taken"] == count;
    let five = bench.wait(LEFT, "five poses", taken(5));
    assert_eq!(five["procedure"]["missing_faces"], json!(["-y"]));
    let (status, problem) = bench.ask("solve", LEFT, &json!({}));
    assert_eq!(
        (status, &problem["code"]),
        (422, &json!("poses_not_solved"))
    );
    bench.granted("take-back", LEFT, &json!({}));
    bench.hands(laid(LEFT, &[TWELVE[5], TWELVE[4]]));
    bench.wait(LEFT, "six poses", taken(6));
    let solved = bench.granted("solve", LEFT, &json!({}));
    let notes = solved["procedure"]["result"]["notes"].to_string();
    assert!(notes.contains("data sheets"), "{notes}");
    assert_eq!(bench.granted("keep", LEFT, &json!({}))["state"], "valid");
    let mut aside = file.into_os_string();
    aside.push(".unreadable-1");
    assert_eq!(fs::read_to_string(aside).expect("set aside"), broken);
}

#[test]
fn a_reversal_settles_the_outboard_axis() {
    let off_g = 0.004;
    let bench = Bench::open(44, |sim, store| {
        let mut offset_g = truth(sim, LEFT).accel_bias_mg.map(|mg| mg * 1e-3);
        offset_g[2] += off_g;
        write_kept(sim, store, LEFT, offset_g, 2, 25.0);
    });
    let before = kept(&bench.file(LEFT));
    let (status, problem) = bench.ask("start", RIGHT, &json!({ "kind": "reversal" }));
    assert_eq!((status, &problem["code"]), (409, &json!("not_calibrated")));
    bench.hands(laid(LEFT, &[[0.0, -1.0, 0.004]]));
    let started = bench.granted("start", LEFT, &json!({ "kind": "reversal" }));
    assert_eq!(started["procedure"]["sensing"], "+z");
    // Top and bottom change places.
    assert_eq!(started["procedure"]["about"], "+x");
    bench.wait(LEFT, "the first rest", |now| now["procedure"]["taken"] == 1);
    let half = Step::TurnBoard {
        mount: LEFT,
        by_deg: [180.0, 0.0, 0.0],
        over_s: 2.0,
    };
    bench.hands(vec![half]);
    let solved = bench.wait(LEFT, "solved", |now| now["procedure"]["phase"] == "solved");
    let result = &solved["procedure"]["result"];
    let standard_mg = result["offset_standard_mg"].as_f64().expect("a figure");
    let found_mg = result["offset_mg"][0].as_f64().expect("a figure");
    // What Z reads beyond the offset in the file is the file's error. What the chip's Y
    // leaks into its Z is there with −Y up and with +Y up, and drops out.
    let truth = truth(&bench.sim, LEFT);
    let at_c = result["temperature_c"].as_f64().expect("a temperature");
    let drift_mg = truth.accel_drift_mg_per_c[2] * (at_c - 25.0);
    let true_mg = -1e3 * off_g + drift_mg;
    let sigmas = (found_mg - true_mg) / standard_mg;
    println!("{found_mg:.3} mg, true {true_mg:.3} mg, {sigmas:+.2} sigma");
    assert!(sigmas.abs() < 3.0, "{found_mg} for {true_mg}");

    let now = bench.granted("keep", LEFT, &json!({}));
    assert_eq!(now["settled"]["axis"], "+z", "{now:#}");
    let after = kept(&bench.file(LEFT));
    assert_eq!(
        after["date"], before["date"],
        "the poses are as old as before"
    );
    let moved_mg =
        1e3 * (number(&after["accel"]["offset_g"][2]) - number(&before["accel"]["offset_g"][2]));
    assert!((moved_mg - found_mg).abs() < 1e-6, "{moved_mg}");
    let bench = bench.restart();
    let again = bench.wait(LEFT, "told", |_| true);
    assert_eq!(again["settled"]["axis"], "+z", "{again:#}");
}

#[test]
fn a_board_that_was_not_turned_is_refused() {
    let bench = Bench::open(45, |sim, store| {
        write_kept(sim, store, LEFT, [0.0; 3], 2, 25.0);
    });
    bench.hands(laid(LEFT, &[[0.0, -1.0, 0.0]]));
    bench.granted("start", LEFT, &json!({ "kind": "reversal" }));
    bench.wait(LEFT, "the first rest", |now| now["procedure"]["taken"] == 1);
    let quarter = Step::TurnBoard {
        mount: LEFT,
        by_deg: [0.0, 90.0, 0.0],
        over_s: 2.0,
    };
    bench.hands(vec![quarter]);
    let ended = bench.wait(LEFT, "ended", |now| now["procedure"]["phase"] == "ended");
    assert_trouble(&ended["procedure"]["trouble"], "not_turned");
    let (status, problem) = bench.ask("keep", LEFT, &json!({}));
    assert_eq!((status, &problem["code"]), (409, &json!("no_result")));
    bench.granted("cancel", LEFT, &json!({}));
}

#[test]
fn a_knocked_pose_begins_anew_and_an_unplugged_board_ends_it() {
    let bench = Bench::open(46, |_, _| {});
    bench.granted("start", LEFT, &json!({}));
    let held = |now: &Value| now["procedure"]["held_s"].as_f64().unwrap_or(0.0);
    bench.wait(LEFT, "held", |now| held(now) > 1.0);
    bench.hands(vec![Step::Knock {
        wheel: hubplumb_sim::Wheel::FrontLeft,
        peak_g: 1.5,
    }]);
    let knocked = bench.wait(LEFT, "begun anew", |now| held(now) < 1.0);
    assert_eq!(knocked["procedure"]["taken"], 0, "{knocked:#}");
    bench.wait(LEFT, "taken in the end", |now| {
        now["procedure"]["taken"] == 1
    });
    bench.sim.unplug(LEFT).expect("unplugged");
    let ended = bench.wait(LEFT, "ended", |now| now["procedure"]["phase"] == "ended");
    assert_trouble(&ended["procedure"]["trouble"], "board_lost");
    let state = bench.daemon.state();
    assert_eq!(board(&state, "front_left")["state"], "absent");
    let (status, problem) = bench.ask("start", LEFT, &json!({}));
    assert_eq!((status, &problem["code"]), (409, &json!("board_not_live")));
    let put_away = bench.granted("cancel", LEFT, &json!({}));
    assert_eq!(put_away["procedure"], Value::Null);
    assert_eq!(put_away["state"], "absent");
    let (status, problem) = bench.ask("cancel", LEFT, &json!({}));
    assert_eq!((status, &problem["code"]), (409, &json!("no_calibration")));
}
