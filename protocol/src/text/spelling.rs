//! What a maker means by a name.
//!
//! Names are taken apart at brackets, underscores, spaces and the like: a unit
//! is set aside, an axis is found at either end, and what is left is looked up.
//! The spellings are those seen in hobby sketches (common practice, no source).

use super::quantity::{Axis, Quantity, Subject, Triple};
use super::unit::Unit;

/// A name that was understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Spelled {
    pub(crate) subject: Subject,
    /// The unit the name tells, where it tells one.
    pub(crate) unit: Option<Unit>,
}

const ACCEL: &[&str] = &[
    "a",
    "acc",
    "accel",
    "acceleration",
    "accelerometer",
    "accelero",
];
const RATE: &[&str] = &[
    "g",
    "gyr",
    "gyro",
    "gyroscope",
    "w",
    "omega",
    "rate",
    "angvel",
    "angularvelocity",
    "angularrate",
];
const TIME: &[&str] = &["t", "ts", "time", "timestamp", "uptime"];
const SEQUENCE: &[&str] = &["seq", "sequence", "counter", "sample", "frame", "index"];
const TEMPERATURE: &[&str] = &["temp", "temperature"];
const ATTITUDE: &[&str] = &["attitude", "euler", "rpy", "angle", "angles"];

/// Understands a header name, label or key.
pub(crate) fn spelled(name: &str) -> Option<Spelled> {
    let name = name
        .trim()
        .trim_matches(['"', '\'', '#'])
        .trim()
        .to_lowercase();
    if let Some((rest, unit)) = bracketed_unit(&name) {
        let subject = subject(&words(rest))?;
        return fitting(subject, Some(Unit::spelled(unit)?));
    }
    // The whole name first: the `g` of `g_x` is no unit, that of `ax_g` is.
    let words = words(&name);
    if let Some(subject) = subject(&words) {
        return fitting(subject, None);
    }
    if let [only] = words.as_slice() {
        return clock_word(only);
    }
    // Units of two words first, or `m_s2` would end in a unit `s2`.
    (1..=3)
        .rev()
        .find_map(|count| {
            let split = words.len().checked_sub(count).filter(|&at| at > 0)?;
            let (before, unit) = words.split_at_checked(split)?;
            let unit = Unit::spelled(&unit.join("_"))?;
            fitting(subject(before)?, Some(unit))
        })
        .or_else(|| unit_inside(&words))
}

/// `accel_mps2_x`: the unit before the axis.
fn unit_inside(words: &[&str]) -> Option<Spelled> {
    let (axis, before) = words.split_last()?;
    let (unit, first) = before.split_last()?;
    let unit = Unit::spelled(unit)?;
    let words: Vec<&str> = first.iter().copied().chain([*axis]).collect();
    fitting(subject(&words)?, Some(unit))
}

fn fitting(subject: Subject, unit: Option<Unit>) -> Option<Spelled> {
    unit.is_none_or(|unit| unit.dimension() == subject.dimension())
        .then_some(Spelled { subject, unit })
}

/// `millis` and `micros` are names of clocks and of units at once.
fn clock_word(word: &str) -> Option<Spelled> {
    let unit = match word {
        "millis" | "ms" | "milliseconds" | "tms" | "timems" => Unit::Millisecond,
        "micros" | "us" | "microseconds" | "tus" | "timeus" => Unit::Microsecond,
        "seconds" | "secs" => Unit::Second,
        _ => return None,
    };
    Some(Spelled {
        subject: Subject::One(Quantity::Time),
        unit: Some(unit),
    })
}

/// `Acc X [m/s^2]` and `gx(deg/s)`.
fn bracketed_unit(name: &str) -> Option<(&str, &str)> {
    let inner = name
        .strip_suffix(')')
        .map(|inner| (inner, '('))
        .or_else(|| name.strip_suffix(']').map(|inner| (inner, '[')))?;
    inner.0.rsplit_once(inner.1)
}

fn words(name: &str) -> Vec<&str> {
    name.split([' ', '_', '-', '.', '\t'])
        .filter(|word| !word.is_empty())
        .collect()
}

fn subject(words: &[&str]) -> Option<Subject> {
    let joined = words.concat();
    let joined = joined.as_str();
    let one = |quantity| Some(Subject::One(quantity));
    match joined {
        "x" => return one(Quantity::Axis(Triple::Accel, Axis::X)),
        "y" => return one(Quantity::Axis(Triple::Accel, Axis::Y)),
        "z" => return one(Quantity::Axis(Triple::Accel, Axis::Z)),
        "roll" => return one(Quantity::Axis(Triple::Attitude, Axis::X)),
        "pitch" => return one(Quantity::Axis(Triple::Attitude, Axis::Y)),
        "yaw" => return one(Quantity::Axis(Triple::Attitude, Axis::Z)),
        "inclinex" => return one(Quantity::InclineX),
        "incliney" => return one(Quantity::InclineY),
        _ => {}
    }
    // `t_s` is a time in seconds, and `ts` short for a time stamp.
    if TIME.contains(&joined) && words.len() == 1 {
        return one(Quantity::Time);
    }
    if SEQUENCE.contains(&joined) {
        return one(Quantity::Sequence);
    }
    if TEMPERATURE.contains(&joined) {
        return one(Quantity::Temperature);
    }
    if let Some(triple) = triple(joined) {
        return Some(Subject::Three(triple));
    }
    let (axis, rest) = with_axis(joined)?;
    match triple(rest)? {
        // An angle about an axis is no Euler angle.
        Triple::Attitude => None,
        triple => one(Quantity::Axis(triple, axis)),
    }
}

