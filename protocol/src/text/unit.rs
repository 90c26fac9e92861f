//! Units a column may be in, and the units of a reading.

use crate::reading::STANDARD_GRAVITY_MPS2;

/// What a unit measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Dimension {
    Time,
    SpecificForce,
    Rate,
    Angle,
    Temperature,
    Count,
}

/// A unit on the wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Unit {
    Microsecond,
    Millisecond,
    Second,
    Gravity,
    MilliGravity,
    MetrePerSecond2,
    DegPerSecond,
    MilliDegPerSecond,
    RadPerSecond,
    Degree,
    Radian,
    Celsius,
    One,
}

impl Unit {
    pub(crate) const ALL: [Self; 13] = [
        Self::Microsecond,
        Self::Millisecond,
        Self::Second,
        Self::Gravity,
        Self::MilliGravity,
        Self::MetrePerSecond2,
        Self::DegPerSecond,
        Self::MilliDegPerSecond,
        Self::RadPerSecond,
        Self::Degree,
        Self::Radian,
        Self::Celsius,
        Self::One,
    ];

    /// How the unit may be written in lower case, as a suffix of a name or
    /// alone; the first is the one shown.
    pub(crate) fn spellings(self) -> &'static [&'static str] {
        match self {
            Self::Microsecond => &["us", "µs", "μs", "usec", "micros", "microseconds"],
            Self::Millisecond => &["ms", "msec", "millis", "milliseconds"],
            Self::Second => &["s", "sec", "secs", "seconds"],
            Self::Gravity => &["g", "gs"],
            Self::MilliGravity => &["mg"],
            Self::MetrePerSecond2 => &[
                "m/s2", "mps2", "m/s^2", "m/s²", "ms2", "ms^2", "m_s2", "m_s^2", "m_s_2",
            ],
            Self::DegPerSecond => &["deg/s", "dps", "degps", "deg_s", "degs", "°/s"],
            Self::MilliDegPerSecond => &["mdps", "mdeg/s"],
            Self::RadPerSecond => &["rad/s", "rads", "radps", "rps", "rad_s"],
            Self::Degree => &["deg", "degrees", "°"],
            Self::Radian => &["rad", "radians"],
            Self::Celsius => &["c", "degc", "°c", "celsius"],
            Self::One => &["1"],
        }
    }

    pub(crate) fn spelled(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        Self::ALL
            .into_iter()
            .find(|unit| unit.spellings().contains(&text.as_str()))
    }

    pub(crate) fn shown(self) -> &'static str {
        self.spellings().first().copied().unwrap_or_default()
    }

    /// As a suffix of a name, in letters alone.
    pub(crate) fn suffix(self) -> &'static str {
        match self {
            Self::MetrePerSecond2 => "mps2",
            Self::DegPerSecond => "dps",
            Self::RadPerSecond => "rads",
            _ => self.shown(),
        }
    }

    pub(crate) fn dimension(self) -> Dimension {
        match self {
            Self::Microsecond | Self::Millisecond | Self::Second => Dimension::Time,
            Self::Gravity | Self::MilliGravity | Self::MetrePerSecond2 => Dimension::SpecificForce,
            Self::DegPerSecond | Self::MilliDegPerSecond | Self::RadPerSecond => Dimension::Rate,
            Self::Degree | Self::Radian => Dimension::Angle,
            Self::Celsius => Dimension::Temperature,
            Self::One => Dimension::Count,
        }
    }

    /// What one of this unit is in the unit of a [`Reading`](crate::Reading): µs, g, rad/s, rad, °C.
    pub(crate) fn in_reading_units(self) -> f64 {
        match self {
            Self::Microsecond
            | Self::Gravity
            | Self::RadPerSecond
            | Self::Radian
            | Self::Celsius
            | Self::One => 1.0,
            Self::Millisecond => 1e3,
            Self::Second => 1e6,
            Self::MilliGravity => 1e-3,
            Self::MetrePerSecond2 => 1.0 / STANDARD_GRAVITY_MPS2,
            Self::DegPerSecond | Self::Degree => 1f64.to_radians(),
            Self::MilliDegPerSecond => 1e-3f64.to_radians(),
        }
    }

    /// Decimals that keep the finest step of the chips in common use: 0.06 mg
    /// and 9 mdeg/s (LSM6DS3, datasheet `DocID026899`).
    pub(crate) fn decimals(self) -> usize {
        match self {
            Self::Microsecond | Self::One => 0,
            Self::Celsius => 2,
            Self::Millisecond | Self::MilliDegPerSecond => 3,
            Self::MilliGravity | Self::DegPerSecond | Self::Degree => 4,
            Self::MetrePerSecond2 => 5,
            Self::Second | Self::Gravity | Self::RadPerSecond | Self::Radian => 6,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_spelling_means_two_units() {
        for unit in Unit::ALL {
            for spelling in unit.spellings() {
                assert_eq!(Unit::spelled(spelling), Some(unit), "{spelling}");
            }
        }
    }
}
