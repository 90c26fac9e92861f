//! Frames of formats that are told or asked, as published, with what they mean.
//!
//! These bytes must not be edited to make a test pass: when one fails, the
//! decoder is wrong.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{Frame, FrameReader, Packing, Reading, WireFormat};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Board {
    format: WireFormat,
}

fn format(toml: &str) -> WireFormat {
    let board: Board = toml::from_str(&format!("[format]\n{toml}"))
        .unwrap_or_else(|error| panic!("{toml}\n{error}"));
    board.format
}

fn nmea(told: &str) -> WireFormat {
    format(&format!("format = \"nmea\"\n[format.sentences]\n{told}"))
}

fn drained(reader: &mut FrameReader) -> Vec<Frame> {
    std::iter::from_fn(|| reader.next()).collect()
}

fn frames(format: &WireFormat, bytes: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(format);
    reader.push(bytes);
    drained(&mut reader)
}

#[track_caller]
fn one(format: &WireFormat, bytes: &[u8]) -> Reading {
    match frames(format, bytes).as_slice() {
        [Frame::Reading(reading)] => *reading,
        other => panic!("{} came to {other:?}", bytes.escape_ascii()),
    }
}

/// Codes of bad frames, `good` for readings.
fn codes(format: &WireFormat, bytes: &[u8]) -> Vec<&'static str> {
    let code = |frame: &Frame| match frame {
        Frame::Reading(_) => "good",
        Frame::Bad(bad) => bad.reason.code(),
    };
    frames(format, bytes).iter().map(code).collect()
}

#[track_caller]
fn near(found: &[f64], expected: &[f64]) {
    let close = found.len() == expected.len()
        && found
            .iter()
            .zip(expected)
            .all(|(found, expected)| (found - expected).abs() < 1e-9);
    assert!(close, "{found:?} is not {expected:?}");
}

/// Roll and pitch, degrees.
#[track_caller]
fn tilt_deg(format: &WireFormat, sentences: &str) -> [f64; 2] {
    let reading = one(format, sentences.as_bytes());
    let attitude = reading.attitude_rad.map(|[roll, pitch, _]| [roll, pitch]);
    let tilt = reading.tilt_rad.or(attitude).expect("angles are in it");
    tilt.map(f64::to_degrees)
}

/// Beside `NmeaXDR.h` of bbn-wave-period-esp32.
const HCXDR: &str =
    "$HCXDR,A,171,D,PITCH,A,-37,D,ROLL,G,367,,MAGX,G,2420,,MAGY,G,-8984,,MAGZ*41\r\n";
const SDXDR: &str = "$SDXDR,C,23.15,C,WTHI*70\r\n";
/// From the knowledge base of `ABTech`.
const GPXDR: &str = "$GPXDR,A,0.071,D,PITCH,A,228.132,D,YAW*5E\r\n";
/// From the tests of adrianmo/go-nmea: bow down (P) and port up (T).
const PHTRO: &str = "$PHTRO,10.37,P,177.62,T*65\r\n";
/// From jamesp/node-nmea: pitch, roll, heading with one maker, roll, pitch, heading with another.
const PRDID: &str = "$PRDID,-2.06,4.81,37.62*6D\r\n";

#[test]
fn published_sentences_are_read() {
    let usual = nmea("");
    // The bow up lowers the pitch of a frame with x forward, y left, z up.
    near(&tilt_deg(&usual, HCXDR), &[-37.0, -171.0]);
    near(&tilt_deg(&usual, PHTRO), &[177.62, 10.37]);
    assert!(
        frames(&usual, SDXDR.as_bytes()).is_empty(),
        "a water temperature is none of ours"
    );
    // Pitch and heading say not enough of gravity.
    assert_eq!(
        codes(&usual, GPXDR.repeat(2).as_bytes()),
        ["nothing_usable"]
    );
    assert_eq!(codes(&usual, PRDID.as_bytes()), ["untold_sentence"]);
}

