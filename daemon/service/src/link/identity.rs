//! Which port is which board: names that stay when the kernel numbers its
//! ports anew.
//!
//! A port is known by the USB serial number of its adapter, else by the USB
//! socket it is plugged into, else by its own name. Everything is read from
//! `/dev` and `/sys`, so no device library has to be installed.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::FileTypeExt as _;
use std::path::{Path, PathBuf};

/// Kernel names of ports a board may hide behind. `ttyS*` is left out: the
/// kernel lists those whether or not there is hardware, and a configuration
/// can still name one.
const PORT_PREFIXES: [&str; 5] = ["ttyUSB", "ttyACM", "ttyAMA", "ttyXRUSB", "ttySC"];

/// Serial numbers that whole batches of adapters share (from memory); they tell nothing.
const SHARED_SERIALS: [&str; 4] = ["0", "0000", "0001", "00000000"];

/// The file tree in which ports are looked up; a test puts a folder in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PortTree {
    root: PathBuf,
    /// A folder whose every terminal is a port, in place of the tree.
    listed: Option<PathBuf>,
}

/// A serial port that is there now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundPort {
    /// Name that stays with the board or, failing that, with its socket.
    pub id: String,
    /// Where to open it now.
    pub node: PathBuf,
    /// What the adapter calls itself, if it does.
    pub product: Option<String>,
    /// Every other name by which a configuration may mean it.
    aliases: Vec<String>,
}

impl FoundPort {
    /// Is this the port meant by `name`?
    pub fn answers_to(&self, name: &str) -> bool {
        self.id == name || self.aliases.iter().any(|alias| alias == name)
    }
}

/// What sysfs tells of a USB adapter.
#[derive(Debug, Default)]
struct UsbFacts {
    vendor: String,
    product_id: String,
    product: Option<String>,
    serial: Option<String>,
    socket: String,
}

/// The terminals in a folder, by their names.
fn listed(folder: &Path) -> Vec<FoundPort> {
    let mut ports: Vec<FoundPort> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .flatten()
        .filter(|entry| {
            let kind = fs::metadata(entry.path()).map(|found| found.file_type());
            kind.is_ok_and(|kind| kind.is_char_device())
        })
        .filter_map(|entry| {
            let node = entry.path();
            Some(FoundPort {
                id: entry.file_name().into_string().ok()?,
                aliases: vec![node.to_string_lossy().into_owned()],
                node,
                product: None,
            })
        })
        .collect();
    ports.sort_by(|a, b| a.id.cmp(&b.id));
    ports
}

impl PortTree {
    /// The tree of the running system.
    pub fn system() -> Self {
        Self::at(Path::new("/"))
    }

    /// A tree below `root`.
    pub fn at(root: &Path) -> Self {
        Self {
            root: root.to_path_buf(),
            listed: None,
        }
    }

    /// The terminals in a folder and no others, each known by the name it has there: links
    /// to ports under names of one's own, or a simulator's.
    pub fn listing(folder: &Path) -> Self {
        Self {
            root: PathBuf::from("/"),
            listed: Some(folder.to_path_buf()),
        }
    }

    /// All serial ports that are there now, in order of their kernel names.
    pub fn ports(&self) -> Vec<FoundPort> {
        if let Some(folder) = &self.listed {
            return listed(folder);
        }
        let mut names: Vec<String> = fs::read_dir(self.root.join("dev"))
            .into_iter()
            .flatten()
            .flatten()
            .filter_map(|entry| entry.file_name().into_string().ok())
            .filter(|name| PORT_PREFIXES.iter().any(|prefix| name.starts_with(prefix)))
            .collect();
        // ttyACM2 before ttyACM10.
        names.sort_by_key(|name| {
            let prefix = name
                .trim_end_matches(|c: char| c.is_ascii_digit())
                .to_owned();
            (prefix, name.len(), name.clone())
        });
        let by_id = self.links("dev/serial/by-id");
        let by_path = self.links("dev/serial/by-path");
        let mut ports: Vec<(FoundPort, Option<String>)> = names
            .iter()
            .map(|name| self.describe(name, &by_id, &by_path))
            .collect();
        part_twins(&mut ports);
        ports.into_iter().map(|(port, _)| port).collect()
    }

    /// Every port that answers to `id`: normally one, none when it is unplugged.
    pub fn find(&self, id: &str) -> Vec<FoundPort> {
        self.ports()
            .into_iter()
            .filter(|port| port.answers_to(id))
            .collect()
    }

