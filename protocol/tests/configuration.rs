//! Formats and column maps as they stand in a configuration.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{
    ColumnMap, Columns, Encoder, FormatOptions, Frame, FrameReader, Reading, UnknownFormat,
    WireFormat,
};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Board {
    format: WireFormat,
}

#[derive(Debug, Deserialize)]
struct Split {
    format: String,
    columns: Option<ColumnMap>,
}

fn wire_format(toml: &str) -> WireFormat {
    let board: Board = toml::from_str(toml).unwrap_or_else(|error| panic!("{toml}\n{error}"));
    board.format
}

#[track_caller]
fn read(toml: &str, lines: &str, accel_g: [f64; 3]) {
    let format = wire_format(toml);
    let mut reader = FrameReader::new(&format);
    reader.push(b"cut\n");
    reader.push(lines.as_bytes());
    let frames: Vec<Frame> = std::iter::from_fn(|| reader.next()).collect();
    let [_, Frame::Reading(reading)] = frames.as_slice() else {
        panic!("{toml}\n{lines} came to {frames:?}")
    };
    let found = reading.accel_g.expect("sent");
    let near = found
        .iter()
        .zip(accel_g)
        .all(|(found, sent)| (found - sent).abs() < 1e-9);
    assert!(near, "{toml}\n{lines} came to {found:?}");
}

#[test]
fn a_format_is_its_name() {
    for name in WireFormat::NAMES {
        match WireFormat::from_name(name, None) {
            Ok(_) => assert_eq!(wire_format(&format!("format = \"{name}\"")).name(), name),
            Err(UnknownFormat::NeedsOption { .. }) => {
                assert!(["modbus", "values"].contains(&name), "{name}");
            }
            Err(error) => panic!("{error}"),
        }
    }
    assert_eq!(
        wire_format("format = \"csv\""),
        WireFormat::Csv(Columns::default())
    );
    assert_eq!(
        WireFormat::from_name("morse", None),
        Err(UnknownFormat::Name {
            name: "morse".to_owned()
        })
    );
    assert_eq!(
        WireFormat::from_name("ahrs55", Some(ColumnMap::canonical())),
        Err(UnknownFormat::NoColumns { name: "ahrs55" })
    );
}

#[test]
fn columns_may_be_given() {
    read(
        r#"format = { format = "csv", columns = ["t_us", "-", "ax_mg", "ay_mg", "az_mg"] }"#,
        "17,junk,20,-50,990\n",
        [0.02, -0.05, 0.99],
    );
    read(
        r#"format = { format = "csv", columns = [
            { quantity = "ax", unit = "g", scale = 0.00006103515625 },
            { quantity = "ay", unit = "g", scale = 0.00006103515625 },
            { quantity = "az", unit = "g", scale = 0.00006103515625 }] }"#,
        "0,-8192,16384\n",
        [0.0, -0.5, 1.0],
    );
    let labels = r#"columns = [
        { label = "X", quantity = "ax", unit = "mg" },
        { label = "Y", quantity = "ay", unit = "mg" },
        { label = "Z", quantity = "az", unit = "mg" }]"#;
    read(
        &format!("format = {{ format = \"labelled\", {labels} }}"),
        "X:20,Y:-50,Z:990,ax:7\n",
        [0.02, -0.05, 0.99],
    );
    read(
        &format!("format = {{ format = \"json-lines\", {labels} }}"),
        "{\"X\":20,\"Y\":-50,\"Z\":990,\"ax\":7}\n",
        [0.02, -0.05, 0.99],
    );
    read(
        r#"format = { format = "json-lines", columns = [{ label = "v", quantity = "accel", unit = "mg" }] }"#,
        "{\"v\":[20,-50,990]}\n",
        [0.02, -0.05, 0.99],
    );
    read(
        r#"format = { format = "labelled", columns = ["ax_mg", "ay_mg", "az_mg"] }"#,
        "ax_mg:20 ay_mg:-50 az_mg:990\n",
        [0.02, -0.05, 0.99],
    );
}

#[test]
fn columns_may_stand_beside_the_name() {
    let board: Split =
        toml::from_str("format = \"csv\"\ncolumns = [\"az\", \"ay\", \"ax\"]").unwrap();
    let format = WireFormat::from_name(&board.format, board.columns).unwrap();
    let columns = format.columns().map(ToString::to_string);
    assert_eq!(columns.as_deref(), Some("az [g],ay [g],ax [g]"));
}

