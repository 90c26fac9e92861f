//! What is wrong with a Bluetooth board.

use uuid::Uuid;

use super::trouble;
use crate::http::views::TroubleView;
use crate::link::ble::{BleRefusal, RadioTrouble};
use crate::text;
use crate::text::Text;

pub(super) fn ble_refused(refusal: &BleRefusal) -> TroubleView {
    match refusal {
        BleRefusal::Radio(radio) => radio_trouble(radio),
        BleRefusal::NotSeen { wanted } => trouble(
            "bluetooth_not_seen",
            text!("The Bluetooth board {wanted} is not seen.", wanted),
            text!(
                "It is off, asleep, out of reach, or connected to another device, a telephone for instance."
            ),
            text!(
                "Switch it on and bring it near, and disconnect it everywhere else; it is looked for by itself."
            ),
        ),
        BleRefusal::Namesakes { name, addresses } => trouble(
            "bluetooth_namesakes",
            text!(
                "{count} Bluetooth boards are named {name}.",
                count = addresses.len(),
                name
            ),
            text!("The name does not tell which of them is meant."),
            text!(
                "Name the board by its address in the configuration, {addresses}; switch the others off to see whose it is.",
                addresses = addresses
                    .iter()
                    .map(|address| Text::verbatim(format!("`ble:{address}`")))
                    .reduce(|before, address| text!("{before} or {address}", before, address))
                    .unwrap_or_default()
            ),
        ),
        BleRefusal::NoCharacteristic {
            board,
            told,
            notifying,
        } => no_characteristic(board, *told, notifying),
        BleRefusal::Ended { board } => trouble(
            "bluetooth_ended",
            text!("The connection to {board} ended.", board),
            text!("It went out of reach, fell asleep or was switched off."),
            text!("Bring it nearer or switch it on: it is connected again by itself."),
        ),
    }
}

fn no_characteristic(board: &str, told: Option<Uuid>, notifying: &[Uuid]) -> TroubleView {
    let offered = if notifying.is_empty() {
        text!("It has none that notifies.")
    } else {
        let all: Vec<String> = notifying.iter().map(ToString::to_string).collect();
        text!("Those that notify are {join}.", join = all.join(", "))
    };
    let what = if let Some(told) = told {
        text!(
            "The Bluetooth board {board} does not notify by {told}.",
            board,
            told = told.to_string()
        )
    } else {
        text!(
            "Nothing tells which characteristic of {board} its readings come by.",
            board
        )
    };
    let remedy = match notifying {
        [] => {
            text!("Load a program into the board that notifies, e.g. by the Nordic UART service.")
        }
        [example, ..] => text!(
            "Write the UUID of the right one behind the board, e.g. `port = \"ble:{board}/{example}\"`; its program or its maker's description tells which it is.",
            board,
            example = example.to_string()
        ),
    };
    trouble("bluetooth_no_characteristic", what, offered, remedy)
}

