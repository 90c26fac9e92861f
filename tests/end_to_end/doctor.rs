//! `hubplumb doctor` on set-ups that are broken in one way each.

use std::fmt::Write as _;
use std::fs::{self, Permissions};
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt as _;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use hubplumb_sim::{LiveSim, Mount, Scenario};
use hubplumb_tests::program::{Finished, program};
use hubplumb_tests::running::write_config;
use hubplumb_tests::{Daemon, Wire, run};
use nix::pty::openpty;
use nix::unistd::{geteuid, ttyname};
use serde_json::{Value, json};
use tempfile::TempDir;

const SOON: Duration = Duration::from_secs(60);

/// A set-up in which nothing is wrong: one board that talks, a folder of its own, a free address.
struct Setup {
    sim: LiveSim,
    folder: TempDir,
    /// Lines under `[http]`.
    http: String,
    /// Lines under the board, in place of what fits.
    told: String,
    /// Further tables.
    more: String,
    /// Port of the board, in place of its own.
    port: Option<PathBuf>,
}

impl Setup {
    fn sound() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let scenario = Scenario::shipped("garage-good").expect("shipped");
        let sim = LiveSim::start(scenario, &folder.path().join("ports"), 1.0).expect("the car");
        let store = folder.path().join("store");
        fs::create_dir(&store).expect("a folder");
        fs::set_permissions(&store, Permissions::from_mode(0o700)).expect("closed");
        Self {
            sim,
            folder,
            http: "listen = \"127.0.0.1:0\"\n".to_owned(),
            told: "baud = 115200\nformat = \"csv\"\n".to_owned(),
            more: String::new(),
            port: None,
        }
    }

    fn store(&self) -> PathBuf {
        self.folder.path().join("store")
    }

    /// Port of the simulated board.
    fn left(&self) -> String {
        let mut boards = self.sim.boards().iter();
        let left = boards.find(|board| board.mount == Mount::FrontLeft);
        left.expect("a board").port.clone()
    }

    fn config(&self) -> String {
        let port = self.port.as_ref();
        let port = port.map_or_else(|| self.left(), |port| port.to_string_lossy().into_owned());
        let mut text = format!("[http]\n{}", self.http);
        write!(
            text,
            "[[board]]\nname = \"left hub\"\nport = \"{port}\"\nmount = \"front_left\"\n{}{}",
            self.told, self.more
        )
        .expect("a string takes text");
        let path = write_config(self.folder.path(), &text);
        path.to_string_lossy().into_owned()
    }

    /// What is wrong, by name and code, and everything as it is told.
    fn examined(&self, more: &[&str]) -> (Vec<(String, String)>, Value) {
        let finished = doctor(&self.arguments(more));
        let view: Value = serde_json::from_str(&finished.stdout)
            .unwrap_or_else(|error| panic!("{error}: {finished:?}"));
        let checks = view["checks"].as_array().expect("checks");
        let wrong = checks.iter().filter(|check| check["state"] == "wrong");
        let wrong: Vec<(String, String)> = wrong
            .map(|check| {
                let trouble = &check["trouble"];
                for part in ["what", "meaning", "remedy"] {
                    let part = trouble[part].as_str().expect("a part");
                    assert!(part.len() > 10, "{check:#}");
                }
                let code = trouble["code"].as_str().expect("a code");
                let name = check["name"].as_str().expect("a name");
                (name.to_owned(), code.to_owned())
            })
            .collect();
        assert_eq!(view["wrong"], wrong.len(), "{view:#}");
        let code = i32::from(!wrong.is_empty());
        assert_eq!(finished.code, Some(code), "{finished:?}");
        (wrong, view)
    }

    fn arguments(&self, more: &[&str]) -> Vec<String> {
        let store = self.store().to_string_lossy().into_owned();
        let config = self.config();
        let all = ["doctor", "--json", "--config", &config, "--store", &store];
        all.iter()
            .chain(more)
            .map(|&argument| argument.to_owned())
            .collect()
    }

    /// Checks that this and nothing else is wrong.
    #[track_caller]
    fn is_wrong(&self, name: &str, code: &str) -> Value {
        let (wrong, view) = self.examined(&[]);
        assert_eq!(wrong, [(name.to_owned(), code.to_owned())], "{view:#}");
        view
    }
}