fn triple(word: &str) -> Option<Triple> {
    if ACCEL.contains(&word) {
        Some(Triple::Accel)
    } else if RATE.contains(&word) {
        Some(Triple::Rate)
    } else if ATTITUDE.contains(&word) {
        Some(Triple::Attitude)
    } else {
        None
    }
}

/// An axis at the end (`accx`) or the beginning (`xacc`).
fn with_axis(word: &str) -> Option<(Axis, &str)> {
    let axes = [(Axis::X, 'x'), (Axis::Y, 'y'), (Axis::Z, 'z')];
    axes.into_iter().find_map(|(axis, letter)| {
        // A single letter comes first only: `x_g` is an acceleration in g, not a rate.
        let rest = word
            .strip_suffix(letter)
            .or_else(|| word.strip_prefix(letter).filter(|rest| rest.len() > 1))?;
        Some((axis, rest))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(names: &[&str], expected: Option<(&str, Option<Unit>)>) {
        for name in names {
            let found = spelled(name).map(|spelled| (spelled.subject.name(), spelled.unit));
            assert_eq!(found, expected, "`{name}`");
        }
    }

    #[test]
    fn usual_spellings_are_understood() {
        check(
            &[
                "ax",
                "AX",
                "aX",
                "acc_x",
                "accX",
                "accel_x",
                "Accel X",
                "x",
                "xAcc",
                "x_accel",
                "acceleration.x",
                "\"ax\"",
            ],
            Some(("ax", None)),
        );
        check(
            &["gy", "gyro_y", "gyrY", "g_y", "wy", "GyroY", "Rate Y"],
            Some(("gy", None)),
        );
        check(
            &["ax_g", "ax (g)", "accX[g]", "accel_x_g", "accel_g_x"],
            Some(("ax", Some(Unit::Gravity))),
        );
        check(
            &["az_mg", "acc_z_mg", "Acc Z [mg]"],
            Some(("az", Some(Unit::MilliGravity))),
        );
        check(
            &[
                "ay_mps2",
                "ay_m_s2",
                "accel_y_ms2",
                "Accel Y (m/s^2)",
                "ay [m/s²]",
                "accel_mps2_y",
            ],
            Some(("ay", Some(Unit::MetrePerSecond2))),
        );
        check(
            &["gz_dps", "gz_deg_s", "gyro_z [deg/s]"],
            Some(("gz", Some(Unit::DegPerSecond))),
        );
        check(
            &["gx_rads", "gx_rad_s", "gx (rad/s)", "gx_radps"],
            Some(("gx", Some(Unit::RadPerSecond))),
        );
        check(&["gx_mdps"], Some(("gx", Some(Unit::MilliDegPerSecond))));
        check(&["t", "time", "Timestamp"], Some(("t", None)));
        check(
            &["t_us", "time_us", "micros", "us", "timestamp (us)"],
            Some(("t", Some(Unit::Microsecond))),
        );
        check(
            &["t_ms", "time_ms", "millis", "ms"],
            Some(("t", Some(Unit::Millisecond))),
        );
        check(&["t_s", "time [s]"], Some(("t", Some(Unit::Second))));
        check(&["temp", "Temperature"], Some(("temp", None)));
        check(
            &["temp_c", "temperature (°C)"],
            Some(("temp", Some(Unit::Celsius))),
        );
        check(&["x_g"], Some(("ax", Some(Unit::Gravity))));
        check(&["roll"], Some(("roll", None)));
        check(&["incline_x", "Incline X"], Some(("incline_x", None)));
        check(&["pitch_deg"], Some(("pitch", Some(Unit::Degree))));
        check(&["yaw_rad"], Some(("yaw", Some(Unit::Radian))));
        check(&["accel", "acc", "a"], Some(("accel", None)));
        check(&["gyro_dps"], Some(("gyro", Some(Unit::DegPerSecond))));
        check(&["seq", "sample"], Some(("seq", None)));
    }

    #[test]
    fn what_is_not_understood_is_left_alone() {
        check(
            &[
                "",
                "mx",
                "mag_x",
                "humidity",
                "ax_raw",
                "ax_lsb",
                "ax_dps",
                "gx_g",
                "temp_f",
                "time_h",
                "angle_x",
                "ax (furlong)",
                "s",
                "c",
                "x_x",
                "axx",
                "qw",
            ],
            None,
        );
    }
}
