//! Which column, label or key holds what, in which unit.

use std::collections::BTreeMap;
use std::fmt;

use serde::Deserialize;
use thiserror::Error;

use super::column_entry::ColumnEntry;
use super::quantity::{Axis, Field, Quantity, Subject, Triple, are_usable};
use super::spelling::spelled;
use super::unit::Unit;

/// Columns a line may have at most; a line of bounded length holds no more that are of use.
pub(crate) const MOST_COLUMNS: usize = 64;

/// Labels whose meaning is kept at hand. A board uses a few; noise makes up any number.
const MOST_KNOWN_NAMES: usize = 64;

/// Units of names that tell none.
///
/// By default acceleration is in g, rate in deg/s, angles in degrees,
/// temperature in °C, and a clock without unit is left alone: a time base that
/// is wrong by a factor of a thousand is worse than none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AssumedUnits {
    pub(crate) accel: Unit,
    pub(crate) rate: Unit,
    pub(crate) time: Option<Unit>,
}

impl Default for AssumedUnits {
    fn default() -> Self {
        Self {
            accel: Unit::Gravity,
            rate: Unit::DegPerSecond,
            time: None,
        }
    }
}

impl AssumedUnits {
    pub(crate) fn of(self, subject: Subject) -> Option<Unit> {
        match subject {
            Subject::One(Quantity::Time) => self.time,
            Subject::One(Quantity::Sequence) => Some(Unit::One),
            Subject::One(Quantity::Temperature) => Some(Unit::Celsius),
            Subject::One(Quantity::InclineX | Quantity::InclineY) => Some(Unit::Degree),
            Subject::One(Quantity::Axis(triple, _)) | Subject::Three(triple) => {
                Some(match triple {
                    Triple::Accel => self.accel,
                    Triple::Rate => self.rate,
                    Triple::Attitude => Unit::Degree,
                })
            }
        }
    }

    /// The field a name stands for.
    pub(crate) fn field(self, name: &str) -> Option<Field> {
        let spelled = spelled(name)?;
        let unit = spelled.unit.or_else(|| self.of(spelled.subject))?;
        Some(Field::new(spelled.subject, unit))
    }
}

impl fmt::Display for AssumedUnits {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "acceleration in {}, rate in {}",
            self.accel.shown(),
            self.rate.shown()
        )?;
        match self.time {
            Some(unit) => write!(f, ", time in {}", unit.shown()),
            None => Ok(()),
        }
    }
}

/// How a text board says what its numbers are.
#[derive(Debug, Clone, PartialEq)]
pub enum Columns {
    /// The board names them, in a header, in labels or in keys.
    Named(AssumedUnits),
    /// They were told beforehand, or found out by listening.
    Mapped(ColumnMap),
}

impl Default for Columns {
    fn default() -> Self {
        Self::Named(AssumedUnits::default())
    }
}

impl From<Option<ColumnMap>> for Columns {
    fn from(map: Option<ColumnMap>) -> Self {
        map.map_or_else(Self::default, Self::Mapped)
    }
}

/// One column of a map.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Column {
    /// Name on the wire, where one is known.
    pub(crate) label: Option<String>,
    /// What it holds; none where it is passed over.
    pub(crate) field: Option<Field>,
}

/// Which column holds what.
///
/// In a configuration it is a list with one entry a column, in order. An entry
/// is a name as it could stand in a header, with its unit (`"ax_mg"`,
/// `"gyro x (rad/s)"`), `"-"` for a column to be passed over, or a table
/// `{ label = "X", quantity = "ax", unit = "g", scale = 0.000061 }` where the
/// wire has another name or carries raw counts.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "Vec<ColumnEntry>")]
pub struct ColumnMap {
    columns: Vec<Column>,
    /// Are the labels those of a header the board printed?
    from_header: bool,
}

