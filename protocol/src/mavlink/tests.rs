use mavlink::dialects::common::{
    ATTITUDE_DATA, ATTITUDE_QUATERNION_DATA, HEARTBEAT_DATA, HIGHRES_IMU_DATA, RAW_IMU_DATA,
    SCALED_IMU_DATA,
};
use mavlink::{MavHeader, calculate_crc, write_v1_msg, write_v2_msg};

use super::*;
use crate::{Frame, FrameReader, WireFormat};

const GRAVITY_MPS2: f32 = 9.806_65;

fn from(system: u8, message: &MavMessage, version: MavlinkVersion) -> Vec<u8> {
    let header = MavHeader {
        system_id: system.into(),
        component_id: 1,
        sequence: 7,
    };
    let mut bytes = Vec::new();
    match version {
        MavlinkVersion::V1 => write_v1_msg(&mut bytes, header, message),
        MavlinkVersion::V2 => write_v2_msg(&mut bytes, header, message),
    }
    .expect("a vector takes all");
    bytes
}

fn sent(message: &MavMessage) -> Vec<u8> {
    from(1, message, MavlinkVersion::V2)
}

fn frames(stream: &[u8]) -> Vec<Frame> {
    let mut reader = FrameReader::new(&WireFormat::Mavlink);
    reader.push(stream);
    std::iter::from_fn(|| reader.next()).collect()
}

fn readings(stream: &[u8]) -> Vec<Reading> {
    let only_readings = frames(stream).into_iter().map(|frame| match frame {
        Frame::Reading(reading) => reading,
        Frame::Bad(bad) => panic!("{bad:?}"),
    });
    only_readings.collect()
}

fn scaled() -> MavMessage {
    // Lying level: the specific force points up, which is against z.
    MavMessage::SCALED_IMU(SCALED_IMU_DATA {
        time_boot_ms: 1250,
        xacc: 20,
        yacc: 50,
        zacc: -990,
        xgyro: 100,
        ygyro: 200,
        zgyro: 300,
        ..SCALED_IMU_DATA::DEFAULT
    })
}

fn attitude() -> MavMessage {
    MavMessage::ATTITUDE(ATTITUDE_DATA {
        time_boot_ms: 1240,
        roll: 0.5,
        pitch: 0.25,
        yaw: -0.125,
        ..ATTITUDE_DATA::DEFAULT
    })
}

#[track_caller]
fn assert_near(found: Option<[f64; 3]>, expected: [f64; 3]) {
    for (found, expected) in found.expect("it is in it").into_iter().zip(expected) {
        assert!((found - expected).abs() < 1e-6, "{found} is not {expected}");
    }
}

/// `message_definitions/v1.0/common.xml` of mavlink/mavlink.
#[test]
fn the_extra_bytes_and_lengths_are_the_published_ones() {
    let cases = [
        (0, 50, HEARTBEAT_DATA::ENCODED_LEN, 9),
        (26, 170, SCALED_IMU_DATA::ENCODED_LEN, 22),
        (27, 144, RAW_IMU_DATA::ENCODED_LEN, 26),
        (30, 39, ATTITUDE_DATA::ENCODED_LEN, 28),
        (31, 246, ATTITUDE_QUATERNION_DATA::ENCODED_LEN, 32),
        (105, 93, HIGHRES_IMU_DATA::ENCODED_LEN, 62),
    ];
    for (message, expected, found_bytes, bytes) in cases {
        assert_eq!(extra(message), Some(expected), "{message}");
        assert_eq!(found_bytes, bytes, "{message}");
    }
}

/// CRC-16/MCRF4XX, with the check value every catalogue gives.
#[test]
fn the_check_is_the_published_one() {
    let (digits, last) = (b"12345678", b'9');
    assert_eq!(calculate_crc(digits, last), 0x6f91);
}

#[test]
fn a_level_board_reads_one_g_up_in_both_versions() {
    for version in [MavlinkVersion::V1, MavlinkVersion::V2] {
        let [reading] = readings(&from(1, &scaled(), version))[..] else {
            panic!("one reading")
        };
        assert_near(reading.accel_g, [0.020, -0.050, 0.990]);
        assert_near(reading.rate_radps, [0.1, -0.2, -0.3]);
        assert_eq!(reading.device_time_us, Some(1_250_000.0));
        assert_eq!(reading.sequence, None);
    }
}

