//! What docs/FORMATS.md shows is read as it says.
#![allow(
    clippy::expect_used,
    clippy::panic,
    reason = "a failed expectation is a failed test"
)]

use hubplumb_protocol::{BadReason, ColumnMap, Frame, FrameReader, Reading, WireFormat};
use serde::Deserialize;

const PAGE: &str = include_str!("../../docs/FORMATS.md");
const COMPACT: &str = include_str!("../../docs/formats/compact.md");

/// Pages of the formats that are told or asked.
const TOLD_PAGES: [(&str, &str); 3] = [
    ("nmea", include_str!("../../docs/formats/nmea.md")),
    ("modbus", include_str!("../../docs/formats/modbus.md")),
    ("values", include_str!("../../docs/formats/values.md")),
];

/// Fenced blocks of a language, or of none.
fn blocks(language: &str) -> Vec<&'static str> {
    let fenced = PAGE.split("```").skip(1).step_by(2);
    fenced
        .filter_map(|block| block.strip_prefix(language)?.strip_prefix('\n'))
        .collect()
}

/// Readings of the one block without language that `is_it` finds.
fn readings(format: &str, is_it: fn(&str) -> bool) -> Vec<[f64; 3]> {
    let found: Vec<_> = blocks("")
        .into_iter()
        .filter(|block| is_it(block))
        .collect();
    let [block] = found.as_slice() else {
        panic!("{} blocks found", found.len())
    };
    let format = WireFormat::from_name(format, None).expect("a known name");
    let mut reader = FrameReader::new(&format);
    reader.push(b"\n");
    reader.push(block.as_bytes());
    std::iter::from_fn(|| reader.next())
        .map(|frame| match frame {
            Frame::Reading(reading) => reading.accel_g.expect("every example has it"),
            Frame::Bad(bad) => panic!("{bad:?}"),
        })
        .collect()
}

#[test]
fn the_lines_shown_are_read() {
    let shown = [0.0121, -0.0486, 0.9987];
    assert_eq!(readings("csv", |block| block.starts_with("t_us,")), [shown]);
    assert_eq!(
        readings("labelled", |block| block.starts_with("ax:")),
        [shown; 3]
    );
    assert_eq!(
        readings("json-lines", |block| block.starts_with('{')),
        [shown; 3]
    );
}

#[derive(Deserialize)]
struct Shown {
    columns: ColumnMap,
}

#[test]
fn the_column_maps_shown_are_taken() {
    let lengths = blocks("toml").into_iter().map(|block| {
        let shown: Shown = toml::from_str(block).unwrap_or_else(|error| panic!("{block}\n{error}"));
        shown.columns.len()
    });
    assert_eq!(lengths.collect::<Vec<_>>(), [6, 3, 3]);
}

/// Bytes of the one line of a page that begins with a word.
fn bytes_behind(page: &str, word: &str) -> Vec<u8> {
    let mut lines = page.lines().filter_map(|line| line.strip_prefix(word));
    let (Some(line), None) = (lines.next(), lines.next()) else {
        panic!("not one line of `{word}`")
    };
    let digits = line.split_whitespace();
    digits
        .map(|byte| u8::from_str_radix(byte, 16).expect("a byte"))
        .collect()
}

/// The values beside the frame in the page, worked out from its tables by hand.
#[test]
fn the_compact_frame_shown_is_read() {
    let frame = bytes_behind(COMPACT, "frame  ");
    let mut reader = FrameReader::new(&WireFormat::Compact);
    reader.push(&frame);
    let Some(Frame::Reading(reading)) = reader.next() else {
        panic!("no reading")
    };
    let rate_radps = (250.0 * 16.0 / 32768.0_f64).to_radians();
    let shown = Reading {
        device_time_us: Some(1_250_000.0),
        sequence: Some(257),
        accel_g: Some([0.0, 0.0, 1.0]),
        rate_radps: Some([rate_radps, 0.0, -rate_radps]),
        attitude_rad: None,
        tilt_rad: None,
        temperature_c: Some(24.5),
    };
    assert_eq!(reading, shown);
    let payload = bytes_behind(COMPACT, "payload  ");
    let check = bytes_behind(COMPACT, "check  ");
    let mut stuffed = cobs::encode_vec(&[payload, check].concat());
    stuffed.push(0);
    assert_eq!(stuffed, frame);
}

