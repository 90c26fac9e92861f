//! A real MQTT broker and its own listener: neither is a work of this project, so what they
//! agree on with the program is the standard.

use std::fmt::Write as _;
use std::fs;
use std::io::{BufRead as _, BufReader};
use std::net::{TcpListener, TcpStream};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

use serde_json::Value;
use tempfile::TempDir;

use crate::skip;

/// How long a start may take on a busy machine.
const START: Duration = Duration::from_secs(15);

/// What a broker is started with.
#[derive(Debug, Default)]
pub struct Keys {
    /// User and password, where nobody else is let in.
    pub login: Option<(&'static str, &'static str)>,
    /// Certificate and key in PEM, where it speaks TLS.
    pub tls: Option<(String, String)>,
}

/// A running Mosquitto; dropping it ends it.
pub struct Broker {
    child: Option<Child>,
    folder: TempDir,
    port: u16,
}

/// The broker's program; Debian puts it where an ordinary user does not look.
fn mosquitto() -> Option<PathBuf> {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    folders.push("/usr/sbin".into());
    let here = |name: &str| {
        let mut all = folders.iter().map(|folder| folder.join(name));
        all.find(|file| file.is_file())
    };
    here("mosquitto_sub")?;
    here("mosquitto")
}

impl Broker {
    /// Starts one; none, and said aloud, where there is no such program.
    ///
    /// # Panics
    /// When it does not come up.
    pub fn start(what: &str, keys: &Keys) -> Option<Self> {
        if mosquitto().is_none() {
            skip(what, "mosquitto and mosquitto_sub are not installed");
            return None;
        }
        let folder = tempfile::tempdir().expect("a folder");
        let free = TcpListener::bind("127.0.0.1:0").expect("a port");
        let port = free.local_addr().expect("an address").port();
        drop(free);
        // Nothing is kept on the disk: after its end everything is forgotten.
        let mut config = format!(
            "user root\nlistener {port} 127.0.0.1\npersistence false\nallow_anonymous {}\n",
            keys.login.is_none()
        );
        if let Some((user, password)) = keys.login {
            let file = folder.path().join("users");
            let made = Command::new("mosquitto_passwd")
                .args(["-b", "-c", &file.to_string_lossy(), user, password])
                .output()
                .expect("mosquitto_passwd runs");
            assert!(made.status.success(), "{made:?}");
            let _ = writeln!(config, "password_file {}", file.display());
        }
        if let Some((certificate, key)) = &keys.tls {
            let file = |name: &str, text: &str| {
                let file = folder.path().join(name);
                fs::write(&file, text).expect("a file");
                file.display().to_string()
            };
            let _ = writeln!(
                config,
                "certfile {}\nkeyfile {}",
                file("broker.pem", certificate),
                file("broker.key", key)
            );
        }
        fs::write(folder.path().join("mosquitto.conf"), config).expect("a file");
        let mut broker = Self {
            child: None,
            folder,
            port,
        };
        broker.begin();
        Some(broker)
    }

    /// Starts it again, at the same port.
    ///
    /// # Panics
    /// When it does not come up.
    pub fn begin(&mut self) {
        let log = fs::File::create(self.folder.path().join("log")).expect("a file");
        let child = Command::new(mosquitto().expect("it was there"))
            .arg("-c")
            .arg(self.folder.path().join("mosquitto.conf"))
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(log)
            .spawn()
            .expect("mosquitto starts");
        self.child = Some(child);
        let began = Instant::now();
        while TcpStream::connect(("127.0.0.1", self.port)).is_err() {
            assert!(began.elapsed() < START, "no broker:\n{}", self.log());
            thread::sleep(Duration::from_millis(20));
        }
    }

    /// Ends it without a word, as a power cut does.
    ///
    /// # Panics
    /// When it is not running.
    pub fn kill(&mut self) {
        let mut child = self.child.take().expect("it runs");
        child.kill().expect("it can be killed");
        child.wait().expect("it can be waited for");
    }

    /// Where it listens.
    pub const fn port(&self) -> u16 {
        self.port
    }

