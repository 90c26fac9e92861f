//! Each sketch as it is, `setup()` and `loop()`, on a made-up board.

use std::fmt::Write as _;

use hubplumb_protocol::{Frame, FrameReader, Packing, Reading, WireFormat};

use crate::compiled::{Compiled, bytes, top};

/// Counts of one reading, as the chip's registers hold them.
#[derive(Debug, Clone, Copy)]
struct Counts {
    temperature: i32,
    accel: [i32; 3],
    rate: [i32; 3],
}

/// What a chip's counts are worth, by its data sheet.
struct Worth {
    /// Name in the made-up world.
    chip: &'static str,
    /// Name in the sketch.
    class: &'static str,
    g_per_count: f64,
    dps_per_count: Option<f64>,
    temperature_c: Option<fn(f64) -> f64>,
    /// Largest count.
    most: i32,
    period_us: f64,
}

/// Sensitivities: PS-MPU-6000A r3.4 p. 12-14; `DocID026899` r4 p. 19; DS12140 r2 p. 9; ADXL345:
/// 256 counts a g in full resolution, from memory. Rates of measuring and thermometers of
/// the LSM6 chips: from memory.
const CHIPS: [Worth; 4] = [
    Worth {
        chip: "mpu6050",
        class: "Mpu6050",
        g_per_count: 1.0 / 16384.0,
        dps_per_count: Some(1.0 / 131.0),
        temperature_c: Some(|counts| counts / 340.0 + 36.53),
        most: 32767,
        period_us: 10_000.0,
    },
    Worth {
        chip: "lsm6ds3",
        class: "Lsm6ds3",
        g_per_count: 0.061e-3,
        dps_per_count: Some(8.75e-3),
        temperature_c: Some(|counts| counts / 16.0 + 25.0),
        most: 32767,
        period_us: 9615.0,
    },
    Worth {
        chip: "lsm6dso",
        class: "Lsm6ds3",
        g_per_count: 0.061e-3,
        dps_per_count: Some(8.75e-3),
        temperature_c: Some(|counts| counts / 256.0 + 25.0),
        most: 32767,
        period_us: 9615.0,
    },
    Worth {
        chip: "adxl345",
        class: "Adxl345",
        g_per_count: 1.0 / 256.0,
        dps_per_count: None,
        temperature_c: None,
        most: 511,
        period_us: 10_000.0,
    },
];

/// How a sketch sends.
struct Way {
    sketch: &'static str,
    /// Its word in the log.
    by: &'static str,
    packing: Packing,
}

const WAYS: [Way; 4] = [
    Way {
        sketch: "hubplumb_usb",
        by: "serial",
        packing: Packing::Stream,
    },
    Way {
        sketch: "hubplumb_ble",
        by: "ble",
        packing: Packing::Pieces,
    },
    Way {
        sketch: "hubplumb_udp",
        by: "udp",
        packing: Packing::Messages,
    },
    Way {
        sketch: "hubplumb_tcp",
        by: "tcp",
        packing: Packing::Stream,
    },
];

const READINGS: i32 = 450;

fn table(most: i32) -> Vec<Counts> {
    (0..READINGS)
        .map(|number| {
            let part = |of: i32| (number * of) % (2 * most + 2) - most - 1;
            Counts {
                temperature: (number * 7) % 1000 - 500,
                accel: [part(7919), part(104_729), part(31)],
                rate: [part(1299), part(15_485), part(2)],
            }
        })
        .collect()
}

struct Ran {
    readings: Vec<Reading>,
    log: String,
}

