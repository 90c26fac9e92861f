//! What is wrong with a Bluetooth board.

use super::trouble;
use crate::http::views::TroubleView;
use crate::link::ble::{BleRefusal, RadioTrouble};

pub(super) fn ble_refused(refusal: &BleRefusal) -> TroubleView {
    match refusal {
        BleRefusal::Radio(radio) => radio_trouble(radio),
        BleRefusal::NotSeen { wanted } => trouble(
            "bluetooth_not_seen",
            format!("The Bluetooth board {wanted} is not seen."),
            "It is off, asleep, out of reach, or connected to another device, a telephone for instance.",
            "Switch it on and bring it near, and disconnect it everywhere else; it is looked for by itself.",
        ),
        BleRefusal::NoCharacteristic { board, notifying } => {
            let offered = if notifying.is_empty() {
                "It has none that notifies.".to_owned()
            } else {
                let all: Vec<String> = notifying.iter().map(ToString::to_string).collect();
                format!("Those that notify are {}.", all.join(", "))
            };
            trouble(
                "bluetooth_no_characteristic",
                format!("Nothing tells which characteristic of {board} its readings come by."),
                offered,
                format!(
                    "Write the UUID of the right one behind the board: `port = \"ble:{board}/UUID\"`."
                ),
            )
        }
        BleRefusal::Ended { board } => trouble(
            "bluetooth_ended",
            format!("The connection to {board} ended."),
            "It went out of reach, fell asleep or was switched off.",
            "Bring it nearer or switch it on: it is connected again by itself.",
        ),
    }
}

/// What is wrong with the machine's Bluetooth.
pub fn radio_trouble(radio: &RadioTrouble) -> TroubleView {
    match radio {
        RadioTrouble::NoService { why } => trouble(
            "bluetooth_no_service",
            format!("There is no Bluetooth service on this machine ({why})."),
            "No Bluetooth board can be reached; boards on cables and on the network go on.",
            "Install and start it, on Debian `apt install bluez` and `systemctl start bluetooth`; it is tried again by itself.",
        ),
        RadioTrouble::Denied => trouble(
            "bluetooth_denied",
            "The Bluetooth service does not let this user in.".to_owned(),
            "No Bluetooth board can be reached; boards on cables and on the network go on.",
            "Put the user into the group `bluetooth` (`sudo usermod -aG bluetooth USER`) and log in anew.",
        ),
        RadioTrouble::NoAdapter => trouble(
            "bluetooth_no_adapter",
            "There is no Bluetooth adapter.".to_owned(),
            "No Bluetooth board can be reached; boards on cables and on the network go on.",
            "Plug one in, or free the one that is blocked (`rfkill list`); it is used by itself.",
        ),
        RadioTrouble::Off => trouble(
            "bluetooth_off",
            "The Bluetooth adapter is switched off.".to_owned(),
            "No Bluetooth board can be reached; boards on cables and on the network go on.",
            "Switch it on: `bluetoothctl power on`, or `rfkill unblock bluetooth` before that.",
        ),
        RadioTrouble::TooLong { .. } | RadioTrouble::Failed { .. } => trouble(
            "bluetooth_failed",
            format!("The Bluetooth board does not connect: {radio}."),
            "It may be at the end of its reach, busy with another device, or the adapter may be confused; a Wi-Fi access point on the same chip disturbs it too.",
            "Bring it nearer; it is tried again by itself. Where that does not help, switch the adapter off and on.",
        ),
    }
}
