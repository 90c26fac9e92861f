//! The files of single channels, read one after the other in step with the chip's rate.

use std::fs::File;
use std::io;
use std::os::unix::fs::FileExt;
use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::task::{Context, Poll, ready};
use std::thread;
use std::time::{Duration, Instant};

use hubplumb_protocol::ScanLayout;
use tokio::io::{AsyncRead, ReadBuf};
use tokio::sync::mpsc;

use super::channels::{element, wanted};
use super::refusal::IioRefusal;
use super::tree::IioDevice;
use crate::link::refusal::permission_of;
use crate::link::transport::OpenError;

/// Rate where the driver names none, and the bounds: each reading costs the bus a
/// transfer per channel, about 0.1 ms at 400 kHz.
const USUAL_HZ: f64 = 100.0;
const SLOWEST_HZ: f64 = 1.0;
const FASTEST_HZ: f64 = 200.0;
/// Records that wait for their link at most: half a second.
const QUEUE: usize = 100;
/// A thermometer is read so often: the chip warms over minutes.
const TEMPERATURE_EVERY: Duration = Duration::from_secs(1);

/// The files of a device, open.
#[derive(Debug)]
pub(super) struct Files {
    device: IioDevice,
    channels: Vec<Channel>,
    pub(super) layout: ScanLayout,
    period: Duration,
}

#[derive(Debug)]
struct Channel {
    name: String,
    file: File,
    is_temperature: bool,
    last: i32,
}

/// Opens the files and reads each once, so that a refusal shows at the opening.
pub(super) fn open(device: &IioDevice) -> Result<Files, OpenError> {
    let no_accelerometer = || {
        OpenError::Iio(IioRefusal::NoAccelerometer {
            device: device.kernel_name(),
        })
    };
    // The time comes first, as no file of the device: it is taken when the others are read.
    let mut elements = vec![element(device, "in_timestamp", 0, "le:s64/64>>0")];
    let mut channels = Vec::new();
    for name in wanted() {
        let raw = format!("{name}_raw");
        if !device.has(&raw) {
            continue;
        }
        let index = u32::try_from(elements.len()).unwrap_or(u32::MAX);
        elements.push(element(device, &name, index, "le:s32/32>>0"));
        let file = File::open(device.folder.join(&raw)).map_err(|e| refused(device, &raw, &e))?;
        let mut channel = Channel {
            is_temperature: name == "in_temp",
            name: raw,
            file,
            last: 0,
        };
        channel
            .read()
            .map_err(|error| refused(device, &channel.name, &error))?;
        channels.push(channel);
    }
    if !channels
        .iter()
        .any(|channel| channel.name == "in_accel_x_raw")
    {
        return Err(no_accelerometer());
    }
    let layout = ScanLayout::parse(&elements).map_err(|error| {
        OpenError::Iio(IioRefusal::Layout {
            device: device.kernel_name(),
            why: error.to_string(),
        })
    })?;
    let rate_hz = device
        .number_in("in_accel_sampling_frequency")
        .or_else(|| device.number_in("sampling_frequency"))
        .unwrap_or(USUAL_HZ)
        .clamp(SLOWEST_HZ, FASTEST_HZ);
    Ok(Files {
        device: device.clone(),
        channels,
        layout,
        period: Duration::from_secs_f64(1.0 / rate_hz),
    })
}

fn refused(device: &IioDevice, file: &str, error: &io::Error) -> OpenError {
    let path = device.folder.join(file);
    let port = || path.to_string_lossy().into_owned();
    match (error.kind(), permission_of(&path)) {
        (io::ErrorKind::PermissionDenied, Some(permission)) => OpenError::Denied {
            port: port(),
            permission,
        },
        // So drivers say that a buffer is on (from memory).
        (io::ErrorKind::ResourceBusy, _) => OpenError::Busy {
            port: port(),
            holder: None,
        },
        _ => OpenError::Iio(IioRefusal::Unreadable {
            device: device.kernel_name(),
            file: file.to_owned(),
            why: error.to_string(),
        }),
    }
}