    /// What it logged in this life.
    pub fn log(&self) -> String {
        fs::read_to_string(self.folder.path().join("log")).unwrap_or_default()
    }

    /// Begins to listen to all topics below a prefix; further arguments of `mosquitto_sub` follow.
    ///
    /// # Panics
    /// When the listener does not start.
    pub fn listen(&self, prefix: &str, more: &[&str]) -> Listener {
        let mut child = Command::new("mosquitto_sub")
            .args(["-V", "5", "-h", "127.0.0.1", "-p", &self.port.to_string()])
            .args(["-q", "1", "-t", &format!("{prefix}/#")])
            .args(["-F", "%r %q %E %t %p"])
            .args(more)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("mosquitto_sub starts");
        let heard = Arc::new(Mutex::new(Vec::new()));
        if let Some(stdout) = child.stdout.take() {
            let heard = Arc::clone(&heard);
            let prefix = format!("{prefix}/");
            thread::spawn(move || {
                for line in BufReader::new(stdout).lines().map_while(Result::ok) {
                    if let Some(message) = Message::read(&line, &prefix) {
                        heard.lock().expect("heard").push(message);
                    }
                }
            });
        }
        Listener { child, heard }
    }
}

impl Drop for Broker {
    fn drop(&mut self) {
        if let Some(mut child) = self.child.take() {
            let _ = child.kill();
            let _ = child.wait();
        }
        if thread::panicking() {
            eprintln!("the broker logged:\n{}", self.log());
        }
    }
}

/// A message as the listener got it.
#[derive(Debug, Clone, PartialEq)]
pub struct Message {
    /// Was it kept by the broker from before?
    pub retained: bool,
    /// Quality of service.
    pub quality: u8,
    /// Seconds until it ends, if it does.
    pub expiry_s: Option<u32>,
    /// Topic behind the prefix.
    pub topic: String,
    /// Payload as text.
    pub payload: String,
    /// When it came.
    pub at: Instant,
}

impl Message {
    fn read(line: &str, prefix: &str) -> Option<Self> {
        // Where there is no expiry the place between two blanks is empty.
        let mut parts = line.splitn(5, ' ');
        let mut next = || parts.next();
        let (retained, quality, expiry, topic) = (next()?, next()?, next()?, next()?);
        Some(Self {
            retained: retained == "1",
            quality: quality.parse().ok()?,
            expiry_s: expiry.parse().ok(),
            topic: topic.strip_prefix(prefix)?.to_owned(),
            payload: next().unwrap_or_default().to_owned(),
            at: Instant::now(),
        })
    }

    /// The payload as JSON; null where it is none.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.payload).unwrap_or_default()
    }
}

/// `mosquitto_sub` at work; dropping it ends it.
pub struct Listener {
    child: Child,
    heard: Arc<Mutex<Vec<Message>>>,
}

impl Listener {
    /// Everything so far.
    ///
    /// # Panics
    /// When the thread that listens has panicked.
    pub fn heard(&self) -> Vec<Message> {
        self.heard.lock().expect("heard").clone()
    }

    /// Waits for a message.
    ///
    /// # Panics
    /// When none comes; what did is shown.
    #[track_caller]
    pub fn wait(
        &self,
        what: &str,
        at_most: Duration,
        wanted: impl Fn(&Message) -> bool,
    ) -> Message {
        let began = Instant::now();
        loop {
            if let Some(message) = self.heard().into_iter().find(|message| wanted(message)) {
                return message;
            }
            assert!(
                began.elapsed() < at_most,
                "not within {at_most:?}: {what}\n{:#?}",
                self.heard()
            );
            thread::sleep(Duration::from_millis(20));
        }
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// A password in a file, with the given rights.
///
/// # Panics
/// When it cannot be written.
pub fn password_file(folder: &Path, password: &str, mode: u32) -> PathBuf {
    use std::os::unix::fs::PermissionsExt as _;
    let file = folder.join("mqtt.password");
    fs::write(&file, format!("{password}\n")).expect("a file");
    fs::set_permissions(&file, fs::Permissions::from_mode(mode)).expect("rights");
    file
}
