//! The real transport: a serial port, found anew at every opening.

use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::task::{Context, Poll};

use nix::errno::Errno;
use nix::fcntl::OFlag;
use nix::sys::termios::{ControlFlags, SetArg, tcgetattr, tcsetattr};
use tokio::io::{AsyncRead, AsyncWriteExt as _, ReadBuf};
use tokio_serial::{ClearBuffer, SerialPort, SerialPortBuilderExt, SerialStream};

use super::identity::PortTree;
use super::refusal::{holder_of, permission_of};
use super::target::Target;
use super::transport::{Line, OpenError, Transport};

/// A serial port.
#[derive(Debug)]
pub struct SerialTransport {
    target: Target,
    tree: PortTree,
    port: String,
}

impl SerialTransport {
    /// A port that is looked up in `tree`; nothing is opened yet.
    pub fn new(target: Target, tree: PortTree) -> Self {
        let port = match &target {
            Target::Path(path) => path.to_string_lossy().into_owned(),
            named => {
                let id = named.to_string();
                let found = tree.find(&id);
                found
                    .first()
                    .map_or(id, |port| port.node.to_string_lossy().into_owned())
            }
        };
        Self { target, tree, port }
    }
}

impl Transport for SerialTransport {
    type Line = SerialLine;

    async fn open(&mut self, baud: u32) -> Result<SerialLine, OpenError> {
        let (target, tree) = (self.target.clone(), self.tree.clone());
        // An adapter may take its time to answer the control requests of an opening.
        let opened = tokio::task::spawn_blocking(move || {
            let node = resolve(&target, &tree)?;
            let line = open_node(&node, baud)?;
            Ok((node, line))
        })
        .await;
        match opened {
            Ok(Ok((node, line))) => {
                self.port = node.to_string_lossy().into_owned();
                Ok(line)
            }
            Ok(Err(error)) => Err(error),
            Err(stopped) => Err(OpenError::Failed {
                port: self.port.clone(),
                why: stopped.to_string(),
            }),
        }
    }

    fn port(&self) -> String {
        self.port.clone()
    }
}

/// An open serial port.
#[derive(Debug)]
pub struct SerialLine {
    stream: SerialStream,
    baud: u32,
}

impl AsyncRead for SerialLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, buf)
    }
}

impl Line for SerialLine {
    fn set_baud(&mut self, baud: u32) -> io::Result<()> {
        if baud == self.baud {
            // Throwing bytes away here would cost a board that has just been
            // opened its greeting, and with it the header of its columns.
            return Ok(());
        }
        self.stream.set_baud_rate(baud)?;
        self.stream.clear(ClearBuffer::Input)?;
        self.baud = baud;
        Ok(())
    }

    async fn ask(&mut self, question: &[u8]) -> io::Result<()> {
        self.stream.write_all(question).await
    }
}

fn resolve(target: &Target, tree: &PortTree) -> Result<PathBuf, OpenError> {
    match target {
        Target::Path(path) => Ok(path.clone()),
        named => {
            let id = named.to_string();
            let mut found = tree.find(&id);
            match (found.pop(), found.is_empty()) {
                (Some(port), true) => Ok(port.node),
                (None, _) => Err(OpenError::Absent { wanted: id }),
                (Some(last), false) => Err(OpenError::Ambiguous {
                    id,
                    nodes: found
                        .iter()
                        .chain([&last])
                        .map(|port| port.node.to_string_lossy().into_owned())
                        .collect(),
                }),
            }
        }
    }
}

fn open_node(node: &Path, baud: u32) -> Result<SerialLine, OpenError> {
    let port = node.to_string_lossy().into_owned();
    // Held until the port is open for good: it tells the system's own error
    // number, and closing the last descriptor of a port would drop its control lines.
    let probe = probe(node, &port)?;
    let opened = tokio_serial::new(port.as_str(), baud).open_native_async();
    drop(probe);
    opened
        .map(|stream| SerialLine { stream, baud })
        .map_err(|error| refused(node, port, &error))
}