impl Channel {
    /// Reads the file anew; sysfs takes a new measurement at every read from its beginning.
    fn read(&mut self) -> io::Result<()> {
        let mut text = [0; 32];
        let count = self.file.read_at(&mut text, 0)?;
        let number = std::str::from_utf8(&text[..count]).ok();
        let number = number.and_then(|text| text.trim().parse().ok());
        self.last = number.ok_or(io::ErrorKind::InvalidData)?;
        Ok(())
    }
}

impl Files {
    /// Reads every channel into one record.
    fn record(&mut self, since: Instant, with_temperature: bool) -> io::Result<Vec<u8>> {
        let before = since.elapsed();
        for channel in &mut self.channels {
            if with_temperature || !channel.is_temperature {
                channel.read()?;
            }
        }
        // The middle of the reading is the best single time for all its channels.
        let at = (before + since.elapsed()) / 2;
        let nanoseconds = i64::try_from(at.as_nanos()).unwrap_or(i64::MAX);
        let mut record = nanoseconds.to_le_bytes().to_vec();
        for channel in &self.channels {
            record.extend_from_slice(&channel.last.to_le_bytes());
        }
        record.resize(self.layout.record_bytes(), 0);
        Ok(record)
    }

    /// Works until the line is gone or the device is.
    fn poll(mut self, records: &mpsc::Sender<Vec<u8>>, tally: &Tally) {
        let began = Instant::now();
        let mut next = began;
        let mut temperature_due = began;
        while !tally.over.load(Ordering::Relaxed) {
            let now = Instant::now();
            let with_temperature = now >= temperature_due;
            if with_temperature {
                temperature_due = now + TEMPERATURE_EVERY;
            }
            match self.record(began, with_temperature) {
                Ok(record) => match records.try_send(record) {
                    Ok(()) => {}
                    Err(mpsc::error::TrySendError::Full(_)) => {
                        tally.dropped.fetch_add(1, Ordering::Relaxed);
                    }
                    Err(mpsc::error::TrySendError::Closed(_)) => return,
                },
                Err(error) => {
                    let device = self.device.kernel_name();
                    tracing::debug!(device, %error, "a device can no longer be read");
                    return;
                }
            }
            // A machine that was too busy goes on from now instead of catching up.
            next = (next + self.period).max(Instant::now());
            thread::sleep(next.saturating_duration_since(Instant::now()));
        }
    }
}

/// What the line and its thread share.
#[derive(Debug, Default)]
struct Tally {
    over: AtomicBool,
    dropped: AtomicU64,
}

/// A device whose files are read by a thread of their own: each read waits for the chip.
#[derive(Debug)]
pub(super) struct PolledLine {
    records: mpsc::Receiver<Vec<u8>>,
    tally: Arc<Tally>,
    rest: Vec<u8>,
}

impl PolledLine {
    pub(super) fn new(files: Files) -> io::Result<Self> {
        let (tell, records) = mpsc::channel(QUEUE);
        let tally = Arc::new(Tally::default());
        let shared = tally.clone();
        thread::Builder::new()
            .name(files.device.kernel_name())
            .spawn(move || files.poll(&tell, &shared))?;
        Ok(Self {
            records,
            tally,
            rest: Vec::new(),
        })
    }

    /// Records that were not read in time since this was last asked.
    pub(super) fn dropped(&self) -> u64 {
        self.tally.dropped.swap(0, Ordering::Relaxed)
    }
}

impl Drop for PolledLine {
    fn drop(&mut self) {
        // It ends within a period; nobody has to wait for that.
        self.tally.over.store(true, Ordering::Relaxed);
    }
}

impl AsyncRead for PolledLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        if self.rest.is_empty() {
            match ready!(self.records.poll_recv(cx)) {
                Some(record) => self.rest = record,
                None => return Poll::Ready(Ok(())),
            }
        }
        let count = self.rest.len().min(buf.remaining());
        buf.put_slice(&self.rest[..count]);
        self.rest.drain(..count);
        Poll::Ready(Ok(()))
    }
}
