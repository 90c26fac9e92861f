//! A device of the kernel as a way to a board.

use std::collections::BTreeMap;
use std::io;
use std::pin::Pin;
use std::task::{Context, Poll};

use hubplumb_protocol::{Packing, ScanLayout, WireFormat};
use tokio::io::{AsyncRead, ReadBuf};

use super::buffered::{self, Buffer, BufferedLine, Buffering};
use super::polled::{self, Files, PolledLine};
use super::tree::{IioDevice, IioTree};
use crate::link::transport::{About, Line, OpenError, Transport};

/// A device of the kernel, looked up anew at every opening.
#[derive(Debug)]
pub struct IioTransport {
    name: String,
    tree: IioTree,
    found: Option<Found>,
}

/// What was found at the last opening.
#[derive(Debug)]
struct Found {
    device: IioDevice,
    layout: ScanLayout,
}

/// What an opening came to before the runtime knows of it.
enum Opened {
    Buffered(Buffer),
    Polled(Files),
}

impl IioTransport {
    /// A device that is looked up in `tree` by its name, its label or `iio:deviceN`.
    pub fn new(name: String, tree: IioTree) -> Self {
        Self {
            name,
            tree,
            found: None,
        }
    }
}

fn open(name: &str, tree: &IioTree) -> Result<(IioDevice, Opened), OpenError> {
    let found = tree.find(name);
    let device = match <[IioDevice; 1]>::try_from(found) {
        Ok([device]) => device,
        Err(none) if none.is_empty() => {
            return Err(OpenError::Absent {
                wanted: format!("iio:{name}"),
            });
        }
        Err(several) => {
            return Err(OpenError::Ambiguous {
                id: format!("iio:{name}"),
                nodes: several.iter().map(IioDevice::kernel_name).collect(),
            });
        }
    };
    let opened = match buffered::open(&device)? {
        Buffering::On(buffer) => Opened::Buffered(buffer),
        Buffering::NotForUs => Opened::Polled(polled::open(&device)?),
    };
    Ok((device, opened))
}

impl Transport for IioTransport {
    type Line = IioLine;

    async fn open(&mut self, _: u32) -> Result<IioLine, OpenError> {
        self.found = None;
        let (name, tree) = (self.name.clone(), self.tree.clone());
        // Drivers talk to their chips while their files are read and written.
        let opened = tokio::task::spawn_blocking(move || open(&name, &tree)).await;
        let failed = |why: String| OpenError::Failed {
            port: format!("iio:{}", self.name),
            why,
        };
        let (device, opened) = opened.map_err(|stopped| failed(stopped.to_string()))??;
        let (layout, line) = match opened {
            Opened::Buffered(buffer) => (
                buffer.layout.clone(),
                BufferedLine::new(buffer).map(|line| IioLine(Mode::Buffered(line))),
            ),
            Opened::Polled(files) => (
                files.layout.clone(),
                PolledLine::new(files).map(|line| IioLine(Mode::Polled(line))),
            ),
        };
        let line = line.map_err(|error| failed(error.to_string()))?;
        self.found = Some(Found { device, layout });
        Ok(line)
    }

    fn port(&self) -> String {
        self.found.as_ref().map_or_else(
            || format!("iio:{}", self.name),
            |found| found.device.node.to_string_lossy().into_owned(),
        )
    }

    fn has_speed(&self) -> bool {
        false
    }

    fn format(&self) -> Option<WireFormat> {
        let found = self.found.as_ref()?;
        Some(WireFormat::IioScan(found.layout.clone()))
    }

    fn about(&self) -> About {
        About {
            model: self
                .found
                .as_ref()
                .and_then(|found| found.device.name.clone()),
            ..About::default()
        }
    }
}

/// A device that is read.
#[derive(Debug)]
pub struct IioLine(Mode);

#[derive(Debug)]
enum Mode {
    Buffered(BufferedLine),
    Polled(PolledLine),
}

impl IioLine {
    /// Does the kernel collect the records?
    pub fn is_buffered(&self) -> bool {
        matches!(self.0, Mode::Buffered(_))
    }
}

impl AsyncRead for IioLine {
    fn poll_read(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        buf: &mut ReadBuf<'_>,
    ) -> Poll<io::Result<()>> {
        match &mut self.0 {
            Mode::Buffered(line) => Pin::new(line).poll_read(cx, buf),
            Mode::Polled(line) => Pin::new(line).poll_read(cx, buf),
        }
    }
}

impl Line for IioLine {
    fn packing(&self) -> Packing {
        Packing::Messages
    }

    fn left_out(&mut self) -> BTreeMap<&'static str, u64> {
        let dropped = match &self.0 {
            Mode::Polled(line) => line.dropped(),
            Mode::Buffered(_) => 0,
        };
        let dropped = (dropped > 0).then_some(("not_read_in_time", dropped));
        dropped.into_iter().collect()
    }
}
