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
    let telling = b"\x55\x50\x51\x52\x53\x59\x00\xff\r\n,;:={}[]\"-.e0123456789axyzgnt \t";
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

/// A stream that begins as a board does, and the readings it was made from.
fn encoded(format: &WireFormat, readings: &[Reading]) -> Vec<u8> {
    let encoder = Encoder::new(format);
    let mut stream = b"\n".to_vec();
    if matches!(format.name(), "ahrs55" | "ahrs55-six-axis") {
        stream.clear();
    }
    encoder.preamble(&mut stream);
    for reading in readings {
        encoder.encode(reading, &mut stream);
    }
    stream
}

/// The readings as far as they hold what the first holds: a 0x55 board sends
/// the same frames in every cycle.
fn of_one_content(readings: &[Reading]) -> Vec<Reading> {
    let first = readings[0];
    let keep = |reading: &Reading| Reading {
        device_time_us: first
            .device_time_us
            .and(Some(reading.device_time_us.unwrap_or(1e9))),
        rate_radps: first
            .rate_radps
            .and(Some(reading.rate_radps.unwrap_or([0.5; 3]))),
        attitude_rad: first
            .attitude_rad
            .and(Some(reading.attitude_rad.unwrap_or([0.5; 3]))),
        ..*reading
    };
    readings.iter().map(keep).collect()
}

/// Half a step of the wire for acceleration, rate, attitude, temperature, time, and a little for rounding.
struct Steps {
    accel_g: f64,
    rate_radps: f64,
    attitude_rad: f64,
    temperature_c: f64,
    time_us: f64,
    /// Is there a column for this at all?
    attitude: bool,
}

fn steps(format: &WireFormat) -> Steps {
    match format.name() {
        "ahrs55" | "ahrs55-six-axis" => Steps {
            accel_g: 16.0 / 32768.0 * 0.501,
            rate_radps: (2000f64 / 32768.0).to_radians() * 0.501,
            attitude_rad: (180f64 / 32768.0).to_radians() * 0.501,
            temperature_c: 0.00501,
            time_us: 0.0,
            attitude: true,
        },
        _ => Steps {
            accel_g: 0.000_000_6,
            rate_radps: 0.000_001,
            attitude_rad: 0.000_001,
            temperature_c: 0.00501,
            time_us: 0.001,
            attitude: format.columns().is_some(),
        },
    }
}

fn assert_near(
    what: &str,
    found: Option<f64>,
    expected: Option<f64>,
    step: f64,
) -> Result<(), TestCaseError> {
    match (found, expected) {
        (Some(found), Some(expected)) => {
            prop_assert!(
                (found - expected).abs() <= step,
                "{what}: {found} is not {expected}"
            );
        }
        (found, expected) => prop_assert_eq!(found, expected, "{}", what),
    }
    Ok(())
}

fn assert_same(
    format: &WireFormat,
    found: &Reading,
    expected: &Reading,
) -> Result<(), TestCaseError> {
    let steps = steps(format);
    let axis = |triple: Option<[f64; 3]>, axis: usize| triple.map(|triple| triple[axis]);
    let attitude_rad = expected.attitude_rad.filter(|_| steps.attitude);
    for n in 0..3 {
        assert_near(
            "accel",
            axis(found.accel_g, n),
            axis(expected.accel_g, n),
            steps.accel_g,
        )?;
        assert_near(
            "rate",
            axis(found.rate_radps, n),
            axis(expected.rate_radps, n),
            steps.rate_radps,
        )?;
        assert_near(
            "attitude",
            axis(found.attitude_rad, n),
            axis(attitude_rad, n),
            steps.attitude_rad,
        )?;
    }
    // The binary wire has no word for a temperature that is not known.
    if expected.temperature_c.is_some() || !format.name().starts_with("ahrs55") {
        assert_near(
            "temperature",
            found.temperature_c,
            expected.temperature_c,
            steps.temperature_c,
        )?;
    }
    assert_near(
        "time",
        found.device_time_us,
        expected.device_time_us,
        steps.time_us,
    )?;
    let sequence = expected.sequence.filter(|_| format.columns().is_some());
    prop_assert_eq!(found.sequence, sequence);
    Ok(())
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
            // What is kept is the beginning of a line or of a few frames.
            prop_assert!(reader.pending_bytes() <= 513);
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
    fn readings_go_to_the_wire_and_back(
        format in any_format(),
        sent in vec(a_reading(), 1..20),
    ) {
        let sent = if format.name().starts_with("ahrs55") {
            of_one_content(&sent)
        } else {
            sent
        };
        let mut stream = encoded(&format, &sent);
        if format.name().starts_with("ahrs55") {
            // A cycle more, whose beginning shows that the last one is over.
            Encoder::new(&format).encode(&sent[0], &mut stream);
            Encoder::new(&format).encode(&sent[0], &mut stream);
        }
        let found = readings(&frames_of(&format, &stream));
        prop_assert!(found.len() >= sent.len(), "{} of {}", found.len(), sent.len());
        for (found, sent) in found.iter().zip(&sent) {
            assert_same(&format, found, sent)?;
        }
    }

    #[test]
    fn binary_frames_behind_any_garbage_are_all_found(
        garbage in prop_oneof![vec(any::<u8>(), 0..200), hostile_bytes()],
        sent in vec(a_reading(), 3..8),
    ) {
        let format = named("ahrs55");
        let sent = of_one_content(&sent);
        let clean = readings(&frames_of(&format, &encoded(&format, &sent)));
        let behind = [garbage, encoded(&format, &sent)].concat();
        let found = readings(&frames_of(&format, &behind));
        // The last cycles may wait for what follows; none of the others is missing.
        let wanted = &clean[..sent.len() - 1];
        let has_all = found.windows(wanted.len()).any(|window| window == wanted);
        prop_assert!(has_all, "{:?}\nare not all in\n{:?}", wanted, found);
    }

    #[test]
    fn lines_behind_any_garbage_are_all_found(
        garbage in prop_oneof![vec(any::<u8>(), 0..1500), hostile_bytes()],
        name in select(vec!["csv", "labelled", "json-lines"]),
        sent in vec(a_reading(), 1..8),
    ) {
        let map = ColumnMap::canonical();
        let format = WireFormat::from_name(name, Some(map)).expect("a known name");
        let encoder = Encoder::new(&format);
        let mut lines = Vec::new();
        for reading in &sent {
            encoder.encode(reading, &mut lines);
        }
        let found = readings(&frames_of(&format, &[&garbage, &b"\n"[..], &lines].concat()));
        prop_assert!(found.len() >= sent.len());
        for (found, sent) in found[found.len() - sent.len()..].iter().zip(&sent) {
            let sent = Reading { sequence: None, attitude_rad: None, ..*sent };
            assert_same(&format, found, &sent)?;
        }
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
        prop_assert!(reader.pending_bytes() <= 513);
    }
}
