//! The program as a pipeline uses it.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "what a test needs and does not find must fail the test"
)]

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;
use std::process::{Command, Output, Stdio};

use hubplumb_protocol::{Frame, FrameReader};
use hubplumb_sim::{Mount, Scenario, Truth, render};
use nix::sys::signal::{Signal, kill};
use nix::unistd::Pid;
use serde_json::json;

fn program() -> Command {
    Command::new(env!("CARGO_BIN_EXE_hubplumb-sim"))
}

fn run(args: &[&str]) -> Output {
    program().args(args).output().expect("the program starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("text")
}

fn path(folder: &Path, name: &str) -> String {
    folder.join(name).to_str().expect("a plain path").to_owned()
}

#[test]
fn list_and_show_name_every_scenario() {
    let listed = run(&["list"]);
    assert!(listed.status.success());
    for name in Scenario::shipped_names() {
        assert!(text(&listed.stdout).contains(name));
        let shown = run(&["show", name]);
        assert_eq!(
            text(&shown.stdout),
            Scenario::shipped_toml(name).expect("shipped")
        );
    }
    let unknown = run(&["show", "no-such"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("hubplumb-sim list"));
}

#[test]
fn render_writes_recordings_and_truth() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = path(folder.path(), "out");
    let done = run(&["render", "no-gyro", "--seed", "5", "--out", &out]);
    assert!(done.status.success(), "{}", text(&done.stderr));
    assert_eq!(text(&done.stdout), "seed 5\n");
    let scenario = Scenario::shipped("no-gyro").expect("shipped").with_seed(5);
    // Compared as text: reading decimal fractions back may change their last bit.
    let expected = serde_json::to_string_pretty(&scenario.truth()).expect("text") + "\n";
    let written = fs::read_to_string(folder.path().join("out/truth.json")).expect("a truth");
    assert_eq!(written, expected);
    let truth: Truth = serde_json::from_str(&written).expect("the truth reads");
    assert_eq!(truth.seed, 5);
    let csv = fs::read_to_string(folder.path().join("out/front_left.csv")).expect("a recording");
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("t_us,ax,ay,az,gx,gy,gz,temp"));
    assert!(
        lines.next().is_some_and(|line| line.contains(",,,,")),
        "no gyro, empty columns"
    );

    // The recording is itself in a wire format, so the frame reader must make the same of it.
    let format = scenario
        .board(Mount::FrontLeft)
        .expect("a board")
        .wire
        .clone();
    let mut reader = FrameReader::new(&format);
    let mut read = 0;
    let rendered = &render(&scenario).expect("can be done")[0].readings;
    for line in csv.lines() {
        reader.push(line.as_bytes());
        reader.push(b"\n");
        while let Some(frame) = reader.next() {
            let Frame::Reading(reading) = frame else {
                panic!("{frame:?}")
            };
            let (a, b) = (
                reading.accel_g.expect("accel"),
                rendered[read].1.accel_g.expect("accel"),
            );
            assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-9));
            assert_eq!(reading.device_time_us, rendered[read].1.device_time_us);
            read += 1;
        }
    }
    assert_eq!(read, rendered.len());
}

/// Judges findings that are off by the given degrees; what the program says and its status.
fn judged(folder: &Path, errors_deg: &[f64], extra: &[&str]) -> (Option<i32>, String) {
    let truth = Scenario::shipped("garage-good").expect("shipped").truth();
    let findings: Vec<_> = errors_deg
        .iter()
        .map(|error| {
            let caster = truth.wheels[0].caster_deg.expect("a caster");
            json!({ "run": 1, "mount": "front_left", "angle": "caster", "value_deg": caster + error,
                    "expanded_deg": 0.05, "standard_deg": 0.025, "sense": "lean back" })
        })
        .collect();
    fs::write(
        folder.join("truth.json"),
        serde_json::to_string(&truth).expect("text"),
    )
    .expect("written");
    fs::write(folder.join("findings.json"), json!(findings).to_string()).expect("written");
    let (truth, findings) = (path(folder, "truth.json"), path(folder, "findings.json"));
    let mut args = vec![
        "judge",
        "--truth",
        &truth,
        "--findings",
        &findings,
        "--tolerance-deg",
        "0.1",
    ];
    args.extend(extra);
    let done = run(&args);
    (done.status.code(), text(&done.stdout) + &text(&done.stderr))
}

