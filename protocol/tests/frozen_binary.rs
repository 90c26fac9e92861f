//! Bytes that real boards of binary formats sent, with what is known of their meaning.
//!
//! As in `frozen_frames.rs`: they must not be edited to make a test pass.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{Frame, FrameReader, Packing, Reading, WireFormat};

#[track_caller]
fn assert_near(found: Option<[f64; 3]>, expected: [f64; 3], tolerance: f64) {
    let found = found.expect("the frame holds it");
    for (found, expected) in found.into_iter().zip(expected) {
        assert!(
            (found - expected).abs() <= tolerance,
            "{found} is not {expected} within {tolerance}"
        );
    }
}

fn degrees(angles_rad: Option<[f64; 3]>) -> Option<[f64; 3]> {
    angles_rad.map(|angles| angles.map(f64::to_degrees))
}

#[track_caller]
fn frames(name: &str, bytes: &[u8]) -> Vec<Frame> {
    let format = WireFormat::from_name(name, None).expect("a known name");
    let mut reader = FrameReader::new(&format);
    reader.push(bytes);
    std::iter::from_fn(|| reader.next()).collect()
}

#[track_caller]
fn readings(name: &str, bytes: &[u8]) -> Vec<Reading> {
    let only_readings = frames(name, bytes).into_iter().map(|frame| match frame {
        Frame::Reading(reading) => reading,
        Frame::Bad(bad) => panic!("{bad:?}"),
    });
    only_readings.collect()
}

/// The example of the BNO080 datasheet (1000-3927, p. 21), with the values printed beside it.
const RVC_EXAMPLE: [u8; 19] = [
    0xaa, 0xaa, // head
    0xde, // index 222
    0x01, 0x00, // yaw     1 → 0.01°
    0x92, 0xff, // pitch −110 → −1.10°
    0x25, 0x08, // roll  2085 → 20.85°
    0x8d, 0xfe, // x −371 mg
    0xec, 0xff, // y  −20 mg
    0xd1, 0x03, // z  977 mg
    0x00, 0x00, 0x00, // reserved
    0xe7, // sum of the 16 bytes before, low byte
];

#[test]
fn the_frame_of_the_bno080_datasheet_says_what_is_printed_beside_it() {
    let [reading] = readings("rvc", &RVC_EXAMPLE)[..] else {
        panic!("one reading")
    };
    assert_eq!(reading.sequence, Some(222));
    assert_near(degrees(reading.attitude_rad), [20.85, -1.10, 0.01], 1e-9);
    assert_near(reading.accel_g, [-0.371, -0.020, 0.977], 1e-12);
    assert_eq!(reading.rate_radps, None);
    assert_eq!(reading.device_time_us, None);
}

/// Captured from a radio board, published in test/data.json of
/// ioBroker/ioBroker.witmotion. The angles are worked out by the scales of the maker.
const RADIO_CAPTURE: [u8; 20] = [
    0x55, 0x61, // head
    0xee, 0xff, // x   −18/32768 · 16 g = −0.00879 g
    0x00, 0x00, // y
    0x04, 0x08, // z  2052 → 1.00195 g
    0x00, 0x00, 0x00, 0x00, 0x00, 0x00, // rate 0
    0x00, 0x00, // roll 0
    0x65, 0x00, // pitch 101/32768 · 180° = 0.5548°
    0xd4, 0x30, // yaw 12500 → 68.665°
];

#[test]
fn a_captured_radio_frame_says_what_its_scales_make_of_it() {
    // The three others of the same file differ in acceleration alone.
    let with_accel = |x: [u8; 2], y: [u8; 2], z: [u8; 2]| {
        let mut frame = RADIO_CAPTURE;
        frame[2..8].copy_from_slice(&[x, y, z].concat());
        frame
    };
    let stream = [
        RADIO_CAPTURE,
        with_accel([0xee, 0xff], [0, 0], [0x03, 0x08]),
        with_accel([0xee, 0xff], [0, 0], [0x05, 0x08]),
        with_accel([0xec, 0xff], [1, 0], [0x04, 0x08]),
    ]
    .concat();
    let found = readings("ahrs55-radio", &stream);
    assert_eq!(found.len(), 4);
    assert_near(found[0].accel_g, [-0.00879, 0.0, 1.00195], 0.5e-5);
    assert_eq!(found[0].rate_radps, Some([0.0; 3]));
    assert_near(
        degrees(found[0].attitude_rad),
        [0.0, 0.5548, 68.665],
        0.5e-3,
    );
    assert_eq!(found[0].temperature_c, None);
    assert_near(
        found[3].accel_g,
        [-20.0 / 2048.0, 1.0 / 2048.0, 2052.0 / 2048.0],
        1e-12,
    );
}

/// A notification may hold part of a frame or several; a message holds whole ones.
#[test]
fn radio_frames_may_be_cut_and_merged_and_answers_lie_between() {
    // Registers 0x3A to 0x41 (made up but for the layout): 0x40 holds 2450, 24.50 °C.
    let mut answer = vec![0x55, 0x71, 0x3a, 0x00];
    answer.extend([0; 12]);
    answer.extend(2450_i16.to_le_bytes());
    answer.extend([0; 2]);
    let stream = [&RADIO_CAPTURE[..], &answer, &RADIO_CAPTURE, &RADIO_CAPTURE].concat();
    let mut reader = FrameReader::new(&WireFormat::Ahrs55Radio);
    let mut found = Vec::new();
    for piece in stream.chunks(13) {
        reader.push_piece(piece, Packing::Pieces);
        found.extend(std::iter::from_fn(|| reader.next()));
    }
    let temperatures: Vec<_> = found
        .into_iter()
        .map(|frame| match frame {
            Frame::Reading(reading) => reading.temperature_c,
            Frame::Bad(bad) => panic!("{bad:?}"),
        })
        .collect();
    assert_eq!(temperatures, [None, Some(24.5), None]);

    let mut reader = FrameReader::new(&WireFormat::Ahrs55Radio);
    reader.push_piece(&RADIO_CAPTURE, Packing::Messages);
    assert!(matches!(reader.next(), Some(Frame::Reading(_))));
}

