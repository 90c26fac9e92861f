//! What holds for any bytes and any readings.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::detect::Detector;
use hubplumb_protocol::{
    BUFFER_BYTES, ColumnMap, Encoder, Frame, FrameReader, Reading, WireFormat,
};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::RngSeed;

/// What may be kept is the beginning of a line, of a few frames, or of the
/// longest frame that a head may promise (Xbus, 2055 bytes) behind a run of skipped bytes.
const MOST_PENDING: usize = 2055 + 64;

/// The same cases in every run.
fn repeatable() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(0x55),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn named(name: &str) -> WireFormat {
    WireFormat::from_name(name, None).expect("a known name")
}

/// Every format as it is, and the text formats in other units.
fn formats() -> Vec<WireFormat> {
    let map: ColumnMap = ColumnMap::from_header(
        "t_ms,seq,ax_mps2,ay_mps2,az_mps2,gx_rads,gy_rads,gz_rads,roll,pitch,yaw,temp",
    )
    .expect("usable");
    let mapped = |name| WireFormat::from_name(name, Some(map.clone())).expect("a known name");
    // Those that are told or asked have properties of their own.
    let told = ["nmea", "modbus", "bno055", "values"];
    WireFormat::NAMES
        .into_iter()
        .filter(|name| !told.contains(name))
        .map(named)
        .chain(["csv", "labelled", "json-lines"].map(mapped))
        .collect()
}

fn any_format() -> impl Strategy<Value = WireFormat> {
    select(formats())
}

fn drain(reader: &mut FrameReader, frames: &mut Vec<Frame>) {
    frames.extend(std::iter::from_fn(|| reader.next()));
}

fn frames_of(format: &WireFormat, stream: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(format);
    let mut frames = Vec::new();
    for piece in stream.chunks(BUFFER_BYTES / 2) {
        reader.push(piece);
        drain(&mut reader, &mut frames);
    }
    frames
}

fn readings(frames: &[Frame]) -> Vec<Reading> {
    let readings = frames.iter().filter_map(|frame| match frame {
        Frame::Reading(reading) => Some(*reading),
        Frame::Bad(_) => None,
    });
    readings.collect()
}

/// Readings within the range of every wire; always with acceleration.
fn a_reading() -> impl Strategy<Value = Reading> {
    let triple = |limit: f64| [-limit..limit, -limit..limit, -limit..limit];
    (
        option::of(0u32..u32::MAX),
        option::of(any::<u32>()),
        triple(15.9),
        option::of(triple(34.0)),
        option::of(triple(3.1)),
        option::of(-40.0..85.0),
    )
        .prop_map(
            |(ms, sequence, accel_g, rate, attitude, temperature)| Reading {
                device_time_us: ms.map(|ms| f64::from(ms) * 1e3),
                sequence,
                accel_g: Some(accel_g),
                rate_radps: rate,
                attitude_rad: attitude,
                tilt_rad: None,
                temperature_c: temperature,
            },
        )
}

/// Bytes that look like something: heads, types, digits, separators, ends of lines.
fn telling_byte() -> impl Strategy<Value = u8> {
    let telling = b"\x55\x50\x51\x52\x53\x59\x61\xaa\xfa\x36\xfe\xfd\x00\xff\r\n,;:={}[]\"-.e0123456789axyzgnt \t";
    prop_oneof![2 => select(telling.to_vec()), 1 => any::<u8>()]
}

/// Bytes that try hard to be taken for something, with whole readings of any format among them.
fn hostile_bytes() -> impl Strategy<Value = Vec<u8>> {
    let piece = prop_oneof![
        12 => telling_byte().prop_map(|byte| vec![byte]),
        1 => (a_reading(), any_format()).prop_map(|(reading, format)| {
            let encoder = Encoder::new(&format);
            let mut bytes = Vec::new();
            encoder.preamble(&mut bytes);
            encoder.encode(&reading, &mut bytes);
            bytes
        }),
    ];
    vec(piece, 0..300).prop_map(|pieces| pieces.concat())
}

proptest! {
    #![proptest_config(repeatable())]

    #[test]
    fn any_bytes_give_the_same_frames_however_they_are_cut(
        format in any_format(),
        stream in hostile_bytes(),
        cuts in vec(1usize..40, 1..40),
    ) {
        let at_once = frames_of(&format, &stream);
        let mut reader = FrameReader::new(&format);
        let mut frames = Vec::new();
        let mut rest = stream.as_slice();
        for cut in cuts.iter().cycle() {
            let (piece, after) = rest.split_at((*cut).min(rest.len()));
            reader.push(piece);
            drain(&mut reader, &mut frames);
            prop_assert!(reader.pending_bytes() <= MOST_PENDING);
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        prop_assert_eq!(&frames, &at_once);
        let good = readings(&frames).len() as u64;
        prop_assert_eq!(reader.counts().good, good);
        prop_assert_eq!(reader.counts().bad_total(), frames.len() as u64 - good);
    }

    #[test]
    fn every_reading_is_finite_and_of_use(format in any_format(), stream in hostile_bytes()) {
        for reading in readings(&frames_of(&format, &stream)) {
            let triples = [reading.accel_g, reading.rate_radps, reading.attitude_rad];
            prop_assert!(triples.iter().any(Option::is_some) || reading.tilt_rad.is_some());
            let numbers = triples.into_iter().flatten().flatten();
            let mut numbers = numbers.chain(reading.device_time_us).chain(reading.temperature_c);
            prop_assert!(numbers.all(f64::is_finite), "{:?}", reading);
        }
    }

    #[test]
    fn bad_frames_do_not_overlap_and_lie_in_the_stream(
        format in any_format(),
        stream in hostile_bytes(),
    ) {
        let mut end = 0;
        for frame in frames_of(&format, &stream) {
            if let Frame::Bad(bad) = frame {
                prop_assert!(bad.offset >= end);
                let from = usize::try_from(bad.offset).expect("short");
                let evidence = bad.evidence.bytes();
                prop_assert_eq!(evidence, &stream[from..from + evidence.len()]);
                end = bad.offset + bad.len as u64;
            }
        }
        prop_assert!(end <= stream.len() as u64);
    }

    #[test]
    fn the_detector_takes_any_bytes(stream in hostile_bytes(), cut in 1usize..200) {
        let mut whole = Detector::new();
        whole.observe(&stream);
        let mut cut_up = Detector::new();
        for piece in stream.chunks(cut) {
            cut_up.observe(piece);
        }
        prop_assert_eq!(whole.verdict(), cut_up.verdict());
        prop_assert_eq!(whole.silence(), cut_up.silence());
        prop_assert_eq!(whole.verdict().is_none(), whole.silence().is_some());
    }

    #[test]
    fn the_buffer_stays_bounded_when_nothing_is_taken(
        format in any_format(),
        pieces in vec(vec(any::<u8>(), 0..9000), 0..20),
    ) {
        let mut reader = FrameReader::new(&format);
        for piece in pieces {
            reader.push(&piece);
            prop_assert!(reader.pending_bytes() <= BUFFER_BYTES);
        }
        while reader.next().is_some() {}
        prop_assert!(reader.pending_bytes() <= MOST_PENDING);
    }
}
