//! Records of Linux IIO buffers, worked out by hand from the kernel's
//! `Documentation/ABI/testing/sysfs-bus-iio`. Natural alignment is from memory.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{
    Encoder, Frame, FrameReader, Packing, Reading, STANDARD_GRAVITY_MPS2, ScanElement, ScanError,
    ScanLayout, WireFormat,
};

fn element(channel: &str, index: u32, kind: &str, scale: f64, offset: f64) -> ScanElement {
    ScanElement {
        channel: channel.to_owned(),
        index,
        kind: kind.to_owned(),
        scale,
        offset,
    }
}

/// Three axes from `index` on.
fn three(name: &str, index: u32, kind: &str, scale: f64) -> Vec<ScanElement> {
    let axis = |(axis, n)| element(&format!("in_{name}_{axis}"), index + n, kind, scale, 0.0);
    [("x", 0), ("y", 1), ("z", 2)].map(axis).to_vec()
}

fn timestamp(index: u32) -> ScanElement {
    element("in_timestamp", index, "le:s64/64>>0", 1.0, 0.0)
}

fn layout(elements: &[Vec<ScanElement>]) -> ScanLayout {
    ScanLayout::parse(&elements.concat()).unwrap_or_else(|error| panic!("{error}"))
}

fn frames(layout: &ScanLayout, bytes: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(&WireFormat::IioScan(layout.clone()));
    reader.push(bytes);
    std::iter::from_fn(|| reader.next()).collect()
}

fn one(layout: &ScanLayout, bytes: &[u8]) -> Reading {
    match frames(layout, bytes).as_slice() {
        [Frame::Reading(reading)] => *reading,
        other => panic!("{other:?}"),
    }
}

/// ±2 g over 16 bits, as IIO scales it: m/s² a count.
const SCALE_2G: f64 = STANDARD_GRAVITY_MPS2 / 16_384.0;

#[test]
fn a_record_of_acceleration_and_clock() {
    let layout = layout(&[
        three("accel", 0, "le:s16/16>>0", SCALE_2G),
        vec![timestamp(3)],
    ]);
    // Six bytes, two of padding, so that the clock lies at a multiple of eight.
    assert_eq!(layout.record_bytes(), 16);
    let record = [
        0x00, 0x20, // x =  8192 → 0.5 g
        0x00, 0xe0, // y = −8192 → −0.5 g
        0x00, 0x40, // z = 16384 → 1 g
        0xaa, 0xaa, // padding, whatever it holds
        0x15, 0xcd, 0x5b, 0x07, 0x00, 0x00, 0x00, 0x00, // 123 456 789 ns
    ];
    let reading = one(&layout, &record);
    let accel_g = reading.accel_g.expect("sent");
    for (found, expected) in accel_g.into_iter().zip([0.5, -0.5, 1.0]) {
        assert!((found - expected).abs() < 1e-12, "{accel_g:?}");
    }
    assert_eq!(reading.rate_radps, None);
    let time_us = reading.device_time_us.expect("sent");
    assert!((time_us - 123_456.789).abs() < 1e-9, "{time_us}");
}

#[test]
fn mixed_sizes_lie_at_their_own_multiples_in_order_of_index() {
    // Given out of order; index rules. 8-bit unknown channel, 20-bit big-endian
    // acceleration in 32 bits, 16-bit temperature with offset.
    let layout = layout(&[
        vec![
            element("in_temp", 4, "le:s16/16>>0", 250.0, -100.0),
            element("in_proximity", 0, "le:u8/8>>0", 1.0, 0.0),
        ],
        three(
            "accel",
            1,
            "be:s20/32>>12",
            STANDARD_GRAVITY_MPS2 / 256_000.0,
        ),
    ]);
    // 1 + 3 padding + 12 + 2, rounded up to a multiple of 4.
    assert_eq!(layout.record_bytes(), 20);
    let record = [
        0x7f, 0, 0, 0, // proximity, padding
        0x3e, 0x80, 0x00, 0x00, // x = 0x3e800 = 256000 → 1 g
        0xc1, 0x80, 0x0f,
        0xff, // y = 0xc1800 = −256000 → −1 g; the low 12 bits are not its
        0x00, 0x00, 0x10, 0x00, // z = 1
        0xc8, 0x00, 0, 0, // temperature = 200 → (200 − 100) · 250 m°C = 25 °C; padding
    ];
    let reading = one(&layout, &record);
    let expected = [1.0, -1.0, 1.0 / 256_000.0];
    for (found, expected) in reading.accel_g.expect("sent").into_iter().zip(expected) {
        assert!((found - expected).abs() < 1e-12, "{reading:?}");
    }
    assert_eq!(reading.temperature_c, Some(25.0));
}