/// Runs a sketch over the table and decodes what it sent.
fn run(
    way: &Way,
    worth: &Worth,
    format: (&str, &str),
    start_us: u64,
    absent_us: u64,
) -> Option<Ran> {
    let sketch = top().join(format!("docs/boards/sketches/{0}/{0}.ino", way.sketch));
    let program = Compiled::new(
        "world.cpp",
        &[
            format!("SKETCH=\"{}\"", sketch.display()),
            format!("HUBPLUMB_CHIP={}", worth.class),
            format!("HUBPLUMB_FORMAT={}", format.0),
        ],
    )?;
    let mut given = String::new();
    for counts in table(worth.most) {
        let _ = write!(given, "{}", counts.temperature);
        for value in counts.accel.iter().chain(&counts.rate) {
            let _ = write!(given, " {value}");
        }
        given.push('\n');
    }
    let log = program.run(
        &[
            worth.chip.to_owned(),
            start_us.to_string(),
            absent_us.to_string(),
        ],
        &given,
    );
    let named = WireFormat::from_name(format.1, None).expect("a known name");
    let mut reader = FrameReader::new(&named);
    let mut readings = Vec::new();
    for line in log.lines() {
        let Some(digits) = line.strip_prefix(way.by).and_then(|l| l.strip_prefix(' ')) else {
            continue;
        };
        reader.push_piece(&bytes(digits), way.packing);
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => readings.push(reading),
                Frame::Bad(bad) => panic!("{}: {bad:?}", way.sketch),
            }
        }
    }
    Some(Ran { readings, log })
}

/// Every reading of the chip arrives once, in order, worth what the data sheet says, at the
/// time at which it was measured.
fn check(way: &Way, worth: &Worth, format: (&str, &str), steps: (f64, f64)) {
    let Some(ran) = run(way, worth, format, 1_000_000, 0) else {
        return;
    };
    let what = format!("{} {} {}", way.sketch, worth.chip, format.0);
    let table = table(worth.most);
    assert_eq!(ran.readings.len(), table.len(), "{what}");
    for (reading, counts) in ran.readings.iter().zip(&table) {
        let near = |found: f64, counts: i32, unit: f64, step: f64| {
            let expected = f64::from(counts) * unit;
            // Half a step of the wire, and the board's float arithmetic.
            let most = 0.5 * step + expected.abs() * 2e-7;
            assert!(
                (found - expected).abs() <= most,
                "{what}: {found} for {expected}"
            );
        };
        for (found, counts) in reading.accel_g.unwrap().iter().zip(counts.accel) {
            near(*found, counts, worth.g_per_count, steps.0);
        }
        assert_eq!(reading.rate_radps.is_some(), worth.dps_per_count.is_some());
        if let (Some(rate), Some(unit)) = (reading.rate_radps, worth.dps_per_count) {
            for (found, counts) in rate.iter().zip(counts.rate) {
                near(found.to_degrees(), counts, unit, steps.1);
            }
        }
        let expected = worth
            .temperature_c
            .map(|of| of(f64::from(counts.temperature)));
        assert_eq!(reading.temperature_c.is_some(), expected.is_some());
        if let (Some(found), Some(expected)) = (reading.temperature_c, expected) {
            assert!((found - expected).abs() <= 0.0051, "{what}: {found}");
        }
    }
    // The pace is the chip's: no reading is late by more than a look at the chip takes, and
    // lateness does not add up.
    let times: Vec<f64> = ran
        .readings
        .iter()
        .map(|reading| reading.device_time_us.unwrap())
        .collect();
    for (number, time_us) in times.iter().enumerate() {
        let late_us = time_us - times[0] - number as f64 * worth.period_us;
        assert!(late_us.abs() < 1000.0, "{what}: {late_us} µs late");
    }
}

/// A word of 16 bits at the ranges that the table's largest values need: 4 g, as −2 g is one
/// count past the end of 2 g's words, and 500 °/s.
const COMPACT_STEPS: (f64, f64) = (4.0 / 32768.0, 500.0 / 32768.0);
const TEXT_STEPS: (f64, f64) = (1e-5, 1e-4);

fn every_chip(way: &Way) {
    for worth in &CHIPS {
        check(way, worth, ("Compact", "compact"), COMPACT_STEPS);
        check(way, worth, ("Csv", "csv"), TEXT_STEPS);
    }
    check(way, &CHIPS[1], ("Json", "json-lines"), TEXT_STEPS);
}

/// Chip and way meet in the library alone, so not every pair is compiled.
fn every_format(way: &Way) {
    check(way, &CHIPS[0], ("Compact", "compact"), COMPACT_STEPS);
    check(way, &CHIPS[3], ("Csv", "csv"), TEXT_STEPS);
    check(way, &CHIPS[2], ("Json", "json-lines"), TEXT_STEPS);
}