#[test]
fn a_sentence_of_a_maker_is_read_in_the_order_told() {
    let order = |fields: &str| {
        nmea(&format!(
            "sentence = [{{ name = \"PRDID\", fields = {fields} }}]"
        ))
    };
    near(
        &tilt_deg(&order(r#"["pitch", "roll", "heading"]"#), PRDID),
        &[4.81, 2.06],
    );
    near(
        &tilt_deg(&order(r#"["roll", "pitch", "-"]"#), PRDID),
        &[-2.06, -4.81],
    );
    let reading = one(&order(r#"["pitch", "roll", "heading"]"#), PRDID.as_bytes());
    near(
        &[reading.attitude_rad.expect("all three")[2].to_degrees()],
        &[-37.62],
    );
    let turned = order(r#"["roll", { quantity = "pitch", scale = -1 }]"#);
    near(&tilt_deg(&turned, PRDID), &[-2.06, 4.81]);
}

#[test]
fn numbers_of_xdr_are_mapped_by_their_names() {
    // Values invented; the sums by the rule of the standard (exclusive or), from a script.
    let own = nmea("[format.sentences.ids]\nTILTX = \"pitch\"\nTILTY = \"roll\"");
    near(
        &tilt_deg(&own, "$YXXDR,A,1.5,D,TILTX,A,-2.5,D,TILTY*60\r\n"),
        &[-2.5, -1.5],
    );
    let accel = nmea(
        "[format.sentences.ids]\nAX = \"ax_mg\"\nAY = \"ay_mg\"\nAZ = { quantity = \"az\", unit = \"mg\", scale = -1 }",
    );
    let reading = one(&accel, b"$YXXDR,G,20,,AX,G,-50,,AY,G,-990,,AZ*25\r\n");
    near(&reading.accel_g.expect("mapped"), &[0.02, -0.05, 0.99]);
}

#[test]
fn a_reading_may_be_spread_over_sentences_and_is_never_mixed() {
    let usual = nmea("");
    let pitch = |deg: u8| with_sum(&format!("HCXDR,A,{deg},D,PITCH"));
    let roll = |deg: u8| with_sum(&format!("HCXDR,A,{deg},D,ROLL"));
    let told = |stream: &str| {
        let tell = |frame: &Frame| match frame {
            Frame::Reading(Reading {
                tilt_rad: Some([roll, pitch]),
                ..
            }) => format!("{:.0}/{:.0}", roll.to_degrees(), -pitch.to_degrees()),
            Frame::Reading(other) => panic!("{other:?}"),
            Frame::Bad(bad) => bad.reason.code().to_owned(),
        };
        let told: Vec<_> = frames(&usual, stream.as_bytes()).iter().map(tell).collect();
        told.join(" ")
    };
    let [p1, p2, p3] = [1, 2, 3].map(pitch);
    let [r1, r2, r3] = [1, 2, 3].map(roll);
    assert_eq!(told(&[&*p1, &r1, &p2, &r2].concat()), "1/1 2/2");
    assert_eq!(
        told(&[&*p1, &r1, &p2, &p3, &r3].concat()),
        "1/1 nothing_usable 3/3"
    );
    assert_eq!(told(&[&*p1, &r1, &r2, &p3, &r3].concat()), "1/1 3/3");
    let bad = p2.replace(",2,", ",4,");
    assert_eq!(
        told(&[&*p1, &r1, &bad, &r2, &p3, &r3].concat()),
        "1/1 checksum 3/3"
    );
}

fn with_sum(body: &str) -> String {
    let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{sum:02X}\r\n")
}

#[test]
fn sentences_without_a_sum_are_taken_only_where_that_is_said() {
    let bare = "$PHTRO,10.37,P,177.62,T\r\n";
    let underscore = "$PHTRO,10.37,P,177.62,T_65\r\n";
    assert_eq!(codes(&nmea(""), bare.as_bytes()), ["no_checksum"]);
    assert_eq!(codes(&nmea(""), underscore.as_bytes()), ["no_checksum"]);
    let optional = nmea("checksum = \"optional\"");
    near(&tilt_deg(&optional, bare), &[177.62, 10.37]);
    near(&tilt_deg(&optional, underscore), &[177.62, 10.37]);
    assert_eq!(
        codes(&optional, b"$PHTRO,10.37,P,177.62,T_66\r\n"),
        ["checksum"]
    );
}

#[test]
fn sentences_are_found_behind_anything() {
    let usual = nmea("");
    let check = |stream: &[u8], expected: &[&str]| {
        assert_eq!(codes(&usual, stream), expected, "{}", stream.escape_ascii());
    };
    check(
        b"2,T*65\r\n$PHTRO,10.37,P,177.62,T*65\r\n",
        &["unsynchronised", "good"],
    );
    check(
        b"$PHTRO,10.$PHTRO,10.37,P,177.62,T*65\r\n",
        &["unsynchronised", "good"],
    );
    check(b"$PHTRO,1x,P,177.62,T*65\r\n", &["checksum"]);
    check(
        with_sum("PHTRO,1x,P,177.62,T").as_bytes(),
        &["not_a_number"],
    );
    check(with_sum("PHTRO,1,Q,177.62,T").as_bytes(), &["not_a_number"]);
    check(b"$\xff\xfe*00\r\n", &["not_utf8"]);
    let long = [&b"$"[..], &[b'7'; 300], b"\r\n", PHTRO.as_bytes()].concat();
    let told = codes(&usual, &long);
    assert_eq!(
        (told[0], told.last()),
        ("line_too_long", Some(&"good")),
        "{told:?}"
    );
    // A datagram needs no end of line.
    let mut reader = FrameReader::new(&usual);
    reader.push_piece(PHTRO.trim_end().as_bytes(), Packing::Messages);
    assert!(matches!(reader.next(), Some(Frame::Reading(_))));
}

/// The values of 2j's second example are invented, its layout is that of a
/// characteristic `2A58` under service `180C` in published sketches: 3 × f32, little endian.
#[test]
fn rows_of_values_are_read_as_they_are_told() {
    let three = format(
        "format = \"values\"\n[format.values]\ntype = \"f32\"\nfields = [\"ax\", \"ay\", \"az\"]",
    );
    let frame: Vec<u8> = [0.25_f32, -0.5, 1.0].into_iter().flatten_le();
    let mut reader = FrameReader::new(&three);
    reader.push_piece(&frame, Packing::Pieces);
    let [Frame::Reading(reading)] = drained(&mut reader)[..] else {
        panic!("one frame")
    };
    near(&reading.accel_g.expect("told"), &[0.25, -0.5, 1.0]);
    // Three frames in one notification, and one that is cut.
    reader.push_piece(&frame.repeat(3), Packing::Pieces);
    assert_eq!(drained(&mut reader).len(), 3);
    reader.push_piece(&frame[..7], Packing::Pieces);
    let [Frame::Bad(bad)] = &drained(&mut reader)[..] else {
        panic!("one bad frame")
    };
    assert_eq!((bad.reason.code(), bad.len), ("wrong_length", 7));
    reader.push_piece(&frame, Packing::Messages);
    assert_eq!(drained(&mut reader).len(), 1);
    // 1.0 in IEEE 754 binary32 is 3F 80 00 00.
    assert_eq!(frame[8..], [0, 0, 0x80, 0x3f]);
}

/// Layout of characteristic `13012F01-F8C3-4F4A-A8F4-15CD926DA146` in published
/// sketches: 6 × f32, little endian, acceleration and rate.
#[test]
fn a_notification_of_24_bytes_is_six_values() {
    let six = format(
        "format = \"values\"\n[format.values]\ntype = \"f32\"\nfields = [\"ax\", \"ay\", \"az\", \"gx\", \"gy\", \"gz\"]",
    );
    let frame: Vec<u8> = [0.0_f32, 0.0, 1.0, 90.0, 0.0, -180.0]
        .into_iter()
        .flatten_le();
    assert_eq!(frame.len(), 24);
    let mut reader = FrameReader::new(&six);
    reader.push_piece(&frame, Packing::Pieces);
    let [Frame::Reading(reading)] = drained(&mut reader)[..] else {
        panic!("one frame")
    };
    near(
        &reading.rate_radps.expect("told").map(f64::to_degrees),
        &[90.0, 0.0, -180.0],
    );
}

#[test]
fn mixed_big_endian_values_with_gaps_are_read() {
    let mixed = format(
        "format = \"values\"\n[format.values]\nendian = \"big\"\nfields = [
          { skip = 2 }, { quantity = \"t_ms\", type = \"u32\" },
          { quantity = \"ax\", type = \"i16\", scale = 0.00006103515625 },
          { quantity = \"ay\", type = \"i16\", scale = 0.00006103515625 },
          { quantity = \"az\", type = \"i16\", scale = 0.00006103515625 },
          { quantity = \"temp\", type = \"i8\" }]",
    );
    let frame = [
        0xaa, 0x55, 0, 0, 4, 0xd2, // two passed over; 1234 ms
        0x00, 0x00, 0xe0, 0x00, 0x40, 0x00, // 0, −8192, 16384
        0x19, // 25 °C
    ];
    let mut reader = FrameReader::new(&mixed);
    reader.push_piece(&frame, Packing::Messages);
    let [Frame::Reading(reading)] = drained(&mut reader)[..] else {
        panic!("one frame")
    };
    near(&reading.accel_g.expect("told"), &[0.0, -0.5, 1.0]);
    assert_eq!(reading.device_time_us, Some(1_234_000.0));
    assert_eq!(reading.temperature_c, Some(25.0));
    // On a stream nothing says where a frame begins.
    assert!(frames(&mixed, &frame).is_empty());
}

trait FlattenLe {
    fn flatten_le(self) -> Vec<u8>;
}

impl<I: Iterator<Item = f32>> FlattenLe for I {
    fn flatten_le(self) -> Vec<u8> {
        self.flat_map(f32::to_le_bytes).collect()
    }
}
