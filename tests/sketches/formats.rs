//! The formatting code by itself, against the program's decoder.

use std::fmt::Write as _;

use hubplumb_protocol::{Frame, FrameReader, Reading, WireFormat};
use rand::{RngExt as _, SeedableRng as _};
use rand_chacha::ChaCha8Rng;

use crate::compiled::{Compiled, bytes};

/// What goes in: the same numbers as in the line for the program.
#[derive(Debug, Clone, Copy)]
struct Given {
    t_us: u64,
    sequence: u16,
    accel_g: [f64; 3],
    rate_dps: Option<[f64; 3]>,
    temperature_c: Option<f64>,
}

impl Given {
    fn line(&self) -> String {
        let mut line = format!("{} {}", self.t_us, self.sequence);
        let rate_dps = self.rate_dps.unwrap_or_default();
        for value in self.accel_g.iter().chain(&rate_dps) {
            let _ = write!(line, " {value}");
        }
        format!(
            "{line} {} {} {}\n",
            self.temperature_c.unwrap_or_default(),
            u8::from(self.rate_dps.is_some()),
            u8::from(self.temperature_c.is_some())
        )
    }
}

/// Steps of a format, at the size of a value: half of one is the most that may be lost.
struct Steps {
    accel_g: fn(f64) -> f64,
    rate_dps: fn(f64) -> f64,
    tells_sequence: bool,
}

/// Doubles the least range until it holds the value, as docs/formats/compact.md has the scales.
fn word(largest: f64, least: f64) -> f64 {
    let mut range = least;
    while largest > range * 32767.0 / 32768.0 {
        range *= 2.0;
    }
    range / 32768.0
}

const CSV: Steps = Steps {
    accel_g: |_| 1e-5,
    rate_dps: |_| 1e-4,
    tells_sequence: false,
};
const JSON: Steps = Steps {
    tells_sequence: true,
    ..CSV
};
const COMPACT: Steps = Steps {
    accel_g: |largest| word(largest, 2.0),
    rate_dps: |largest| word(largest, 125.0),
    tells_sequence: true,
};

/// Float arithmetic on the board: 24 bits.
const FLOAT: f64 = 1.0 / 8_388_608.0;

fn close(what: &str, given: &Given, found: [f64; 3], expected: [f64; 3], step: fn(f64) -> f64) {
    let largest = expected.iter().fold(0.0_f64, |most, v| most.max(v.abs()));
    let most = 0.5 * step(largest) + largest * FLOAT;
    for (found, expected) in found.iter().zip(expected) {
        assert!(
            (found - expected).abs() <= most * 1.0001,
            "{what}: {found} for {expected} in {given:?}"
        );
    }
}

/// Says all of `given` in `format` and reads them again.
fn check(format: &str, steps: &Steps, given: &[Given]) {
    let Some(program) = Compiled::new("formats.cpp", &[]) else {
        return;
    };
    let text: String = given.iter().map(Given::line).collect();
    let wire: Vec<u8> = program
        .run(&[format], &text)
        .lines()
        .flat_map(bytes)
        .collect();
    let mut reader = FrameReader::new(&WireFormat::from_name(format, None).expect("a known name"));
    let mut found: Vec<Reading> = Vec::new();
    // In pieces of many lengths, as a line brings them.
    for piece in wire.chunks(37) {
        reader.push(piece);
        while let Some(frame) = reader.next() {
            match frame {
                Frame::Reading(reading) => found.push(reading),
                Frame::Bad(bad) => panic!("{format}: {bad:?}"),
            }
        }
    }
    assert_eq!(found.len(), given.len(), "{format}");
    for (found, given) in found.iter().zip(given) {
        assert_eq!(found.device_time_us, Some(given.t_us as f64), "{format}");
        if steps.tells_sequence {
            assert_eq!(found.sequence, Some(given.sequence.into()), "{format}");
        }
        let accel_g = found.accel_g.expect("acceleration");
        close(format, given, accel_g, given.accel_g, steps.accel_g);
        match (found.rate_radps, given.rate_dps) {
            (Some(found), Some(expected)) => close(
                format,
                given,
                found.map(f64::to_degrees),
                expected,
                steps.rate_dps,
            ),
            (found, expected) => assert_eq!(found.is_some(), expected.is_some(), "{given:?}"),
        }
        match (found.temperature_c, given.temperature_c) {
            (Some(found), Some(expected)) => {
                assert!((found - expected).abs() <= 0.00501, "{found} {expected}");
            }
            (found, expected) => assert_eq!(found.is_some(), expected.is_some(), "{given:?}"),
        }
    }
}

/// Small, large, negative and round values; the last microsecond of 32 bits.
fn table(rate: bool, temperature: bool) -> Vec<Given> {
    let mut random = ChaCha8Rng::seed_from_u64(7);
    let mut draw = |most: f64| std::array::from_fn(|_| random.random_range(-most..most));
    let mut given = Vec::new();
    for (accel_g, rate_dps) in [
        ([0.0, 0.0, 1.0], [0.0; 3]),
        ([-0.000_004, 0.000_006, -1.0], [0.000_06, -0.000_04, 0.0]),
        ([1.999_939, -2.0, 0.000_061], [124.996, -125.0, 0.0038]),
        ([15.999, -16.0, 0.1], [1999.9, -2000.0, 0.5]),
        ([-0.5, 0.999_996, 0.25], [-99.999_96, 9.999_97, 1.0]),
    ] {
        given.push((accel_g, rate_dps));
    }
    for (most_g, most_dps) in [(1.2, 100.0), (3.0, 240.0), (15.0, 1900.0)] {
        for _ in 0..100 {
            given.push((draw(most_g), draw(most_dps)));
        }
    }
    (0_u16..)
        .zip(given)
        .map(|(number, (accel_g, rate_dps))| Given {
            t_us: 4_294_967_295 - 310 * 10_000 + u64::from(number) * 10_000,
            sequence: number,
            accel_g,
            rate_dps: rate.then_some(rate_dps),
            temperature_c: temperature.then_some(f64::from(number) * 0.37 - 20.0),
        })
        .collect()
}

#[test]
fn lines_of_csv_are_read_as_they_were_meant() {
    check("csv", &CSV, &table(true, true));
    check("csv", &CSV, &table(false, false));
}

#[test]
fn lines_of_json_are_read_as_they_were_meant() {
    check("json-lines", &JSON, &table(true, true));
    check("json-lines", &JSON, &table(false, false));
}

#[test]
fn compact_frames_are_read_as_they_were_meant() {
    check("compact", &COMPACT, &table(true, true));
    check("compact", &COMPACT, &table(false, false));
}

/// Lines have no clock of 32 bits: past its end they count on.
#[test]
fn a_clock_past_its_wrap_goes_on_in_lines() {
    let given = Given {
        t_us: (1 << 32) + 123_456,
        ..table(true, true)[0]
    };
    check("csv", &CSV, &[given]);
    check("json-lines", &JSON, &[given]);
}
