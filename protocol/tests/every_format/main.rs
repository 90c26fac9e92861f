//! What holds for every format: what goes to the wire comes back, no garbage
//! hides a good frame, and it does not matter where a link cuts.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

mod wires;

use hubplumb_protocol::{BUFFER_BYTES, Frame, FrameReader, Packing, Reading, WireFormat};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;
use proptest::test_runner::RngSeed;

use wires::{Steps, Wire, encoded, wires};

/// The same cases in every run.
fn repeatable() -> ProptestConfig {
    ProptestConfig {
        rng_seed: RngSeed::Fixed(0xc0b5),
        failure_persistence: None,
        cases: 512,
        ..ProptestConfig::default()
    }
}

fn any_wire() -> impl Strategy<Value = Wire> {
    select(wires())
}

/// Readings within the range of every wire, all of one board: they hold the
/// same values, and always acceleration.
fn readings_of_a_board() -> impl Strategy<Value = Vec<Reading>> {
    let triple = |limit: f64| [-limit..limit, -limit..limit, -limit..limit];
    let one = (
        0u32..4_000_000,
        any::<u32>(),
        triple(15.9),
        triple(34.0),
        // Pitch ends at ±90°, where the angles of a quaternion are still told apart.
        [-3.1..3.1, -1.5..1.5, -3.1..3.1],
        -40.0..85.0,
    );
    let has = [
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
        any::<bool>(),
    ];
    (vec(one, 1..12), has).prop_map(|(readings, [time, number, rate, attitude, temperature])| {
        let of_one = |(ms, sequence, accel_g, rate_radps, attitude_rad, temperature_c)| Reading {
            device_time_us: time.then_some(f64::from(ms) * 1e3),
            sequence: number.then_some(sequence),
            accel_g: Some(accel_g),
            rate_radps: rate.then_some(rate_radps),
            attitude_rad: attitude.then_some(attitude_rad),
            temperature_c: temperature.then_some(temperature_c),
        };
        let mut readings: Vec<Reading> = readings.into_iter().map(of_one).collect();
        // A clock goes forward.
        readings.sort_by(|a, b| {
            a.device_time_us
                .partial_cmp(&b.device_time_us)
                .expect("finite")
        });
        readings
    })
}

/// Two runs of one board.
fn two_runs() -> impl Strategy<Value = (Vec<Reading>, Vec<Reading>)> {
    (readings_of_a_board(), 0usize..12).prop_filter_map("both runs hold something", |(run, cut)| {
        let (before, after) = run.split_at_checked(cut)?;
        (!before.is_empty() && !after.is_empty()).then(|| (before.to_vec(), after.to_vec()))
    })
}

/// Bytes that look like the beginning of something in one format or another.
fn garbage() -> impl Strategy<Value = Vec<u8>> {
    let telling = b"\x55\x51\x61\x71\xaa\xfa\xff\x36\xfe\xfd\x00\x01\x1b\r\n,;:={}[]\"-.019axgt \t";
    let byte = prop_oneof![2 => select(telling.to_vec()), 1 => any::<u8>()];
    let piece = prop_oneof![
        12 => byte.prop_map(|byte| vec![byte]),
        1 => (any_wire(), readings_of_a_board(), 0usize..60).prop_map(|(wire, readings, len)| {
            let mut bytes = encoded(&wire, &readings);
            bytes.truncate(len);
            bytes
        }),
    ];
    prop_oneof![
        vec(any::<u8>(), 0..200),
        vec(piece, 0..120).prop_map(|pieces| pieces.concat())
    ]
}

fn drain(reader: &mut FrameReader, found: &mut Vec<Reading>) {
    found.extend(
        std::iter::from_fn(|| reader.next()).filter_map(|frame| match frame {
            Frame::Reading(reading) => Some(reading),
            Frame::Bad(_) => None,
        }),
    );
}

fn read(format: &WireFormat, bytes: &[u8]) -> Vec<Reading> {
    let mut reader = FrameReader::new(format);
    let mut found = Vec::new();
    for piece in bytes.chunks(BUFFER_BYTES / 2) {
        reader.push(piece);
        drain(&mut reader, &mut found);
    }
    found
}

/// Bytes of readings, and after them more of the same, until nothing of the first waits any longer.
fn with_more_behind(wire: &Wire, sent: &[Reading]) -> Vec<u8> {
    let mut bytes = encoded(wire, sent);
    let enough = bytes.len() + wire.most_waiting;
    let last = [*sent.last().expect("not empty")];
    while bytes.len() <= enough {
        bytes.extend(encoded(wire, &last));
    }
    bytes
}

fn is_near(found: &Reading, expected: &Reading, steps: &Steps) -> bool {
    let one = |found: Option<f64>, expected: Option<f64>, step: f64| match (found, expected) {
        (Some(found), Some(expected)) => (found - expected).abs() <= step,
        (None, None) => true,
        _ => false,
    };
    let three = |found: Option<[f64; 3]>, expected: Option<[f64; 3]>, step: f64| {
        (0..3).all(|n| {
            let axis = |triple: Option<[f64; 3]>| triple.map(|triple| triple[n]);
            one(axis(found), axis(expected), step)
        })
    };
    three(found.accel_g, expected.accel_g, steps.accel_g)
        && three(found.rate_radps, expected.rate_radps, steps.rate_radps)
        && three(
            found.attitude_rad,
            expected.attitude_rad,
            steps.attitude_rad,
        )
        && one(
            found.temperature_c,
            expected.temperature_c,
            steps.temperature_c,
        )
        && one(found.device_time_us, expected.device_time_us, steps.time_us)
        && found.sequence == expected.sequence
}