#[test]
fn high_resolution_is_preferred_and_says_what_is_new() {
    let imu = |flags: u16| {
        let imu = HIGHRES_IMU_DATA {
            time_usec: 1_250_000,
            zacc: -GRAVITY_MPS2,
            xgyro: 0.5,
            temperature: 24.5,
            ..HIGHRES_IMU_DATA::DEFAULT
        };
        let mut bytes = sent(&MavMessage::HIGHRES_IMU(imu));
        // The flags as they are, whether or not the crate has names for them.
        bytes.truncate(bytes.len() - 2);
        bytes.resize(10 + 60, 0);
        bytes.extend(flags.to_le_bytes());
        bytes[1] = 62;
        let check = calculate_crc(&bytes[1..], 93);
        bytes.extend(check.to_le_bytes());
        bytes
    };
    let stream = [imu(0xffff), sent(&scaled()), imu(0), imu(0x7)].concat();
    let [all, none_said, accel_alone] = readings(&stream)[..] else {
        panic!("three readings, the scaled one passed over")
    };
    for reading in [all, none_said, accel_alone] {
        assert_near(reading.accel_g, [0.0, 0.0, 1.0]);
        assert_eq!(reading.device_time_us, Some(1_250_000.0));
    }
    assert_near(all.rate_radps, [0.5, 0.0, 0.0]);
    assert_eq!(all.temperature_c, Some(24.5));
    assert_near(none_said.rate_radps, [0.5, 0.0, 0.0]);
    assert_eq!(none_said.temperature_c, None);
    assert_eq!(
        (accel_alone.rate_radps, accel_alone.temperature_c),
        (None, None)
    );
}

#[test]
fn an_attitude_goes_out_with_the_next_acceleration() {
    let stream = [sent(&attitude()), sent(&scaled()), sent(&scaled())].concat();
    let [first, second] = readings(&stream)[..] else {
        panic!("two readings")
    };
    assert_near(first.attitude_rad, [0.5, -0.25, 0.125]);
    assert_near(first.accel_g, [0.020, -0.050, 0.990]);
    assert_eq!(second.attitude_rad, None);
}

#[test]
fn attitudes_without_accelerations_go_out_by_themselves() {
    let found = readings(&sent(&attitude()).repeat(25));
    assert_eq!(found.len(), 5);
    assert_near(found[0].attitude_rad, [0.5, -0.25, 0.125]);
    assert_eq!(found[0].device_time_us, Some(1_240_000.0));
    assert_eq!(found[0].accel_g, None);
}

/// The same attitude as a quaternion: 30° of roll, then of pitch, each alone.
#[test]
fn a_quaternion_is_the_same_attitude() {
    let (sin, cos) = 15_f32.to_radians().sin_cos();
    for (q2, q3, expected_deg) in [(sin, 0.0, [30.0, 0.0, 0.0]), (0.0, sin, [0.0, -30.0, 0.0])] {
        let quaternion = MavMessage::ATTITUDE_QUATERNION(ATTITUDE_QUATERNION_DATA {
            q1: cos,
            q2,
            q3,
            ..ATTITUDE_QUATERNION_DATA::DEFAULT
        });
        let stream = [sent(&quaternion), sent(&scaled())].concat();
        assert_near(
            readings(&stream)[0].attitude_rad,
            expected_deg.map(f64::to_radians),
        );
    }
}

#[test]
fn other_messages_and_speakers_are_passed_over() {
    let raw = MavMessage::RAW_IMU(RAW_IMU_DATA::DEFAULT);
    let heartbeat = MavMessage::HEARTBEAT(HEARTBEAT_DATA::DEFAULT);
    // A message of another dialect, with a check nobody here can work out.
    let mut foreign = vec![
        MAGIC, 3, 0, 0, 8, 1, 1, 0x34, 0x12, 0x20, 1, 2, 3, 0xab, 0xcd,
    ];
    foreign.extend(sent(&heartbeat));
    let stream = [
        sent(&heartbeat),
        sent(&raw),
        sent(&scaled()),
        foreign,
        from(2, &scaled(), MavlinkVersion::V2),
        sent(&scaled()),
    ]
    .concat();
    assert_eq!(readings(&stream).len(), 2);
}

#[test]
fn a_speaker_that_is_gone_is_replaced() {
    let other = from(2, &scaled(), MavlinkVersion::V2);
    let stream = [sent(&scaled()), other.repeat(103)].concat();
    assert_eq!(readings(&stream).len(), 1 + 3);
}

const MAGIC: u8 = frame::MAGIC_2;

#[test]
fn a_signature_is_stepped_over_and_unknown_flags_are_no_frame() {
    let mut signed = sent(&scaled());
    signed.truncate(signed.len() - 2);
    signed[2] = 1;
    let check = calculate_crc(&signed[1..], 170);
    signed.extend(check.to_le_bytes());
    signed.extend([0xfe; 13]);
    let stream = [&signed[..], &sent(&scaled())].concat();
    assert_eq!(readings(&stream).len(), 2);
    let mut flagged = sent(&scaled());
    flagged[2] = 2;
    let stream = [&flagged[..], &sent(&scaled())].concat();
    let [Frame::Bad(bad), Frame::Reading(_)] = &frames(&stream)[..] else {
        panic!("one of each")
    };
    assert_eq!(bad.len, flagged.len());
}

#[test]
fn a_damaged_frame_is_told_with_its_check() {
    let mut damaged = sent(&scaled());
    damaged[12] ^= 1;
    let stream = [&sent(&scaled())[..], &damaged, &sent(&scaled())].concat();
    let found = frames(&stream);
    let [Frame::Reading(_), Frame::Bad(bad), Frame::Reading(_)] = &found[..] else {
        panic!("{found:?}")
    };
    assert_eq!(bad.reason.code(), "checksum");
}
