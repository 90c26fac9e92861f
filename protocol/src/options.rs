//! What may be told of a format beside its name.

use serde::Deserialize;

use crate::format::{UnknownFormat, WireFormat};
use crate::modbus::RegisterMap;
use crate::nmea::Sentences;
use crate::text::ColumnMap;
use crate::values::ValueLayout;

/// What is told of a format beside its name. Each belongs to some formats alone.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FormatOptions {
    /// Columns, labels or keys of the text formats.
    pub columns: Option<ColumnMap>,
    /// What sentences of `nmea` hold.
    pub sentences: Option<Sentences>,
    /// What the registers of a `modbus` board hold.
    pub registers: Option<RegisterMap>,
    /// What a frame of `values` holds.
    pub values: Option<ValueLayout>,
}

impl FormatOptions {
    /// Names of the options that are there.
    pub fn given(&self) -> impl Iterator<Item = &'static str> {
        [
            self.columns.is_some().then_some("columns"),
            self.sentences.is_some().then_some("sentences"),
            self.registers.is_some().then_some("registers"),
            self.values.is_some().then_some("values"),
        ]
        .into_iter()
        .flatten()
    }
}

impl WireFormat {
    /// The format of a name, with what is told beside it.
    ///
    /// # Errors
    /// When there is no such format, an option is not of it, or one that it
    /// needs is missing.
    pub fn with_options(name: &str, mut options: FormatOptions) -> Result<Self, UnknownFormat> {
        let own = match name {
            "nmea" => "sentences",
            "modbus" => "registers",
            "values" => "values",
            _ => "columns",
        };
        if WireFormat::NAMES.contains(&name)
            && let Some(option) = options.given().find(|option| *option != own)
        {
            return Err(UnknownFormat::NoOption {
                name: name.to_owned(),
                option,
            });
        }
        match name {
            "nmea" => Some(Self::Nmea(options.sentences.take().unwrap_or_default())),
            "modbus" => options.registers.take().map(Self::Modbus),
            "values" => options.values.take().map(Self::Values),
            _ => return Self::from_name(name, options.columns.take()),
        }
        .ok_or_else(|| UnknownFormat::NeedsOption {
            name: name.to_owned(),
            option: own,
        })
    }
}
