//! Judging what a configuration says of a board's Bluetooth.

use super::board::At;
use super::judge::Faults;
use super::raw::RawBluetooth;
use crate::link::Target;
use crate::link::ble::{BleAddress, characteristic};

const TABLE: &str = "bluetooth";
const KEY: &str = "characteristic";

/// Puts the characteristic that is told into the way to the board.
pub(super) fn bluetooth(
    at: &At,
    raw: &RawBluetooth,
    target: Target,
    faults: &mut Faults,
) -> Target {
    // What stands for a way that is not told, or not understood; that has been said.
    if target == Target::Identity(String::new()) {
        return target;
    }
    let Target::Bluetooth(address) = target else {
        faults.add(
            &at.key(TABLE),
            "the table is for a board on Bluetooth, and this one is reached otherwise",
            "take it out, or write `port = \"ble:NAME\"` or `port = \"ble:ADDRESS\"`",
        );
        return target;
    };
    let Some(written) = &raw.characteristic else {
        return Target::Bluetooth(address);
    };
    if address.characteristic.is_some() {
        faults.add(
            &at.under(TABLE, KEY),
            "the characteristic is told twice, here and in `port`",
            "keep one of the two",
        );
    }
    let told = characteristic(written);
    if told.is_none() {
        faults.add(
            &at.under(TABLE, KEY),
            format!("`{written}` is no UUID of a characteristic"),
            "write it as in `6e400003-b5a3-f393-e0a9-e50e24dcca9e`, or four digits as in `ffe1` for one of the standard's list; leave it out to have it chosen",
        );
    }
    Target::Bluetooth(BleAddress {
        characteristic: told.or(address.characteristic),
        ..address
    })
}
