use super::parse;
use super::tests::check;

fn board(port: &str, said: &str) -> String {
    format!("[[board]]\nport = \"{port}\"\n[board.bluetooth]\n{said}\n")
}

#[test]
fn the_characteristic_of_a_bluetooth_board_is_part_of_the_way_to_it() {
    let way = |port, said| {
        let config = parse(&board(port, said), "car.toml".as_ref());
        let config = config.unwrap_or_else(|error| panic!("{error}"));
        config.boards[0].target.to_string()
    };
    let ffe1 = "0000ffe1-0000-1000-8000-00805f9b34fb";
    let told = format!("characteristic = \"{ffe1}\"");
    assert_eq!(way("ble:left hub", &told), format!("ble:left hub/{ffe1}"));
    assert_eq!(
        way("ble:c0:ff:ee:00:12:34", "characteristic = \"FFE1\""),
        format!("ble:C0:FF:EE:00:12:34/{ffe1}")
    );
    assert_eq!(way("ble:left hub", ""), "ble:left hub");
    assert_eq!(way("ble:left hub/FFE1", ""), format!("ble:left hub/{ffe1}"));
}

#[test]
fn what_is_wrong_with_it_names_its_key() {
    let check = |port, said: &str, line, key: &str, what: &str| {
        check(&board(port, said), line, &format!("board[0].{key}"), what);
    };
    let told = "characteristic = \"ffe1\"";
    check(
        "/dev/ttyUSB0",
        told,
        3,
        "bluetooth",
        "is for a board on Bluetooth",
    );
    check(
        "ble:hub/ffe4",
        told,
        4,
        "bluetooth.characteristic",
        "told twice",
    );
    for bad in ["", "ffe", "+fe1", "what is this"] {
        check(
            "ble:hub",
            &format!("characteristic = \"{bad}\""),
            4,
            "bluetooth.characteristic",
            "is no UUID of a characteristic",
        );
    }
    check("ble:", "", 2, "port", "nothing says which Bluetooth board");
}