#[test]
fn usb_serial() {
    every_chip(&WAYS[0]);
}

#[test]
fn bluetooth_low_energy() {
    every_format(&WAYS[1]);
}

#[test]
fn datagrams() {
    every_format(&WAYS[2]);
}

#[test]
fn a_board_that_is_called_over_tcp() {
    every_format(&WAYS[3]);
}

#[test]
fn the_chosen_defaults_compile_and_speak() {
    for way in &WAYS {
        let sketch = top().join(format!("docs/boards/sketches/{0}/{0}.ino", way.sketch));
        let define = format!("SKETCH=\"{}\"", sketch.display());
        let Some(program) = Compiled::new("world.cpp", &[define]) else {
            return;
        };
        let log = program.run(&["mpu6050", "0", "0"], "0 0 0 16384 0 0 0\n");
        assert!(log.lines().any(|line| line.starts_with(way.by)), "{log}");
    }
}

/// The service and the characteristic are those of the Nordic UART service (nRF5 SDK
/// documentation); notifications never hold more than the smallest radio carries.
#[test]
fn bluetooth_goes_by_the_published_numbers() {
    let Some(ran) = run(&WAYS[1], &CHIPS[0], ("Csv", "csv"), 0, 0) else {
        return;
    };
    for line in [
        "advertises 6E400001-B5A3-F393-E0A9-E50E24DCCA9E",
        "characteristic 6E400003-B5A3-F393-E0A9-E50E24DCCA9E",
    ] {
        assert!(ran.log.lines().any(|found| found == line), "{line}");
    }
    for line in ran.log.lines().filter_map(|line| line.strip_prefix("ble ")) {
        assert!(line.len() <= 2 * 20, "{line}");
    }
}

/// `micros()` falls back to zero after 71.6 minutes; lines count on.
#[test]
fn the_clock_is_carried_over_its_wrap() {
    let Some(ran) = run(&WAYS[0], &CHIPS[0], ("Csv", "csv"), 4_294_000_000, 0) else {
        return;
    };
    let times = ran.readings.iter().map(|r| r.device_time_us.unwrap());
    let times: Vec<f64> = times.collect();
    assert!(times.windows(2).all(|pair| pair[1] > pair[0]), "{times:?}");
    assert!(times.last().unwrap() > &4_294_967_296.0);
}

#[test]
fn a_chip_that_comes_late_is_found_and_nothing_is_made_up_before() {
    let Some(ran) = run(&WAYS[0], &CHIPS[0], ("Csv", "csv"), 0, 2_500_000) else {
        return;
    };
    assert_eq!(ran.readings.len(), READINGS as usize);
    assert!(ran.readings[0].device_time_us.unwrap() > 2_500_000.0);
}

/// The made-up world complains of what would go wrong on a real board.
#[test]
fn a_sketch_that_waits_or_reads_too_slowly_is_found() {
    let good =
        std::fs::read_to_string(top().join("docs/boards/sketches/hubplumb_usb/hubplumb_usb.ino"))
            .expect("the sketch");
    let folder = tempfile::tempdir().expect("a folder");
    let check = |from: &str, to: &str, complaint: &str| {
        assert!(good.contains(from), "{from}");
        let sketch = folder.path().join("bad.ino");
        std::fs::write(&sketch, good.replacen(from, to, 1)).expect("written");
        let define = format!("SKETCH=\"{}\"", sketch.display());
        let Some(program) = Compiled::new("world.cpp", &[define]) else {
            return;
        };
        let given = "0 0 0 16384 0 0 0\n".repeat(5);
        let told = program.try_run(&["mpu6050", "0", "0"], &given);
        let why = told.expect_err("it goes wrong");
        assert!(why.contains(complaint), "{why}");
    };
    check("if (!sensor.ready()) return;", "delay(10);", "drifts");
    check(
        "if (!sensor.ready()) return;",
        "for (int i = 0; i < 9000; ++i) {\nmicros();\n}\nif (!sensor.ready()) return;",
        "not fetched",
    );
    check("if (!sensor.ready()) return;", "return;", "reads no more");
}
