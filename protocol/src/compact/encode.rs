//! Readings as frames.

use crate::reading::Reading;
use crate::unwrap_count::TURN;

use super::contents::{
    ACCEL, ACCEL_RANGES_G, ATTITUDE, ATTITUDE_RANGE_DEG, COUNTS, RATE, RATE_RANGES_DPS,
    TEMPERATURE, TEMPERATURE_COUNTS_PER_K, VERSION,
};
use super::frame::pack;

/// Appends one frame: 16-bit words throughout, in the smallest range that holds them.
///
/// What is not known of time and running number is sent as zero, for every frame has them.
pub(crate) fn encode(reading: &Reading, out: &mut Vec<u8>) {
    let finite = |triple: Option<[f64; 3]>| {
        triple.filter(|triple| triple.iter().all(|value| value.is_finite()))
    };
    let mut head = VERSION << 4;
    let mut scales = 0;
    let mut fields = Vec::new();
    if let Some(accel_g) = finite(reading.accel_g) {
        let (code, range_g) = smallest_range(accel_g, &ACCEL_RANGES_G);
        head |= ACCEL;
        scales |= code;
        push_words(accel_g, range_g, &mut fields);
    }
    if let Some(rate_radps) = finite(reading.rate_radps) {
        let rate_dps = rate_radps.map(f64::to_degrees);
        let (code, range_dps) = smallest_range(rate_dps, &RATE_RANGES_DPS);
        head |= RATE;
        scales |= code << 4;
        push_words(rate_dps, range_dps, &mut fields);
    }
    if let Some(attitude_rad) = finite(reading.attitude_rad) {
        head |= ATTITUDE;
        let attitude_deg = attitude_rad.map(f64::to_degrees);
        push_words(attitude_deg, ATTITUDE_RANGE_DEG, &mut fields);
    }
    if let Some(temperature_c) = reading.temperature_c.filter(|value| value.is_finite()) {
        head |= TEMPERATURE;
        let counts = word(temperature_c * TEMPERATURE_COUNTS_PER_K);
        fields.extend(counts.to_le_bytes());
    }
    let [seq_low, seq_high, ..] = reading.sequence.unwrap_or_default().to_le_bytes();
    let mut payload = vec![head, scales, seq_low, seq_high];
    payload.extend(counter(reading.device_time_us).to_le_bytes());
    payload.extend(fields);
    pack(&payload, out);
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the remainder lies within the word, and a rounding up to its end saturates"
)]
fn counter(time_us: Option<f64>) -> u32 {
    time_us.map_or(0, |time_us| time_us.round().rem_euclid(TURN) as u32)
}

fn smallest_range(values: [f64; 3], ranges: &[f64]) -> (u8, f64) {
    let largest = values
        .iter()
        .fold(0.0, |largest: f64, value| largest.max(value.abs()));
    let top = (COUNTS - 1.0) / COUNTS;
    let mut found = (0, 0.0);
    for (code, &range) in (0..).zip(ranges) {
        found = (code, range);
        if largest <= range * top {
            break;
        }
    }
    found
}

fn push_words(values: [f64; 3], range: f64, fields: &mut Vec<u8>) {
    for value in values {
        fields.extend(word(value / range * COUNTS).to_le_bytes());
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "the conversion saturates, as a sensor at the end of its range does"
)]
fn word(counts: f64) -> i16 {
    counts.round() as i16
}
