//! The program running as a daemon, spoken to over HTTP.

use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;
use ureq::http::Response;
use ureq::{Agent, Body};

use crate::program::{DATA_HOME, home, program};
use crate::stream::Stream;

/// How long a start may take on a busy machine.
const START: Duration = Duration::from_secs(20);

/// A running daemon; dropping it ends it.
pub struct Daemon {
    child: Child,
    address: String,
    printed: Arc<Mutex<String>>,
    agent: Agent,
    home: TempDir,
}

impl Daemon {
    /// Starts the program with these arguments and waits until it says where it listens.
    ///
    /// # Panics
    /// When it ends or says nothing within [`START`]; what it printed is shown.
    #[track_caller]
    pub fn start(arguments: &[&str]) -> Self {
        Self::start_on_bus(arguments, None)
    }

    /// The same, with its system message bus at another address, so with another
    /// Bluetooth than the machine's own.
    ///
    /// # Panics
    /// As [`start`](Self::start).
    #[track_caller]
    pub fn start_on_bus(arguments: &[&str], bus: Option<&str>) -> Self {
        let bus = bus.map(|address| ("DBUS_SYSTEM_BUS_ADDRESS", address));
        Self::start_in(arguments, bus.as_slice())
    }

    /// The same, with variables of the environment as a service manager gives them.
    ///
    /// # Panics
    /// As [`start`](Self::start).
    #[track_caller]
    pub fn start_in(arguments: &[&str], environment: &[(&str, &str)]) -> Self {
        Self::start_at(arguments, environment, home())
    }

    /// Ends it by SIGKILL and starts it with these arguments over what it kept.
    ///
    /// # Panics
    /// As [`start`](Self::start).
    #[track_caller]
    pub fn kill_and_start(&mut self, arguments: &[&str], environment: &[(&str, &str)]) {
        let _ = self.child.kill();
        let _ = self.child.wait();
        let kept = std::mem::replace(&mut self.home, home());
        *self = Self::start_at(arguments, environment, kept);
    }

    #[track_caller]
    fn start_at(arguments: &[&str], environment: &[(&str, &str)], home: TempDir) -> Self {
        let is_said = arguments.contains(&"--commands");
        let presses = arguments.first() == Some(&"run") && !is_said;
        // How somebody comes to press buttons is what the tests of the door show; the others press them.
        let commands: &[&str] = if presses {
            &["--commands", "open"]
        } else {
            &[]
        };
        let mut child = Command::new(program())
            .args(arguments)
            .args(commands)
            .envs(environment.iter().copied())
            .env(DATA_HOME, home.path())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let printed = Arc::new(Mutex::new(String::new()));
        let (tell, told) = mpsc::channel();
        listen(child.stdout.take(), &printed, tell.clone());
        listen(child.stderr.take(), &printed, tell);
        let Some(address) = address(&told) else {
            let _ = child.kill();
            let _ = child.wait();
            panic!("no address was printed:\n{}", printed.lock().expect("log"));
        };
        let agent = Agent::config_builder()
            .timeout_global(Some(Duration::from_secs(10)))
            .http_status_as_error(false)
            .build()
            .into();
        Self {
            child,
            address,
            printed,
            agent,
            home,
        }
    }

    /// Writes a configuration file into a folder and starts the daemon with it.
    #[track_caller]
    pub fn with_config(folder: &Path, config: &str) -> Self {
        let path = write_config(folder, config);
        Self::start(&["run", "--config", &path.to_string_lossy()])
    }

    /// Where it listens: `http://host:port`.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// Everything it printed so far.
    ///
    /// # Panics
    /// When a reader of its output has panicked.
    pub fn printed(&self) -> String {
        self.printed.lock().expect("log").clone()
    }

    /// Is the process still there?
    ///
    /// # Panics
    /// When the system cannot tell.
    pub fn is_running(&mut self) -> bool {
        self.child
            .try_wait()
            .expect("the child can be waited for")
            .is_none()
    }

