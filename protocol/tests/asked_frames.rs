//! Questions and answers of boards that must be asked, as published, with what they mean.
//!
//! These bytes must not be edited to make a test pass: when one fails, the
//! code is wrong.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{Encoder, Frame, FrameReader, Reading, STANDARD_GRAVITY_MPS2, WireFormat};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Board {
    format: WireFormat,
}

fn modbus(registers: &str) -> WireFormat {
    let toml = format!("[format]\nformat = \"modbus\"\n[format.registers]\n{registers}");
    let board: Board = toml::from_str(&toml).unwrap_or_else(|error| panic!("{toml}\n{error}"));
    board.format
}

fn frames(format: &WireFormat, bytes: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(format);
    reader.push(bytes);
    std::iter::from_fn(|| reader.next()).collect()
}

/// Readings as `good`, bad frames by their codes.
fn codes(format: &WireFormat, bytes: &[u8]) -> Vec<&'static str> {
    let code = |frame: &Frame| match frame {
        Frame::Reading(_) => "good",
        Frame::Bad(bad) => bad.reason.code(),
    };
    frames(format, bytes).iter().map(code).collect()
}

#[track_caller]
fn one(format: &WireFormat, bytes: &[u8]) -> Reading {
    match frames(format, bytes).as_slice() {
        [Frame::Reading(reading)] => *reading,
        other => panic!("{bytes:02x?} came to {other:?}"),
    }
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

/// Three registers of board 17 (Modbus application protocol, the usual example; from memory).
const QUESTION_17: [u8; 8] = [0x11, 0x03, 0x00, 0x6b, 0x00, 0x03, 0x76, 0x87];
const ANSWER_17: [u8; 11] = [
    0x11, 0x03, 0x06, // board 17, holding registers, six bytes
    0xae, 0x41, // −20927
    0x56, 0x52, // 22098
    0x43, 0x40, // 17216
    0x49, 0xad, // sum
];

fn board_17() -> WireFormat {
    modbus(
        "address = 17\nfunction = 3\ntype = \"i16\"\nfields = [
          { quantity = \"ax\", register = 0x6b, scale = 0.0001 },
          { quantity = \"ay\", register = 0x6c, scale = 0.0001 },
          { quantity = \"az\", register = 0x6d, scale = 0.0001 }]",
    )
}

#[test]
fn the_published_question_and_answer_of_modbus_agree() {
    let format = board_17();
    assert_eq!(
        format.question().expect("it must be asked").bytes,
        QUESTION_17
    );
    let reading = one(&format, &ANSWER_17);
    near(&reading.accel_g.expect("told"), &[-2.0927, 2.2098, 1.7216]);
    let mut answer = Vec::new();
    Encoder::new(&format).encode(&reading, &mut answer);
    assert_eq!(answer, ANSWER_17);
}

/// `50 03 00 34 00 01 C8 45` asks one register of a board at address 0x50 (manual
/// of the WT53R-485, p. 24); three are needed here, so only the head is the same.
#[test]
fn the_question_of_a_board_at_0x50_begins_as_its_manual_says() {
    let format = modbus(
        "address = 0x50\nfunction = 3\ntype = \"i16\"\nfields = [
          { quantity = \"ax\", register = 0x34, scale = 0.00048828125 },
          { quantity = \"ay\", register = 0x35, scale = 0.00048828125 },
          { quantity = \"az\", register = 0x36, scale = 0.00048828125 }]",
    );
    let bytes = format.question().expect("it must be asked").bytes;
    assert_eq!(bytes[..6], [0x50, 0x03, 0x00, 0x34, 0x00, 0x03]);
}

#[test]
fn answers_are_found_behind_anything_and_damage_is_told() {
    let format = board_17();
    let check = |bytes: &[&[u8]], expected: &[&str]| {
        assert_eq!(codes(&format, &bytes.concat()), expected, "{bytes:02x?}");
    };
    let mut damaged = ANSWER_17;
    damaged[4] ^= 1;
    check(&[&ANSWER_17, &ANSWER_17], &["good", "good"]);
    check(&[&QUESTION_17, &ANSWER_17], &["good"]);
    check(
        &[&[0xff, 0x11, 0x03, 0x06], &ANSWER_17],
        &["unsynchronised", "good"],
    );
    check(&[&damaged, &ANSWER_17], &["unsynchronised", "good"]);
    check(&[&ANSWER_17[..6], &ANSWER_17], &["unsynchronised", "good"]);
    // An answer of another board on the same wires: `01 03 02 00 01 79 84` (AT381x manual, p. 105).
    let other = [0x01, 0x03, 0x02, 0x00, 0x01, 0x79, 0x84];
    check(&[&other, &ANSWER_17], &["unsynchronised", "good"]);
    // Sums of the exceptions worked out with a script of the polynomial 0xA001.
    check(
        &[&[0x11, 0x83, 0x02, 0xc1, 0x34], &ANSWER_17],
        &["declined", "good"],
    );
    check(
        &[&[0x11, 0x83, 0x06, 0xc0, 0xf7], &ANSWER_17],
        &["not_ready", "good"],
    );
}

#[test]
fn registers_of_32_bits_in_either_order_and_marked_invalid() {
    let table = |words: &str| {
        modbus(&format!(
            "address = 1\nfunction = 4\nwords = \"{words}\"\nfields = [
              {{ quantity = \"roll\", register = 2, type = \"i32\", unit = \"deg\", scale = 0.001 }},
              {{ quantity = \"pitch\", register = 4, type = \"f32\", unit = \"deg\" }},
              {{ quantity = \"temp\", register = 6, type = \"i16\", scale = 0.1, invalid = 55555 }}]"
        ))
    };
    let reading = Reading {
        tilt_rad: Some([-1.5_f64, 2.5].map(f64::to_radians)),
        ..Reading::default()
    };
    for words in ["high-first", "low-first"] {
        let format = table(words);
        let mut answer = Vec::new();
        Encoder::new(&format).encode(&reading, &mut answer);
        // −1500 is FFFF FA24; 2.5 as binary32 is 4020 0000; 55555 is D903.
        let data: [u8; 10] = if words == "high-first" {
            [0xff, 0xff, 0xfa, 0x24, 0x40, 0x20, 0x00, 0x00, 0xd9, 0x03]
        } else {
            [0xfa, 0x24, 0xff, 0xff, 0x00, 0x00, 0x40, 0x20, 0xd9, 0x03]
        };
        let head = [0x01, 0x04, 0x0a];
        assert_eq!(answer[..13], [&head[..], &data[..]].concat(), "{words}");
    }
    let both = modbus(
        "address = 1\nfunction = 4\ntype = \"i16\"\ninvalid = 55555\nfields = [
          { quantity = \"incline_x\", register = 0 }, { quantity = \"incline_y\", register = 1 }]",
    );
    // Sum worked out with a script of the polynomial 0xA001.
    let answer = [0x01, 0x04, 0x04, 0xd9, 0x03, 0x00, 0x01, 0xf1, 0x18];
    assert_eq!(codes(&both, &answer), ["marked_invalid"]);
}

/// A block from register 0 on; places and scales from memory of BST-BNO055-DS000-14.
fn block(units: u8, mode: u8, accel: [i16; 3], rate: [i16; 3], temperature: u8) -> Vec<u8> {
    let mut data = vec![0_u8; 0x3e];
    data[..4].copy_from_slice(&[0xa0, 0xfb, 0x32, 0x0f]);
    let words = |values: [i16; 3]| values.into_iter().flat_map(i16::to_le_bytes);
    data.splice(0x08..0x0e, words(accel));
    data.splice(0x14..0x1a, words(rate));
    data[0x34] = temperature;
    data[0x35] = 0x3c;
    data[0x3b] = units;
    data[0x3d] = mode;
    [&[0xbb, 0x3e][..], &data].concat()
}

#[test]
fn the_block_of_a_bno055_is_read_in_the_units_it_names() {
    let format = WireFormat::Bno055;
    assert_eq!(
        format.question().expect("it must be asked").bytes,
        [0xaa, 0x01, 0x00, 0x3e]
    );
    // 100 counts a m/s², 16 counts a °/s, °C.
    let reading = one(&format, &block(0x80, 0x0c, [0, 0, 981], [16, -16, 0], 25));
    near(
        &reading.accel_g.expect("read"),
        &[0.0, 0.0, 9.81 / STANDARD_GRAVITY_MPS2],
    );
    near(
        &reading.rate_radps.expect("read").map(f64::to_degrees),
        &[1.0, -1.0, 0.0],
    );
    assert_eq!(reading.temperature_c, Some(25.0));
    // 1 count a mg, 900 counts a rad/s, 2 °F a count.
    let reading = one(&format, &block(0x13, 0x08, [0, -1000, 0], [900, 0, 0], 38));
    near(&reading.accel_g.expect("read"), &[0.0, -1.0, 0.0]);
    near(&reading.rate_radps.expect("read"), &[1.0, 0.0, 0.0]);
    near(
        &[reading.temperature_c.expect("read")],
        &[(76.0 - 32.0) / 1.8],
    );
    // The accelerometer alone: the gyro's zeros are no rest.
    let reading = one(&format, &block(0x01, 0x01, [0, 0, 1000], [0; 3], 25));
    assert_eq!(reading.rate_radps, None);
}

#[test]
fn a_bno055_that_is_not_set_up_or_busy_says_so() {
    let format = WireFormat::Bno055;
    let good = block(0x80, 0x0c, [0, 0, 981], [0; 3], 25);
    let check = |bytes: &[&[u8]], expected: &[&str]| {
        assert_eq!(codes(&format, &bytes.concat()), expected, "{bytes:02x?}");
    };
    check(
        &[&block(0x80, 0x00, [0; 3], [0; 3], 25)],
        &["nothing_usable"],
    );
    check(&[&[0xee, 0x07], &good], &["not_ready", "good"]);
    check(&[&[0xee, 0x04], &good], &["declined", "good"]);
    check(
        &[&[0x00, 0xbb, 0x3e, 0x00], &good, &good],
        &["unsynchronised", "good", "good"],
    );
    check(
        &[&good[..20], &good, &good],
        &["unsynchronised", "good", "good"],
    );
}