#[test]
fn wrong_columns_are_refused_with_the_reason() {
    let check = |columns: &str, expected: &str| {
        let error = toml::from_str::<Split>(&format!("format = \"csv\"\ncolumns = {columns}"));
        let told = error.expect_err(columns).to_string();
        assert!(told.contains(expected), "{columns}: {told}");
    };
    check(r#"["ax", "ay", "bz"]"#, "column 3: `bz` is not understood");
    check(
        r#"["ax", "ay"]"#,
        "neither acceleration nor rate nor attitude",
    );
    check("[]", "neither acceleration nor rate nor attitude");
    check(r#"["ax", "ay", "az", "ax"]"#, "column 4 holds `ax`");
    check(
        r#"["time", "ax", "ay", "az"]"#,
        "column 1: write the unit of the time",
    );
    check(
        r#"[{ quantity = "ax", unit = "dps" }]"#,
        "`dps` is no unit of `ax`",
    );
    check(
        r#"[{ quantity = "ax_mg", unit = "g" }]"#,
        "`g` is no unit of `ax_mg`",
    );
    check(r#"[{ quantity = "ax", scale = 0.0 }]"#, "a scale of 0");
    check(r#"[{ quantity = "ax", scale = -1.0 }]"#, "a scale of -1");
    check(
        r#"[{ quantity = "ax", units = "g" }]"#,
        "a column is a name",
    );
    check("[17]", "a column is a name");
    let many = vec!["\"-\""; 65].join(",");
    check(&format!("[{many}]"), "65 columns are too many");
    check("\"ax,ay,az\"", "invalid type: string");
}

#[test]
fn what_is_told_must_be_of_the_format() {
    let check = |toml: &str, expected: &str| {
        let told = toml::from_str::<FormatOptions>(toml).expect("each is sound by itself");
        let error = WireFormat::with_options("csv", told).expect_err(toml);
        assert_eq!(
            error.to_string(),
            format!("`{expected}` is told, and `csv` has nothing of the kind")
        );
    };
    check("[sentences]", "sentences");
    check(
        "[values]\ntype = \"f32\"\nfields = [\"ax\", \"ay\", \"az\"]",
        "values",
    );
    check(
        "[registers]\naddress = 1\nfunction = 3\ntype = \"i16\"\nfields = [{ quantity = \"roll\", register = 0 }, { quantity = \"pitch\", register = 1 }]",
        "registers",
    );
    let columns = || FormatOptions {
        columns: Some(ColumnMap::canonical()),
        ..FormatOptions::default()
    };
    assert_eq!(
        WireFormat::with_options("nmea", columns()),
        Err(UnknownFormat::NoOption {
            name: "nmea".to_owned(),
            option: "columns"
        })
    );
    assert!(WireFormat::with_options("csv", columns()).is_ok());
    assert_eq!(
        WireFormat::with_options("modbus", FormatOptions::default()),
        Err(UnknownFormat::NeedsOption {
            name: "modbus".to_owned(),
            option: "registers"
        })
    );
}

#[test]
fn wrong_tables_are_refused_with_the_reason() {
    let check = |toml: &str, expected: &str| {
        let error = toml::from_str::<FormatOptions>(toml)
            .expect_err(toml)
            .to_string();
        assert!(error.contains(expected), "{toml}: {error}");
    };
    let values = |fields: &str, expected: &str| {
        check(
            &format!("[values]\ntype = \"i16\"\nfields = {fields}"),
            expected,
        );
    };
    values(r#"["ax", "ay"]"#, "nor roll and pitch");
    values(r#"["ax", "ay", "bz"]"#, "field 3: `bz` is not understood");
    values(r#"["accel"]"#, "field 1: `accel` is not understood");
    values(r#"["ax", "ay", "az", "ax"]"#, "field 4 holds `ax`");
    values(
        r#"["time", "ax", "ay", "az"]"#,
        "field 1: write the unit of the time",
    );
    values(
        r#"[{ quantity = "ax", unit = "dps" }]"#,
        "`dps` is no unit of `ax`",
    );
    values(r#"[{ quantity = "ax", scale = 0 }]"#, "a scale of 0");
    values("[{ skip = 0 }]", "0 bytes cannot be passed over");
    values(
        r#"[{ quantity = "ax", kind = "i16" }]"#,
        "a field is a name",
    );
    values(
        r#"["roll", "pitch", { skip = 512 }]"#,
        "516 bytes are too long, 512 at most",
    );
    check(
        "[values]\nfields = [\"roll\", \"pitch\"]",
        "nothing says how it is stored",
    );
    check("[values]\nsize = 3", "unknown field `size`");
    check("[registers]\nadress = 3", "unknown field `adress`");
    let registers = |head: &str, fields: &str, expected: &str| {
        check(
            &format!("[registers]\n{head}\nfields = [{fields}]"),
            expected,
        );
    };
    let roll = "{ quantity = \"roll\", register = 4 }, { quantity = \"pitch\", register = 5 }";
    registers(
        "address = 0\nfunction = 3\ntype = \"i16\"",
        roll,
        "`address` is 0, which is not within 1 to 247",
    );
    registers(
        "address = 1\nfunction = 6\ntype = \"i16\"",
        roll,
        "`function` is 6",
    );
    registers(
        "address = 1\nfunction = 3\ntype = \"i16\"\nrate_hz = 0",
        roll,
        "`rate_hz` is 0",
    );
    registers(
        "address = 1\nfunction = 3\ntype = \"i16\"\nfirst = 5",
        roll,
        "`first` is 5, which is not within 0 to 4",
    );
    registers(
        "address = 1\nfunction = 3\ntype = \"u8\"",
        roll,
        "field 1: a register has 16 bits",
    );
    registers(
        "address = 1\nfunction = 3\ntype = \"i16\"\nfirst = 0",
        &roll.replace('5', "60"),
        "122 bytes are too long, 120 at most",
    );
    registers("address = 1\nfunction = 3", "", "nor roll and pitch");
    let sentence = |name: &str, fields: &str, expected: &str| {
        check(
            &format!("[sentences]\nsentence = [{{ name = \"{name}\", fields = {fields} }}]"),
            expected,
        );
    };
    sentence("prdid", r#"["roll"]"#, "no name of a sentence");
    sentence("PRDID", r#"["-", "M/P"]"#, "field 2: a letter");
    sentence("PRDID", r#"["M/P"]"#, "field 1: a letter");
    sentence("PRDID", r#"["roll", "roll"]"#, "field 2 holds `roll`");
    check("[sentences]\nchecksum = \"none\"", "unknown variant `none`");
    check(
        "[sentences.ids]\nX = \"ups\"",
        "field 1: `ups` is not understood",
    );
}

#[test]
fn the_encoder_says_its_columns_first() {
    let check = |format: &WireFormat, expected: &str| {
        let encoder = Encoder::new(format);
        let reading = Reading {
            device_time_us: Some(1_250_000.0),
            accel_g: Some([0.25, f64::NAN, 0.75]),
            temperature_c: Some(21.5),
            ..Reading::default()
        };
        let mut bytes = Vec::new();
        encoder.preamble(&mut bytes);
        encoder.encode(&reading, &mut bytes);
        assert_eq!(String::from_utf8(bytes).unwrap(), expected);
    };
    check(
        &wire_format("format = \"csv\""),
        "t_us,ax,ay,az,gx,gy,gz,temp\r\n1250000,0.250000,,0.750000,,,,21.50\r\n",
    );
    check(
        &wire_format(
            r#"format = { format = "csv", columns = ["-", "az_mg", "ax", { quantity = "ay", unit = "g", scale = 0.5 }] }"#,
        ),
        "-,az_mg,ax,ay\r\n,750.0000,0.250000,\r\n",
    );
    check(
        &wire_format("format = \"labelled\""),
        "t_us:1250000,ax:0.250000,az:0.750000,temp:21.50\r\n",
    );
    check(
        &wire_format("format = \"json-lines\""),
        "{\"t_us\":1250000,\"ax\":0.250000,\"ay\":null,\"az\":0.750000,\"gx\":null,\"gy\":null,\"gz\":null,\"temp\":21.50}\r\n",
    );
}

#[test]
fn the_older_boards_temperature_goes_out_in_its_own_scale() {
    let encoder = Encoder::new(&wire_format("format = \"ahrs55-six-axis\""));
    let reading = Reading {
        accel_g: Some([0.25, 0.0, 0.75]),
        temperature_c: Some(21.5),
        ..Reading::default()
    };
    let mut bytes = Vec::new();
    encoder.preamble(&mut bytes);
    encoder.encode(&reading, &mut bytes);
    // x = 512, y = 0, z = 1536 counts of 16 g / 32768; (21.5 − 36.53) · 340 = −5110.
    let data = [0x55, 0x51, 0x00, 0x02, 0x00, 0x00, 0x00, 0x06, 0x0a, 0xec];
    assert_eq!(bytes, [&data[..], &[0xa4]].concat());
}
