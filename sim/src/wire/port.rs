//! One pseudo-terminal with a link to it, standing in for a USB serial adapter.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read, Write};
use std::os::fd::{AsFd, OwnedFd};
use std::os::unix::fs::{OpenOptionsExt, symlink};
use std::path::{Path, PathBuf};

use nix::fcntl::{OFlag, open};
use nix::poll::{PollFd, PollFlags, PollTimeout, poll};
use nix::pty::{grantpt, posix_openpt, ptsname_r, unlockpt};
use nix::sys::inotify::{AddWatchFlags, InitFlags, Inotify};
use nix::sys::stat::Mode;
use nix::sys::termios::{FlushArg, SetArg, cfmakeraw, tcflush, tcgetattr, tcsetattr};

use super::outlet::{Outlet, Written};
use crate::car::Mount;
use crate::error::SimError;

/// The board's end of the wire. Dropping it is pulling the plug: readers get the end of the file
/// and the link goes.
#[derive(Debug)]
pub(super) struct Port {
    board_end: File,
    /// Tells of openings too short to be seen as a state; none where the system has no such thing.
    openings: Option<Inotify>,
    device: PathBuf,
    link: PathBuf,
}

impl Port {
    /// Opens a pseudo-terminal in raw mode and links to it.
    pub(super) fn open(mount: Mount, link: &Path) -> Result<Self, SimError> {
        let (board_end, device) = raw_terminal().map_err(|errno| SimError::Pty {
            mount,
            source: errno.into(),
        })?;
        let file_error = |source| SimError::File {
            path: link.to_owned(),
            source,
        };
        match fs::symlink_metadata(link) {
            Ok(found) if found.is_symlink() => fs::remove_file(link).map_err(file_error)?,
            Ok(_) => {
                return Err(SimError::InTheWay {
                    path: link.to_owned(),
                });
            }
            Err(_) => {}
        }
        symlink(&device, link).map_err(file_error)?;
        Ok(Self {
            openings: watch_openings(&device),
            board_end: board_end.into(),
            device,
            link: link.to_owned(),
        })
    }

    fn has_reader(&self) -> bool {
        let mut fds = [PollFd::new(self.board_end.as_fd(), PollFlags::empty())];
        let hung_up = poll(&mut fds, PollTimeout::ZERO).is_ok()
            && fds[0]
                .revents()
                .is_some_and(|events| events.contains(PollFlags::POLLHUP));
        !hung_up
    }
}

impl Outlet for Port {
    fn is_heard(&mut self) -> bool {
        self.has_reader()
    }

    /// A reader that closes and opens again between two readings is seen by this alone.
    fn was_opened(&mut self) -> bool {
        self.openings.as_ref().is_some_and(|openings| {
            openings
                .read_events()
                .is_ok_and(|events| !events.is_empty())
        })
    }

    fn send(&mut self, said: &[Vec<u8>]) -> Written {
        if !self.has_reader() {
            return Written::Unheard;
        }
        let bytes = said.concat();
        let mut bytes = &bytes[..];
        while !bytes.is_empty() {
            match self.board_end.write(bytes) {
                Ok(0) => break,
                Ok(sent) => bytes = &bytes[sent..],
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                // Full, or the reader has just gone: lost either way.
                Err(_) => break,
            }
        }
        Written::Sent { lost: bytes.len() }
    }

    /// The unread bytes sit in the line discipline of the host's end, and only a flush from that
    /// end reaches them: one from the board's end empties the buffers in between alone.
    fn forget_unread(&mut self) {
        let host_end = OpenOptions::new()
            .read(true)
            .custom_flags((OFlag::O_NOCTTY | OFlag::O_NONBLOCK).bits())
            .open(&self.device);
        // Refused when a new reader has opened it for itself alone meanwhile.
        if let Ok(host_end) = host_end {
            let _ = tcflush(&host_end, FlushArg::TCIFLUSH);
        }
    }

    fn written(&mut self) -> Vec<u8> {
        let mut written = Vec::new();
        let mut piece = [0_u8; 256];
        while let Ok(count @ 1..) = self.board_end.read(&mut piece) {
            written.extend_from_slice(&piece[..count]);
        }
        written
    }
}

impl Drop for Port {
    fn drop(&mut self) {
        // Another simulator may have put its own link there meanwhile.
        if fs::read_link(&self.link).is_ok_and(|target| target == self.device) {
            let _ = fs::remove_file(&self.link);
        }
    }
}

fn watch_openings(device: &Path) -> Option<Inotify> {
    let openings = Inotify::init(InitFlags::IN_NONBLOCK | InitFlags::IN_CLOEXEC).ok()?;
    openings.add_watch(device, AddWatchFlags::IN_OPEN).ok()?;
    Some(openings)
}

/// Both ends close on exec: a program started meanwhile would otherwise keep
/// the board's end, and pulling the plug would not be noticed.
fn raw_terminal() -> nix::Result<(OwnedFd, PathBuf)> {
    let flags = OFlag::O_RDWR | OFlag::O_NOCTTY | OFlag::O_CLOEXEC | OFlag::O_NONBLOCK;
    let master = posix_openpt(flags)?;
    grantpt(&master)?;
    unlockpt(&master)?;
    let device = PathBuf::from(ptsname_r(&master)?);
    let slave_flags = OFlag::O_RDWR | OFlag::O_NOCTTY | OFlag::O_CLOEXEC;
    let slave = open(&device, slave_flags, Mode::empty())?;
    let mut settings = tcgetattr(&slave)?;
    cfmakeraw(&mut settings);
    tcsetattr(&slave, SetArg::TCSANOW, &settings)?;
    Ok((master.into(), device))
}