    /// Runs the program with these arguments on what this daemon keeps, and gives what it prints.
    ///
    /// # Panics
    /// When it fails.
    #[track_caller]
    pub fn beside(&self, arguments: &[&str]) -> String {
        let output = Command::new(program())
            .args(arguments)
            .env(DATA_HOME, self.home.path())
            .stdin(Stdio::null())
            .output()
            .expect("the program starts");
        let said = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success(), "{arguments:?}: {said}");
        String::from_utf8(output.stdout).expect("text")
    }

    /// Its process.
    pub fn pid(&self) -> u32 {
        self.child.id()
    }

    /// Asks it to end, as a service manager does, and waits for that.
    ///
    /// # Panics
    /// When it has not ended by itself in time.
    #[track_caller]
    pub fn end(&mut self, at_most: Duration) {
        self.end_by("TERM", at_most);
    }

    /// Asks it to end by a signal and waits for that; its exit status, none if a signal killed it.
    ///
    /// # Panics
    /// When it has not ended by itself in time.
    #[track_caller]
    pub fn end_by(&mut self, signal: &str, at_most: Duration) -> Option<i32> {
        let asked = Command::new("kill")
            .args([&format!("-{signal}"), &self.pid().to_string()])
            .status();
        assert!(asked.expect("kill runs").success());
        let began = Instant::now();
        loop {
            let ended = self.child.try_wait().expect("the child can be waited for");
            if let Some(status) = ended {
                return status.code();
            }
            assert!(
                began.elapsed() < at_most,
                "still running\n{}",
                self.printed()
            );
            thread::sleep(Duration::from_millis(10));
        }
    }

    /// Status, content type and body of a GET.
    ///
    /// # Panics
    /// When there is no answer.
    #[track_caller]
    pub fn get(&self, path: &str) -> (u16, String, String) {
        let answer = self.agent.get(format!("{}{path}", self.address)).call();
        read(answer.unwrap_or_else(|error| panic!("GET {path}: {error}")))
    }

    /// Status and JSON of a POST.
    ///
    /// # Panics
    /// When there is no answer, or one that is not JSON.
    #[track_caller]
    pub fn post(&self, path: &str, body: &Value) -> (u16, Value) {
        let answer = self
            .agent
            .post(format!("{}{path}", self.address))
            .send_json(body);
        let mut answer = answer.unwrap_or_else(|error| panic!("POST {path}: {error}"));
        let json = answer.body_mut().read_json().expect("an answer in JSON");
        (answer.status().as_u16(), json)
    }

    /// Status, content type and body of a POST of any text, sent as JSON.
    ///
    /// # Panics
    /// When there is no answer.
    #[track_caller]
    pub fn post_text(&self, path: &str, body: &str) -> (u16, String, String) {
        let request = self.agent.post(format!("{}{path}", self.address));
        let answer = request
            .header("content-type", "application/json")
            .send(body);
        read(answer.unwrap_or_else(|error| panic!("POST {path}: {error}")))
    }

    /// The state as it is now.
    ///
    /// # Panics
    /// When it cannot be had.
    #[track_caller]
    pub fn state(&self) -> Value {
        let (status, _, body) = self.get("/api/v1/state");
        assert_eq!(status, 200, "{body}");
        serde_json::from_str(&body).expect("the state is JSON")
    }

    /// Waits until the state is as wanted and returns it.
    ///
    /// # Panics
    /// When it is not so in time; the last state is shown.
    #[track_caller]
    pub fn wait(&self, what: &str, at_most: Duration, wanted: impl Fn(&Value) -> bool) -> Value {
        let began = Instant::now();
        loop {
            let state = self.state();
            if wanted(&state) {
                return state;
            }
            assert!(
                began.elapsed() < at_most,
                "not within {at_most:?}: {what}\n{state:#}"
            );
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Opens the stream of changes.
    ///
    /// # Panics
    /// When it cannot be opened.
    pub fn stream(&self) -> Stream {
        Stream::open(&self.address, "/api/v1/stream")
    }

    /// Opens the stream of every angle of every board.
    ///
    /// # Panics
    /// When it cannot be opened.
    pub fn traces(&self) -> Stream {
        Stream::open(&self.address, "/api/v1/traces")
    }
}

impl Drop for Daemon {
    fn drop(&mut self) {
        // It may have ended already, which is what some tests are about.
        let _ = self.child.kill();
        let _ = self.child.wait();
        if thread::panicking() {
            eprintln!("the daemon printed:\n{}", self.printed());
        }
    }
}

/// Puts a configuration file into a folder.
///
/// # Panics
/// When it cannot be written.
pub fn write_config(folder: &Path, config: &str) -> PathBuf {
    let path = folder.join("hubplumb.toml");
    fs::write(&path, config).expect("the configuration can be written");
    path
}

fn read(mut answer: Response<Body>) -> (u16, String, String) {
    let kind = answer
        .headers()
        .get("content-type")
        .and_then(|kind| kind.to_str().ok());
    let kind = kind.unwrap_or_default().to_owned();
    let body = answer.body_mut().read_to_string().expect("a body");
    (answer.status().as_u16(), kind, body)
}

fn listen(
    from: Option<impl Read + Send + 'static>,
    printed: &Arc<Mutex<String>>,
    tell: mpsc::Sender<String>,
) {
    let Some(from) = from else { return };
    let printed = Arc::clone(printed);
    thread::spawn(move || {
        for line in BufReader::new(from).lines().map_while(Result::ok) {
            let mut all = printed.lock().expect("log");
            all.push_str(&line);
            all.push('\n');
            // Nobody listens any more once the address is known.
            let _ = tell.send(line);
        }
    });
}

/// The first `http://…` in what the daemon prints.
fn address(told: &Receiver<String>) -> Option<String> {
    let began = Instant::now();
    loop {
        let line = told
            .recv_timeout(START.checked_sub(began.elapsed())?)
            .ok()?;
        if let Some(at) = line.find("http://") {
            let rest = &line[at..];
            let is_part =
                |letter: char| letter.is_ascii_alphanumeric() || ":/.-[]".contains(letter);
            let end = rest.find(|letter| !is_part(letter)).unwrap_or(rest.len());
            return Some(rest[..end].trim_end_matches(['/', '.']).to_owned());
        }
    }
}