/// A column map that cannot be used.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ColumnMapError {
    /// A name that is not understood.
    #[error(
        "column {column}: `{name}` is not understood; write for instance ax, gy_rads, t_ms, temp, or - to pass the column over"
    )]
    UnknownName {
        /// Number of the column, from 1.
        column: usize,
        /// The name as it was written.
        name: String,
    },
    /// A unit that is not known, or measures something else.
    #[error("column {column}: `{unit}` is no unit of `{quantity}`")]
    WrongUnit {
        /// Number of the column, from 1.
        column: usize,
        /// What the column holds.
        quantity: String,
        /// The unit as it was written.
        unit: String,
    },
    /// A clock column whose unit nobody told.
    #[error("column {column}: write the unit of the time, as in t_us, t_ms or t_s")]
    TimeWithoutUnit {
        /// Number of the column, from 1.
        column: usize,
    },
    /// A scale that is zero, not finite, or negative.
    #[error("column {column}: a scale of {scale} leaves nothing to measure")]
    WrongScale {
        /// Number of the column, from 1.
        column: usize,
        /// The scale as it was written.
        scale: f64,
    },
    /// Two columns for one quantity.
    #[error("column {column} holds `{quantity}`, and so does an earlier one")]
    Twice {
        /// Number of the second column, from 1.
        column: usize,
        /// What both hold.
        quantity: &'static str,
    },
    /// No three columns to measure by.
    #[error(
        "the columns hold neither acceleration nor rate nor attitude in all three axes, nor roll and pitch"
    )]
    NothingUsable,
    /// More columns than a line can have.
    #[error("{found} columns are too many, {limit} at most")]
    TooMany {
        /// Columns of the map.
        found: usize,
        /// Most there may be.
        limit: usize,
    },
}

impl ColumnMap {
    /// The order a board should print in if it is yet to be written:
    /// `t_us,ax,ay,az,gx,gy,gz,temp` in µs, g, deg/s, °C.
    pub fn canonical() -> Self {
        let triple = |triple| Axis::ALL.map(|axis| Quantity::Axis(triple, axis));
        let quantities = [Quantity::Time]
            .into_iter()
            .chain(triple(Triple::Accel))
            .chain(triple(Triple::Rate))
            .chain([Quantity::Temperature]);
        let units = AssumedUnits {
            time: Some(Unit::Microsecond),
            ..AssumedUnits::default()
        };
        Self::of_quantities(quantities, units)
    }

    /// Columns without names, in the order of `quantities`.
    pub(crate) fn of_quantities(
        quantities: impl IntoIterator<Item = Quantity>,
        units: AssumedUnits,
    ) -> Self {
        let columns = quantities.into_iter().map(|quantity| {
            let subject = Subject::One(quantity);
            Column {
                label: None,
                field: units.of(subject).map(|unit| Field::new(subject, unit)),
            }
        });
        Self {
            columns: columns.collect(),
            from_header: false,
        }
    }

    /// Reads a header line. Names without a unit are in g, deg/s, degrees and
    /// °C; columns whose names are not understood are passed over.
    ///
    /// # Errors
    /// When the names are not those of a header, or nothing usable is among them.
    pub fn from_header(header: &str) -> Result<Self, ColumnMapError> {
        let names: Vec<&str> = super::csv::split(header);
        Self::from_names(&names, AssumedUnits::default())
    }

    pub(crate) fn from_names(names: &[&str], units: AssumedUnits) -> Result<Self, ColumnMapError> {
        let columns = names.iter().map(|name| Column {
            label: Some((*name).to_owned()),
            // Three numbers under one name are not what a column holds.
            field: units
                .field(name)
                .filter(|field| matches!(field.subject, Subject::One(_))),
        });
        let map = Self::checked(columns.collect())?;
        Ok(Self {
            from_header: true,
            ..map
        })
    }

    pub(crate) fn checked(columns: Vec<Column>) -> Result<Self, ColumnMapError> {
        if columns.len() > MOST_COLUMNS {
            return Err(ColumnMapError::TooMany {
                found: columns.len(),
                limit: MOST_COLUMNS,
            });
        }
        let mut seen: Vec<Subject> = Vec::new();
        for (index, column) in columns.iter().enumerate() {
            let Some(field) = column.field else { continue };
            if seen.contains(&field.subject) {
                return Err(ColumnMapError::Twice {
                    column: index + 1,
                    quantity: field.subject.name(),
                });
            }
            seen.push(field.subject);
        }
        let singles: Vec<Quantity> = seen
            .iter()
            .flat_map(|&subject| match subject {
                Subject::One(quantity) => vec![quantity],
                Subject::Three(triple) => {
                    Axis::ALL.map(|axis| Quantity::Axis(triple, axis)).to_vec()
                }
            })
            .collect();
        if are_usable(&singles) {
            Ok(Self {
                columns,
                from_header: false,
            })
        } else {
            Err(ColumnMapError::NothingUsable)
        }
    }

