use super::parse;
use super::tests::check;
use hubplumb_protocol::WireFormat;

const REGISTERS: &str = "[board.registers]\naddress = 1\nfunction = 3\ntype = \"i16\"\nfields = [\n  { quantity = \"roll\", register = 0 },\n  { quantity = \"pitch\", register = 1 },\n]\n";
const VALUES: &str = "[board.values]\ntype = \"f32\"\nfields = [\"ax\", \"ay\", \"az\"]\n";

/// A board at a serial port; what is said of it begins on line 3.
fn board(said: &str) -> String {
    format!("[[board]]\nport = \"/dev/ttyUSB0\"\n{said}")
}

fn format(said: &str) -> WireFormat {
    let config = parse(&board(said), "car.toml".as_ref()).unwrap_or_else(|error| panic!("{error}"));
    config.boards[0].format.clone().unwrap()
}

#[test]
fn told_formats_are_taken() {
    let modbus = format(&format!("baud = 9600\nformat = \"modbus\"\n{REGISTERS}"));
    assert!(modbus.question().is_some());
    assert_eq!(
        format("baud = 115200\nformat = \"bno055\""),
        WireFormat::Bno055
    );
    let nmea = format("format = \"nmea\"\n[board.sentences]\nchecksum = \"optional\"");
    assert_ne!(nmea, format("format = \"nmea\""));
}

#[test]
fn what_a_format_has_not_or_lacks_names_its_key() {
    let check = |said: &str, line, key: &str, what: &str| {
        check(&board(said), line, &format!("board[0].{key}"), what);
    };
    check(
        &format!("format = \"csv\"\n{REGISTERS}"),
        4,
        "registers",
        "`csv` has nothing of the kind",
    );
    check(
        "format = \"ahrs55\"\ncolumns = [\"ax\", \"ay\", \"az\"]",
        4,
        "columns",
        "no columns",
    );
    check(
        "format = \"bno055\"\nbaud = 115200\n[board.sentences]",
        5,
        "sentences",
        "`bno055` has nothing",
    );
    check(
        "format = \"modbus\"\nbaud = 9600",
        3,
        "format",
        "cannot be read without `registers`",
    );
    check(
        "format = \"values\"",
        3,
        "format",
        "cannot be read without `values`",
    );
    check(VALUES, 3, "values", "values are given and no format");
}

#[test]
fn a_format_must_fit_the_way_to_the_board() {
    check(
        &board(&format!("format = \"values\"\n{VALUES}")),
        3,
        "board[0].format",
        "where a frame begins",
    );
    check(
        &board("format = \"bno055\""),
        3,
        "board[0].format",
        "cannot be found by listening",
    );
}

#[test]
fn a_fault_in_a_table_of_a_format_names_its_place() {
    let check = |said: &str, line, key: &str, what: &str| {
        check(&board(said), line, &format!("board[0].{key}"), what);
    };
    let registers = |old: &str, new: &str| {
        format!(
            "format = \"modbus\"\nbaud = 9600\n{}",
            REGISTERS.replace(old, new)
        )
    };
    check(
        &registers("address", "adress"),
        6,
        "registers.adress",
        "unknown field `adress`",
    );
    check(
        &registers("\"i16\"", "\"i17\""),
        8,
        "registers.type",
        "unknown variant `i17`",
    );
    check(
        &registers("address = 1", "address = 300"),
        6,
        "registers.address",
        "invalid value",
    );
    check(
        &registers("function = 3", "function = 6"),
        5,
        "registers",
        "`function` is 6",
    );
    check(
        &registers("\"pitch\"", "\"pich\""),
        5,
        "registers",
        "field 2: `pich` is not understood",
    );
    check(
        "format = \"nmea\"\n[board.sentences]\nchecksum = \"none\"",
        5,
        "sentences.checksum",
        "unknown variant",
    );
    check(
        "format = \"nmea\"\n[board.sentences.ids]\nX = \"ups\"",
        4,
        "sentences",
        "`ups` is not understood",
    );
}
