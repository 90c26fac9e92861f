//! Whole records that the kernel collects.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::PathBuf;
use std::pin::Pin;
use std::task::{Context, Poll, ready};

use hubplumb_protocol::{ScanElement, ScanLayout};
use nix::fcntl::OFlag;
use tokio::io::unix::AsyncFd;
use tokio::io::{AsyncRead, Interest, ReadBuf};

use super::channels::{element, wanted};
use super::refusal::IioRefusal;
use super::tree::IioDevice;
use crate::link::refusal::permission_of;
use crate::link::transport::OpenError;

/// Records the kernel keeps for us: half a second of the fastest rate a wheel is
/// measured at.
const LENGTH: &str = "128";

/// A buffer that is on, before the runtime knows of it.
#[derive(Debug)]
pub(super) struct Buffer {
    pub(super) layout: ScanLayout,
    records: File,
    settings: Settings,
}

/// What opening the buffer came to.
pub(super) enum Buffering {
    On(Buffer),
    /// There is none, or it is off and may not be switched on: polling is left.
    NotForUs,
}

/// Settings of the driver that were changed, and what they were before.
#[derive(Debug, Default)]
struct Settings {
    before: Vec<(PathBuf, String)>,
}

impl Settings {
    fn set(&mut self, device: &IioDevice, file: &str, value: &str) -> io::Result<()> {
        let before = device.text(file).unwrap_or_default();
        if before == value {
            return Ok(());
        }
        let path = device.folder.join(file);
        write(&path, value)?;
        self.before.push((path, before));
        Ok(())
    }
}

fn write(path: &PathBuf, value: &str) -> io::Result<()> {
    // Never made: a file of sysfs that is not there has no meaning.
    let mut file = OpenOptions::new().write(true).truncate(true).open(path)?;
    writeln!(file, "{value}")
}

impl Drop for Settings {
    fn drop(&mut self) {
        // The last that was set goes first: the buffer is off before its channels change.
        for (path, before) in self.before.drain(..).rev() {
            if let Err(error) = write(&path, &before) {
                tracing::warn!(file = %path.display(), %error, "a setting could not be put back");
            }
        }
    }
}

/// Opens the buffer of a device. Where somebody has switched it on, it is read as it is.
pub(super) fn open(device: &IioDevice) -> Result<Buffering, OpenError> {
    if !device.has("buffer/enable") || !device.has("scan_elements") {
        return Ok(Buffering::NotForUs);
    }
    let is_on = device.text("buffer/enable").as_deref() == Some("1");
    let records = match node(device) {
        Ok(records) => records,
        Err(OpenError::Denied { .. }) if !is_on => return Ok(Buffering::NotForUs),
        Err(error) => return Err(error),
    };
    let mut settings = Settings::default();
    if !is_on && let Err(error) = switch_on(device, &mut settings) {
        tracing::info!(device = device.kernel_name(), %error, "the buffer cannot be switched on");
        return Ok(Buffering::NotForUs);
    }
    match ScanLayout::parse(&enabled(device)) {
        Ok(layout) => Ok(Buffering::On(Buffer {
            layout,
            records,
            settings,
        })),
        Err(error) if !is_on => {
            tracing::info!(device = device.kernel_name(), %error, "the buffer cannot be read");
            Ok(Buffering::NotForUs)
        }
        Err(error) => Err(OpenError::Iio(IioRefusal::Layout {
            device: device.kernel_name(),
            why: error.to_string(),
        })),
    }
}

fn node(device: &IioDevice) -> Result<File, OpenError> {
    let port = || device.node.to_string_lossy().into_owned();
    let opened = OpenOptions::new()
        .read(true)
        .custom_flags(OFlag::O_NONBLOCK.bits())
        .open(&device.node);
    opened.map_err(|error| match error.kind() {
        io::ErrorKind::PermissionDenied => match permission_of(&device.node) {
            Some(permission) => OpenError::Denied {
                port: port(),
                permission,
            },
            None => OpenError::Failed {
                port: port(),
                why: error.to_string(),
            },
        },
        // The kernel lets one program read a buffer.
        io::ErrorKind::ResourceBusy => OpenError::Busy {
            port: port(),
            holder: crate::link::refusal::holder_of(&device.node),
        },
        io::ErrorKind::NotFound => OpenError::Absent { wanted: port() },
        _ => OpenError::Failed {
            port: port(),
            why: error.to_string(),
        },
    })
}

fn switch_on(device: &IioDevice, settings: &mut Settings) -> io::Result<()> {
    for channel in wanted() {
        let file = format!("scan_elements/{channel}_en");
        if device.has(&file) {
            settings.set(device, &file, "1")?;
        }
    }
    if device.has("trigger/current_trigger")
        && device.text("trigger/current_trigger").is_none()
        && let Some(trigger) = device.own_trigger()
    {
        settings.set(device, "trigger/current_trigger", &trigger)?;
    }
    if device.has("buffer/length") {
        settings.set(device, "buffer/length", LENGTH)?;
    }
    settings.set(device, "buffer/enable", "1")
}

/// Every channel of the records, also those of no use here: they take their room.
fn enabled(device: &IioDevice) -> Vec<ScanElement> {
    let folder = device.folder.join("scan_elements");
    std::fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let file = entry.file_name().into_string().ok()?;
            let channel = file.strip_suffix("_en")?;
            let of = |what: &str| device.text(&format!("scan_elements/{channel}_{what}"));
            if of("en")? != "1" {
                return None;
            }
            Some(element(
                device,
                channel,
                of("index")?.parse().ok()?,
                &of("type")?,
            ))
        })
        .collect()
}

/// A buffer that is read.
#[derive(Debug)]
pub(super) struct BufferedLine {
    // Closed before the settings are put back, which a driver may demand.
    records: AsyncFd<File>,
    record_bytes: usize,
    _settings: Settings,
}

impl BufferedLine {
    /// Must be called in a runtime.
    #[expect(
        deprecated,
        reason = "what replaces it is unsafe, for owners that may close the descriptor early; a file does not"
    )]
    pub(super) fn new(buffer: Buffer) -> io::Result<Self> {
        Ok(Self {
            record_bytes: buffer.layout.record_bytes(),
            records: AsyncFd::with_interest(buffer.records, Interest::READABLE)?,
            _settings: buffer.settings,
        })
    }
}

impl AsyncRead for BufferedLine {
    fn poll_read(
        self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        // Whole records only, so that each read is a message of them.
        let whole = buf.remaining() / self.record_bytes * self.record_bytes;
        let room = if whole == 0 { buf.remaining() } else { whole };
        loop {
            let mut ready = ready!(self.records.poll_read_ready(cx))?;
            let unfilled = &mut buf.initialize_unfilled()[..room];
            match ready.try_io(|records| records.get_ref().read(unfilled)) {
                Ok(Ok(count)) => {
                    buf.advance(count);
                    return Poll::Ready(Ok(()));
                }
                Ok(Err(error)) => return Poll::Ready(Err(error)),
                Err(_would_block) => {}
            }
        }
    }
}