/// Runs the doctor as a user to whom permissions mean something; for root they do only without
/// the capabilities that override them.
fn doctor(arguments: &[String]) -> Finished {
    let home = tempfile::tempdir().expect("a folder");
    let mut command = if geteuid().is_root() {
        let mut command = Command::new("setpriv");
        command
            .args(["--bounding-set", "-dac_override,-dac_read_search"])
            .arg(program());
        command
    } else {
        Command::new(program())
    };
    let done = command
        .args(arguments)
        .env("XDG_DATA_HOME", home.path())
        .stdin(Stdio::null())
        .output()
        .expect("it runs");
    Finished {
        code: done.status.code(),
        stdout: String::from_utf8_lossy(&done.stdout).into_owned(),
        stderr: String::from_utf8_lossy(&done.stderr).into_owned(),
    }
}

fn named<'a>(view: &'a Value, name: &str) -> &'a Value {
    let checks = view["checks"].as_array().expect("checks");
    let found = checks.iter().find(|check| check["name"] == name);
    found.unwrap_or_else(|| panic!("no {name} in {view:#}"))
}

/// A port that nobody else has open, from which nothing comes.
fn silent_port(folder: &Path) -> (std::os::fd::OwnedFd, PathBuf) {
    let pair = openpty(None, None).expect("a pseudo-terminal");
    let path = folder.join("silent");
    std::os::unix::fs::symlink(ttyname(&pair.slave).expect("its name"), &path).expect("a link");
    (pair.master, path)
}

#[test]
fn a_sound_set_up_is_called_so_and_every_part_of_it_is_named() {
    let setup = Setup::sound();
    let (wrong, view) = setup.examined(&[]);
    assert_eq!(wrong, [], "{view:#}");
    for name in [
        "configuration",
        "address",
        "port",
        "bluetooth",
        "store",
        "privacy",
        "visits",
        "calibration",
        "disk",
        "clock",
        "announcement",
        "certificate",
    ] {
        assert!(named(&view, name)["said"].is_string(), "{name}");
    }
    let heard = named(&view, "port")["said"].as_str().expect("a sentence");
    assert!(heard.contains("readings, csv at 115200 baud"), "{heard}");
    // Not even a file that was not there is left behind.
    let left: Vec<_> = fs::read_dir(setup.store()).expect("a folder").collect();
    assert!(left.is_empty(), "{left:?}");
    let words = run(&["doctor", "--closed"], SOON);
    assert!(words.stdout.contains("clock: It stands at"), "{words:?}");
}

#[test]
fn what_is_not_told_of_a_board_is_found_by_listening() {
    let mut setup = Setup::sound();
    setup.told.clear();
    let (wrong, view) = setup.examined(&[]);
    assert_eq!(wrong, [], "{view:#}");
    let heard = named(&view, "port")["said"].as_str().expect("a sentence");
    assert!(heard.contains("found by listening"), "{heard}");
    let (_, view) = setup.examined(&["--closed"]);
    assert_eq!(named(&view, "port")["state"], "left_out");
}

#[test]
fn a_configuration_with_a_fault_is_told_by_its_line() {
    let mut setup = Setup::sound();
    setup.told.push_str("buad = 9600\n");
    let finished = doctor(&setup.arguments(&["--closed"]));
    assert_eq!(finished.code, Some(1), "{finished:?}");
    let view: Value = serde_json::from_str(&finished.stdout).expect("JSON");
    let check = named(&view, "configuration");
    assert_eq!(check["state"], "wrong");
    let what = check["trouble"]["what"].as_str().expect("a sentence");
    assert!(
        what.contains("hubplumb.toml:9:") && what.contains("buad"),
        "{what}"
    );
}

#[test]
fn ports_that_cannot_be_used_are_told_one_by_one() {
    let mut setup = Setup::sound();
    setup.port = Some(setup.folder.path().join("nowhere"));
    setup.is_wrong("port", "port_absent");

    // This very test holds it.
    let wire = Wire::new(setup.folder.path(), "held");
    setup.port = Some(wire.path().to_owned());
    let view = setup.is_wrong("port", "port_in_use");
    let remedy = &named(&view, "port")["trouble"];
    assert!(
        remedy.to_string().contains(&std::process::id().to_string()),
        "{remedy}"
    );

    let (_far_end, silent) = silent_port(setup.folder.path());
    setup.port = Some(silent.clone());
    setup.is_wrong("port", "silent");

    fs::set_permissions(&silent, Permissions::from_mode(0o000)).expect("closed");
    let view = setup.is_wrong("port", "no_permission");
    let said = named(&view, "port")["trouble"].to_string();
    assert!(said.contains("tty") || said.contains("group"), "{said}");

    let file = setup.folder.path().join("file");
    fs::write(&file, "").expect("a file");
    setup.port = Some(file);
    setup.is_wrong("port", "not_a_serial_port");
}

