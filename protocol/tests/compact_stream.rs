//! Compact frames, byte by byte, as a firmware may send them.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{BadReason, Frame, FrameReader, Packing, Reading, WireFormat};

/// A frame made here from docs/formats/compact.md alone, sharing no code with the decoder.
fn frame(payload: &[u8]) -> Vec<u8> {
    let mut check: u16 = 0xffff;
    for &byte in payload {
        check ^= u16::from(byte) << 8;
        for _ in 0..8 {
            let carry = check & 0x8000 != 0;
            check = (check << 1) ^ if carry { 0x1021 } else { 0 };
        }
    }
    let checked = [payload, &check.to_le_bytes()].concat();
    let mut stuffed = Vec::new();
    for piece in checked.split(|&byte| byte == 0) {
        stuffed.push(u8::try_from(piece.len() + 1).expect("short"));
        stuffed.extend(piece);
    }
    stuffed.push(0);
    stuffed
}

fn payload(head: u8, scales: u8, number: u16, time_us: u32, values: &[u8]) -> Vec<u8> {
    let mut payload = vec![head, scales];
    payload.extend(number.to_le_bytes());
    payload.extend(time_us.to_le_bytes());
    payload.extend(values);
    payload
}

fn words(words: &[i16]) -> Vec<u8> {
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

fn floats(floats: [f32; 3]) -> Vec<u8> {
    floats
        .iter()
        .flat_map(|float| float.to_le_bytes())
        .collect()
}

fn level(number: u16) -> Vec<u8> {
    let values = words(&[0, 0, 16_384]);
    frame(&payload(0x11, 0, number, 1000 * u32::from(number), &values))
}

fn frames(stream: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(&WireFormat::Compact);
    reader.push(stream);
    std::iter::from_fn(|| reader.next()).collect()
}

fn reading(stream: &[u8]) -> Reading {
    match frames(stream).as_slice() {
        [Frame::Reading(reading)] => *reading,
        other => panic!("{other:?}"),
    }
}

fn reasons(stream: &[u8]) -> Vec<String> {
    let told = frames(stream).into_iter().map(|frame| match frame {
        Frame::Reading(reading) => format!("reading {:?}", reading.sequence.expect("numbered")),
        Frame::Bad(bad) => bad.reason.code().to_owned(),
    });
    told.collect()
}

#[test]
fn every_scale_is_what_the_page_says() {
    for (code, range_g) in (0..).zip([2.0, 4.0, 8.0, 16.0, 32.0]) {
        let values = words(&[-32_768, 8192, 0]);
        let reading = reading(&frame(&payload(0x11, code, 0, 0, &values)));
        let accel_g = Some([-range_g, range_g / 4.0, 0.0]);
        assert_eq!(reading.accel_g, accel_g, "{code}");
    }
    for (code, range_dps) in (0..).zip([125.0_f64, 250.0, 500.0, 1000.0, 2000.0, 4000.0]) {
        let reading = reading(&frame(&payload(
            0x12,
            code << 4,
            0,
            0,
            &words(&[16_384, 0, 0]),
        )));
        let found = reading.rate_radps.expect("it is in it")[0].to_degrees();
        assert!((found - range_dps / 2.0).abs() < 1e-9, "{code}: {found}");
    }
}

#[test]
fn floats_beside_words_fill_the_longest_frame() {
    let values = [
        floats([0.25, -0.5, 0.75]),
        words(&[16_384, 0, 0]),
        words(&[-1234]),
    ]
    .concat();
    let frame = frame(&payload(0x1b, 0x1f, 65_535, u32::MAX, &values));
    assert_eq!(frame.len(), 32);
    let reading = reading(&frame);
    assert_eq!(reading.accel_g, Some([0.25, -0.5, 0.75]));
    assert_eq!(reading.temperature_c, Some(-12.34));
    assert_eq!(reading.sequence, Some(65_535));
    assert_eq!(reading.device_time_us, Some(4_294_967_295.0));
}

#[test]
fn all_four_values_as_words_fit() {
    let values = words(&[0, 0, 2048, 0, 0, 0, 16_384, 8192, -16_384, 2000]);
    let frame = frame(&payload(0x1f, 0x03, 1, 1, &values));
    assert_eq!(frame.len(), 32);
    let reading = reading(&frame);
    assert_eq!(reading.accel_g, Some([0.0, 0.0, 1.0]));
    let attitude_deg = reading
        .attitude_rad
        .map(|angles| angles.map(f64::to_degrees));
    assert_eq!(attitude_deg, Some([90.0, 45.0, -90.0]));
    assert_eq!(reading.temperature_c, Some(20.0));
}

#[test]
fn sound_frames_that_cannot_be_read_say_why() {
    let accel = words(&[0, 0, 16_384]);
    let check = |bytes: Vec<u8>, expected: &str| {
        let stream = [frame(&bytes), level(7)].concat();
        assert_eq!(reasons(&stream), [expected, "reading 7"], "{bytes:02x?}");
    };
    check(payload(0x21, 0, 0, 0, &accel), "unknown_version");
    check(payload(0x01, 0, 0, 0, &accel), "unknown_version");
    check(vec![0xf0, 1, 2, 3], "unknown_version");
    check(payload(0x11, 5, 0, 0, &accel), "unknown_type");
    check(payload(0x11, 0x10, 0, 0, &accel), "unknown_type");
    check(payload(0x13, 0, 0, 0, &accel), "unknown_type");
    check(payload(0x10, 0, 0, 0, &[]), "nothing_usable");
    check(payload(0x18, 0, 0, 0, &words(&[2000])), "nothing_usable");
    check(
        payload(0x11, 15, 0, 0, &floats([f32::NAN, 0.0, 1.0])),
        "nothing_usable",
    );
}

#[test]
fn a_damaged_frame_takes_no_other_with_it() {
    let stream = [level(1), level(2), level(3)].concat();
    let len = level(1).len();
    let mut damaged = stream.clone();
    damaged[len + 5] ^= 0x40;
    assert_eq!(reasons(&damaged), ["reading 1", "checksum", "reading 3"]);
    // A lost delimiter joins two frames.
    let mut joined = stream.clone();
    joined.remove(2 * len - 1);
    assert_eq!(
        reasons(&joined),
        ["reading 1", "unsynchronised", "reading 3"]
    );
    // A lost byte, and a zero in the midst of a frame.
    let mut shorter = stream.clone();
    shorter.remove(len + 6);
    assert_eq!(
        reasons(&shorter).last().map(String::as_str),
        Some("reading 3")
    );
    let mut torn = stream;
    torn[len + 9] = 0;
    assert_eq!(reasons(&torn).last().map(String::as_str), Some("reading 3"));
}

#[test]
fn the_first_frame_is_found_behind_what_was_there_before() {
    for before in [
        &b"\0"[..],
        b"\0\0\0",
        b"boot: ready\r\n",
        &[0xff; 300],
        &level(1)[5..],
    ] {
        let stream = [before, &level(2), &level(3)].concat();
        let found = reasons(&stream);
        let [.., second, third] = found.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!([second, third], ["reading 2", "reading 3"], "{before:02x?}");
    }
}

#[test]
fn a_datagram_may_leave_out_its_last_zero() {
    let whole = level(4);
    let open = &whole[..whole.len() - 1];
    let check = |packing: Packing, message: &[u8], expected: &[&str]| {
        let mut reader = FrameReader::new(&WireFormat::Compact);
        let mut found = Vec::new();
        for _ in 0..2 {
            reader.push_piece(message, packing);
            found.extend(std::iter::from_fn(|| reader.next()));
        }
        let good = found
            .iter()
            .filter(|frame| matches!(frame, Frame::Reading(_)));
        assert_eq!(good.count(), expected.len(), "{packing:?} {found:?}");
    };
    check(Packing::Messages, open, &["", ""]);
    check(Packing::Messages, &whole, &["", ""]);
    // In pieces of a link the end of a piece says nothing.
    check(Packing::Pieces, &whole, &["", ""]);
    check(Packing::Pieces, open, &[]);
}

#[test]
fn the_clock_goes_on_over_its_wrap() {
    let at = |time_us| frame(&payload(0x11, 0, 0, time_us, &words(&[0, 0, 16_384])));
    let stream = [at(u32::MAX - 499), at(500)].concat();
    let times: Vec<_> = frames(&stream)
        .into_iter()
        .map(|frame| match frame {
            Frame::Reading(reading) => reading.device_time_us.expect("every frame has it"),
            Frame::Bad(bad) => panic!("{bad:?}"),
        })
        .collect();
    assert_eq!(times[1] - times[0], 1000.0);
}

#[test]
fn the_evidence_of_a_wrong_check_is_told() {
    let mut damaged = level(1);
    damaged[1] ^= 1;
    let stream = [level(0), damaged].concat();
    let [_, Frame::Bad(bad)] = &frames(&stream)[..] else {
        panic!("one good, one bad")
    };
    let BadReason::Checksum { expected, found } = bad.reason else {
        panic!("{bad:?}")
    };
    assert_ne!(expected, found);
    assert_eq!(bad.len, level(1).len());
}
