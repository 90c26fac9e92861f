//! Bytes that real boards sent, with what their makers and users say they mean.
//!
//! Encoder and decoder share code, so a round trip cannot show that both are
//! right. These bytes can. They must not be edited to make a test pass: when one
//! fails, the decoder is wrong.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{ColumnMap, Frame, FrameReader, Reading, WireFormat};

/// Captured from a 0x55 board at rest, published with its values in the `DFRobot`
/// forum, topic 320768. Four frames, one cycle.
const DFROBOT_CYCLE: [u8; 44] = [
    0x55, 0x51, // head, type: acceleration
    0x16, 0x00, // x =    22 → 22/32768 · 16 g =  0.0107 g
    0x3d, 0xff, // y =  −195 → −0.0952 g
    0xfa, 0x07, // z =  2042 →  0.9971 g
    0xcf, 0x0a, // temperature = 2767 → 27.67 °C
    0xd2, // sum of the ten bytes before, low byte
    0x55, 0x52, // angular rate
    0x00, 0x00, // x = 0 °/s
    0x00, 0x00, // y = 0 °/s
    0x00, 0x00, // z = 0 °/s
    0xcf, 0x0a, // temperature again; on other boards of the family a voltage
    0x80, // sum
    0x55, 0x53, // attitude
    0x1b, 0xfc, // roll  =  −997 → −997/32768 · 180° = −5.4767°
    0x95, 0xff, // pitch =  −107 → −0.5878°
    0xff, 0xf9, // yaw   = −1537 → −8.4430°
    0x45, 0x38, // version 0x3845
    0xc8, // sum
    0x55, 0x54, // magnetic field, of no use between steel wheels
    0x00, 0x00, // x
    0x00, 0x00, // y
    0x00, 0x00, // z
    0xcf, 0x0a, // temperature again
    0x82, // sum
];

/// Half of the last digit the forum prints.
const PRINTED_4_DIGITS: f64 = 0.5e-4;

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

fn readings(format: &WireFormat, bytes: &[u8]) -> Vec<Reading> {
    let mut reader = FrameReader::new(format);
    reader.push(bytes);
    std::iter::from_fn(|| reader.next())
        .filter_map(|frame| match frame {
            Frame::Reading(reading) => Some(reading),
            Frame::Bad(_) => None,
        })
        .collect()
}

#[test]
fn a_captured_0x55_cycle_says_what_its_owner_read() {
    // The beginning of the next cycle shows that the first is over.
    let stream = DFROBOT_CYCLE.repeat(2);
    let readings = readings(&WireFormat::Ahrs55, &stream);
    let [first, ..] = readings.as_slice() else {
        panic!("no reading")
    };
    assert_near(first.accel_g, [0.0107, -0.0952, 0.9971], PRINTED_4_DIGITS);
    assert_eq!(first.rate_radps, Some([0.0; 3]));
    let attitude_deg = first.attitude_rad.map(|angles| angles.map(f64::to_degrees));
    assert_near(attitude_deg, [-5.4767, -0.5878, -8.4430], PRINTED_4_DIGITS);
    assert_eq!(first.temperature_c, Some(27.67));
    assert_eq!(first.device_time_us, None);
}

/// Lines as the published description of the Serial Plotter allows them
/// (`ArduinoSerialPlotterProtocol.md` of arduino/Arduino): parts parted by
/// comma, tab or space, each a value or `label:value`, the line ended by `\n`
/// or `\r\n`. The values are invented.
#[test]
fn serial_plotter_lines_are_read() {
    let labelled = WireFormat::from_name("labelled", None).expect("known");
    let csv = WireFormat::from_name("csv", None).expect("known");
    let map = ColumnMap::from_header("ax,ay,az").expect("usable");
    let mapped = WireFormat::from_name("csv", Some(map)).expect("known");
    let check = |format: &WireFormat, lines: &str| {
        let stream = format!("cut off\n{lines}");
        let readings = readings(format, stream.as_bytes());
        assert_eq!(readings.len(), 1, "{lines:?}");
        assert_eq!(readings[0].accel_g, Some([0.25, -0.5, 0.75]), "{lines:?}");
    };
    check(&labelled, "ax:0.25,ay:-0.5,az:0.75\n");
    check(&labelled, "ax:0.25\tay:-0.5\taz:0.75\r\n");
    check(&labelled, "ax:0.25 ay:-0.5 az:0.75\n");
    check(&labelled, "ax:0.25, ay:-0.5, az:0.75, battery:\n");
    check(&labelled, "ax = 0.25, ay = -0.5, az = 0.75\n");
    check(&csv, "ax,ay,az\n0.25,-0.5,0.75\n");
    check(&csv, "ax ay az\r\n0.25 -0.5 0.75\r\n");
    check(&csv, "ax\tay\taz\n0.25\t-0.5\t0.75\n");
    check(&mapped, "0.25, -0.5, 0.75\n");
}
