//! What the wire looks like where a board tells of itself beside its readings.

use serde::Serialize;
use utoipa::ToSchema;

/// What a board says of itself. What it does not say is absent, never filled in.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, ToSchema)]
pub struct AboutView {
    /// Charge of its battery, percent; only while its line is open.
    pub battery_percent: Option<u8>,
    /// Strength of its radio as received here, dBm; only while its line is open.
    pub signal_dbm: Option<i16>,
    /// Who made it.
    pub maker: Option<String>,
    /// Its model.
    pub model: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// Version of its firmware.
    pub firmware: Option<String>,
}

/// What the times of a board's readings go by, the surest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum TimeBy {
    /// The board's own clock.
    Device,
    /// The numbers of its readings, at their steady rate.
    Numbers,
    /// Its steady rate.
    Rate,
    /// When they arrived, with every delay of the line in it.
    Arrival,
}
