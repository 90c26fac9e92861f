//! The frames of one cycle for one reading.

use crate::reading::Reading;

use super::clock;
use super::frame::{
    Kind, TemperatureScale, accel_word, angle_word, bytes_of, encode as encode_frame, rate_word,
};

/// Version in the angle frame, as some board sends it.
const VERSION: i16 = 0;

/// Appends the frames that `reading` has something for, in the order the boards send them.
///
/// The temperature travels with the acceleration. The wire has no word for a
/// temperature that is not known: the count is 0 then.
pub(crate) fn encode(reading: &Reading, scale: TemperatureScale, out: &mut Vec<u8>) {
    if let Some(time_us) = reading.device_time_us {
        encode_frame(Kind::Time, clock::data(time_us), out);
    }
    let temperature = reading.temperature_c.map_or(0, |value| scale.word(value));
    let mut words = |kind, triple: Option<[i16; 3]>, fourth| {
        if let Some([a, b, c]) = triple {
            encode_frame(kind, bytes_of([a, b, c, fourth]), out);
        }
    };
    let accel = reading.accel_g.map(|accel| accel.map(accel_word));
    words(Kind::Accel, accel, temperature);
    let rate = reading.rate_radps.map(|rate| rate.map(rate_word));
    words(Kind::Rate, rate, temperature);
    let angle = reading.attitude_rad.map(|angle| angle.map(angle_word));
    words(Kind::Angle, angle, VERSION);
}
