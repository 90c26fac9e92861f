//! Cars in files: TOML or JSON, by what the file is called or begins with.

use thiserror::Error;

use super::{BadRecord, CarRecord, judge};
use crate::text;
use crate::text::Text;

/// Why a file is no car.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CarFileError {
    /// It is not TOML, or not that of a car.
    #[error("line {line}, column {column}: {what}")]
    Toml {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong there.
        what: String,
    },
    /// It is not JSON, or not that of a car.
    #[error("line {line}, column {column}, at {path}: {what}")]
    Json {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// Which key.
        path: String,
        /// What is wrong there.
        what: String,
    },
    /// Figures that cannot be.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Wrong(Vec<BadRecord>),
}

impl CarFileError {
    /// What is wrong, for a person; what the reader of a format says stands as it is.
    pub fn told(&self) -> Text {
        match self {
            Self::Toml { line, column, what } => text!(
                "line {line}, column {column}: {what}",
                line = *line,
                column = *column,
                what
            ),
            Self::Json {
                line,
                column,
                path,
                what,
            } => text!(
                "line {line}, column {column}, at {path}: {what}",
                line = *line,
                column = *column,
                path,
                what
            ),
            Self::Wrong(bad) => Text::joined(bad.iter().map(BadRecord::told), "; "),
        }
    }
}

/// The car of a text: JSON where it begins with a brace, else TOML.
pub fn read(text: &str) -> Result<CarRecord, CarFileError> {
    let record = if text.trim_start().starts_with('{') {
        let json = &mut serde_json::Deserializer::from_str(text);
        serde_path_to_error::deserialize(json).map_err(|error| CarFileError::Json {
            line: error.inner().line(),
            column: error.inner().column(),
            path: error.path().to_string(),
            what: error.inner().to_string(),
        })?
    } else {
        toml::from_str(text).map_err(|error| {
            let before = error
                .span()
                .and_then(|span| text.get(..span.start))
                .unwrap_or_default();
            CarFileError::Toml {
                line: before.matches('\n').count() + 1,
                column: before.chars().rev().take_while(|c| *c != '\n').count() + 1,
                what: error.message().to_owned(),
            }
        })?
    };
    let bad = judge(&record);
    if bad.is_empty() {
        Ok(record)
    } else {
        Err(CarFileError::Wrong(bad))
    }
}

/// The car as JSON.
pub fn write_json(record: &CarRecord) -> Result<String, serde_json::Error> {
    serde_json::to_string_pretty(record)
}

/// The car as TOML.
pub fn write_toml(record: &CarRecord) -> Result<String, toml::ser::Error> {
    toml::to_string_pretty(record)
}

#[cfg(test)]
mod tests {
    use super::*;

    const EXAMPLE: &str = include_str!("../../../../docs/car.example.toml");

    #[test]
    fn the_example_is_a_car_and_goes_round_both_ways() {
        let car = read(EXAMPLE).expect("the example of the documents is a car");
        assert_eq!(car.name, "Wicket 1300");
        let toml = write_toml(&car).unwrap();
        assert_eq!(read(&toml).unwrap(), car, "{toml}");
        let json = write_json(&car).unwrap();
        assert_eq!(read(&json).unwrap(), car, "{json}");
    }

    #[test]
    fn nothing_is_presumed() {
        let car = read("name = \"Bare\"").unwrap();
        assert_eq!(
            car,
            CarRecord {
                name: "Bare".to_owned(),
                ..CarRecord::default()
            }
        );
        assert_eq!(write_json(&car).unwrap(), "{\n  \"name\": \"Bare\"\n}");
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        for (text, told) in [
            ("name = 3", "line 1, column 8"),
            ("name = \"A\"\nwheelbase = 2560", "line 2, column 1"),
            (
                "{\"name\": \"A\",\n \"front\": {\"track_mm\": \"wide\"}}",
                "at front.track_mm",
            ),
            ("name = \" \"", "name"),
            ("name = \"A\"\nwheelbase_mm = -1", "wheelbase_mm"),
            ("name = \"A\"\nwheelbase_mm = nan", "wheelbase_mm"),
            (
                "name = \"A\"\n[targets.front.camber_deg]\nlow = 1\nhigh = 0",
                "targets.front.camber_deg",
            ),
            (
                "name = \"A\"\n[[adjuster]]\nname = \"rod\"\nat = []\nway = { kind = \"tie_rod\" }",
                "adjuster 1",
            ),
        ] {
            let error = read(text).expect_err(text).to_string();
            assert!(error.contains(told), "{text}: {error}");
        }
    }
}
