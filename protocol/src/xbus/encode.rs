//! One message for one reading, numbers as `f32`.

use crate::reading::{Reading, STANDARD_GRAVITY_MPS2};
use crate::unwrap_count::TURN;

use super::US_PER_TICK;
use super::frame::{self, MTDATA2};
use super::items::{
    ACCELERATION, COUNTER, EULER_ANGLES, RATE_OF_TURN, SAMPLE_TIME_FINE, TEMPERATURE,
};

/// Appends a message with an item for each value that the reading holds.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    let mut data = Vec::new();
    let mut item = |kind: u16, value: &[u8]| {
        data.extend(kind.to_be_bytes());
        data.push(u8::try_from(value.len()).unwrap_or_default());
        data.extend(value);
    };
    if let Some(sequence) = reading.sequence {
        let [.., high, low] = sequence.to_be_bytes();
        item(COUNTER, &[high, low]);
    }
    if let Some(time_us) = reading.device_time_us {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "the remainder lies within the word"
        )]
        let ticks = (time_us / US_PER_TICK).round().rem_euclid(TURN) as u32;
        item(SAMPLE_TIME_FINE, &ticks.to_be_bytes());
    }
    let mut numbers = |kind: u16, values: &[f64]| {
        let value: Vec<u8> = values.iter().copied().flat_map(float_bytes).collect();
        item(kind, &value);
    };
    if let Some(temperature_c) = reading.temperature_c {
        numbers(TEMPERATURE, &[temperature_c]);
    }
    if let Some(attitude_rad) = reading.attitude_rad {
        numbers(EULER_ANGLES, &attitude_rad.map(f64::to_degrees));
    }
    if let Some(accel_g) = reading.accel_g {
        numbers(
            ACCELERATION,
            &accel_g.map(|accel_g| accel_g * STANDARD_GRAVITY_MPS2),
        );
    }
    if let Some(rate_radps) = reading.rate_radps {
        numbers(RATE_OF_TURN, &rate_radps);
    }
    frame::encode(MTDATA2, &data, out);
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the wire has no more digits"
)]
fn float_bytes(value: f64) -> [u8; 4] {
    (value as f32).to_be_bytes()
}