/// A board as it is shown, with its format and what is told of it.
#[derive(Deserialize)]
struct ShownBoard {
    board: ShownFormat,
}

#[derive(Deserialize)]
struct ShownFormat {
    format: String,
    sentences: Option<hubplumb_protocol::Sentences>,
    registers: Option<hubplumb_protocol::RegisterMap>,
    values: Option<hubplumb_protocol::ValueLayout>,
}

#[test]
fn the_tables_shown_on_the_pages_of_told_formats_are_taken() {
    for (name, page) in TOLD_PAGES {
        let mut shown = 0;
        let fenced = page.split("```").skip(1).step_by(2);
        for block in fenced.filter_map(|block| block.strip_prefix("toml\n")) {
            // A file has a list of boards; one board alone is shown as a table.
            let ShownBoard { board } =
                toml::from_str(block).unwrap_or_else(|error| panic!("{block}\n{error}"));
            assert_eq!(board.format, name);
            let options = hubplumb_protocol::FormatOptions {
                columns: None,
                sentences: board.sentences,
                registers: board.registers,
                values: board.values,
            };
            let format = WireFormat::with_options(name, options);
            assert!(format.is_ok(), "{block}\n{format:?}");
            shown += 1;
        }
        assert!(shown > 0, "{name}");
    }
}

#[test]
fn the_sentences_shown_are_read() {
    let page = TOLD_PAGES[0].1;
    let format = WireFormat::from_name("nmea", None).expect("a known name");
    let mut reader = FrameReader::new(&format);
    let block = page
        .split("```")
        .skip(1)
        .step_by(2)
        .find(|block| block.starts_with("\n$"));
    reader.push(block.expect("sentences are shown").as_bytes());
    let frames: Vec<_> = std::iter::from_fn(|| reader.next()).collect();
    assert_eq!(frames.len(), 2, "{frames:?}");
    assert!(
        frames
            .iter()
            .all(|frame| matches!(frame, Frame::Reading(_))),
        "{frames:?}"
    );
}

#[test]
fn the_names_of_formats_and_reasons_are_all_there() {
    for name in WireFormat::NAMES {
        assert!(PAGE.contains(&format!("`{name}`")), "{name}");
    }
    let text = String::new;
    let reasons = [
        BadReason::Checksum {
            expected: 0,
            found: 1,
        },
        BadReason::UnknownType { kind: 0 },
        BadReason::UnknownVersion { version: 2 },
        BadReason::Unsynchronised { skipped: 1 },
        BadReason::Overrun { dropped: 1 },
        BadReason::LineTooLong { limit: 1 },
        BadReason::NotUtf8 { valid_up_to: 0 },
        BadReason::NotANumber {
            column: text(),
            text: text(),
        },
        BadReason::WrongColumnCount {
            expected: 1,
            found: 2,
        },
        BadReason::NoHeader { columns: 1 },
        BadReason::HeaderDisagrees { header: text() },
        BadReason::BadJson { why: "", column: 0 },
        BadReason::NothingUsable,
        BadReason::NoChecksum,
        BadReason::UntoldSentence { sentence: text() },
        BadReason::MarkedInvalid { quantity: "" },
        BadReason::WrongLength {
            expected: 1,
            found: 2,
        },
        BadReason::Declined { code: 0, why: "" },
        BadReason::NotReady { code: 0 },
        BadReason::InformationalText { text: text() },
    ];
    let count = reasons.len();
    for reason in reasons {
        let code = reason.code();
        assert!(PAGE.contains(&format!("| `{code}` |")), "{code}");
    }
    let (_, table) = PAGE.split_once("## Why a frame was bad").expect("a table");
    let rows = table.lines().filter(|line| line.starts_with("| `")).count();
    assert_eq!(rows, count, "a reason is listed that does not exist");
}
