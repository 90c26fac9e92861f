//! Columns and units written down as they were found, to be read again as they were.
//!
//! A configuration's list of columns is for people; it has no word for a header that a
//! board printed, nor for the label of a column that is passed over.

use serde::{Deserialize, Serialize};

use super::column_map::{AssumedUnits, Column, ColumnMap, ColumnMapError};
use super::quantity::Field;
use super::spelling::spelled;
use super::unit::{Dimension, Unit};

/// A column map.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeptColumns {
    from_header: bool,
    columns: Vec<KeptColumn>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeptColumn {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    label: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    holds: Option<KeptField>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeptField {
    quantity: String,
    unit: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    scale: Option<f64>,
}

/// Units of names that tell none.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct KeptUnits {
    accel: String,
    rate: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    time: Option<String>,
}

impl From<&ColumnMap> for KeptColumns {
    fn from(map: &ColumnMap) -> Self {
        let columns = map.columns().iter().map(|column| KeptColumn {
            label: column.label.clone(),
            holds: column.field.map(|field| KeptField {
                quantity: field.subject.name().to_owned(),
                unit: field.unit.shown().to_owned(),
                scale: (field.scale != 1.0).then_some(field.scale),
            }),
        });
        Self {
            from_header: map.is_from_header(),
            columns: columns.collect(),
        }
    }
}

impl KeptColumns {
    /// The map again.
    ///
    /// # Errors
    /// Where it was changed into one that cannot be.
    pub(crate) fn map(self) -> Result<ColumnMap, ColumnMapError> {
        let columns = self.columns.into_iter().enumerate().map(|(index, kept)| {
            let field = kept.holds.map(|holds| holds.field(index + 1)).transpose()?;
            Ok(Column {
                label: kept.label,
                field,
            })
        });
        let map = ColumnMap::checked(columns.collect::<Result<_, _>>()?)?;
        Ok(map.with_header(self.from_header))
    }
}

impl KeptField {
    fn field(self, column: usize) -> Result<Field, ColumnMapError> {
        let Some(spelled) = spelled(&self.quantity) else {
            return Err(ColumnMapError::UnknownName {
                column,
                name: self.quantity,
            });
        };
        let fitting = Unit::spelled(&self.unit)
            .filter(|unit| unit.dimension() == spelled.subject.dimension());
        let Some(unit) = fitting else {
            return Err(ColumnMapError::WrongUnit {
                column,
                quantity: self.quantity,
                unit: self.unit,
            });
        };
        let scale = self.scale.unwrap_or(1.0);
        if !(scale.is_finite() && scale > 0.0) {
            return Err(ColumnMapError::WrongScale { column, scale });
        }
        Ok(Field {
            scale,
            ..Field::new(spelled.subject, unit)
        })
    }
}

impl From<AssumedUnits> for KeptUnits {
    fn from(units: AssumedUnits) -> Self {
        let written = |unit: Unit| unit.shown().to_owned();
        Self {
            accel: written(units.accel),
            rate: written(units.rate),
            time: units.time.map(written),
        }
    }
}

impl KeptUnits {
    /// The units again; none where one is not what it should measure in.
    pub(crate) fn units(&self) -> Option<AssumedUnits> {
        let unit =
            |text: &str, of: Dimension| Unit::spelled(text).filter(|unit| unit.dimension() == of);
        Some(AssumedUnits {
            accel: unit(&self.accel, Dimension::SpecificForce)?,
            rate: unit(&self.rate, Dimension::Rate)?,
            time: match &self.time {
                None => None,
                Some(text) => Some(unit(text, Dimension::Time)?),
            },
        })
    }
}
