//! Readings to bytes, for simulated boards.

use std::fmt::Write as _;

use crate::ahrs55::{self, TemperatureScale};
use crate::ahrs55_radio;
use crate::compact;
use crate::format::WireFormat;
use crate::mavlink;
use crate::reading::Reading;
use crate::rvc;
use crate::text::quantity::{Axis, Field, Quantity, Subject, value_of};
use crate::text::{ColumnMap, Columns};
use crate::xbus;

/// Makes the bytes a board of some format would send.
///
/// Values are rounded to the steps of the wire; what a 16-bit word cannot hold
/// saturates. A value that is absent or not finite makes an empty column, a
/// `null`, or no label; of a 0x55 cycle the frame is left out when it is absent.
#[derive(Debug, Clone)]
pub struct Encoder {
    wire: Wire,
}

#[derive(Debug, Clone)]
enum Wire {
    Csv(ColumnMap),
    Labelled(ColumnMap),
    JsonLines(ColumnMap),
    Ahrs55(TemperatureScale),
    Ahrs55Radio,
    Rvc,
    Xbus,
    Mavlink,
    Compact,
}

impl Encoder {
    /// An encoder for a format. Text boards without a column map print the canonical columns.
    pub fn new(format: &WireFormat) -> Self {
        let map = |columns: &Columns| match columns {
            Columns::Named(_) => ColumnMap::canonical(),
            Columns::Mapped(map) => map.clone(),
        };
        let wire = match format {
            WireFormat::Csv(columns) => Wire::Csv(map(columns)),
            WireFormat::Labelled(columns) => Wire::Labelled(map(columns)),
            WireFormat::JsonLines(columns) => Wire::JsonLines(map(columns)),
            WireFormat::Ahrs55 => Wire::Ahrs55(TemperatureScale::Hundredths),
            WireFormat::Ahrs55SixAxis => Wire::Ahrs55(TemperatureScale::SixAxis),
            WireFormat::Ahrs55Radio => Wire::Ahrs55Radio,
            WireFormat::Rvc => Wire::Rvc,
            WireFormat::Xbus => Wire::Xbus,
            WireFormat::Mavlink => Wire::Mavlink,
            WireFormat::Compact => Wire::Compact,
        };
        Self { wire }
    }

    /// What a board sends once when it starts: the header line of columns, the
    /// delimiter of compact frames, nothing in other formats.
    pub fn preamble(&self, out: &mut Vec<u8>) {
        match &self.wire {
            Wire::Csv(map) => {
                let names: Vec<String> = map.names_on_wire().map(|(name, _)| name).collect();
                out.extend_from_slice(names.join(",").as_bytes());
                out.extend_from_slice(b"\r\n");
            }
            Wire::Compact => out.push(compact::DELIMITER),
            _ => {}
        }
    }

    /// Appends the bytes of one reading.
    pub fn encode(&self, reading: &Reading, out: &mut Vec<u8>) {
        let line = match &self.wire {
            Wire::Ahrs55(scale) => return ahrs55::encode(reading, *scale, out),
            Wire::Ahrs55Radio => return ahrs55_radio::encode(reading, out),
            Wire::Rvc => return rvc::encode(reading, out),
            Wire::Xbus => return xbus::encode(reading, out),
            Wire::Mavlink => return mavlink::encode(reading, out),
            Wire::Compact => return compact::encode(reading, out),
            Wire::Csv(map) => csv_line(map, reading),
            Wire::Labelled(map) => labelled_line(map, reading),
            Wire::JsonLines(map) => json_line(map, reading),
        };
        out.extend_from_slice(line.as_bytes());
        out.extend_from_slice(b"\r\n");
    }
}

fn number(reading: &Reading, field: Field, quantity: Quantity) -> Option<String> {
    let wire = field.to_wire(value_of(reading, quantity)?);
    wire.is_finite()
        .then(|| format!("{wire:.*}", field.decimals()))
}

fn csv_line(map: &ColumnMap, reading: &Reading) -> String {
    let mut line = String::new();
    for (index, (_, field)) in map.names_on_wire().enumerate() {
        if index > 0 {
            line.push(',');
        }
        // A column that is passed over still has to be there.
        if let Some(field) = field
            && let Subject::One(quantity) = field.subject
        {
            line.push_str(&number(reading, field, quantity).unwrap_or_default());
        }
    }
    line
}

fn labelled_line(map: &ColumnMap, reading: &Reading) -> String {
    let parts = map.names_on_wire().filter_map(|(name, field)| {
        let field = field?;
        let Subject::One(quantity) = field.subject else {
            return None;
        };
        Some(format!("{name}:{}", number(reading, field, quantity)?))
    });
    parts.collect::<Vec<_>>().join(",")
}

fn json_line(map: &ColumnMap, reading: &Reading) -> String {
    let mut line = String::from("{");
    for (name, field) in map.names_on_wire() {
        let Some(field) = field else { continue };
        let value =
            |quantity| number(reading, field, quantity).unwrap_or_else(|| "null".to_owned());
        let value = match field.subject {
            Subject::One(quantity) => value(quantity),
            Subject::Three(triple) => {
                let values = Axis::ALL.map(|axis| value(Quantity::Axis(triple, axis)));
                format!("[{}]", values.join(","))
            }
        };
        let comma = if line.len() > 1 { "," } else { "" };
        // Writing to a string cannot fail.
        let _ = write!(line, "{comma}{}:{value}", serde_json::Value::from(name));
    }
    line.push('}');
    line
}
