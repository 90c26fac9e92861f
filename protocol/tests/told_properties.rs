//! What holds for any bytes and any readings in the formats that are told or asked.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{
    Encoder, Frame, FrameReader, Packing, Reading, ScanElement, ScanLayout, WireFormat,
};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::RngSeed;
use serde::Deserialize;

/// The same cases in every run.
fn repeatable() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(0x0183),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

#[derive(Debug, Deserialize)]
struct Board {
    format: WireFormat,
}

fn told(toml: &str) -> WireFormat {
    let board: Board = toml::from_str(&format!("[format]\n{toml}"))
        .unwrap_or_else(|error| panic!("{toml}\n{error}"));
    board.format
}

/// A format, how its link packs, and half a step of what it carries: acceleration, rate, attitude.
struct Case {
    format: WireFormat,
    packing: Packing,
    accel_g: Option<f64>,
    rate_radps: Option<f64>,
    angles_rad: Option<f64>,
}

const ROUNDING: f64 = 1e-9;

fn cases() -> Vec<Case> {
    let angles_rad = Some(0.5e-4_f64.to_radians() + ROUNDING);
    let nmea = |toml: &str| Case {
        format: told(&format!("format = \"nmea\"\n[format.sentences]\n{toml}")),
        packing: Packing::Stream,
        accel_g: None,
        rate_radps: None,
        angles_rad,
    };
    let scan = |name: &str, index: u32, scale: f64| ScanElement {
        channel: name.to_owned(),
        index,
        kind: "le:s16/16>>0".to_owned(),
        scale,
        offset: 0.0,
    };
    let scanned = ScanLayout::parse(&[
        scan("in_accel_x", 0, 0.0048),
        scan("in_accel_y", 1, 0.0048),
        scan("in_accel_z", 2, 0.0048),
    ]);
    vec![
        nmea(""),
        nmea("sentence = [{ name = \"PRDID\", fields = [\"pitch\", \"roll\", \"heading\"] }]"),
        nmea("sentence = [{ name = \"TRO\", fields = [\"-\", \"pitch\", \"M/P\", \"roll\", \"T/B\"] }]"),
        Case {
            format: told(
                "format = \"modbus\"\n[format.registers]\naddress = 80\nfunction = 4\nfields = [
                  { quantity = \"ax\", register = 52, type = \"i16\", scale = 0.00048828125 },
                  { quantity = \"ay\", register = 53, type = \"i16\", scale = 0.00048828125 },
                  { quantity = \"az\", register = 54, type = \"i16\", scale = -0.00048828125 },
                  { quantity = \"gx\", register = 60, type = \"i32\", words = \"low-first\", scale = 0.001 },
                  { quantity = \"gy\", register = 62, type = \"i32\", scale = 0.001 },
                  { quantity = \"gz\", register = 64, type = \"i32\", scale = 0.001 }]",
            ),
            packing: Packing::Stream,
            accel_g: Some(0.000_244_140_625 + ROUNDING),
            rate_radps: Some(0.0005_f64.to_radians() + ROUNDING),
            angles_rad: None,
        },
        Case {
            format: WireFormat::Bno055,
            packing: Packing::Stream,
            accel_g: Some(0.005 / 9.806_65 + ROUNDING),
            rate_radps: Some((0.5_f64 / 16.0).to_radians() + ROUNDING),
            angles_rad: None,
        },
        Case {
            format: told(
                "format = \"values\"\n[format.values]\ntype = \"f32\"\nfields = [
                  \"ax\", \"ay\", \"az\", { skip = 3 }, \"gx\", \"gy\", \"gz\", \"roll\", \"pitch\", \"yaw\"]",
            ),
            packing: Packing::Pieces,
            accel_g: Some(1e-6),
            rate_radps: Some(1e-5),
            angles_rad: Some(1e-6),
        },
        Case {
            format: WireFormat::IioScan(scanned.expect("usable")),
            packing: Packing::Messages,
            accel_g: Some(0.0024 / 9.806_65 + ROUNDING),
            rate_radps: None,
            angles_rad: None,
        },
    ]
}

#[test]
fn every_format_that_is_told_or_asked_has_a_case() {
    for name in ["nmea", "modbus", "bno055", "values"] {
        assert!(WireFormat::NAMES.contains(&name));
        assert!(
            cases().iter().any(|case| case.format.name() == name),
            "{name}"
        );
    }
}

fn a_case() -> impl Strategy<Value = usize> {
    select((0..cases().len()).collect::<Vec<_>>())
}

/// Readings within the range of every wire. The acceleration is that of a hub, not zero.
fn a_reading() -> impl Strategy<Value = Reading> {
    let triple = |limit: f64| [-limit..limit, -limit..limit, -limit..limit];
    (
        triple(3.0),
        triple(15.0),
        [-3.1..3.1, -1.5..1.5, -3.1..3.1],
        1.0..15.0,
    )
        .prop_map(|([x, y, _], rate, attitude, z)| Reading {
            accel_g: Some([x, y, z]),
            rate_radps: Some(rate),
            attitude_rad: Some(attitude),
            temperature_c: Some(20.0),
            ..Reading::default()
        })
}

fn drain(reader: &mut FrameReader) -> Vec<Frame> {
    std::iter::from_fn(|| reader.next()).collect()
}

fn readings(frames: &[Frame]) -> Vec<Reading> {
    let good = frames.iter().filter_map(|frame| match frame {
        Frame::Reading(reading) => Some(*reading),
        Frame::Bad(_) => None,
    });
    good.collect()
}

/// Bytes that look like something.
fn hostile_bytes() -> impl Strategy<Value = Vec<u8>> {
    let telling = b"$*,\r\nXDRPHTO0123456789AD.-\xbb\xee\x3e\xa0\x07\x50\x04\x84\x00\xff_";
    let byte = prop_oneof![3 => select(telling.to_vec()), 1 => any::<u8>()];
    let piece = prop_oneof![
        12 => byte.prop_map(|byte| vec![byte]),
        1 => (a_reading(), a_case()).prop_map(|(reading, case)| encoded(&cases()[case].format, &[reading])),
    ];
    vec(piece, 0..200).prop_map(|pieces| pieces.concat())
}

fn encoded(format: &WireFormat, readings: &[Reading]) -> Vec<u8> {
    let encoder = Encoder::new(format);
    let mut bytes = Vec::new();
    for reading in readings {
        encoder.encode(reading, &mut bytes);
    }
    bytes
}

fn assert_same(case: &Case, found: &Reading, sent: &Reading) -> Result<(), TestCaseError> {
    let check = |what: &str, found: Option<[f64; 3]>, sent: Option<[f64; 3]>, step: Option<f64>| {
        let Some(step) = step else {
            prop_assert_eq!(found, None, "{}", what);
            return Ok(());
        };
        let (found, sent) = (found.expect("carried"), sent.expect("sent"));
        for (found, sent) in found.into_iter().zip(sent) {
            prop_assert!(
                (found - sent).abs() <= step,
                "{what}: {found} is not {sent}"
            );
        }
        Ok(())
    };
    check("accel", found.accel_g, sent.accel_g, case.accel_g)?;
    check("rate", found.rate_radps, sent.rate_radps, case.rate_radps)?;
    // A sentence may carry roll and pitch alone.
    let yaw = sent.attitude_rad.map_or(0.0, |[.., yaw]| yaw);
    let attitude = found
        .attitude_rad
        .or(found.tilt_rad.map(|[roll, pitch]| [roll, pitch, yaw]));
    check("attitude", attitude, sent.attitude_rad, case.angles_rad)
}

proptest! {
    #![proptest_config(repeatable())]

    #[test]
    fn readings_go_to_the_wire_and_back(case in a_case(), sent in vec(a_reading(), 1..6)) {
        let case = &cases()[case];
        let bytes = encoded(&case.format, &sent);
        let mut reader = FrameReader::new(&case.format);
        reader.push_piece(&bytes, case.packing);
        let frames = drain(&mut reader);
        prop_assert_eq!(frames.len(), sent.len(), "{:?}", frames);
        let found = readings(&frames);
        for (found, sent) in found.iter().zip(&sent) {
            assert_same(case, found, sent)?;
        }
        prop_assert_eq!(reader.pending_bytes(), 0);
    }

    #[test]
    fn any_bytes_give_the_same_frames_however_they_are_cut(
        case in a_case(),
        stream in hostile_bytes(),
        cuts in vec(1usize..40, 1..40),
    ) {
        let format = &cases()[case].format;
        let mut reader = FrameReader::new(format);
        reader.push(&stream);
        let at_once = drain(&mut reader);
        let mut reader = FrameReader::new(format);
        let mut frames = Vec::new();
        let mut rest = stream.as_slice();
        for cut in cuts.iter().cycle() {
            let (piece, after) = rest.split_at((*cut).min(rest.len()));
            reader.push(piece);
            frames.extend(drain(&mut reader));
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        prop_assert_eq!(&frames, &at_once);
        for reading in readings(&frames) {
            let triples = [reading.accel_g, reading.rate_radps, reading.attitude_rad];
            let mut numbers = triples.into_iter().flatten().flatten().chain(reading.tilt_rad.into_iter().flatten());
            prop_assert!(numbers.all(f64::is_finite), "{:?}", reading);
        }
    }

    #[test]
    fn pieces_of_anything_do_no_harm(
        case in a_case(),
        pieces in vec((hostile_bytes(), select(vec![Packing::Pieces, Packing::Messages])), 1..5),
    ) {
        let mut reader = FrameReader::new(&cases()[case].format);
        let mut end = 0;
        for (piece, packing) in pieces {
            reader.push_piece(&piece, packing);
            for frame in drain(&mut reader) {
                if let Frame::Bad(bad) = frame {
                    prop_assert!(bad.offset >= end);
                    end = bad.offset + bad.len as u64;
                }
            }
        }
    }

    #[test]
    fn good_frames_behind_garbage_are_all_found(
        case in a_case(),
        garbage in hostile_bytes(),
        sent in vec(a_reading(), 4..8),
    ) {
        let case = &cases()[case];
        if case.packing != Packing::Stream {
            return Ok(());
        }
        // Half a sentence at the end of the garbage is ended by the next one; half
        // an answer may swallow answers as long as itself.
        let bytes = [garbage, encoded(&case.format, &sent)].concat();
        let mut reader = FrameReader::new(&case.format);
        reader.push(&bytes);
        let found = readings(&drain(&mut reader));
        let wanted = &sent[2..];
        prop_assert!(found.len() >= wanted.len(), "{} of {}", found.len(), wanted.len());
        for (found, sent) in found[found.len() - wanted.len()..].iter().zip(wanted) {
            assert_same(case, found, sent)?;
        }
    }
}
