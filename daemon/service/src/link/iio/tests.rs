//! Made trees in a folder: what a driver shows, and a FIFO for its records.

use std::fs;
use std::io::Write;
use std::os::unix::fs::{FileExt, PermissionsExt};
use std::path::{Path, PathBuf};

use hubplumb_protocol::{Frame, FrameReader, Packing, Reading, WireFormat};
use nix::sys::stat::Mode;
use nix::unistd::mkfifo;
use tokio::io::AsyncReadExt;

use super::*;
use crate::link::transport::{Line, OpenError, Transport};

/// One count of ±2 g in 16 bits, m/s², as drivers print it.
const ACCEL_SCALE: &str = "0.000598550";
/// One count of ±250 °/s in 16 bits, rad/s.
const RATE_SCALE: &str = "0.000133158";

/// A made device.
struct Made {
    root: tempfile::TempDir,
    number: u32,
}

impl Made {
    fn new(name: &str) -> Self {
        let made = Self {
            root: tempfile::tempdir().unwrap(),
            number: 3,
        };
        fs::create_dir_all(made.root.path().join("dev")).unwrap();
        made.set("name", name)
    }

    fn folder(&self) -> PathBuf {
        let listed = self.root.path().join("sys/bus/iio/devices");
        listed.join(format!("iio:device{}", self.number))
    }

    fn node(&self) -> PathBuf {
        let dev = self.root.path().join("dev");
        dev.join(format!("iio:device{}", self.number))
    }

    fn set(self, file: &str, value: &str) -> Self {
        let path = self.folder().join(file);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, format!("{value}\n")).unwrap();
        self
    }

    fn get(&self, file: &str) -> String {
        let text = fs::read_to_string(self.folder().join(file)).unwrap();
        text.trim().to_owned()
    }

    /// Three axes of acceleration and rate, with the files of single channels.
    fn six_axes(self) -> Self {
        let mut made = self.set("in_accel_scale", ACCEL_SCALE);
        made = made.set("in_anglvel_scale", RATE_SCALE);
        for (channel, count) in [
            ("accel_x", "0"),
            ("accel_y", "-8192"),
            ("accel_z", "16384"),
            ("anglvel_x", "0"),
            ("anglvel_y", "131"),
            ("anglvel_z", "-131"),
        ] {
            made = made.set(&format!("in_{channel}_raw"), count);
        }
        made
    }

    /// A buffer that is off, and a FIFO where its records come out.
    fn buffered(self, is_on: bool) -> Self {
        mkfifo(&self.node(), Mode::from_bits_truncate(0o600)).unwrap();
        let on = if is_on { "1" } else { "0" };
        let mut made = self.set("buffer/enable", on).set("buffer/length", "2");
        let channels = [
            "accel_x",
            "accel_y",
            "accel_z",
            "anglvel_x",
            "anglvel_y",
            "anglvel_z",
        ];
        for (index, channel) in channels.into_iter().enumerate() {
            let element = |what: &str| format!("scan_elements/in_{channel}_{what}");
            made = made
                .set(&element("en"), on)
                .set(&element("index"), &index.to_string())
                .set(&element("type"), "le:s16/16>>0");
        }
        made.set("scan_elements/in_timestamp_en", on)
            .set("scan_elements/in_timestamp_index", "6")
            .set("scan_elements/in_timestamp_type", "le:s64/64>>0")
    }

    fn transport(&self, name: &str) -> IioTransport {
        IioTransport::new(name.to_owned(), IioTree::at(self.root.path()))
    }

    /// The driver's end of the FIFO.
    fn driver(&self) -> fs::File {
        let both = fs::OpenOptions::new()
            .read(true)
            .write(true)
            .open(self.node());
        both.unwrap()
    }
}

/// A record by hand: six counts of 16 bits, four bytes of room, 64 bits of nanoseconds.
fn record(counts: [i16; 6], nanoseconds: i64) -> Vec<u8> {
    let mut record: Vec<u8> = counts
        .iter()
        .flat_map(|count| count.to_le_bytes())
        .collect();
    record.resize(16, 0);
    record.extend_from_slice(&nanoseconds.to_le_bytes());
    record
}