#[test]
fn a_board_that_talks_otherwise_than_is_told_is_told_with_what_it_says() {
    let mut setup = Setup::sound();
    setup.told = "baud = 115200\nformat = \"xbus\"\n".to_owned();
    let view = setup.is_wrong("port", "format_mismatch");
    let trouble = &named(&view, "port")["trouble"];
    assert!(
        trouble["what"]
            .as_str()
            .expect("it")
            .contains("said to send xbus"),
        "{trouble}"
    );
    assert!(
        trouble["remedy"]
            .as_str()
            .expect("it")
            .contains("format = \"csv\""),
        "{trouble}"
    );
}

#[test]
fn bluetooth_is_wrong_only_where_a_board_is_wanted_on_it() {
    let setup = Setup::sound();
    let nobody = [("DBUS_SYSTEM_BUS_ADDRESS", "unix:path=/nowhere/at/all")];
    let examined = |setup: &Setup| {
        let done = Command::new(program())
            .args(setup.arguments(&["--closed"]))
            .envs(nobody)
            .output()
            .expect("it runs");
        serde_json::from_slice::<Value>(&done.stdout).expect("JSON")
    };
    assert_eq!(named(&examined(&setup), "bluetooth")["state"], "note");
    let setup = Setup {
        more: "[[board]]\nport = \"ble:hub\"\n".to_owned(),
        ..setup
    };
    let view = examined(&setup);
    let check = named(&view, "bluetooth");
    assert_eq!(check["state"], "wrong", "{view:#}");
    assert_eq!(check["trouble"]["code"], "bluetooth_no_service");
}

#[test]
fn a_store_that_cannot_be_used_is_told_by_what_is_wrong_with_it() {
    let setup = Setup::sound();
    let store = setup.store();
    let set = |mode| fs::set_permissions(&store, Permissions::from_mode(mode)).expect("a mode");

    set(0o500);
    setup.is_wrong("store", "store_unwritable");
    set(0o777);
    setup.is_wrong("privacy", "store_open_to_writing");
    set(0o755);
    let (wrong, view) = setup.examined(&[]);
    assert_eq!(wrong, []);
    assert_eq!(named(&view, "privacy")["state"], "note");
    set(0o700);

    let visits = store.join("visits.sqlite3");
    fs::write(&visits, "nothing of the kind, and long enough to be read").expect("a file");
    setup.is_wrong("visits", "store");
    fs::remove_file(&visits).expect("gone");

    // A page of it is overwritten in the middle.
    let car = setup.folder.path().join("car.toml");
    fs::write(&car, "name = \"Wicket\"\n").expect("a file");
    let (car, place) = (car.to_string_lossy(), store.to_string_lossy());
    let done = run(&["cars", "import", &car, "--store", &place], SOON);
    assert_eq!(done.code, Some(0), "{done:?}");
    let (wrong, view) = setup.examined(&["--closed"]);
    assert_eq!(wrong, [], "{view:#}");
    let mut bytes = fs::read(&visits).expect("a file");
    let page = 4096;
    bytes[page..2 * page].fill(0x5a);
    fs::write(&visits, bytes).expect("a file");
    setup.is_wrong("visits", "store");
    fs::remove_file(&visits).expect("gone");

    let identity = setup.left();
    let name: String = identity
        .bytes()
        .map(|byte| match byte {
            byte if byte.is_ascii_alphanumeric() || b"-.".contains(&byte) => {
                char::from(byte).to_string()
            }
            byte => format!("_{byte:02x}"),
        })
        .collect();
    fs::write(store.join(format!("{name}.toml")), "not = [a calibration").expect("a file");
    setup.is_wrong("calibration", "calibration");
}

