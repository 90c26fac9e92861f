//! A message bus of its own: `dbus-daemon` with a configuration that lets everybody do all.

use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

use super::BluetoothError;

/// A running bus. Dropping it ends it.
#[derive(Debug)]
pub(super) struct Bus {
    child: Child,
}

/// Where the bus of a folder is reached, in D-Bus's way of writing.
pub(super) fn address(folder: &Path) -> String {
    format!("unix:path={}", socket(folder).display())
}

fn socket(folder: &Path) -> PathBuf {
    folder.join("bus")
}

impl Bus {
    /// Starts the bus; when this returns it can be called.
    pub(super) fn start(folder: &Path) -> Result<Self, BluetoothError> {
        let file = |source| BluetoothError::Bus {
            what: "its files cannot be written".to_owned(),
            source,
        };
        let config = folder.join("bus.conf");
        fs::write(&config, configuration(&address(folder))).map_err(file)?;
        // A bus that was killed leaves its socket behind.
        match fs::remove_file(socket(folder)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(file(error)),
            _ => {}
        }
        let mut child = Command::new("dbus-daemon")
            .arg(format!("--config-file={}", config.display()))
            .args(["--nofork", "--print-address"])
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .map_err(|source| BluetoothError::Bus {
                what: "dbus-daemon does not start; the package `dbus` or `dbus-daemon` has it"
                    .to_owned(),
                source,
            })?;
        let mut printed = String::new();
        let said = child.stdout.take().map(|out| {
            // It prints its address when it listens, and nothing afterwards.
            BufReader::new(out).read_line(&mut printed)
        });
        match said {
            Some(Ok(length)) if length > 0 => Ok(Self { child }),
            _ => {
                let status = child.wait().map_err(file)?;
                Err(BluetoothError::Bus {
                    what: "dbus-daemon ended at once".to_owned(),
                    source: std::io::Error::other(status.to_string()),
                })
            }
        }
    }
}

impl Drop for Bus {
    fn drop(&mut self) {
        // One that has ended by itself cannot be killed, and that is as good.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn configuration(address: &str) -> String {
    format!(
        "<!DOCTYPE busconfig PUBLIC \"-//freedesktop//DTD D-Bus Bus Configuration 1.0//EN\" \
         \"http://www.freedesktop.org/standards/dbus/1.0/busconfig.dtd\">\n\
         <busconfig>\n  <type>session</type>\n  <listen>{address}</listen>\n  \
         <auth>EXTERNAL</auth>\n  <policy context=\"default\">\n    \
         <allow send_destination=\"*\" eavesdrop=\"true\"/>\n    <allow eavesdrop=\"true\"/>\n    \
         <allow own=\"*\"/>\n  </policy>\n</busconfig>\n"
    )
}
