//! A column map as it stands in a configuration.

use serde::Deserialize;

use super::column_map::{AssumedUnits, Column, ColumnMap, ColumnMapError};
use super::quantity::{Field, Quantity, Subject};
use super::spelling::spelled;
use super::unit::Unit;

/// What stands for a column to be passed over.
const PASSED_OVER: [&str; 2] = ["", "-"];

/// One entry of the list.
#[derive(Debug, Deserialize)]
#[serde(
    untagged,
    expecting = "a column is a name such as \"ax_mg\", \"-\", or a table with `quantity` and, where needed, `label`, `unit`, `scale`"
)]
pub(crate) enum ColumnEntry {
    Name(String),
    Described(Described),
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Described {
    label: Option<String>,
    quantity: String,
    unit: Option<String>,
    scale: Option<f64>,
}

impl TryFrom<Vec<ColumnEntry>> for ColumnMap {
    type Error = ColumnMapError;

    fn try_from(entries: Vec<ColumnEntry>) -> Result<Self, ColumnMapError> {
        let columns = entries
            .into_iter()
            .enumerate()
            .map(|(index, entry)| column(index + 1, entry));
        Self::checked(columns.collect::<Result<_, _>>()?)
    }
}

fn column(number: usize, entry: ColumnEntry) -> Result<Column, ColumnMapError> {
    match entry {
        ColumnEntry::Name(name) if PASSED_OVER.contains(&name.trim()) => Ok(Column {
            label: None,
            field: None,
        }),
        ColumnEntry::Name(name) => {
            let field = field(number, &name, None)?;
            Ok(Column {
                label: Some(name),
                field: Some(field),
            })
        }
        ColumnEntry::Described(described) => {
            let unit = described.unit.as_deref();
            let mut field = field(number, &described.quantity, unit)?;
            if let Some(scale) = described.scale {
                // A sign is a matter of how the board is strapped on, not of its wire.
                if !(scale.is_finite() && scale > 0.0) {
                    return Err(ColumnMapError::WrongScale {
                        column: number,
                        scale,
                    });
                }
                field.scale = scale;
            }
            Ok(Column {
                label: described.label,
                field: Some(field),
            })
        }
    }
}

fn field(number: usize, name: &str, unit: Option<&str>) -> Result<Field, ColumnMapError> {
    let Some(spelled) = spelled(name) else {
        return Err(ColumnMapError::UnknownName {
            column: number,
            name: name.to_owned(),
        });
    };
    let unit = match unit {
        None => spelled
            .unit
            .or_else(|| AssumedUnits::default().of(spelled.subject)),
        Some(text) => {
            let unit = Unit::spelled(text).filter(|unit| {
                unit.dimension() == spelled.subject.dimension()
                    && spelled.unit.is_none_or(|named| named == *unit)
            });
            let wrong = || ColumnMapError::WrongUnit {
                column: number,
                quantity: name.to_owned(),
                unit: text.to_owned(),
            };
            Some(unit.ok_or_else(wrong)?)
        }
    };
    match (unit, spelled.subject) {
        (Some(unit), subject) => Ok(Field::new(subject, unit)),
        (None, Subject::One(Quantity::Time)) => {
            Err(ColumnMapError::TimeWithoutUnit { column: number })
        }
        (None, _) => Err(ColumnMapError::UnknownName {
            column: number,
            name: name.to_owned(),
        }),
    }
}
