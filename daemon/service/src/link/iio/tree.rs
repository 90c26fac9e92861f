//! The devices the kernel lists, and their files.

use std::fs;
use std::path::{Path, PathBuf};

/// What the names of devices begin with.
const PREFIX: &str = "iio:device";

/// The file tree in which devices are looked up; a test puts a folder in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IioTree {
    root: PathBuf,
}

/// A device that is there now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct IioDevice {
    /// The kernel's number, which may be another after the next start.
    pub number: u32,
    /// The driver's name of the chip: `lsm6dso`.
    pub name: Option<String>,
    /// What the makers of the machine call it: `accel-base`.
    pub label: Option<String>,
    pub(super) folder: PathBuf,
    pub(super) node: PathBuf,
    root: PathBuf,
}

impl IioTree {
    /// The tree of the running system.
    pub fn system() -> Self {
        Self::at(Path::new("/"))
    }

    /// A tree below `root`.
    pub fn at(root: &Path) -> Self {
        Self {
            root: root.to_path_buf(),
        }
    }

    /// All devices, in order of their numbers.
    pub fn devices(&self) -> Vec<IioDevice> {
        let listed = self.root.join("sys/bus/iio/devices");
        let mut devices: Vec<IioDevice> = fs::read_dir(&listed)
            .into_iter()
            .flatten()
            .flatten()
            .filter_map(|entry| {
                let name = entry.file_name().into_string().ok()?;
                let number = name.strip_prefix(PREFIX)?.parse().ok()?;
                let folder = entry.path();
                Some(IioDevice {
                    number,
                    name: text(&folder.join("name")),
                    label: text(&folder.join("label")),
                    node: self.root.join("dev").join(&name),
                    folder,
                    root: self.root.clone(),
                })
            })
            .collect();
        devices.sort_by_key(|device| device.number);
        devices
    }

    /// Every device that answers to `name`: its number, label or name.
    pub fn find(&self, name: &str) -> Vec<IioDevice> {
        let mut devices = self.devices();
        devices.retain(|device| device.answers_to(name));
        devices
    }
}

impl IioDevice {
    /// Is this the device meant by `name`?
    pub fn answers_to(&self, name: &str) -> bool {
        let is = |own: &Option<String>| own.as_deref() == Some(name);
        is(&self.name) || is(&self.label) || self.kernel_name() == name
    }

    /// `iio:device0`
    pub fn kernel_name(&self) -> String {
        format!("{PREFIX}{}", self.number)
    }

    /// What it measures that a board may: `accel`, `anglvel` (each in three axes), `temp`.
    pub fn measures(&self) -> Vec<&'static str> {
        let triple = |what: &str| {
            let raw = |axis| self.has(&format!("in_{what}_{axis}_raw"));
            let scan = |axis| self.has(&format!("scan_elements/in_{what}_{axis}_en"));
            ["x", "y", "z"].iter().all(|axis| raw(axis) || scan(axis))
        };
        let mut all: Vec<_> = ["accel", "anglvel"]
            .into_iter()
            .filter(|what| triple(what))
            .collect();
        all.extend(self.has("in_temp_raw").then_some("temp"));
        all
    }

    /// Does the kernel collect whole records of it?
    pub fn is_buffered(&self) -> bool {
        self.has("buffer/enable") && self.has("scan_elements")
    }

    pub(super) fn has(&self, file: &str) -> bool {
        self.folder.join(file).exists()
    }

    /// What a file holds; none where it is not there or empty.
    pub(super) fn text(&self, file: &str) -> Option<String> {
        text(&self.folder.join(file))
    }

    pub(super) fn number_in(&self, file: &str) -> Option<f64> {
        self.text(file)?
            .parse()
            .ok()
            .filter(|n: &f64| n.is_finite())
    }

    /// The trigger that a driver makes for its own chip, named after the device (from memory).
    pub(super) fn own_trigger(&self) -> Option<String> {
        let listed = self.root.join("sys/bus/iio/devices");
        let ending = format!("-dev{}", self.number);
        let mut names: Vec<String> = fs::read_dir(listed)
            .ok()?
            .flatten()
            .filter(|entry| entry.file_name().to_string_lossy().starts_with("trigger"))
            .filter_map(|entry| text(&entry.path().join("name")))
            .filter(|name| name.ends_with(&ending))
            .collect();
        names.sort();
        names.into_iter().next()
    }
}

fn text(file: &Path) -> Option<String> {
    let text = fs::read_to_string(file).ok()?;
    let text = text.trim();
    (!text.is_empty()).then(|| text.to_owned())
}