/// Lost bytes make one frame out of two; it must not become a reading.
#[test]
fn a_radio_frame_that_lost_bytes_gives_no_reading() {
    // From the end of the third frame backwards, its head last.
    for lost in 1..20 {
        let mut stream = RADIO_CAPTURE.repeat(5);
        stream.drain(60 - lost..60);
        let mut good = 0;
        for frame in frames("ahrs55-radio", &stream) {
            if let Frame::Reading(reading) = frame {
                good += 1;
                assert_near(reading.accel_g, [-0.00879, 0.0, 1.00195], 0.5e-5);
                assert_near(degrees(reading.attitude_rad), [0.0, 0.5548, 68.665], 0.5e-3);
            }
        }
        assert_eq!(good, 4, "{lost} lost");
    }
}

/// A wake-up answer and one `MTData2`, captured; published in documentation and
/// tests of Scottapotamas/xsens-mti.
const XBUS_CAPTURE: [u8; 43] = [
    0xfa, 0xff, 0x36, // head, message MTData2
    0x26, // 38 bytes of data
    0x10, 0x20, 0x02, // counter, 2 bytes
    0x46, 0x82, // 18050
    0x10, 0x60, 0x04, // fine sample time, 4 bytes
    0x01, 0xc4, 0xfc, 0x3e, // 29 686 846 steps of 100 µs
    0x20, 0x10, 0x10, // quaternion, f32, towards east, north, up
    0x3f, 0x71, 0xce, 0x6c, // w  0.944556
    0xbe, 0xa5, 0x6b, 0xcf, // x −0.323088
    0x3c, 0x61, 0x3b, 0xd8, // y  0.013747
    0xbd, 0x69, 0x1d, 0x25, // z −0.056913
    0xe0, 0x20, 0x04, // status, not used
    0x00, 0x40, 0x00, 0x03, //
    0x12, // makes the sum of all but the first byte zero
];

#[test]
fn a_captured_xbus_message_says_what_its_layout_makes_of_it() {
    let [reading] = readings("xbus", &XBUS_CAPTURE)[..] else {
        panic!("one reading")
    };
    assert_eq!(reading.sequence, Some(18_050));
    assert_eq!(reading.device_time_us, Some(2_968_684_600.0));
    // roll = atan2(2(wx + yz), 1 − 2(x² + y²)) and so on, worked out apart from this crate.
    let expected = [-37.7306, -0.6191, -6.6847];
    assert_near(degrees(reading.attitude_rad), expected, 1e-4);
    assert_eq!((reading.accel_g, reading.rate_radps), (None, None));
}

#[test]
fn xbus_messages_of_other_kinds_are_told_and_skipped() {
    let stream = [&[0xfa, 0xff, 0x31, 0x00, 0xd0][..], &XBUS_CAPTURE].concat();
    let [Frame::Bad(bad), Frame::Reading(_)] = &frames("xbus", &stream)[..] else {
        panic!("one of each")
    };
    assert_eq!((bad.reason.code(), bad.len), ("unknown_type", 5));
    let [Frame::Bad(bad)] = &frames("xbus", &[0xfa, 0xff, 0x36, 0x00, 0xcb])[..] else {
        panic!("one bad frame")
    };
    assert_eq!(bad.reason.code(), "nothing_usable");
}

/// `SCALED_IMU` in version 1 and `ATTITUDE` in version 2, its zeros at the end
/// left out. Made by a script of its own from the published layout and check
/// (`common.xml` of mavlink/mavlink, CRC-16/MCRF4XX), not by the crate that reads them.
const MAVLINK_FRAMES: [&[u8]; 2] = [
    &[
        0xfd, 0x10, 0x00, 0x00, 0x08, 0x01, 0x01, 0x1e, 0x00,
        0x00, // head: length, flags, number 8, system 1, component 1, message 30
        0xd8, 0x04, 0x00, 0x00, // 1240 ms
        0x00, 0x00, 0x00, 0x3f, // roll 0.5
        0x00, 0x00, 0x80, 0x3e, // pitch 0.25
        0x00, 0x00, 0x00, 0xbe, // yaw −0.125
        0xa0, 0x29, // check
    ],
    &[
        0xfe, 0x16, 0x07, 0x01, 0x01,
        0x1a, // head: length, number 7, system 1, component 1, message 26
        0xe2, 0x04, 0x00, 0x00, // 1250 ms
        0x14, 0x00, 0x32, 0x00, 0x22, 0xfc, // acceleration 20, 50, −990 mg: z points down
        0x64, 0x00, 0xc8, 0x00, 0x2c, 0x01, // rate 100, 200, 300 mrad/s
        0x00, 0x00, 0x00, 0x00, 0x00, 0x00, // magnetic field
        0x97, 0x84, // check
    ],
];

#[test]
fn mavlink_frames_made_from_the_published_layout_are_read() {
    let [reading] = readings("mavlink", &MAVLINK_FRAMES.concat())[..] else {
        panic!("one reading: the attitude goes out with the acceleration")
    };
    assert_near(reading.accel_g, [0.020, -0.050, 0.990], 1e-12);
    assert_near(reading.rate_radps, [0.1, -0.2, -0.3], 1e-12);
    assert_near(reading.attitude_rad, [0.5, -0.25, 0.125], 1e-12);
    assert_eq!(reading.device_time_us, Some(1_250_000.0));
}
