//! Readings as messages of version 2.

use mavlink::dialects::common::{ATTITUDE_DATA, HIGHRES_IMU_DATA, MavMessage};
use mavlink::{MavlinkVersion, Message, calculate_crc};

use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};

use super::frame::MAGIC_2;
use super::messages::{flags, turned};

/// The usual numbers of an autopilot.
const SYSTEM: u8 = 1;
const COMPONENT: u8 = 1;
/// The longest payload.
const MOST_PAYLOAD_BYTES: usize = 255;

/// Appends an `ATTITUDE` where there is one, and a `HIGHRES_IMU` where there is
/// acceleration or rate. What is not known of the time is sent as zero.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    let time_us = reading.device_time_us.unwrap_or_default().max(0.0);
    if let Some(attitude_rad) = reading.attitude_rad {
        let [roll, pitch, yaw] = floats(turned(attitude_rad));
        let [rollspeed, pitchspeed, yawspeed] =
            floats(turned(reading.rate_radps.unwrap_or_default()));
        let attitude = ATTITUDE_DATA {
            time_boot_ms: milliseconds(time_us),
            roll,
            pitch,
            yaw,
            rollspeed,
            pitchspeed,
            yawspeed,
        };
        frame(reading, &MavMessage::ATTITUDE(attitude), out);
    }
    if reading.accel_g.is_none() && (reading.rate_radps.is_none() || reading.attitude_rad.is_some())
    {
        return;
    }
    let accel_mps2 = reading.accel_g.unwrap_or_default();
    let accel_mps2 = accel_mps2.map(|accel_g| accel_g * STANDARD_GRAVITY_MPS2);
    let [xacc, yacc, zacc] = floats(turned(accel_mps2));
    let [xgyro, ygyro, zgyro] = floats(turned(reading.rate_radps.unwrap_or_default()));
    let [temperature] = floats([reading.temperature_c.unwrap_or_default()]);
    let imu = HIGHRES_IMU_DATA {
        time_usec: microseconds(time_us),
        xacc,
        yacc,
        zacc,
        xgyro,
        ygyro,
        zgyro,
        temperature,
        fields_updated: flags(reading),
        ..HIGHRES_IMU_DATA::DEFAULT
    };
    frame(reading, &MavMessage::HIGHRES_IMU(imu), out);
}

fn frame(reading: &Reading, message: &MavMessage, out: &mut Vec<u8>) {
    let mut payload = [0; MOST_PAYLOAD_BYTES];
    let len = message.ser(MavlinkVersion::V2, &mut payload);
    let id = message.message_id();
    let [sequence, ..] = reading.sequence.unwrap_or_default().to_le_bytes();
    let [low, middle, high, _] = id.to_le_bytes();
    let length = u8::try_from(len).unwrap_or_default();
    let start = out.len();
    out.extend([
        MAGIC_2, length, 0, 0, sequence, SYSTEM, COMPONENT, low, middle, high,
    ]);
    out.extend(payload.iter().take(len));
    let checked = out.get(start + 1..).unwrap_or_default();
    let check = calculate_crc(checked, MavMessage::extra_crc(id));
    out.extend(check.to_le_bytes());
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the wire has no more digits"
)]
fn floats<const N: usize>(values: [f64; N]) -> [f32; N] {
    values.map(|value| value as f32)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the conversion saturates, and the time is not negative"
)]
fn microseconds(time_us: f64) -> u64 {
    time_us.round() as u64
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "milliseconds since the start wrap at 32 bits"
)]
fn milliseconds(time_us: f64) -> u32 {
    (microseconds(time_us) / 1000) as u32
}