/// The first so many readings of a line in the format its transport tells.
async fn readings(transport: &IioTransport, line: &mut IioLine, enough: usize) -> Vec<Reading> {
    let format = transport.format().expect("the transport tells the format");
    assert_eq!(format.name(), "iio-scan");
    assert_eq!(line.packing(), Packing::Messages);
    let mut reader = FrameReader::new(&format);
    let mut all = Vec::new();
    let mut buffer = [0; 2048];
    while all.len() < enough {
        let count = line.read(&mut buffer).await.unwrap();
        assert!(count > 0, "the line ended after {}", all.len());
        reader.push_piece(&buffer[..count], Packing::Messages);
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => all.push(reading),
                Frame::Bad(bad) => panic!("{bad:?}"),
            }
        }
    }
    all
}

/// Half a g down along y, one up along z, and a degree per second each way.
#[track_caller]
fn check_felt(reading: &Reading) {
    let near = |found: [f64; 3], expected: [f64; 3], within: f64| {
        for (found, expected) in found.iter().zip(expected) {
            assert!((found - expected).abs() < within, "{reading:?}");
        }
    };
    near(reading.accel_g.unwrap(), [0.0, -0.5, 1.0], 1e-4);
    near(
        reading.rate_radps.unwrap().map(f64::to_degrees),
        [0.0, 1.0, -1.0],
        1e-3,
    );
}

const FELT: [i16; 6] = [0, -8192, 16_384, 0, 131, -131];

#[tokio::test]
async fn a_buffer_that_is_off_is_switched_on_and_put_back() {
    let made = Made::new("lsm6dso").six_axes().buffered(false);
    let mut driver = made.driver();
    let mut transport = made.transport("lsm6dso");
    assert_eq!(transport.port(), "iio:lsm6dso");
    let mut line = transport.open(0).await.unwrap();
    assert!(line.is_buffered());
    assert_eq!(transport.port(), made.node().to_string_lossy());
    assert_eq!(transport.about().model.as_deref(), Some("lsm6dso"));
    for (file, value) in [
        ("scan_elements/in_accel_x_en", "1"),
        ("scan_elements/in_timestamp_en", "1"),
        ("buffer/length", "128"),
        ("buffer/enable", "1"),
    ] {
        assert_eq!(made.get(file), value, "{file}");
    }
    driver.write_all(&record(FELT, 1_500_000)).unwrap();
    driver.write_all(&record(FELT, 11_500_000)).unwrap();
    let found = readings(&transport, &mut line, 2).await;
    check_felt(&found[0]);
    let times: Vec<_> = found.iter().map(|reading| reading.device_time_us).collect();
    assert_eq!(times, [Some(1500.0), Some(11_500.0)]);
    drop(line);
    for (file, value) in [
        ("scan_elements/in_accel_x_en", "0"),
        ("scan_elements/in_timestamp_en", "0"),
        ("buffer/length", "2"),
        ("buffer/enable", "0"),
    ] {
        assert_eq!(made.get(file), value, "{file} is put back");
    }
}

#[tokio::test]
async fn a_buffer_that_is_on_is_read_as_it_is() {
    let made = Made::new("lsm6dso")
        .six_axes()
        .buffered(true)
        .set("scan_elements/in_timestamp_en", "0");
    let mut driver = made.driver();
    let mut transport = made.transport("iio:device3");
    let mut line = transport.open(0).await.unwrap();
    driver.write_all(&record(FELT, 0)[..12]).unwrap();
    let found = readings(&transport, &mut line, 1).await;
    check_felt(&found[0]);
    assert_eq!(found[0].device_time_us, None);
    drop(line);
    assert_eq!(made.get("buffer/enable"), "1");
    assert_eq!(made.get("buffer/length"), "2");
}

#[tokio::test]
async fn a_trigger_of_the_driver_is_chosen_where_none_is_set() {
    let made = Made::new("mpu6050")
        .six_axes()
        .buffered(false)
        .set("trigger/current_trigger", "")
        .set("../trigger0/name", "sysfstrig1")
        .set("../trigger1/name", "mpu6050-dev3");
    let _driver = made.driver();
    let line = made.transport("mpu6050").open(0).await.unwrap();
    assert_eq!(made.get("trigger/current_trigger"), "mpu6050-dev3");
    drop(line);
    assert_eq!(made.get("trigger/current_trigger"), "");
}