/// Opens the path once for its error number, and asks the port to leave its
/// control lines alone when it is closed: boards wired like an Arduino restart
/// when DTR falls and rises.
fn probe(node: &Path, port: &str) -> Result<File, OpenError> {
    let flags = OFlag::O_NOCTTY | OFlag::O_NONBLOCK;
    let file = OpenOptions::new()
        .read(true)
        .write(true)
        .custom_flags(flags.bits())
        .open(node)
        .map_err(|error| {
            let number = error
                .raw_os_error()
                .map_or(Errno::UnknownErrno, Errno::from_raw);
            match number {
                Errno::ENOENT | Errno::ENXIO | Errno::ENODEV => OpenError::Absent {
                    wanted: port.to_owned(),
                },
                Errno::EBUSY => OpenError::Busy {
                    port: port.to_owned(),
                    holder: holder_of(node),
                },
                Errno::EACCES | Errno::EPERM => match permission_of(node) {
                    Some(permission) => OpenError::Denied {
                        port: port.to_owned(),
                        permission,
                    },
                    None => OpenError::Failed {
                        port: port.to_owned(),
                        why: error.to_string(),
                    },
                },
                Errno::EISDIR => OpenError::NotSerial {
                    port: port.to_owned(),
                    why: "it is a folder".to_owned(),
                },
                _ => OpenError::Failed {
                    port: port.to_owned(),
                    why: error.to_string(),
                },
            }
        })?;
    match tcgetattr(&file) {
        Ok(mut settings) => {
            settings.control_flags.remove(ControlFlags::HUPCL);
            if let Err(error) = tcsetattr(&file, SetArg::TCSANOW, &settings) {
                tracing::debug!(port, %error, "the port keeps dropping its control lines on close");
            }
            Ok(file)
        }
        Err(error) => Err(OpenError::NotSerial {
            port: port.to_owned(),
            // The system's word for it is "not a typewriter".
            why: if error == Errno::ENOTTY {
                "it takes no speed".to_owned()
            } else {
                error.desc().to_owned()
            },
        }),
    }
}

fn refused(node: &Path, port: String, error: &tokio_serial::Error) -> OpenError {
    match error.kind() {
        tokio_serial::ErrorKind::Io(io::ErrorKind::NotFound) => OpenError::Absent { wanted: port },
        // The library's name for both ways of being locked out: the terminal's own and the file lock.
        tokio_serial::ErrorKind::NoDevice => OpenError::Busy {
            holder: holder_of(node),
            port,
        },
        _ => OpenError::Failed {
            port,
            why: error.description.clone(),
        },
    }
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::symlink;

    use super::*;

    async fn open(path: &Path) -> Result<SerialLine, OpenError> {
        SerialTransport::new(Target::Path(path.to_path_buf()), PortTree::system())
            .open(115_200)
            .await
    }

    #[tokio::test]
    async fn a_missing_port_is_absent() {
        let error = open(Path::new("/dev/ttyNOWHERE")).await.unwrap_err();
        assert_eq!(
            error,
            OpenError::Absent {
                wanted: "/dev/ttyNOWHERE".to_owned()
            }
        );
    }

    #[tokio::test]
    async fn a_plain_file_is_no_serial_port() {
        let file = tempfile::NamedTempFile::new().unwrap();
        assert!(matches!(
            open(file.path()).await,
            Err(OpenError::NotSerial { .. })
        ));
    }

    #[tokio::test]
    async fn a_folder_is_no_serial_port() {
        let folder = tempfile::tempdir().unwrap();
        assert!(matches!(
            open(folder.path()).await,
            Err(OpenError::NotSerial { .. })
        ));
    }

    #[tokio::test]
    async fn an_identity_without_a_port_is_absent() {
        let tree = tempfile::tempdir().unwrap();
        let target = Target::Identity("usb-1a86-7523-A17".to_owned());
        let opened = SerialTransport::new(target, PortTree::at(tree.path()))
            .open(9600)
            .await;
        assert!(
            matches!(opened, Err(OpenError::Absent { wanted }) if wanted == "usb-1a86-7523-A17")
        );
    }

    #[tokio::test]
    async fn a_second_opener_is_told_the_port_is_in_use() {
        let pty = nix::pty::openpty(None, None).unwrap();
        let slave = nix::unistd::ttyname(&pty.slave).unwrap();
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("front_left");
        symlink(&slave, &link).unwrap();
        let _first = open(&link).await.unwrap();
        assert!(matches!(open(&link).await, Err(OpenError::Busy { .. })));
    }
}