    /// Links of one folder, by the node they lead to.
    fn links(&self, folder: &str) -> BTreeMap<PathBuf, Vec<String>> {
        let mut links: BTreeMap<PathBuf, Vec<String>> = BTreeMap::new();
        for entry in fs::read_dir(self.root.join(folder))
            .into_iter()
            .flatten()
            .flatten()
        {
            if let (Ok(node), Ok(name)) = (
                fs::canonicalize(entry.path()),
                entry.file_name().into_string(),
            ) {
                links.entry(node).or_default().push(name);
            }
        }
        links
    }

    /// A port with its best name, and the name of its socket to fall back on.
    fn describe(
        &self,
        name: &str,
        by_id: &BTreeMap<PathBuf, Vec<String>>,
        by_path: &BTreeMap<PathBuf, Vec<String>>,
    ) -> (FoundPort, Option<String>) {
        let node = self.root.join("dev").join(name);
        let real = fs::canonicalize(&node).unwrap_or_else(|_| node.clone());
        let usb = self.usb_facts(name);
        let mut aliases = vec![name.to_owned(), node.to_string_lossy().into_owned()];
        for (folder, links) in [("by-id", by_id), ("by-path", by_path)] {
            for link in links.get(&real).into_iter().flatten() {
                aliases.push(link.clone());
                aliases.push(format!("/dev/serial/{folder}/{link}"));
            }
        }
        let mut socket = by_path
            .get(&real)
            .and_then(|links| links.first())
            .map(|link| format!("path-{link}"));
        let mut id = None;
        let mut product = None;
        if let Some(usb) = usb {
            let own_socket = format!("path-usb-{}", usb.socket);
            aliases.push(own_socket.clone());
            socket.get_or_insert(own_socket);
            if let Some(serial) = usb
                .serial
                .filter(|serial| !SHARED_SERIALS.contains(&serial.as_str()))
            {
                id = Some(format!("usb-{}-{}-{serial}", usb.vendor, usb.product_id));
                aliases.push(serial);
            }
            product = usb.product;
        }
        let id = id
            .or_else(|| socket.clone())
            .unwrap_or_else(|| name.to_owned());
        (
            FoundPort {
                id,
                node,
                product,
                aliases,
            },
            socket,
        )
    }

    /// Climbs from the tty to the USB device above it.
    fn usb_facts(&self, name: &str) -> Option<UsbFacts> {
        let device =
            fs::canonicalize(self.root.join("sys/class/tty").join(name).join("device")).ok()?;
        let read = |folder: &Path, file: &str| {
            fs::read_to_string(folder.join(file))
                .ok()
                .map(|text| text.trim().to_owned())
                .filter(|text| !text.is_empty())
        };
        let mut interface = String::new();
        for folder in device.ancestors() {
            if folder.join("bInterfaceNumber").exists() {
                interface = folder
                    .file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned();
            }
            if let Some(vendor) = read(folder, "idVendor") {
                let socket = folder
                    .file_name()
                    .unwrap_or_default()
                    .to_string_lossy()
                    .into_owned();
                return Some(UsbFacts {
                    vendor,
                    product_id: read(folder, "idProduct").unwrap_or_default(),
                    product: read(folder, "product"),
                    serial: read(folder, "serial"),
                    socket: if interface.is_empty() {
                        socket
                    } else {
                        interface
                    },
                });
            }
        }
        None
    }
}