#[test]
fn rates_are_in_radians() {
    let layout = layout(&[three("anglvel", 0, "le:s16/16>>0", 0.001)]);
    let reading = one(&layout, &[0xe8, 0x03, 0x18, 0xfc, 0, 0]);
    let rate = reading.rate_radps.expect("sent");
    assert!(
        (rate[0] - 1.0).abs() < 1e-12 && (rate[1] + 1.0).abs() < 1e-12,
        "{rate:?}"
    );
}

#[test]
fn channels_that_cannot_be_read_are_refused() {
    let check = |elements: Vec<ScanElement>, expected: &str| {
        let error = ScanLayout::parse(&elements)
            .expect_err(expected)
            .to_string();
        assert!(error.contains(expected), "{error}");
    };
    let accel = || three("accel", 0, "le:s16/16>>0", SCALE_2G);
    check(vec![], "neither acceleration nor rate");
    check(vec![timestamp(0)], "neither acceleration nor rate");
    check(accel()[..2].to_vec(), "neither acceleration nor rate");
    check([accel(), vec![timestamp(2)]].concat(), "both have index 2");
    check(three("accel", 0, "le:16", 1.0), "no type of a scan element");
    check(three("accel", 0, "le:s16/16>>0", 0.0), "nothing to measure");
    check(
        three("accel", 0, "le:s16/16>>0", f64::NAN),
        "nothing to measure",
    );
    let large = element("in_rot_quaternion", 9, "le:s64/64X16>>0", 1.0, 0.0);
    let larger = element("in_other", 10, "le:s64/64X16>>0", 1.0, 0.0);
    assert!(matches!(
        ScanLayout::parse(&[accel(), vec![large, larger]].concat()),
        Err(ScanError::TooLong { .. })
    ));
}

#[test]
fn records_cut_anywhere_come_out_whole_and_loss_is_told() {
    let layout = layout(&[
        three("accel", 0, "le:s16/16>>0", SCALE_2G),
        vec![timestamp(3)],
    ]);
    let format = WireFormat::IioScan(layout);
    let encoder = Encoder::new(&format);
    let sent: Vec<Reading> = (0..20)
        .map(|n| Reading {
            device_time_us: Some(f64::from(n) * 1e4),
            accel_g: Some([f64::from(n) / 64.0, -0.5, 1.0]),
            ..Reading::default()
        })
        .collect();
    let mut stream = Vec::new();
    for reading in &sent {
        encoder.encode(reading, &mut stream);
    }
    for cut in [1, 7, 16, 33, stream.len()] {
        let mut reader = FrameReader::new(&format);
        let mut found = Vec::new();
        for piece in stream.chunks(cut) {
            reader.push(piece);
            while let Some(Frame::Reading(reading)) = reader.next() {
                found.push(reading.accel_g.expect("sent")[0]);
            }
        }
        let expected: Vec<f64> = sent
            .iter()
            .map(|reading| reading.accel_g.expect("sent")[0])
            .collect();
        assert_eq!(found.len(), expected.len(), "cut by {cut}");
        for (found, expected) in found.iter().zip(&expected) {
            assert!((found - expected).abs() < 1e-4, "cut by {cut}");
        }
    }
    // More than the reader holds: the place is lost, and found again with the next read.
    let mut reader = FrameReader::new(&format);
    reader.push(&stream.repeat(250));
    let mut codes = Vec::new();
    while let Some(Frame::Bad(bad)) = reader.next() {
        codes.push(bad.reason.code());
    }
    assert_eq!(codes, ["overrun", "unsynchronised"]);
    reader.push(&stream);
    let found = std::iter::from_fn(|| reader.next()).collect::<Vec<_>>();
    assert_eq!(found.len(), sent.len());
}

#[test]
fn a_message_that_ends_within_a_record_is_told() {
    let layout = layout(&[three("accel", 0, "le:s16/16>>0", SCALE_2G)]);
    let mut reader = FrameReader::new(&WireFormat::IioScan(layout));
    reader.push_piece(&[0, 0, 0, 0, 0, 0x40, 1, 2], Packing::Messages);
    assert!(matches!(reader.next(), Some(Frame::Reading(_))));
    let Some(Frame::Bad(bad)) = reader.next() else {
        panic!("the rest is told")
    };
    assert_eq!((bad.reason.code(), bad.len), ("unsynchronised", 2));
    reader.push_piece(&[0, 0, 0, 0, 0, 0x40], Packing::Messages);
    assert!(matches!(reader.next(), Some(Frame::Reading(_))));
}