#[tokio::test]
async fn a_device_without_a_buffer_is_polled_at_its_rate() {
    let made = Made::new("adxl345")
        .six_axes()
        .set("in_temp_raw", "250")
        .set("in_temp_scale", "100")
        .set("sampling_frequency", "200");
    let mut transport = made.transport("adxl345");
    let mut line = transport.open(0).await.unwrap();
    assert!(!line.is_buffered());
    let found = readings(&transport, &mut line, 20).await;
    let mut last_us = -1.0;
    for reading in &found {
        check_felt(reading);
        assert_eq!(reading.temperature_c, Some(25.0));
        let time_us = reading.device_time_us.unwrap();
        assert!(time_us > last_us, "{found:?}");
        last_us = time_us;
    }
    // Never faster than the rate: the twentieth is due after nineteen periods of 5 ms.
    assert!(last_us >= 95_000.0, "{last_us}");
}

#[tokio::test]
async fn what_changes_while_it_is_polled_is_seen_and_its_end_is_an_end() {
    let made = Made::new("adxl345").six_axes();
    let mut transport = made.transport("adxl345");
    let mut line = transport.open(0).await.unwrap();
    let is = |reading: &Reading, z_g: f64| (reading.accel_g.unwrap()[2] - z_g).abs() < 1e-3;
    assert!(is(&readings(&transport, &mut line, 1).await[0], 1.0));
    // In place and of one length, so that no reading falls on a file that is being made anew.
    let file = fs::OpenOptions::new()
        .write(true)
        .open(made.folder().join("in_accel_z_raw"))
        .unwrap();
    file.write_all_at(b"-8192", 0).unwrap();
    while !is(&readings(&transport, &mut line, 1).await[0], -0.5) {}
    file.write_all_at(b"gone!", 0).unwrap();
    let mut rest = Vec::new();
    line.read_to_end(&mut rest).await.unwrap();
}

#[tokio::test]
async fn the_matrix_of_the_makers_turns_the_chip_into_the_board() {
    let made = Made::new("chip")
        .six_axes()
        // The chip's z is the board's x, its x the board's y, its y the board's z backwards.
        .set("in_accel_mount_matrix", "0, 0, 1; 1, 0, 0; 0, -1, 0");
    let mut transport = made.transport("chip");
    let mut line = transport.open(0).await.unwrap();
    let found = readings(&transport, &mut line, 1).await[0];
    let accel_g = found.accel_g.unwrap();
    for (found, expected) in accel_g.iter().zip([1.0, 0.0, 0.5]) {
        assert!((found - expected).abs() < 1e-3, "{accel_g:?}");
    }
    // The gyro has no matrix here.
    assert!(found.rate_radps.unwrap()[1] > 0.0);
}

#[tokio::test]
async fn offsets_are_added_before_the_scale() {
    let made = Made::new("chip")
        .six_axes()
        .set("in_accel_offset", "100")
        .set("in_accel_z_offset", "-16384");
    let mut transport = made.transport("chip");
    let mut line = transport.open(0).await.unwrap();
    let [x, _, z] = readings(&transport, &mut line, 1).await[0].accel_g.unwrap();
    assert!(
        (x - 100.0 / 16_384.0).abs() < 1e-5 && z.abs() < 1e-9,
        "{x} {z}"
    );
}

/// Nobody may open it; but root may open everything.
fn locked(path: &Path) -> bool {
    fs::set_permissions(path, fs::Permissions::from_mode(0o000)).unwrap();
    !nix::unistd::geteuid().is_root()
}