/// Two ports with one name (twin adapters, or one adapter with two ports) are
/// told apart by their sockets.
fn part_twins(ports: &mut [(FoundPort, Option<String>)]) {
    let mut uses: BTreeMap<String, usize> = BTreeMap::new();
    for (port, _) in ports.iter() {
        *uses.entry(port.id.clone()).or_default() += 1;
    }
    for (port, socket) in ports.iter_mut() {
        if uses.get(&port.id).is_some_and(|&count| count > 1) {
            // The shared name stays an alias, so that looking for it finds both and can say so.
            let shared = std::mem::replace(
                &mut port.id,
                socket.clone().unwrap_or_else(|| port.aliases[0].clone()),
            );
            port.aliases.push(shared);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::os::unix::fs::symlink;

    use super::*;

    /// A made-up `/dev` and `/sys`.
    struct Tree(tempfile::TempDir);

    impl Tree {
        fn new() -> Self {
            let tree = Self(tempfile::tempdir().unwrap());
            for folder in ["dev/serial/by-id", "dev/serial/by-path", "sys/class/tty"] {
                fs::create_dir_all(tree.0.path().join(folder)).unwrap();
            }
            tree
        }

        fn plug(&self, name: &str, socket: &str, serial: Option<&str>) -> &Self {
            let root = self.0.path();
            fs::write(root.join("dev").join(name), "").unwrap();
            let device = root.join("sys/devices/usb1").join(socket);
            let tty = device.join(format!("{socket}:1.0")).join(name);
            fs::create_dir_all(&tty).unwrap();
            fs::write(tty.join("../bInterfaceNumber"), "00\n").unwrap();
            fs::write(device.join("idVendor"), "1a86\n").unwrap();
            fs::write(device.join("idProduct"), "7523\n").unwrap();
            if let Some(serial) = serial {
                fs::write(device.join("serial"), format!("{serial}\n")).unwrap();
            }
            let class = root.join("sys/class/tty").join(name);
            fs::create_dir_all(&class).unwrap();
            symlink(&tty, class.join("device")).unwrap();
            self
        }

        fn check(&self, expected: &[(&str, &str)]) {
            let found: Vec<_> = PortTree::at(self.0.path())
                .ports()
                .into_iter()
                .map(|port| {
                    (
                        port.node.file_name().unwrap().to_str().unwrap().to_owned(),
                        port.id,
                    )
                })
                .collect();
            let found: Vec<_> = found
                .iter()
                .map(|(node, id)| (node.as_str(), id.as_str()))
                .collect();
            assert_eq!(found, expected);
        }
    }

    #[test]
    fn a_serial_number_names_the_board() {
        Tree::new()
            .plug("ttyUSB0", "1-2", Some("A17"))
            .check(&[("ttyUSB0", "usb-1a86-7523-A17")]);
    }

    #[test]
    fn the_name_stays_when_the_kernel_renumbers() {
        Tree::new()
            .plug("ttyUSB1", "1-2", Some("A17"))
            .check(&[("ttyUSB1", "usb-1a86-7523-A17")]);
    }

    #[test]
    fn without_a_serial_number_the_socket_names_it() {
        Tree::new()
            .plug("ttyUSB0", "1-1.4", None)
            .check(&[("ttyUSB0", "path-usb-1-1.4:1.0")]);
    }

    #[test]
    fn a_serial_number_that_batches_share_is_no_name() {
        Tree::new()
            .plug("ttyUSB0", "1-1", Some("0001"))
            .check(&[("ttyUSB0", "path-usb-1-1:1.0")]);
    }

    #[test]
    fn twins_are_told_apart_by_their_sockets_and_found_together() {
        let tree = Tree::new();
        tree.plug("ttyUSB0", "1-1", Some("SAME"))
            .plug("ttyUSB1", "1-2", Some("SAME"));
        tree.check(&[
            ("ttyUSB0", "path-usb-1-1:1.0"),
            ("ttyUSB1", "path-usb-1-2:1.0"),
        ]);
        assert_eq!(
            PortTree::at(tree.0.path()).find("usb-1a86-7523-SAME").len(),
            2
        );
    }

    #[test]
    fn a_link_by_path_is_preferred_to_our_own_name_for_the_socket() {
        let tree = Tree::new();
        tree.plug("ttyUSB0", "1-1", None);
        let node = tree.0.path().join("dev/ttyUSB0");
        symlink(
            &node,
            tree.0
                .path()
                .join("dev/serial/by-path/pci-0-usb-0:1:1.0-port0"),
        )
        .unwrap();
        tree.check(&[("ttyUSB0", "path-pci-0-usb-0:1:1.0-port0")]);
        for name in ["path-usb-1-1:1.0", "pci-0-usb-0:1:1.0-port0", "ttyUSB0"] {
            assert_eq!(PortTree::at(tree.0.path()).find(name).len(), 1, "{name}");
        }
    }

    #[test]
    fn a_port_without_usb_goes_by_its_own_name_and_consoles_are_left_out() {
        let tree = Tree::new();
        for name in ["ttyAMA0", "ttyS0", "tty1", "ttyACM10", "ttyACM2"] {
            fs::write(tree.0.path().join("dev").join(name), "").unwrap();
        }
        tree.check(&[
            ("ttyACM2", "ttyACM2"),
            ("ttyACM10", "ttyACM10"),
            ("ttyAMA0", "ttyAMA0"),
        ]);
    }
}
