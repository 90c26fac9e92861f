//! What the wire looks like where devices are paired.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// Who may command, and who asks.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PairingView {
    /// Who may command.
    pub commands: CommandsView,
    /// The paired device that asks; none where it is not paired.
    pub device: Option<PairedDeviceView>,
}

/// Who may command.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum CommandsView {
    /// Devices that were paired.
    Paired,
    /// Whoever gets to the page.
    Open,
}

/// A paired device.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PairedDeviceView {
    /// Its number.
    pub id: u32,
    /// What it is called.
    pub name: String,
}

/// A paired device among all.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct KnownDeviceView {
    /// Its number.
    pub id: u32,
    /// What it is called.
    pub name: String,
    /// The day it was paired, UTC.
    pub paired_on: String,
    /// Is it the one that asks?
    pub own: bool,
}

/// A code from the terminal, to be exchanged.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct PairingWish {
    /// Eight digits; spaces and dashes between them do not count.
    #[schema(max_length = 32)]
    pub code: String,
    /// What the device is called in the list of `hubplumb pairing list`; named by the daemon without.
    #[serde(default)]
    #[schema(max_length = 200)]
    pub name: String,
    /// A program wants the token itself, to be sent as `Authorization: Bearer …`. Without it the
    /// token comes as a cookie that scripts cannot read.
    #[serde(default)]
    pub bearer: bool,
}

/// A device that was just paired.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct PairedView {
    /// Which.
    pub device: PairedDeviceView,
    /// Its token, where it was asked for; it is not told again.
    pub token: Option<String>,
}
