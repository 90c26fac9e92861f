//! A serial line whose other end the test holds, for what the simulated car would never send.

use std::fs::File;
use std::io::Write;
use std::os::fd::OwnedFd;
use std::os::unix::fs::symlink;
use std::path::{Path, PathBuf};

use nix::fcntl::{FcntlArg, FdFlag, fcntl};
use nix::pty::openpty;
use nix::unistd::ttyname;

/// One pseudo-terminal with a name that stays.
pub struct Wire {
    far_end: File,
    /// Kept open, or the far end would hang up before the daemon has opened it.
    _near_end: OwnedFd,
    path: PathBuf,
}

impl Wire {
    /// A wire that the daemon finds under `name` in a folder.
    ///
    /// # Panics
    /// When the system gives no pseudo-terminal.
    pub fn new(folder: &Path, name: &str) -> Self {
        let pair = openpty(None, None).expect("a pseudo-terminal");
        // A program started from here that kept the far end open would keep the plug in.
        fcntl(&pair.master, FcntlArg::F_SETFD(FdFlag::FD_CLOEXEC)).expect("a flag that can be set");
        let path = folder.join(name);
        symlink(ttyname(&pair.slave).expect("its name"), &path).expect("a link");
        Self {
            far_end: File::from(pair.master),
            _near_end: pair.slave,
            path,
        }
    }

    /// Where the daemon opens it.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Sends bytes as a board would.
    ///
    /// # Panics
    /// When nobody takes them.
    pub fn send(&mut self, bytes: &[u8]) {
        self.far_end.write_all(bytes).expect("the wire takes bytes");
    }
}