/// All of `sent` but the first `lost` have to be in `found`, one behind the other.
fn assert_arrived(
    wire: &Wire,
    found: &[Reading],
    sent: &[Reading],
    lost: usize,
) -> Result<(), TestCaseError> {
    let expected = (wire.carried)(sent);
    let expected = expected.get(lost..).unwrap_or_default();
    let is_here = |window: &[Reading]| {
        let mut pairs = window.iter().zip(expected);
        pairs.all(|(found, expected)| is_near(found, expected, &(wire.steps)(expected)))
    };
    let arrived = expected.is_empty() || found.windows(expected.len()).any(is_here);
    prop_assert!(
        arrived,
        "{}: {expected:#?}\nare not all in\n{found:#?}",
        wire.format.name()
    );
    Ok(())
}

#[test]
fn every_name_is_in_the_table() {
    let wires = wires();
    for name in WireFormat::NAMES {
        assert!(
            wires.iter().any(|wire| wire.format.name() == name),
            "{name} has no entry in the table of formats"
        );
    }
}

#[test]
fn every_name_has_a_fuzz_target() {
    let manifest: toml::Table = include_str!("../../fuzz/Cargo.toml")
        .parse()
        .expect("a manifest");
    let targets = manifest["bin"].as_array().expect("targets");
    for name in WireFormat::NAMES {
        let is_it = |target: &toml::Value| target["name"].as_str() == Some(name);
        assert!(
            targets.iter().any(is_it),
            "{name} has no entry in protocol/fuzz/Cargo.toml"
        );
    }
}

#[test]
fn a_running_number_wraps_where_its_format_says() {
    for wire in wires() {
        let sent = Reading {
            sequence: Some(u32::MAX),
            accel_g: Some([0.0, 0.0, 1.0]),
            ..Reading::default()
        };
        let found = read(
            &wire.format,
            &[&b"\n"[..], &with_more_behind(&wire, &[sent])].concat(),
        );
        let told = found.first().and_then(|reading| reading.sequence);
        // Text carries a number only where a column holds it.
        if let Some(number) = told {
            let bits = wire.format.sequence_bits().expect("it has a number");
            assert_eq!(
                number,
                u32::MAX >> (u32::BITS - u32::from(bits)),
                "{wire:?}"
            );
        } else {
            let is_text = wire.format.columns().is_some();
            assert!(is_text || wire.format.sequence_bits().is_none(), "{wire:?}");
        }
    }
}

proptest! {
    #![proptest_config(repeatable())]

    #[test]
    fn readings_go_to_the_wire_and_back(wire in any_wire(), sent in readings_of_a_board()) {
        // A line whose beginning was not seen is given up, so each stream begins after one.
        let bytes = [&b"\n"[..], &with_more_behind(&wire, &sent)].concat();
        let found = read(&wire.format, &bytes);
        assert_arrived(&wire, &found, &sent, 0)?;
    }

    #[test]
    fn good_frames_behind_any_garbage_are_found(
        wire in any_wire(),
        garbage in garbage(),
        sent in readings_of_a_board(),
    ) {
        let bytes = [garbage, with_more_behind(&wire, &sent)].concat();
        let found = read(&wire.format, &bytes);
        assert_arrived(&wire, &found, &sent, wire.lost)?;
    }

    #[test]
    fn a_frame_lost_in_between_hides_none_but_itself(
        wire in any_wire(),
        (before, after) in two_runs(),
        garbage in vec(any::<u8>(), 1..40),
    ) {
        let bytes = [encoded(&wire, &before), garbage, with_more_behind(&wire, &after)].concat();
        let found = read(&wire.format, &bytes);
        assert_arrived(&wire, &found, &after, wire.lost)?;
    }

    #[test]
    fn it_does_not_matter_where_a_link_cuts(
        wire in any_wire(),
        garbage in garbage(),
        sent in readings_of_a_board(),
        cuts in vec(1usize..60, 1..40),
        in_pieces in option::of(Just(Packing::Pieces)),
    ) {
        let bytes = [garbage, with_more_behind(&wire, &sent)].concat();
        let at_once = read(&wire.format, &bytes);
        let mut reader = FrameReader::new(&wire.format);
        let mut found = Vec::new();
        let mut rest = bytes.as_slice();
        for cut in cuts.iter().cycle() {
            let (piece, after) = rest.split_at((*cut).min(rest.len()));
            reader.push_piece(piece, in_pieces.unwrap_or(Packing::Stream));
            drain(&mut reader, &mut found);
            prop_assert!(reader.pending_bytes() <= wire.most_waiting, "{:?}", wire);
            rest = after;
            if rest.is_empty() {
                break;
            }
        }
        prop_assert_eq!(found, at_once);
    }

    #[test]
    fn a_message_may_hold_any_number_of_whole_frames(
        wire in any_wire(),
        (sent, more) in two_runs(),
    ) {
        let mut reader = FrameReader::new(&wire.format);
        let mut found = Vec::new();
        for message in [&[][..], b"\n", &encoded(&wire, &sent), &with_more_behind(&wire, &more)] {
            reader.push_piece(message, Packing::Messages);
            drain(&mut reader, &mut found);
        }
        assert_arrived(&wire, &found, &more, 0)?;
    }
}
