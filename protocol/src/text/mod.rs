//! Boards that print lines of text: numbers in columns, labelled numbers, or JSON.

mod column_entry;
mod column_map;
pub(crate) mod csv;
pub(crate) mod json_lines;
pub(crate) mod kept;
pub(crate) mod labelled;
pub(crate) mod line;
pub(crate) mod number;
mod plain;
pub(crate) mod quantity;
pub(crate) mod spelling;
mod template;
pub(crate) mod unit;

pub use column_map::{AssumedUnits, ColumnMap, ColumnMapError, Columns};
pub use line::MOST_LINE_BYTES;
pub(crate) use line::TextStream;