/// What is wrong with the machine's Bluetooth.
pub fn radio_trouble(radio: &RadioTrouble) -> TroubleView {
    match radio {
        RadioTrouble::NoService { why } => trouble(
            "bluetooth_no_service",
            text!(
                "There is no Bluetooth service on this machine ({why}).",
                why
            ),
            text!("No Bluetooth board can be reached; boards on cables and on the network go on."),
            text!(
                "Install and start it, on Debian `apt install bluez` and `systemctl start bluetooth`; it is tried again by itself."
            ),
        ),
        RadioTrouble::Denied => trouble(
            "bluetooth_denied",
            text!("The Bluetooth service does not let this user in."),
            text!("No Bluetooth board can be reached; boards on cables and on the network go on."),
            text!(
                "Put the user into the group `bluetooth` (`sudo usermod -aG bluetooth USER`) and log in anew."
            ),
        ),
        RadioTrouble::NoAdapter => trouble(
            "bluetooth_no_adapter",
            text!("There is no Bluetooth adapter."),
            text!("No Bluetooth board can be reached; boards on cables and on the network go on."),
            text!(
                "Plug one in, or free the one that is blocked (`rfkill list`); it is used by itself."
            ),
        ),
        RadioTrouble::Off => trouble(
            "bluetooth_off",
            text!("The Bluetooth adapter is switched off."),
            text!("No Bluetooth board can be reached; boards on cables and on the network go on."),
            text!(
                "Switch it on: `bluetoothctl power on`, or `rfkill unblock bluetooth` before that."
            ),
        ),
        RadioTrouble::TooLong { .. } | RadioTrouble::Failed { .. } => trouble(
            "bluetooth_failed",
            text!(
                "The Bluetooth board does not connect: {radio}.",
                radio = radio.to_string()
            ),
            text!(
                "It may be at the end of its reach, busy with another device, or the adapter may be confused; a Wi-Fi access point on the same chip disturbs it too."
            ),
            text!(
                "Bring it nearer; it is tried again by itself. Where that does not help, switch the adapter off and on."
            ),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(refusal: &BleRefusal, code: &str, parts: &[&str]) {
        let view = ble_refused(refusal);
        assert_eq!(view.code, code);
        let told = format!("{} {} {}", view.what, view.meaning, view.remedy);
        for sentence in [&view.what, &view.meaning, &view.remedy] {
            assert!(sentence.ends_with("."), "a whole sentence: {sentence}");
        }
        for part in parts {
            assert!(told.contains(part), "`{part}` is missing in {told}");
        }
    }

    #[test]
    fn every_refusal_says_what_happened_and_what_to_do() {
        let hub = || "left hub".to_owned();
        let (one, two) = (Uuid::from_u128(1), Uuid::from_u128(2));
        let no_characteristic = |told, notifying| BleRefusal::NoCharacteristic {
            board: hub(),
            told,
            notifying,
        };
        let of_radio = |code, radio, parts: &[&str]| check(&BleRefusal::Radio(radio), code, parts);
        check(
            &BleRefusal::NotSeen { wanted: hub() },
            "bluetooth_not_seen",
            &["left hub", "asleep", "out of reach", "another device"],
        );
        check(
            &BleRefusal::Namesakes {
                name: hub(),
                addresses: vec![
                    "C0:FF:EE:00:00:01".to_owned(),
                    "C0:FF:EE:00:00:02".to_owned(),
                ],
            },
            "bluetooth_namesakes",
            &[
                "2 Bluetooth boards",
                "`ble:C0:FF:EE:00:00:01` or `ble:C0:FF:EE:00:00:02`",
            ],
        );
        check(
            &no_characteristic(None, vec![one, two]),
            "bluetooth_no_characteristic",
            &[
                "Nothing tells",
                &two.to_string(),
                &format!("\"ble:left hub/{one}\""),
            ],
        );
        check(
            &no_characteristic(Some(two), vec![one]),
            "bluetooth_no_characteristic",
            &[
                &format!("does not notify by {two}"),
                &format!("\"ble:left hub/{one}\""),
            ],
        );
        check(
            &no_characteristic(None, Vec::new()),
            "bluetooth_no_characteristic",
            &["none that notifies", "Nordic UART"],
        );
        check(
            &BleRefusal::Ended { board: hub() },
            "bluetooth_ended",
            &["left hub", "connected again by itself"],
        );
        let why = || "no such name".to_owned();
        of_radio(
            "bluetooth_no_service",
            RadioTrouble::NoService { why: why() },
            &["no such name", "systemctl start bluetooth", "go on"],
        );
        of_radio(
            "bluetooth_denied",
            RadioTrouble::Denied,
            &["usermod -aG bluetooth"],
        );
        of_radio(
            "bluetooth_no_adapter",
            RadioTrouble::NoAdapter,
            &["Plug one in", "rfkill"],
        );
        of_radio(
            "bluetooth_off",
            RadioTrouble::Off,
            &["bluetoothctl power on"],
        );
        of_radio(
            "bluetooth_failed",
            RadioTrouble::Failed {
                what: "connecting",
                why: why(),
            },
            &["connecting: no such name", "tried again by itself"],
        );
        of_radio(
            "bluetooth_failed",
            RadioTrouble::TooLong {
                what: "asking the adapter",
                seconds: 5,
            },
            &["longer than 5 s"],
        );
    }
}
