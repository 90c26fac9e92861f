//! Judging what a configuration says of the wire of one board.

use hubplumb_protocol::{FormatOptions, Packing, UnknownFormat, WireFormat};

use super::board::At;
use super::judge::Faults;
use super::raw::RawBoard;
use crate::link::Target;

/// The format, if it is said; its options must be its own, and the way to the
/// board must be one that it can be read by.
pub(super) fn format(
    at: &At,
    raw: &RawBoard,
    target: &Target,
    faults: &mut Faults,
) -> Option<WireFormat> {
    let options = FormatOptions {
        columns: raw.columns.clone(),
        sentences: raw.sentences.clone(),
        registers: raw.registers.clone(),
        values: raw.values.clone(),
    };
    let Some(name) = &raw.format else {
        for option in options.given() {
            faults.add(
                &at.key(option),
                format!("{option} are given and no format"),
                format!("add `format = \"{}\"`", format_of(option)),
            );
        }
        return None;
    };
    match WireFormat::with_options(name, options) {
        Ok(format) => {
            let fits = fits_the_way(at, raw, &format, target, faults);
            fits.then_some(format)
        }
        Err(error) => {
            let what = error.to_string();
            match error {
                UnknownFormat::Name { .. } => faults.add(
                    &at.key("format"),
                    what,
                    format!("write one of {}", WireFormat::NAMES.join(", ")),
                ),
                UnknownFormat::NoColumns { .. }
                | UnknownFormat::Columns(_)
                | UnknownFormat::Units { .. } => {
                    faults.add(&at.key("columns"), what, "take the columns out");
                }
                UnknownFormat::NoOption { option, .. } => faults.add(
                    &at.key(option),
                    what,
                    format!("take it out, or write `format = \"{}\"`", format_of(option)),
                ),
                UnknownFormat::NeedsOption { option, .. } => faults.add(
                    &at.key("format"),
                    what,
                    format!("add a table [board.{option}]; docs/formats/{name}.md shows one"),
                ),
            }
            None
        }
    }
}

/// A format an option belongs to.
fn format_of(option: &str) -> &'static str {
    match option {
        "sentences" => "nmea",
        "registers" => "modbus",
        "values" => "values",
        _ => "csv",
    }
}

fn fits_the_way(
    at: &At,
    raw: &RawBoard,
    format: &WireFormat,
    target: &Target,
    faults: &mut Faults,
) -> bool {
    let is_stream = target.packing() == Packing::Stream;
    let must_be_asked = format.question().is_some();
    let name = format.name();
    if format.needs_cuts() && is_stream {
        faults.add(
            &at.key("format"),
            format!("nothing in `{name}` says where a frame begins, and on a serial line or a TCP connection nothing else does"),
            "let the board print lines (`csv`), or reach it by Bluetooth or UDP",
        );
    } else if must_be_asked && !is_stream {
        faults.add(
            &at.key("format"),
            format!("a `{name}` board has to be asked, and nothing can be asked over {target}"),
            "reach it by a serial line or a TCP connection",
        );
    } else if must_be_asked && target.has_speed() && raw.baud.is_none() {
        faults.add(
            &at.key("format"),
            format!("a `{name}` board speaks only when it is asked, so its speed cannot be found by listening"),
            "add `baud = 9600`, or what is set in the board",
        );
    } else {
        return true;
    }
    false
}