#[test]
fn judge_tells_by_its_exit_status() {
    let folder = tempfile::tempdir().expect("a folder");
    let cases: [(&[f64], &[&str], i32, &str); 8] = [
        (&[0.09], &[], 0, "inside"),
        (&[-0.09], &[], 0, "inside"),
        (&[0.11], &[], 1, "OUTSIDE"),
        (&[0.01, -0.11], &[], 1, "OUTSIDE"),
        (&[0.04], &["--within-95"], 0, "inside"),
        (&[0.06], &["--within-95"], 1, "OUTSIDE"),
        (&[], &[], 1, "no findings"),
        (
            &[0.01],
            &["--need", "front_left:caster", "--need", "front_right:sai"],
            1,
            "MISSING",
        ),
    ];
    for (errors, extra, status, word) in cases {
        let (code, said) = judged(folder.path(), errors, extra);
        assert_eq!(code, Some(status), "{errors:?} {extra:?}: {said}");
        assert!(said.contains(word), "{said}");
    }
    for extra in [["--need", "front_left"], ["--need", "front_left:height"]] {
        assert_eq!(judged(folder.path(), &[0.0], &extra).0, Some(2));
    }
    let missing = run(&[
        "judge",
        "--truth",
        "/nonexistent",
        "--findings",
        "/nonexistent",
        "--tolerance-deg",
        "1",
    ]);
    assert_eq!(missing.status.code(), Some(2));
    fs::write(folder.path().join("broken.json"), "{").expect("written");
    let (truth, broken) = (
        path(folder.path(), "truth.json"),
        path(folder.path(), "broken.json"),
    );
    let unreadable = run(&[
        "judge",
        "--truth",
        &truth,
        "--findings",
        &broken,
        "--tolerance-deg",
        "1",
    ]);
    assert_eq!(unreadable.status.code(), Some(2));
    let negative = run(&[
        "judge",
        "--truth",
        &truth,
        "--findings",
        &broken,
        "--tolerance-deg=-1",
    ]);
    assert_eq!(negative.status.code(), Some(2));
}

#[test]
fn run_names_ports_truth_and_seed_and_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    let (dir, truth_out) = (
        path(folder.path(), "ports"),
        path(folder.path(), "truth.json"),
    );
    let mut child = program()
        .args([
            "run",
            "garage-good",
            "--speed",
            "10",
            "--seed",
            "42",
            "--loop",
        ])
        .args(["--dir", &dir, "--truth-out", &truth_out])
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
    let announced: Vec<String> = (0..9)
        .map(|_| lines.next().expect("a line").expect("text"))
        .collect();
    let said = announced.join("\n");
    for word in [
        "garage-good",
        "Marten 1600",
        "seed 42",
        &path(folder.path(), "ports/front_left"),
        "caster +5.500",
        "toe +0.060",
        // (0.10 − 0.14) / 2 and the sums of the scenario's own toe.
        "total toe front +0.100  rear +0.240  thrust -0.020",
    ] {
        assert!(said.contains(word), "{said}");
    }
    let truth: Truth =
        serde_json::from_str(&fs::read_to_string(&truth_out).expect("a truth")).expect("reads");
    assert_eq!(truth.seed, 42);
    let mut heard = [0; 64];
    let n = fs::File::open(folder.path().join("ports/front_left"))
        .expect("the port opens")
        .read(&mut heard)
        .expect("it speaks");
    assert!(n > 0);

    let id = Pid::from_raw(i32::try_from(child.id()).expect("a process id"));
    kill(id, Signal::SIGTERM).expect("the signal is sent");
    assert!(child.wait().expect("it ends").success());
    assert!(fs::symlink_metadata(folder.path().join("ports/front_left")).is_err());
}

#[test]
fn run_waits_for_readers_and_ends_with_its_script() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("short.toml");
    let toml = Scenario::shipped_toml("no-gyro").expect("shipped");
    let (head, rest) = toml.split_once("script = [").expect("a script");
    let (_, tail) = rest.split_once("\n]\n").expect("its end");
    fs::write(&file, format!("{head}script = [{{ rest_s = 1 }}]\n{tail}")).expect("written");
    let dir = path(folder.path(), "ports");
    let mut child = program()
        .args([
            "run",
            "--await-readers",
            "--exit-when-done",
            "--lead-s",
            "0.5",
            "--speed",
            "4",
            "--dir",
            &dir,
        ])
        .arg("--file")
        .arg(&file)
        .stdout(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut lines = BufReader::new(child.stdout.take().expect("piped")).lines();
    let mut next = || lines.next().expect("a line").expect("text");
    while !next().starts_with("truth car") {}
    let open = |name: &str| fs::File::open(folder.path().join("ports").join(name)).expect("opens");
    let _left = open("front_left");
    let _right = open("front_right");
    assert!(next().starts_with("script begins at"));
    assert!(next().starts_with("script ended"));
    assert!(child.wait().expect("it ends").success());
}

#[test]
fn a_broken_file_is_told_with_its_name() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = path(folder.path(), "mine.toml");
    fs::write(&file, "name = 3\n").expect("written");
    let done = run(&["run", "--file", &file]);
    assert_eq!(done.status.code(), Some(2));
    let said = text(&done.stderr);
    assert!(
        said.contains("mine.toml") && said.contains("name"),
        "{said}"
    );
    assert_eq!(run(&["run"]).status.code(), Some(2));
}