    pub(crate) fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// Are the labels those of a header the board printed?
    pub(crate) fn is_from_header(&self) -> bool {
        self.from_header
    }

    pub(crate) fn with_header(self, from_header: bool) -> Self {
        Self {
            from_header,
            ..self
        }
    }

    pub(crate) fn holds(&self, quantity: Quantity) -> bool {
        let wanted = Subject::One(quantity);
        self.columns
            .iter()
            .any(|column| column.field.is_some_and(|field| field.subject == wanted))
    }

    /// Every column with the name a board would print for it.
    pub(crate) fn names_on_wire(&self) -> impl Iterator<Item = (String, Option<Field>)> {
        self.columns.iter().map(|column| {
            let name = match (&column.label, column.field) {
                (Some(label), _) => label.clone(),
                (None, Some(field)) => name_with_unit(field),
                (None, None) => "-".to_owned(),
            };
            (name, column.field)
        })
    }

    /// Number of columns, those passed over included.
    pub fn len(&self) -> usize {
        self.columns.len()
    }

    /// Are there no columns? No map is made without any.
    pub fn is_empty(&self) -> bool {
        self.columns.is_empty()
    }

    /// Does a header with these names agree with the one this map was made
    /// from? A map that was made from none agrees with any.
    pub(crate) fn agrees_with(&self, names: &[&str]) -> bool {
        let labels = self
            .columns
            .iter()
            .filter_map(|column| column.label.as_deref());
        !self.from_header || labels.eq(names.iter().copied())
    }
}

impl fmt::Display for ColumnMap {
    /// As a header: `ax_g,ay_g,-,…`; of a column with a scale its unit alone is shown.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, column) in self.columns.iter().enumerate() {
            let comma = if index == 0 { "" } else { "," };
            match column.field {
                None => write!(f, "{comma}-")?,
                Some(Field { subject, unit, .. }) => match unit {
                    Unit::One => write!(f, "{comma}{}", subject.name())?,
                    unit => write!(f, "{comma}{} [{}]", subject.name(), unit.shown())?,
                },
            }
        }
        Ok(())
    }
}

/// The shortest name that is understood by itself: the unit stays away where it is assumed anyway.
fn name_with_unit(field: Field) -> String {
    let name = field.subject.name();
    if AssumedUnits::default().of(field.subject) == Some(field.unit) {
        name.to_owned()
    } else {
        format!("{name}_{}", field.unit.suffix())
    }
}

/// Looks names up, for formats where every number carries its own.
#[derive(Debug)]
pub(crate) enum Names {
    ByMap(BTreeMap<String, Field>),
    BySpelling {
        units: AssumedUnits,
        /// What was looked up before, since a board says the same names in every line.
        known: BTreeMap<String, Option<Field>>,
    },
}

impl Names {
    pub(crate) fn new(columns: &Columns) -> Self {
        match columns {
            Columns::Named(units) => Self::BySpelling {
                units: *units,
                known: BTreeMap::new(),
            },
            Columns::Mapped(map) => Self::ByMap(
                map.columns()
                    .iter()
                    .filter_map(|column| {
                        let field = column.field?;
                        let label = column.label.clone();
                        Some((label.unwrap_or_else(|| name_with_unit(field)), field))
                    })
                    .collect(),
            ),
        }
    }

    pub(crate) fn field(&mut self, name: &str) -> Option<Field> {
        match self {
            Self::ByMap(fields) => fields.get(name).copied(),
            Self::BySpelling { units, known } => {
                if let Some(&field) = known.get(name) {
                    return field;
                }
                let field = units.field(name);
                if known.len() < MOST_KNOWN_NAMES {
                    known.insert(name.to_owned(), field);
                }
                field
            }
        }
    }
}
