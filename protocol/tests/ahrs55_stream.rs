//! Streams of 0x55 frames with something wrong in them.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{BadReason, Encoder, Frame, FrameReader, Reading, WireFormat};

const FRAME_BYTES: usize = 11;

fn reading(x: f64) -> Reading {
    Reading {
        // Counts of the wire, so that values come back exactly.
        accel_g: Some([x / 2048.0, 0.0, 1.0]),
        rate_radps: Some([0.0; 3]),
        temperature_c: Some(25.0),
        ..Reading::default()
    }
}

/// Cycles of two frames each, told apart by their acceleration along x.
fn cycles(count: u8) -> Vec<u8> {
    let encoder = Encoder::new(&WireFormat::Ahrs55);
    let mut stream = Vec::new();
    for number in 0..count {
        encoder.encode(&reading(f64::from(number)), &mut stream);
    }
    stream
}

fn frames(stream: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(&WireFormat::Ahrs55);
    reader.push(stream);
    std::iter::from_fn(|| reader.next()).collect()
}

/// Numbers of the readings, and bad frames as `code@offset+len`, in order.
fn told(stream: &[u8]) -> String {
    let words = frames(stream).into_iter().map(|frame| match frame {
        Frame::Reading(reading) => {
            let number = reading.accel_g.map(|[x, ..]| x * 2048.0);
            let rate = if reading.rate_radps.is_some() {
                ""
            } else {
                "?"
            };
            number.map_or("-".to_owned(), |number| format!("{number}{rate}"))
        }
        Frame::Bad(bad) => format!("{}@{}+{}", bad.reason.code(), bad.offset, bad.len),
    });
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn whole_cycles_lose_nothing() {
    assert_eq!(told(&cycles(4)), "0 1 2 3");
}

#[test]
fn a_frame_of_wrong_sum_costs_itself_alone() {
    let mut stream = cycles(5);
    let bad_at = 5 * FRAME_BYTES; // the rate of cycle 2
    stream[bad_at + 10] ^= 0x40;
    // Cycle 2 is over when cycle 3 begins, and says what is left of it.
    assert_eq!(told(&stream), "0 1 checksum@55+11 2? 3 4");
    let evidence = frames(&stream).into_iter().find_map(|frame| match frame {
        Frame::Bad(bad) => Some((bad.reason, bad.evidence.bytes().to_vec())),
        Frame::Reading(_) => None,
    });
    let (reason, bytes) = evidence.expect("a bad frame");
    let BadReason::Checksum { expected, found } = reason else {
        panic!("{reason:?}")
    };
    assert_eq!(expected ^ found, 0x40);
    assert_eq!(bytes, stream[bad_at..bad_at + FRAME_BYTES]);
}

#[test]
fn a_sound_frame_behind_garbage_is_found() {
    let sound = cycles(6);
    let with = |at: usize, garbage: &[u8]| {
        let (before, after) = sound.split_at(at);
        told(&[before, garbage, after].concat())
    };
    assert_eq!(with(0, b"boot\r\n"), "unsynchronised@0+6 0 1 2 3 4 5");
    assert_eq!(with(66, b"?"), "0 1 2 unsynchronised@66+1 3 4 5");
    // 0x55 and the head behind it look like a frame of type 0x55.
    assert_eq!(with(66, b"\x55"), "0 1 2 checksum@66+1 3 4 5");
    // What looks like the beginning of a frame gives up one byte, not eleven.
    assert_eq!(with(66, b"\x55\x51\x01"), "0 1 2 checksum@66+3 3 4 5");
    let heads = b"\x55\x55\x51\x55\x52\x55";
    assert_eq!(with(66, heads), "0 1 2 checksum@66+6 3 4 5");
    // Between the frames of a cycle: they are not put together again.
    assert_eq!(with(77, b"??"), "0 1 2 unsynchronised@77+2 3? - 4 5");
}

#[test]
fn a_chance_frame_across_the_first_sound_one_hides_nothing() {
    // The garbage is the head of a frame whose sum falls on a byte of the sound frame behind it.
    let sound = cycles(4);
    for behind in 1..FRAME_BYTES {
        let mut garbage = vec![0x55, 0x51];
        garbage.resize(FRAME_BYTES - behind, 0);
        let wanted = sound[behind - 1];
        let rest = &sound[..behind - 1];
        let sum = garbage
            .iter()
            .chain(rest)
            .fold(0u8, |sum, byte| sum.wrapping_add(*byte));
        let Some(free) = garbage.get_mut(2) else {
            continue; // no free byte to make the sum right
        };
        *free = wanted.wrapping_sub(sum);
        let length = garbage.len();
        let expected = format!("unsynchronised@0+{length} 0 1 2 3");
        assert_eq!(told(&[&garbage, sound.as_slice()].concat()), expected);
    }
}

#[test]
fn the_rest_of_a_cut_frame_is_skipped() {
    let sound = cycles(4);
    for cut in 1..FRAME_BYTES {
        let expected = format!("unsynchronised@0+{} - 1 2 3", FRAME_BYTES - cut);
        assert_eq!(told(&sound[cut..]), expected, "{cut} bytes cut");
    }
}

#[test]
fn unknown_types_are_skipped_whole() {
    let mut stream = cycles(3);
    // Type 0x56 (pressure and height) is of no use here; 0x55 stands in its data.
    stream.extend_from_slice(&[0x55, 0x56, 0x55, 0x51, 0, 0, 0, 0, 0, 0]);
    let sum = stream[66..]
        .iter()
        .fold(0u8, |sum, byte| sum.wrapping_add(*byte));
    stream.push(sum);
    stream.extend_from_slice(&cycles(1));
    assert_eq!(told(&stream), "0 1 2 unknown_type@66+11 0");
}

#[test]
fn noise_is_told_in_bounded_runs() {
    let noise = vec![0xaa; 200];
    assert_eq!(
        told(&noise),
        "unsynchronised@0+64 unsynchronised@64+64 unsynchronised@128+64"
    );
}

#[test]
fn what_is_not_taken_in_time_is_dropped_and_told() {
    let mut reader = FrameReader::new(&WireFormat::Ahrs55);
    let stream = cycles(200);
    let mut pushed = 0;
    for _ in 0..40 {
        reader.push(&stream);
        pushed += stream.len();
        assert!(reader.pending_bytes() <= hubplumb_protocol::BUFFER_BYTES);
    }
    let dropped = pushed - hubplumb_protocol::BUFFER_BYTES;
    let Some(Frame::Bad(first)) = reader.next() else {
        panic!("not told")
    };
    assert_eq!(first.reason, BadReason::Overrun { dropped });
    assert_eq!((first.offset, first.len), (0, dropped));
    while reader.next().is_some() {}
    assert_eq!(reader.pending_bytes(), 0);
    let cycles_left = (hubplumb_protocol::BUFFER_BYTES / (2 * FRAME_BYTES)) as u64;
    assert!(reader.counts().good >= cycles_left - 2);
    assert_eq!(reader.counts().bad.get("overrun"), Some(&1));
}
