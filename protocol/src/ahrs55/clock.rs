//! The board's calendar clock as microseconds.
//!
//! Word layout: year, month, day, hour, minute, second as bytes, milliseconds
//! as a word (same sources as the frame). Microseconds are counted from the
//! beginning of 2000; a board whose clock was never set counts from a date of
//! its own, and only differences are of use.

const US_PER_MS: i64 = 1000;
const MS_PER_DAY: i64 = 86_400_000;
/// Two digits of the year on the wire.
const YEARS: i64 = 100;

/// Days since 1 January 2000 of a date in 2000–2099, where every fourth year is a leap year.
fn days(year: i64, month: i64, day: i64) -> i64 {
    // Counted in years that begin in March, so that a leap day is the last.
    let (year, month) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    // (153 m + 2) / 5 days lie before month m of such a year (calendar arithmetic, from memory).
    year * 365 + year.div_euclid(4) + (153 * month + 2) / 5 + day - 1 + 60
}

/// Microseconds of a time frame; none where the fields are no time of day.
pub(crate) fn device_time_us(data: [u8; 8]) -> Option<f64> {
    let [year, month, day, hour, minute, second, ms_low, ms_high] = data;
    let ms = i64::from(u16::from_le_bytes([ms_low, ms_high]));
    let is_time = hour < 24 && minute < 60 && second < 60 && ms < 1000;
    let is_date = i64::from(year) < YEARS && month <= 12 && day <= 31;
    if !(is_time && is_date) {
        return None;
    }
    // A clock that was never set may say month 0, day 0; it runs all the same.
    let day = days(
        i64::from(year),
        i64::from(month.max(1)),
        i64::from(day.max(1)),
    );
    let second = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
    let ms = day * MS_PER_DAY + second * 1000 + ms;
    Some((ms * US_PER_MS) as f64)
}

/// Fields of a time frame, to the millisecond; times before 2000 or after 2099 come round.
pub(crate) fn data(device_time_us: f64) -> [u8; 8] {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the conversion saturates, and what comes round is arbitrary anyway"
    )]
    let ms = (device_time_us / US_PER_MS as f64).round() as i64;
    let ms = ms.rem_euclid(days(YEARS, 1, 1) * MS_PER_DAY);
    let (day_number, ms_of_day) = (ms / MS_PER_DAY, ms % MS_PER_DAY);
    let (year, month, day) = date(day_number);
    let byte = |value: i64| u8::try_from(value).unwrap_or_default();
    let [ms_low, ms_high] = u16::try_from(ms_of_day % 1000)
        .unwrap_or_default()
        .to_le_bytes();
    [
        byte(year),
        byte(month),
        byte(day),
        byte(ms_of_day / 3_600_000),
        byte(ms_of_day / 60_000 % 60),
        byte(ms_of_day / 1000 % 60),
        ms_low,
        ms_high,
    ]
}

/// Year, month, day of a day number: the last that does not lie after it.
fn date(day_number: i64) -> (i64, i64, i64) {
    let last = |range: std::ops::Range<i64>, first_day: &dyn Fn(i64) -> i64| {
        range
            .rev()
            .find(|&at| first_day(at) <= day_number)
            .unwrap_or_default()
    };
    let year = last(0..YEARS, &|year| days(year, 1, 1));
    let month = last(1..13, &|month| days(year, month, 1));
    (year, month, day_number - days(year, month, 1) + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    const US_PER_DAY: f64 = 86_400e6;

    #[test]
    fn dates_count_days() {
        let cases = [
            ([0, 1, 1], 0),
            ([0, 2, 29], 59),
            ([0, 3, 1], 60),
            ([0, 12, 31], 365),
            ([1, 1, 1], 366),
            ([24, 2, 29], 8825),
            ([24, 3, 1], 8826),
            ([99, 12, 31], 36524),
            ([0, 0, 0], 0),
        ];
        for ([year, month, day], days) in cases {
            let data = [year, month, day, 0, 0, 0, 0, 0];
            let expected = f64::from(days) * US_PER_DAY;
            assert_eq!(device_time_us(data), Some(expected), "{data:?}");
        }
    }

    #[test]
    fn every_day_goes_to_the_wire_and_back() {
        for day in 0..36_525 {
            let time_us = f64::from(day) * US_PER_DAY + 86_399_999_000.0;
            assert_eq!(device_time_us(data(time_us)), Some(time_us), "day {day}");
        }
    }

    #[test]
    fn what_is_no_time_is_none() {
        for data in [
            [24, 13, 1, 0, 0, 0, 0, 0],
            [24, 1, 32, 0, 0, 0, 0, 0],
            [24, 1, 1, 24, 0, 0, 0, 0],
            [24, 1, 1, 0, 60, 0, 0, 0],
            [24, 1, 1, 0, 0, 60, 0, 0],
            [24, 1, 1, 0, 0, 0, 0xe8, 3],
            [100, 1, 1, 0, 0, 0, 0, 0],
        ] {
            assert_eq!(device_time_us(data), None, "{data:?}");
        }
    }
}
