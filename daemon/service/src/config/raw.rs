//! The configuration file as it is written, before its numbers are judged.

use hubplumb_protocol::{ColumnMap, RegisterMap, Sentences, ValueLayout};
use serde::Deserialize;

use crate::figures::Figures;
use crate::pairing::Commands;

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawConfig {
    pub(super) http: RawHttp,
    pub(super) log: RawLog,
    pub(super) floor: RawFloor,
    pub(super) swing: RawSwing,
    pub(super) publish: RawPublish,
    pub(super) board: Vec<RawBoard>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawHttp {
    pub(super) listen: Option<String>,
    pub(super) https: Option<bool>,
    pub(super) announce: Option<bool>,
    pub(super) commands: Option<Commands>,
    pub(super) names: Vec<String>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawLog {
    pub(super) filter: Option<String>,
    pub(super) format: Option<String>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
#[expect(
    clippy::struct_field_names,
    reason = "the names are the keys of the file"
)]
pub(super) struct RawFloor {
    pub(super) roll_deg: f64,
    pub(super) pitch_deg: f64,
    pub(super) standard_deg: Option<f64>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawSwing {
    pub(super) hold_s: Option<f64>,
    pub(super) plate_standard_deg: Option<f64>,
    pub(super) body_roll_standard_deg: Option<f64>,
    pub(super) body_pitch_standard_deg: Option<f64>,
    pub(super) toe: RawToe,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
#[expect(
    clippy::struct_field_names,
    reason = "the names are the keys of the file"
)]
pub(super) struct RawToe {
    pub(super) front_left_deg: f64,
    pub(super) front_right_deg: f64,
    pub(super) standard_deg: Option<f64>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawBoard {
    pub(super) name: Option<String>,
    pub(super) id: Option<String>,
    pub(super) port: Option<String>,
    pub(super) mount: Option<String>,
    pub(super) baud: Option<u32>,
    pub(super) format: Option<String>,
    pub(super) columns: Option<ColumnMap>,
    pub(super) sentences: Option<Sentences>,
    pub(super) registers: Option<RegisterMap>,
    pub(super) values: Option<ValueLayout>,
    pub(super) bluetooth: Option<RawBluetooth>,
    pub(super) chip: Option<String>,
    pub(super) figures: Option<Figures>,
    pub(super) mounting: Option<RawMounting>,
    pub(super) calibration: Option<RawCalibration>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawPublish {
    pub(super) mqtt: Option<RawMqtt>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawMqtt {
    pub(super) address: Option<String>,
    pub(super) tls: Option<bool>,
    pub(super) ca_file: Option<String>,
    pub(super) user: Option<String>,
    pub(super) password_file: Option<String>,
    pub(super) prefix: Option<String>,
    pub(super) client_id: Option<String>,
    pub(super) findings: Option<bool>,
    pub(super) live: Option<bool>,
    pub(super) live_hz: Option<f64>,
    pub(super) deadband_deg: Option<f64>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawBluetooth {
    pub(super) characteristic: Option<String>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawMounting {
    pub(super) up: Option<String>,
    pub(super) away: Option<String>,
    pub(super) outboard: Option<String>,
    pub(super) spin_axis: Option<[f64; 3]>,
    pub(super) camber_standard_deg: Option<f64>,
    pub(super) pitch_standard_deg: Option<f64>,
    pub(super) heading_standard_deg: Option<f64>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub(super) struct RawCalibration {
    pub(super) file: Option<String>,
    pub(super) accel_offset_g: Option<[f64; 3]>,
    pub(super) accel_matrix: Option<[[f64; 3]; 3]>,
    pub(super) gyro_offset_dps: Option<[f64; 3]>,
    pub(super) gyro_matrix: Option<[[f64; 3]; 3]>,
}

impl RawCalibration {
    pub(super) fn has_numbers(&self) -> bool {
        self.accel_offset_g.is_some()
            || self.accel_matrix.is_some()
            || self.gyro_offset_dps.is_some()
            || self.gyro_matrix.is_some()
    }
}