#[test]
fn a_clock_that_is_behind_what_is_stored_is_told() {
    let setup = Setup::sound();
    let store = setup.store();
    let config = setup.config();
    let mut daemon = Daemon::start(&[
        "run",
        "--config",
        &config,
        "--store",
        &store.to_string_lossy(),
    ]);
    assert_eq!(
        daemon.post("/api/v1/cars", &json!({ "name": "Wicket" })).0,
        201
    );
    assert_eq!(daemon.post("/api/v1/visits", &json!({ "car": 1 })).0, 201);
    daemon.end_by("TERM", Duration::from_secs(5));
    let export = setup.folder.path().join("export.json");
    let exported = run(
        &[
            "visits",
            "export",
            "1",
            "--store",
            &store.to_string_lossy(),
            "--out",
            &export.to_string_lossy(),
        ],
        SOON,
    );
    assert_eq!(exported.code, Some(0), "{exported:?}");
    // The same visit, of a machine whose clock was years ahead.
    let text = fs::read_to_string(&export).expect("an export");
    let mut ahead: Value = serde_json::from_str(&text).expect("JSON");
    let year = |text: &str| format!("2199{}", &text[4..]);
    set_years(&mut ahead, &year);
    fs::write(&export, ahead.to_string()).expect("a file");
    let place = ["--store", &*store.to_string_lossy()];
    let delete = [&["visits", "delete", "1", "--yes"][..], &place].concat();
    let deleted = run(&delete, SOON);
    assert_eq!(deleted.code, Some(0), "{deleted:?}");
    let file = export.to_string_lossy();
    let import = [&["visits", "import", &*file][..], &place].concat();
    let imported = run(&import, SOON);
    assert_eq!(imported.code, Some(0), "{imported:?}");
    setup.is_wrong("clock", "clock_behind");
}

/// Changes every time that is written in the value.
fn set_years(value: &mut Value, year: &impl Fn(&str) -> String) {
    match value {
        Value::String(text) if text.len() == 20 && text.ends_with('Z') => *text = year(text),
        Value::Array(all) => all.iter_mut().for_each(|value| set_years(value, year)),
        Value::Object(all) => all.values_mut().for_each(|value| set_years(value, year)),
        _ => {}
    }
}

#[test]
fn an_address_is_free_or_ours_or_somebody_elses() {
    let mut setup = Setup::sound();
    let taken = TcpListener::bind("127.0.0.1:0").expect("a free port");
    let address = taken.local_addr().expect("its address");
    setup.http = format!("listen = \"{address}\"\n");
    setup.is_wrong("address", "address");
    drop(taken);

    let config = setup.config();
    let store = setup.store();
    let store = store.to_string_lossy();
    let _daemon = Daemon::start(&["run", "--config", &config, "--store", &store]);
    let (wrong, view) = setup.examined(&[]);
    assert_eq!(wrong, [], "{view:#}");
    let said = named(&view, "daemon")["said"].as_str().expect("a sentence");
    assert!(said.ends_with("is ready."), "{said}");
    let port = named(&view, "port")["said"].as_str().expect("a sentence");
    assert!(port.contains("by the daemon that runs"), "{port}");
}

#[test]
fn a_certificate_is_judged_before_it_is_used() {
    let mut setup = Setup::sound();
    setup.http.push_str("https = true\n");
    let (wrong, view) = setup.examined(&["--closed"]);
    assert_eq!(wrong, [], "{view:#}");
    assert_eq!(named(&view, "certificate")["state"], "note");

    let store = setup.store();
    let config = setup.config();
    // Its address is told with https, which the daemon of the other tests is not asked for.
    let mut child = Command::new(program())
        .args(["run", "--config", &config, "--store"])
        .arg(&store)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("it starts");
    let file = store.join("https.toml");
    let began = std::time::Instant::now();
    while !file.exists() && began.elapsed() < SOON {
        std::thread::sleep(Duration::from_millis(50));
    }
    child.kill().expect("killed");
    child.wait().expect("ended");
    let (wrong, view) = setup.examined(&["--closed"]);
    assert_eq!(wrong, [], "{view:#}");
    assert_eq!(named(&view, "certificate")["state"], "well");

    fs::set_permissions(&file, Permissions::from_mode(0o644)).expect("open");
    setup.is_wrong("certificate", "certificate_open");
    fs::set_permissions(&file, Permissions::from_mode(0o600)).expect("closed");

    let good = fs::read_to_string(&file).expect("a file");
    let mut ended = String::new();
    for line in good.lines() {
        let line = if line.starts_with("until = ") {
            "until = 1"
        } else {
            line
        };
        writeln!(ended, "{line}").expect("a string takes text");
    }
    fs::write(&file, ended).expect("a file");
    setup.is_wrong("certificate", "certificate_ends");
    fs::write(&file, "nothing of the kind").expect("a file");
    setup.is_wrong("certificate", "certificate_unusable");
}
