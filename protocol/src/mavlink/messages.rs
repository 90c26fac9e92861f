//! The messages that are of use, in the axes of this crate.
//!
//! The body of `MAVLink` has x forward, y right, z down, and its world points
//! north, east, down. Both are turned by 180° about their x: y and z of
//! acceleration and rate change sign, and so do pitch and yaw. A board lying
//! level then reads +1 g in z, and its roll is the same.

use mavlink::MavlinkVersion;
use mavlink::dialects::common::{HighresImuUpdatedFlags as Updated, MavMessage};

use crate::quaternion;
use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};

const SCALED_IMU: u32 = 26;
const ATTITUDE: u32 = 30;
const ATTITUDE_QUATERNION: u32 = 31;
const HIGHRES_IMU: u32 = 105;
const OF_USE: [u32; 4] = [SCALED_IMU, ATTITUDE, ATTITUDE_QUATERNION, HIGHRES_IMU];
/// The length of a payload is one byte.
const MOST_PAYLOAD_BYTES: usize = 255;
/// Where the flags of `HIGHRES_IMU` end, and the bits of the last byte that have
/// a meaning. Some boards set all of them.
const FLAGS_END: usize = 61;
const KNOWN_HIGH_FLAGS: u8 = 0x1f;

const MILLI: f64 = 1e-3;

/// What a message says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Measured {
    HighResolution(Reading),
    Scaled { ms: u32, reading: Reading },
    Attitude { ms: u32, reading: Reading },
}

/// The other way about it is the same.
pub(super) fn turned([x, y, z]: [f64; 3]) -> [f64; 3] {
    [x, -y, -z]
}

fn triple(values: [f32; 3]) -> Option<[f64; 3]> {
    values
        .iter()
        .all(|value| value.is_finite())
        .then(|| turned(values.map(f64::from)))
}

/// What a payload says, when its message is of use. `RAW_IMU` is not: it has no unit.
pub(super) fn measured(version: MavlinkVersion, message: u32, payload: &[u8]) -> Option<Measured> {
    if !OF_USE.contains(&message) {
        return None;
    }
    let mut copy = [0; MOST_PAYLOAD_BYTES];
    let copy = copy.get_mut(..payload.len())?;
    copy.copy_from_slice(payload);
    if let Some(flags) = copy.get_mut(FLAGS_END).filter(|_| message == HIGHRES_IMU) {
        *flags &= KNOWN_HIGH_FLAGS;
    }
    let measured = match super::parse(version, message, copy)? {
        MavMessage::HIGHRES_IMU(imu) => {
            let holds =
                |wanted| imu.fields_updated.is_empty() || imu.fields_updated.contains(wanted);
            let accel_mps2 = triple([imu.xacc, imu.yacc, imu.zacc]).filter(|_| holds(ACCEL));
            let rate_radps = triple([imu.xgyro, imu.ygyro, imu.zgyro]).filter(|_| holds(RATE));
            let temperature_c = f64::from(imu.temperature);
            Measured::HighResolution(Reading {
                device_time_us: Some(imu.time_usec as f64),
                accel_g: accel_mps2.map(|accel| accel.map(|value| value / STANDARD_GRAVITY_MPS2)),
                rate_radps,
                temperature_c: Some(temperature_c)
                    .filter(|value| value.is_finite() && says_temperature(imu.fields_updated)),
                ..Reading::default()
            })
        }
        MavMessage::SCALED_IMU(imu) => Measured::Scaled {
            ms: imu.time_boot_ms,
            reading: Reading {
                accel_g: Some(milli([imu.xacc, imu.yacc, imu.zacc])),
                rate_radps: Some(milli([imu.xgyro, imu.ygyro, imu.zgyro])),
                ..Reading::default()
            },
        },
        MavMessage::ATTITUDE(attitude) => Measured::Attitude {
            ms: attitude.time_boot_ms,
            reading: Reading {
                attitude_rad: triple([attitude.roll, attitude.pitch, attitude.yaw]),
                rate_radps: triple([attitude.rollspeed, attitude.pitchspeed, attitude.yawspeed]),
                ..Reading::default()
            },
        },
        MavMessage::ATTITUDE_QUATERNION(attitude) => {
            let parts = [attitude.q1, attitude.q2, attitude.q3, attitude.q4].map(f64::from);
            Measured::Attitude {
                ms: attitude.time_boot_ms,
                reading: Reading {
                    attitude_rad: quaternion::attitude_rad(parts).map(turned),
                    rate_radps: triple([
                        attitude.rollspeed,
                        attitude.pitchspeed,
                        attitude.yawspeed,
                    ]),
                    ..Reading::default()
                },
            }
        }
        _ => return None,
    };
    let (Measured::HighResolution(reading)
    | Measured::Scaled { reading, .. }
    | Measured::Attitude { reading, .. }) = measured;
    let triples = [reading.accel_g, reading.rate_radps, reading.attitude_rad];
    triples.iter().any(Option::is_some).then_some(measured)
}

const ACCEL: Updated = Updated::HIGHRES_IMU_UPDATED_XACC
    .union(Updated::HIGHRES_IMU_UPDATED_YACC)
    .union(Updated::HIGHRES_IMU_UPDATED_ZACC);
const RATE: Updated = Updated::HIGHRES_IMU_UPDATED_XGYRO
    .union(Updated::HIGHRES_IMU_UPDATED_YGYRO)
    .union(Updated::HIGHRES_IMU_UPDATED_ZGYRO);

/// A temperature is believed only when it is said to be there: zero is one, too.
fn says_temperature(updated: Updated) -> bool {
    updated.contains(Updated::HIGHRES_IMU_UPDATED_TEMPERATURE)
}

/// Which fields of `HIGHRES_IMU` are filled for a reading.
pub(super) fn flags(reading: &Reading) -> Updated {
    let mut updated = Updated::empty();
    updated.set(ACCEL, reading.accel_g.is_some());
    updated.set(RATE, reading.rate_radps.is_some());
    let has_temperature = reading.temperature_c.is_some();
    updated.set(Updated::HIGHRES_IMU_UPDATED_TEMPERATURE, has_temperature);
    updated
}

fn milli(values: [i16; 3]) -> [f64; 3] {
    turned(values.map(|value| f64::from(value) * MILLI))
}