#[tokio::test]
async fn without_the_right_to_the_buffer_the_files_are_polled() {
    let made = Made::new("lsm6dso").six_axes().buffered(false);
    if locked(&made.node()) {
        let mut transport = made.transport("lsm6dso");
        let mut line = transport.open(0).await.unwrap();
        assert!(!line.is_buffered());
        check_felt(&readings(&transport, &mut line, 1).await[0]);
    }
    // The setting is refused to root as well where its file is a folder.
    let made = Made::new("lsm6dso").six_axes().buffered(false);
    fs::remove_file(made.folder().join("buffer/length")).unwrap();
    fs::create_dir(made.folder().join("buffer/length")).unwrap();
    let line = made.transport("lsm6dso").open(0).await.unwrap();
    assert!(!line.is_buffered());
    assert_eq!(made.get("scan_elements/in_accel_x_en"), "0", "put back");
    assert_eq!(made.get("buffer/enable"), "0");
}

#[tokio::test]
async fn devices_are_found_by_number_name_and_label_and_told_apart() {
    let made = Made::new("lsm6dso").six_axes().set("label", "left-hub");
    let mut other = made;
    other.number = 12;
    let other = other
        .set("name", "lsm6dso")
        .set("label", "right-hub")
        .six_axes();
    let tree = IioTree::at(other.root.path());
    let numbers = |name: &str| -> Vec<u32> {
        let found = tree.find(name);
        found.iter().map(|device| device.number).collect()
    };
    assert_eq!(numbers("lsm6dso"), [3, 12]);
    assert_eq!(numbers("right-hub"), [12]);
    assert_eq!(numbers("iio:device3"), [3]);
    assert_eq!(numbers("adxl345"), [] as [u32; 0]);
    let open = async |name: &str| other.transport(name).open(0).await.map(drop);
    assert!(
        matches!(open("lsm6dso").await, Err(OpenError::Ambiguous { nodes, .. }) if nodes.len() == 2)
    );
    assert_eq!(
        open("adxl345").await,
        Err(OpenError::Absent {
            wanted: "iio:adxl345".to_owned()
        })
    );
    assert_eq!(open("right-hub").await, Ok(()));
}

#[tokio::test]
async fn a_device_without_an_accelerometer_is_refused() {
    let made = Made::new("gyro")
        .set("in_anglvel_x_raw", "0")
        .set("in_anglvel_y_raw", "0")
        .set("in_anglvel_z_raw", "0");
    assert_eq!(
        made.transport("gyro").open(0).await.map(drop),
        Err(OpenError::Iio(IioRefusal::NoAccelerometer {
            device: "iio:device3".to_owned()
        }))
    );
}

#[tokio::test]
async fn a_link_lives_on_a_made_device_in_the_format_that_the_kernel_tells() {
    use std::sync::mpsc;
    use tokio_util::sync::CancellationToken;

    struct Ear(
        mpsc::Sender<(Vec<Reading>, Option<WireFormat>)>,
        Option<WireFormat>,
    );
    impl crate::link::Observer for Ear {
        fn arrived(&mut self, _: &[u8], readings: &[Reading], _: u64) {
            let _ = self.0.send((readings.to_vec(), self.1.clone()));
        }
        fn status(&mut self, status: &crate::link::LinkStatus) {
            self.1 = status.speech.as_ref().map(|speech| speech.format.clone());
        }
    }
    let made = Made::new("lsm6dso").six_axes().buffered(false);
    let mut driver = made.driver();
    driver.write_all(&record(FELT, 1_000_000)).unwrap();
    let mut ways = crate::link::Ways::system();
    ways.iio = IioTree::at(made.root.path());
    let (tell, told) = mpsc::channel();
    let stop = CancellationToken::new();
    let settings = crate::link::LinkSettings {
        // What is configured does not matter where the kernel knows.
        format: Some(WireFormat::Ahrs55),
        ..crate::link::LinkSettings::default()
    };
    let target = "iio:lsm6dso".parse().unwrap();
    let link = tokio::spawn(ways.run(target, settings, Ear(tell, None), stop.clone()));
    let (readings, format) = tokio::task::spawn_blocking(move || told.recv())
        .await
        .unwrap()
        .unwrap();
    check_felt(&readings[0]);
    assert_eq!(format.map(|format| format.name()), Some("iio-scan"));
    stop.cancel();
    link.await.unwrap();
    assert_eq!(made.get("buffer/enable"), "0", "put back at the end");
}
