//! What an opening would come to, told without opening: opening restarts some boards.

use std::fs;
use std::io;
use std::path::Path;

use nix::fcntl::AtFlags;
use nix::unistd::{AccessFlags, faccessat};

use super::refusal::{Holder, holder_of, permission_of};
use super::transport::OpenError;

/// What would stand in the way of opening `node` now; none where nothing is seen to.
pub fn foreseen(node: &Path) -> Option<OpenError> {
    let port = node.to_string_lossy().into_owned();
    if let Err(error) = fs::metadata(node) {
        return Some(match error.kind() {
            io::ErrorKind::NotFound => OpenError::Absent { wanted: port },
            _ => OpenError::Failed {
                port,
                why: error.to_string(),
            },
        });
    }
    let wanted = AccessFlags::R_OK | AccessFlags::W_OK;
    // As the user the program runs as, which is not always the one who started it.
    if faccessat(nix::fcntl::AT_FDCWD, node, wanted, AtFlags::AT_EACCESS).is_err()
        && let Some(permission) = permission_of(node)
    {
        return Some(OpenError::Denied { port, permission });
    }
    holder_of(node).map(|holder| OpenError::Busy {
        port,
        holder: Some(holder),
    })
}

/// Services that are known to take ports of their own accord (sensor forums and trackers name
/// them again and again), as far as they run now.
pub fn grabbers() -> Vec<Holder> {
    grabbers_in(Path::new("/proc"))
}

/// Names as the kernel has them.
const GRABBERS: [&str; 3] = ["ModemManager", "gpsd", "brltty"];

fn grabbers_in(proc: &Path) -> Vec<Holder> {
    let mut found: Vec<Holder> = fs::read_dir(proc)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let pid = entry.file_name().to_str()?.parse().ok()?;
            let command = fs::read_to_string(entry.path().join("comm")).ok()?;
            let command = command.trim().to_owned();
            GRABBERS
                .contains(&command.as_str())
                .then_some(Holder { pid, command })
        })
        .collect();
    found.sort_by_key(|holder| holder.pid);
    found
}

#[cfg(test)]
mod tests {
    use std::process::{Command, Stdio};

    use super::*;

    #[test]
    fn a_port_that_is_free_missing_or_held() {
        let folder = tempfile::tempdir().unwrap();
        let port = folder.path().join("ttyUSB0");
        assert!(matches!(foreseen(&port), Some(OpenError::Absent { .. })));
        fs::write(&port, "").unwrap();
        assert_eq!(foreseen(&port), None);
        // Another program, with the port as its standard input.
        let mut child = Command::new("sleep")
            .arg("60")
            .stdin(fs::File::open(&port).unwrap())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        let found = foreseen(&port);
        child.kill().unwrap();
        child.wait().unwrap();
        let Some(OpenError::Busy {
            holder: Some(holder),
            ..
        }) = found
        else {
            panic!("{found:?}")
        };
        assert!(!holder.command.is_empty());
        assert_eq!(foreseen(&port), None);
    }

    #[test]
    fn services_that_take_ports_are_seen() {
        let proc = tempfile::tempdir().unwrap();
        for (pid, name) in [("7", "ModemManager"), ("9", "editor"), ("self", "gpsd")] {
            fs::create_dir(proc.path().join(pid)).unwrap();
            fs::write(proc.path().join(pid).join("comm"), format!("{name}\n")).unwrap();
        }
        assert_eq!(
            grabbers_in(proc.path()),
            [Holder {
                pid: 7,
                command: "ModemManager".to_owned()
            }]
        );
    }
}
